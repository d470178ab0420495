"""What a figure brings into the open job: its result as the reading, or as a note."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from figure_keys import fill, pick
from screen_jobs import past_gate

from trees.book.model import Check
from trees.casebook import Casebook
from trees.figures import figure_info
from trees.walk import Question, Walk
from tui.screens.figures import as_reading
from tui.screens.job import JobScreen
from tui.typed_figure import work_out_typed
from tui.workshop import Workshop

Open = Callable[..., Any]


async def at_a_reading(screen: Any) -> JobScreen:
    """Begin a job and go on to the rested voltage, a reading in V."""
    job = await past_gate(screen)
    await screen.press("r", "2", "enter", "1")
    assert (job.question.form, job.question.unit) == ("reading", "V")
    return job


async def test_result_becomes_the_typed_reading(open_screen: Open, workshop: Workshop, casebook: Casebook) -> None:
    """F7 from the field, F6 back: the volts stand in the field and nothing is taken before Enter."""
    async with open_screen(workshop) as screen:
        job = await at_a_reading(screen)
        asked = job.question.visit
        before = len(job.walk.entries)
        await pick(screen, "supply_drop", key="f7")
        assert "J-0001" in screen.text()
        await fill(screen, "24.6", "12.1")
        await screen.press("f6")
        assert screen.app.screen is job
        assert job.question.visit == asked
        assert len(job.walk.entries) == before
        assert "12.5 V" in screen.text()
        assert "▶" in screen.text()  # judged already: above 12.2 V is good
        await screen.press("enter")
        given = job.walk.now.givens[-1]
        assert (given.subject, given.answer) == ("rested", "good")
        stored = casebook.entries(casebook.job("J-0001"))[-1].entry
        assert stored.data["reading"] == {"value": 12.5, "unit": "V", "typed": "12.5 V"}


async def test_result_of_another_dimension_becomes_a_note(
    open_screen: Open, workshop: Workshop, casebook: Casebook
) -> None:
    """A resistance is no answer to a voltage: it is kept with name, inputs and result, and the field stays empty."""
    async with open_screen(workshop) as screen:
        job = await at_a_reading(screen)
        await pick(screen, "element_resistance", key="f7")
        await fill(screen, "100", "10")  # R = U²/P = 1 Ω
        await screen.press("f6")
        assert screen.app.screen is job
        stored = casebook.entries(casebook.job("J-0001"))[-1].entry
        assert stored.kind == "note"
        for wanted in ("element_resistance", "100 W", "10 V", "→ 1 Ω"):
            assert wanted in stored.data["text"], stored.data
        assert job.question.unit == "V"
        assert job.query_one("#q-field-0").value == ""


async def test_result_at_a_choice_becomes_a_note(open_screen: Open, workshop: Workshop, casebook: Casebook) -> None:
    """Where no reading is asked for, the figure is kept in words; digits typed in the figures answer nothing."""
    async with open_screen(workshop) as screen:
        job = await past_gate(screen)
        asked = job.question.visit
        await pick(screen, "supply_drop")
        await fill(screen, "1", "1")
        assert job.question.visit == asked
        await screen.press("f6")
        assert screen.app.screen is job
        assert job.walk.now.notes[-1][1].startswith("Figure supply_drop")
        assert [e.entry.kind for e in casebook.entries(casebook.job("J-0001"))][-1] == "note"
        assert job.question.visit == asked


async def test_unread_danger_keeps_the_field_shut(open_screen: Open, workshop: Workshop) -> None:
    """A question whose DANGER was not read has no field yet: nothing is typed into it."""
    checks = dict(workshop.book.checks)
    smoke: Check = checks["smoke"]
    checks["smoke"] = Check(
        id="smoke", form="measure", wording="Volts there", unit="V", proof="reading", plausible=(0.0, 60.0),
        cautions=smoke.cautions, bands=checks["loaded"].bands,
    )  # fmt: skip
    from dataclasses import replace

    workshop.book = replace(workshop.book, checks=checks)
    async with open_screen(workshop) as screen:
        job = await past_gate(screen)
        assert job.question.unread
        await pick(screen, "supply_drop")
        await fill(screen, "24", "12")
        await screen.press("f6")
        assert job.walk.now.notes
        assert job.query_one("#q-field-0").value == ""


async def test_without_result_nothing_goes_into_the_job(open_screen: Open, workshop: Workshop) -> None:
    """F6 with a field empty says so and stays."""
    async with open_screen(workshop) as screen:
        job = await past_gate(screen)
        before = job.walk
        figures = await pick(screen, "supply_drop")
        await screen.press("f6")
        assert screen.app.screen is figures
        assert "no result yet" in screen.text()
        assert job.walk is before


async def test_from_the_day_list_there_is_no_job_to_put_it_into(
    open_screen: Open, workshop: Workshop, casebook: Casebook
) -> None:
    """F6 is neither shown nor does it do anything."""
    async with open_screen(workshop) as screen:
        figures = await pick(screen, "supply_drop")
        await fill(screen, "12", "11")
        assert "F6" not in screen.text()
        await screen.press("f6")
        assert screen.app.screen is figures
        assert casebook.jobs() == ()


async def test_another_seat_first_keeps_the_result_on_the_screen(
    open_screen: Open, workshop: Workshop, casebook: Casebook
) -> None:
    """Where another seat wrote first it is told, no note is claimed, and F6 again keeps it."""
    async with open_screen(workshop) as screen:
        job = await past_gate(screen)
        figures = await pick(screen, "supply_drop")
        await fill(screen, "12", "11")
        record = casebook.job("J-0001")
        elsewhere = Walk.resume(workshop.book, [s.entry for s in casebook.entries(record)]).note("from elsewhere")
        casebook.append(record, elsewhere.entries[-1], expected_no=len(elsewhere.entries))
        await screen.press("f6")
        assert screen.app.screen is figures
        assert [text for _, text in job.walk.now.notes] == ["from elsewhere"]
        await screen.press("f6")
        assert screen.app.screen is job
        assert len(job.walk.now.notes) == 2


@pytest.mark.parametrize(
    ("name", "typed", "unit", "text"),
    [
        ("supply_drop", {"source_v": "12.4", "load_v": "10.9"}, "V", "1.5 V"),
        ("supply_drop", {"source_v": "12.4", "load_v": "10.9"}, "mV", "1500 mV"),
        ("supply_drop", {"source_v": "12.4", "load_v": "10.9"}, "Ω", None),
        ("dose_deviation", {"dose_ml": "3", "rated_ml": "4"}, "1", "-0.25"),
        ("element_resistance", {"power_w": "100", "voltage_v": "10"}, "kΩ", "0.001 kΩ"),
        ("supply_drop", {"source_v": "12.4", "load_v": "10.9"}, "furlong per blink", None),
    ],
)
def test_result_in_the_unit_that_is_asked_for(name: str, typed: dict[str, str], unit: str, text: str | None) -> None:
    """The same dimension is turned into the question's unit; another is none of its answers."""
    found = work_out_typed(figure_info(name), typed)
    assert as_reading(found, Question(kind="check", form="reading", unit=unit)) == text


@pytest.mark.parametrize(("kind", "form"), [("rated", "reading"), ("check", "choice"), ("end", "none")])
def test_only_a_reading_takes_a_result(kind: Any, form: Any) -> None:
    """What stands on the unit's plate is not worked out, and a choice is made by a person."""
    found = work_out_typed(figure_info("supply_drop"), {"source_v": "12.4", "load_v": "10.9"})
    assert as_reading(found, Question(kind=kind, form=form, unit="V")) is None
