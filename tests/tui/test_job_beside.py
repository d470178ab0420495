"""Beside the question, by keys alone: the map, remarks, serial numbers, timers, minutes left, other seats."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from hand_clock import HandClock
from screen_jobs import past_gate

from trees.casebook import Casebook
from trees.walk import Walk
from trees.walk.beside import remark
from tui.screens.book import BookScreen
from tui.screens.day_list import DayList
from tui.screens.earlier import EarlierCard
from tui.screens.job import JobScreen, minutes_line
from tui.screens.job_advice import left_words
from tui.screens.job_map import MapCard
from tui.screens.job_timers import TimerCard, tick
from tui.timers import TimerBoard, clock_face
from tui.trail_map import trail_map
from tui.workshop import Workshop

Open = Callable[..., Any]
SIZES = [(60, 20), (80, 24), (120, 40)]


def kinds(casebook: Casebook, number: str = "J-0001") -> list[str]:
    """Return the kinds of the entries that stand on disk."""
    return [stored.entry.kind for stored in casebook.entries(casebook.job(number))]


# ── map ─────────────────────────────────────────────────────────────────────


@pytest.mark.parametrize("size", SIZES)
async def test_map_shows_the_way_and_changes_an_answer(open_screen: Open, workshop: Workshop, size: Any) -> None:
    """F3 opens the map at the asked step, the taken way ticked; Enter on an answered step changes its answer."""
    async with open_screen(workshop, size=size) as screen:
        job = await past_gate(screen)
        await screen.press("r", "1", "enter", "escape", "f3")
        assert isinstance(screen.app.screen, MapCard)
        text = screen.text()
        assert "▶  203" in text
        assert "✓  201" in text
        assert "= Clears" in text
        await screen.press("home", "enter")
        await screen.until(lambda: job.changing is not None)
        assert job.changing == "smoke_on_start.watch"
        await screen.press("2", "enter")
        assert job.walk.question.no == 301


def test_map_stands_in_the_order_of_the_way_with_shared_trees_behind(workshop: Workshop) -> None:
    """A shared tree that was run follows the one that runs it; what was answered is told, the taken way marked."""
    walk = Walk.begin(workshop.book, words="smokes white", tree="smoke_on_start").answer("no").answer("no")
    rows = trail_map(walk.acknowledge("gas").answer("stays"), 60)
    assert [row.tree for row in rows if row.tree] == ["White smoke on start", "Supply under load"]
    watch = next(row for row in rows if row.no == 201)
    assert (watch.state, watch.told) == ("answered", "Never clears")
    assert watch.taken is not None
    assert "→ 202" in watch.lines[watch.taken]
    assert next(row.state for row in rows if row.no == 202) == "here" or rows[-3].state == "here"
    assert max(len(line) for row in rows for line in row.lines) <= 58


# ── remark and serial ───────────────────────────────────────────────────────


async def test_remark_on_the_step_is_an_entry_of_its_own(
    open_screen: Open, workshop: Workshop, casebook: Casebook
) -> None:
    """! takes a sentence for the author; it bears the tree, the step and its number."""
    async with open_screen(workshop) as screen:
        job = await past_gate(screen)
        await screen.press("exclamation_mark")
        assert "step 201" in screen.text()
        await screen.type("no such hose here")
        await screen.press("enter")
        await screen.until(lambda: bool(job.walk.now.beside.remarks))
        told = job.walk.now.beside.remarks[-1]
        assert (told.tree, told.step, told.step_no, told.text) == ("smoke_on_start", "watch", 201, "no such hose here")
        assert kinds(casebook)[-1] == "remark"
        assert job.walk.question.no == 201


async def test_author_sees_the_remark_and_goes_to_the_step(open_screen: Open, workshop: Workshop) -> None:
    """In the book screen ! lists what was remarked; Enter turns the map to the step."""
    async with open_screen(workshop, size=(120, 40)) as screen:
        job = await past_gate(screen)
        await screen.press("exclamation_mark")
        await screen.type("no such hose")
        await screen.press("enter")
        await screen.until(lambda: bool(job.walk.now.beside.remarks))
        await screen.press("escape", "o")
        await screen.until(lambda: isinstance(screen.app.screen, BookScreen))
        book = screen.app.screen
        await screen.press("exclamation_mark")
        await screen.until(lambda: "201  no such hose  (J-0001, bench one," in screen.text())
        await screen.press("enter")
        await screen.until(lambda: book.marked_no() == 201)
        assert book.tree_id == "smoke_on_start"


async def test_serial_number_shows_the_earlier_jobs(open_screen: Open, workshop: Workshop, casebook: Casebook) -> None:
    """The first job of a unit says so; a second one with the same number lists the first and what was found."""
    async with open_screen(workshop, size=(120, 40)) as screen:
        job = await past_gate(screen, "smokes white first")
        await screen.press("number_sign")
        await screen.type("AB 12")
        await screen.press("enter")
        await screen.until(lambda: job.walk.now.beside.serial == "AB 12")
        await screen.until(lambda: "No earlier job" in screen.text())
        await screen.press("escape")
        assert isinstance(screen.app.screen, DayList)
        second = await past_gate(screen, "smokes white again")
        await screen.press("number_sign")
        await screen.type("AB 12")
        await screen.press("enter")
        await screen.until(lambda: isinstance(screen.app.screen, EarlierCard))
        await screen.until(lambda: "Nothing was found then" in screen.text())
        text = screen.text()
        assert "J-0001" in text
        assert "smokes white first" in text
        await screen.press("escape")
        assert screen.app.screen is second
        assert casebook.job("J-0002").number == "J-0002"
        assert [row.number for row in casebook.same_serial("AB 12")] == ["J-0002", "J-0001"]


# ── minutes ─────────────────────────────────────────────────────────────────


async def test_head_says_minutes_so_far_and_left(open_screen: Open, workshop: Workshop) -> None:
    """What was done and what lies before the next repair stand in the head line, at the smallest size too."""
    async with open_screen(workshop, size=(60, 20)) as screen:
        job = await past_gate(screen)
        assert minutes_line(job.walk, left_words(job.walk)) in screen.text()
        assert "0 min, next repair in 55–65 min" in screen.text()


# ── timers ──────────────────────────────────────────────────────────────────


@pytest.mark.parametrize("size", SIZES)
async def test_timer_counts_over_screens_rings_and_is_kept(
    open_screen: Open, workshop: Workshop, casebook: Casebook, size: Any
) -> None:
    """Y and a digit start it; it counts on over the day list, rings in words when done, and its seconds are kept."""
    clock = HandClock()
    workshop.timers = TimerBoard(clock)
    async with open_screen(workshop, size=size) as screen:
        job = await past_gate(screen)
        await screen.press("y")
        assert isinstance(screen.app.screen, TimerCard)
        await screen.press("3")
        await screen.until(lambda: bool(workshop.timers.of("J-0001")))
        clock.now_s += 125
        tick(screen.app, workshop)
        await screen.settle()
        assert "Ten minutes stable 2:05 of 10:00" in screen.text()
        await screen.press("escape")
        assert isinstance(screen.app.screen, DayList)
        clock.now_s += 480
        tick(screen.app, workshop)
        await screen.settle()
        assert "Ten minutes stable: done" in screen.text()
        assert "at job J-0001" in screen.text()
        await screen.press("enter")
        job = screen.app.screen
        assert "Ten minutes stable 10:05 DONE (10:00)" in screen.text()
        await screen.press("y", "3")
        await screen.until(lambda: bool(job.walk.now.beside.figures))
        kept = job.walk.now.beside.figures[-1]
        assert (kept.what, kept.value, kept.unit) == ("timer_stable", 605.0, "s")
        assert workshop.timers.of("J-0001") == ()
        await screen.until(lambda: "stable 10:05 DONE" not in screen.text())
        replayed = Walk.resume(workshop.book, [s.entry for s in casebook.entries(casebook.job("J-0001"))])
        assert replayed.now.beside.figures == job.walk.now.beside.figures


async def test_two_timers_run_and_one_is_dropped(open_screen: Open, workshop: Workshop, casebook: Casebook) -> None:
    """Timers have names and run beside each other; x ends one without an entry."""
    workshop.timers = TimerBoard(HandClock())
    async with open_screen(workshop) as screen:
        await past_gate(screen)
        await screen.press("y", "1")
        await screen.until(lambda: len(workshop.timers.of("J-0001")) == 1)
        await screen.press("y", "4")
        await screen.until(lambda: len(workshop.timers.of("J-0001")) == 2)
        await screen.until(lambda: "Cool-down 0:00 of 30:00" in screen.text())
        assert "Smoke 0:00" in screen.text()
        await screen.press("y", "home", "x")
        await screen.until(lambda: [t.kind.name for t in workshop.timers.of("J-0001")] == ["cool_down"])
        assert "figure" not in kinds(casebook)


def test_timer_rings_once() -> None:
    """A timer that is due is told once, however often it is asked; it counts on."""
    clock = HandClock()
    board = TimerBoard(clock)
    board.start("J-0001", "stable")
    assert board.to_ring() == []
    clock.now_s += 600
    assert [(job, timer.kind.name) for job, timer in board.to_ring()] == [("J-0001", "stable")]
    assert board.to_ring() == []
    clock.now_s += 3000
    assert board.line("J-0001") == "Ten minutes stable 1:00:00 DONE (10:00)"


@pytest.mark.parametrize(("seconds", "shown"), [(0, "0:00"), (59.9, "0:59"), (605, "10:05"), (3661, "1:01:01")])
def test_clock_face(seconds: float, shown: str) -> None:
    """Whole seconds, minutes, and hours where there are any."""
    assert clock_face(seconds) == shown


# ── other seats ─────────────────────────────────────────────────────────────


async def test_other_seat_is_shown_and_its_answer_too(
    open_screen: Open, workshop: Workshop, casebook: Casebook, tmp_path: Path
) -> None:
    """Who has the job open stands in words; what was answered there is on this screen after one look."""
    async with open_screen(workshop) as screen:
        job = await past_gate(screen)
        with Casebook.open(tmp_path / "casebook.db", seat="bench 2") as elsewhere:
            record = elsewhere.job("J-0001")
            elsewhere.come(record)
            job.look()
            await screen.until(lambda: "open at bench 2" in screen.text())
            walk = Walk.resume(workshop.book, [s.entry for s in elsewhere.entries(record)])
            told = remark(walk, "seen from bench 2").cannot_tell()
            for no in range(len(walk.entries) + 1, len(told.entries) + 1):
                elsewhere.append(record, told.entries[no - 1], expected_no=no)
            job.look()
            await screen.until(lambda: job.walk.question.no == 301)
            await screen.until(lambda: "bench 2 went on with this job" in screen.text())
            elsewhere.leave(record)
            job.look()
            await screen.until(lambda: "open at bench 2" not in screen.text())
        await screen.press("escape")
        await screen.until(lambda: isinstance(screen.app.screen, DayList))
        with Casebook.open(tmp_path / "casebook.db", seat="bench 3") as other:
            assert [p.seat for p in other.presence(other.job("J-0001"))] == []


# ── texts are data ──────────────────────────────────────────────────────────

NASTY = "[/] x [red]a[/red] a[b=c] ${y} \x1b[31mred\u202e"


def nasty(book: Any) -> Any:
    """Return a book with nasty texts in what the cards beside the question show."""
    checks = {k: replace(c, wording=f"{NASTY} {k}", may_mistake=NASTY, intake=True) for k, c in book.checks.items()}
    trees = {k: replace(t, title=f"{NASTY} {k}", complaint_words=(f"smokes {NASTY}",)) for k, t in book.trees.items()}
    causes = {k: replace(c, name=f"{c.name} {NASTY}", prevent=NASTY) for k, c in book.causes.items()}
    return replace(book, checks=checks, trees=trees, causes=causes)


async def test_nasty_texts_are_literal_on_every_card(open_screen: Open, workshop: Workshop) -> None:
    """Map, held calls, intake, serial number, report: brackets stay brackets, no escape reaches the terminal."""
    workshop.book = nasty(workshop.book)
    workshop.place = "phone"
    workshop.calls.hold("J-0009", NASTY)
    seen = []
    async with open_screen(workshop, size=(120, 40)) as screen:
        await screen.press("n")
        await screen.type("smokes [/] a[b=c]")
        seen.append(screen.text())
        await screen.press("enter", "1", "enter", "1", "enter", "r", "0")
        seen.append(screen.text())
        await screen.press("escape")
        for key in ("f3", "h", "plus"):
            await screen.press(key)
            seen.append(screen.text())
            await screen.press("escape")
            assert isinstance(screen.app.screen, JobScreen), key
        await screen.press("number_sign")
        await screen.type("[/] a[b=c]")
        await screen.press("enter")
        await screen.until(lambda: "No earlier job has the serial number [/] a[b=c]" in " ".join(screen.text().split()))
        await screen.press("c", "i")
        await screen.until(lambda: "Report J-0001" in screen.text())
        seen.append(screen.text())
    for text in seen:
        assert "\x1b" not in text
        assert "\u202e" not in text
    assert [at for at, text in enumerate(seen) if "a[b=c]" not in text] == []
