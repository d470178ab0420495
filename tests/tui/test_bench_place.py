"""The bench place by keys alone: intake of a unit that came alone, hours in one grid, instruments, before and after."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Any

import pytest
from screen_jobs import past_gate, to_hours
from small_book import small_book

from graphviz_export.report_readings import reading_rows
from trees.book.model import Book, ReadingField
from trees.casebook import Casebook
from trees.walk import Walk
from trees.walk.near_edges import likely_bands, standard_uncertainty_of
from tui.before_after import pairs_of_readings, table
from tui.draw import lines
from tui.instruments import instrument_for, taken_with, uncertainty_in
from tui.screens.choose import ChooseCard
from tui.screens.job import JobScreen
from tui.screens.job_bench import facts_of
from tui.screens.tick import TickCard
from tui.settings import Instrument, Settings, read_settings
from tui.workshop import Workshop

Open = Callable[..., Any]
SIZES = [(60, 20), (80, 24), (120, 40)]
METER = Instrument("clamp meter", "V", 0.2)


def book_with_intake() -> Book:
    """Return the small book with four facts of the intake, written in another order than the bench sees them."""
    checks = dict(small_book().checks)
    for name in ("blown", "habits", "hours", "insert"):
        checks[name] = replace(checks[name], intake=True)
    fields = (*checks["hours"].readings, ReadingField("starts", "1", "Starts"))
    checks["hours"] = replace(checks["hours"], readings=fields)
    return small_book(checks=checks)


async def to_dose(screen: Any) -> JobScreen:
    """Come to the reading of the dose."""
    job = await past_gate(screen)
    await screen.press("f", "enter")
    await screen.until(lambda: job.walk.now.unit.family is not None)
    await screen.press("r", "1", "enter")
    assert job.walk.question.no == 203
    return job


# ── intake ──────────────────────────────────────────────────────────────────


def test_facts_stand_in_the_order_in_which_the_bench_sees_them() -> None:
    """Outside before inside; measured before told; what another kind of unit has is left out."""
    walk = Walk.begin(book_with_intake(), words="sent in", tree="smoke_on_start")
    assert [check.id for check in facts_of(walk)] == ["hours", "habits", "blown", "insert"]


@pytest.mark.parametrize("size", SIZES)
async def test_intake_asks_all_that_is_open_and_lets_each_be_passed_over(
    open_screen: Open, workshop: Workshop, casebook: Casebook, size: Any
) -> None:
    """+ and Enter ask the facts one after the other; s passes one over; then the tree stands where it stood."""
    workshop.book = book_with_intake()
    async with open_screen(workshop, size=size) as screen:
        job = await past_gate(screen)
        stood = job.walk.question.no
        await screen.press("plus")
        assert isinstance(screen.app.screen, ChooseCard)
        assert "All that is open, one after the other (4)" in screen.text()
        await screen.press("enter")
        await screen.until(lambda: job.walk.question.check is not None and job.walk.question.check.id == "hours")
        await screen.settle()
        assert "Intake: 3 more" in " ".join(screen.text().split())
        await screen.press("escape", "s")
        await screen.until(lambda: job.walk.question.check.id == "habits")
        await screen.press("1", "enter")
        await screen.until(lambda: job.walk.question.check.id == "blown")
        await screen.press("g")
        await screen.until(lambda: job.walk.question.no == stood)
        assert job.intake == ()
        kinds = [s.entry.kind for s in casebook.entries(casebook.job("J-0001"))]
        assert kinds[-6:] == ["left_tree", "skipped", "left_tree", "answer", "left_tree", "returned"]
        await screen.press("plus")
        assert "All that is open, one after the other (3)" in screen.text()
        assert "= Nearly always on low" in screen.text() or size == (60, 20)


async def test_intake_waits_for_the_safety_questions(open_screen: Open, workshop: Workshop) -> None:
    """Before the gate nothing of the intake is asked."""
    workshop.book = book_with_intake()
    async with open_screen(workshop) as screen:
        await screen.press("n")
        await screen.type("smokes white")
        await screen.press("enter", "plus", "enter")
        await screen.until(lambda: "safety questions come first" in screen.text())
        assert screen.app.screen.walk.question.kind == "gate"


@pytest.mark.parametrize("size", SIZES)
async def test_hours_and_starts_are_typed_in_one_grid(open_screen: Open, workshop: Workshop, size: Any) -> None:
    """Each step has its row; arrows and Enter go from row to row; the hours are added up while they are typed."""
    workshop.book = book_with_intake()
    async with open_screen(workshop, size=size) as screen:
        job = await to_hours(screen)
        await screen.type("900")
        await screen.press("enter")
        await screen.type("300")
        await screen.press("up", "down", "down")
        await screen.type("412")
        rows = screen.text().splitlines()
        assert any("Lowest" in row and "900" in row for row in rows)
        assert any("Starts" in row and "412" in row for row in rows)
        assert "Together 1200 h: Lowest 75 %, Highest 25 %" in " ".join(screen.text().split()).replace("% ,", "%,")
        await screen.press("enter")
        assert job.walk.now.givens[-1].values == {"low": 900.0, "high": 300.0, "starts": 412.0}


# ── instruments ─────────────────────────────────────────────────────────────


@pytest.fixture
def equipped(workshop: Workshop) -> Workshop:
    """Return a seat with two instruments, none chosen for today."""
    glass = Instrument("measuring glass", "ml", 0.1)
    workshop.settings = Settings(instruments=(METER, glass))
    return workshop


async def test_instruments_are_asked_once_a_day_and_kept_with_the_reading(
    open_screen: Open, equipped: Workshop, casebook: Casebook
) -> None:
    """The first reading of the day asks; the choice is saved; the reading's entry bears instrument and uncertainty."""
    from tui.settings_file import save_settings

    save_settings(instruments=equipped.settings.instruments)
    async with open_screen(equipped) as screen:
        job = await to_dose(screen)
        await screen.until(lambda: isinstance(screen.app.screen, TickCard))
        assert "measuring glass, ± 0.1 ml" in screen.text()
        await screen.press("down", "space", "enter")
        await screen.until(lambda: screen.app.screen is job)
        await screen.until(lambda: equipped.settings.instruments_on(equipped.today()) is not None)
        await screen.until(lambda: "With measuring glass, ± 0.1 ml" in screen.text())
        assert read_settings()[0].chosen == ("measuring glass",)
        await screen.type("6.6 6.5 6.7")
        await screen.press("enter")
        kept = casebook.entries(casebook.job("J-0001"))[-1].entry.data["reading"]
        assert kept["instrument"] == "measuring glass"
        assert kept["uncertainty"] == pytest.approx(0.1)
        given = job.walk.now.givens[-1]
        assert (given.instrument, given.uncertainty) == ("measuring glass", pytest.approx(0.1))
        assert not isinstance(screen.app.screen, TickCard)


async def test_dropped_question_for_instruments_is_not_asked_again(open_screen: Open, equipped: Workshop) -> None:
    """Esc on the card leaves the readings without an instrument, and nothing asks again that day."""
    async with open_screen(equipped) as screen:
        job = await to_dose(screen)
        await screen.until(lambda: isinstance(screen.app.screen, TickCard))
        await screen.press("escape")
        await screen.until(lambda: screen.app.screen is job)
        await screen.type("6.6 6.5 6.7")
        await screen.press("enter")
        assert job.walk.now.givens[-1].instrument == ""
        await screen.press("b")
        assert screen.app.screen is job


def test_instrument_of_another_unit_is_converted_and_weighs_the_edge() -> None:
    """0.2 V on the meter is 200 mV on a reading in mV; by it a reading near an edge counts for both bands."""
    assert uncertainty_in(METER, "mV") == pytest.approx(200.0)
    assert uncertainty_in(Instrument("probe", "°F", 1.8), "°C") == pytest.approx(1.0)
    chosen = Settings(instruments=(METER,), chosen=("clamp meter",), chosen_on="2026-01-05")
    assert instrument_for(chosen, "2026-01-05", "mV") == METER
    assert instrument_for(chosen, "2026-01-06", "mV") is None
    assert instrument_for(chosen, "2026-01-05", "ml") is None
    walk = Walk.begin(small_book(), words="x", tree="smoke_on_start", family="air2").answer("no").answer("no")
    walk = walk.acknowledge("gas").answer("stays")
    bare, told = walk.reading("12.3"), taken_with(walk.reading("12.3"), METER)
    known = told.now.known
    assert known is not None
    assert standard_uncertainty_of(told.book, told.book.checks["rested"], known) == pytest.approx(0.2)
    (row,) = reading_rows(told)
    assert (row.instrument, row.uncertainty) == ("clamp meter", pytest.approx(0.2))
    bare_known = bare.now.known
    assert bare_known is not None
    assert len(likely_bands(bare.book, bare.now.givens[-1], bare_known)) == 1
    flat, good = likely_bands(told.book, told.now.givens[-1], known)
    # 0.1 V above the edge, half a standard uncertainty: the normal distribution gives 0.309 below it (any table).
    assert (flat[0].id, good[0].id) == ("flat", "good")
    assert flat[1] == pytest.approx(0.3085, abs=5e-4)


# ── before and after ────────────────────────────────────────────────────────


def repaired() -> Walk:
    """Return a job whose voltage under load was read before and after the repair."""
    walk = Walk.begin(small_book(), words="x", tree="smoke_on_start", family="air2").answer("no").answer("no")
    walk = walk.acknowledge("gas").leave_for("loaded").reading("11.1").answer("short").reading("6.6 6.6 6.6")
    return walk.answer("no").tick(["long"]).answer("coked").answer("cured").reading("12.1")


def test_readings_before_and_after_stand_side_by_side() -> None:
    """One row for what was read twice, with both numbers, the limits and both verdicts; the rest is left out."""
    (pair,) = pairs_of_readings(repaired())
    assert (pair.before and pair.before.value, pair.after and pair.after.value) == ("11.1 V", "12.1 V")
    text = lines(table((pair,), 74)).plain
    assert "before" in text
    assert "11.1 V" in text.splitlines()[1]
    assert "12.1 V" in text.splitlines()[1]
    assert "above 11.5 V" in text
    assert "before: Too low;  after: Good" in text
    assert all(len(row) <= 74 for row in text.splitlines())


def test_limits_are_whole_or_stand_below() -> None:
    """Half of a pair of limits would mislead: they stand whole in their column or in the line under it."""
    (pair,) = pairs_of_readings(repaired())
    assert pair.after is not None
    both = replace(pair, after=replace(pair.after, limits="above 11.5 V, up to 15.25 V"))
    for width in (54, 64, 74, 114):
        text = lines(table((both,), width)).plain
        assert "above 11.5 V, up to 15.25 V" in text
        assert "11.1 V" in text.splitlines()[1]
        assert "12.1 V" in text.splitlines()[1]
    assert "limits: above" not in lines(table((both,), 114)).plain


def test_narrow_table_keeps_both_numbers() -> None:
    """At the smallest window the name gives way, never the numbers."""
    rows = lines(table(pairs_of_readings(repaired()), 54)).plain.splitlines()
    assert "11.1 V" in rows[1]
    assert "12.1 V" in rows[1]
    assert max(map(len, rows)) <= 54
