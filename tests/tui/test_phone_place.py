"""The phone place by keys alone: read aloud, safety opening, patience, held calls, call-backs, hand-over."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Any

import pytest
from small_book import small_book

from trees.casebook import Casebook
from tui.calls import CallBoard
from tui.screens.job import JobScreen
from tui.screens.job_calls import CallsCard, due_of
from tui.screens.new_job import NewJob
from tui.workshop import Workshop

Open = Callable[..., Any]
SIZES = [(60, 20), (80, 24), (120, 40)]
MISTAKE = "Takes steam for smoke."


@pytest.fixture
def desk(workshop: Workshop) -> Workshop:
    """Return a seat that begins its jobs by phone."""
    book = small_book()
    checks = dict(book.checks)
    checks["smoke"] = replace(checks["smoke"], may_mistake=MISTAKE, how="White, and it smells of fuel.", cautions=())
    workshop.book = small_book(checks=checks)
    workshop.place = "phone"
    return workshop


async def call(screen: Any, words: str = "smokes white", *, gate: bool = True) -> JobScreen:
    """Take a call: the words, Enter, and the safety opening."""
    if not isinstance(screen.app.screen, NewJob):
        await screen.press("n")
    await screen.type(words)
    await screen.press("enter")
    if gate:
        await screen.press("1", "enter", "1", "enter")
    assert isinstance(screen.app.screen, JobScreen)
    return screen.app.screen  # type: ignore[no-any-return]


@pytest.mark.parametrize("size", SIZES)
async def test_question_is_read_aloud_with_what_they_see(open_screen: Open, desk: Workshop, size: Any) -> None:
    """The caller's wording stands in quotes under its label; what it looks like and is mixed up with stands below."""
    async with open_screen(desk, size=size) as screen:
        await call(screen)
        text = " ".join(screen.text().split())
        assert "Read aloud" in text
        assert "“Tell me when the smoke has gone.”" in text
        assert "How long does it smoke?" not in text
        assert f"They mix up: {MISTAKE}" in text
        assert "What it looks like: White, and it smells of fuel." in text


async def test_bench_reads_nothing_aloud(open_screen: Open, desk: Workshop) -> None:
    """With the unit in one's own hands the bench wording stands alone."""
    desk.place = "bench"
    async with open_screen(desk) as screen:
        await call(screen)
        assert "Read aloud" not in screen.text()
        assert "How long does it smoke?" in screen.text()


async def test_first_call_goes_through_the_safety_opening(
    open_screen: Open, desk: Workshop, casebook: Casebook
) -> None:
    """Nothing else is asked before it: no skip, no other check; it says how far it is."""
    async with open_screen(desk) as screen:
        job = await call(screen, gate=False)
        assert "Safety first  1 of 2" in screen.text()
        await screen.press("s", "g", "b", "a")
        assert job.walk.question.kind == "gate"
        await screen.press("1", "enter")
        assert "Safety first  2 of 2" in screen.text()
        await screen.press("0", "enter")
        assert job.walk.now.starts_forbidden
        assert [s.entry.kind for s in casebook.entries(casebook.job("J-0001"))][2:] == ["answer", "answer"]


@pytest.mark.parametrize("last", ["0", "enter"])
async def test_cannot_tell_helps_before_it_counts(open_screen: Open, desk: Workshop, last: str) -> None:
    """The first 0 says how to help; the second, or Enter, takes it. Another answer may still be given."""
    async with open_screen(desk) as screen:
        job = await call(screen)
        await screen.press("0")
        text = " ".join(screen.text().split())
        assert "No hurry" in text
        assert f"Perhaps: {MISTAKE}" in text
        assert job.walk.question.no == 201
        await screen.press(last)
        assert job.walk.now.givens[-1].answer == "unknown"
        assert "No hurry" not in screen.text() or job.patient is False


async def test_help_is_left_with_escape(open_screen: Open, desk: Workshop) -> None:
    """Esc closes the help and stays at the question."""
    async with open_screen(desk) as screen:
        job = await call(screen)
        await screen.press("0", "escape")
        assert screen.app.screen is job
        assert "No hurry" not in screen.text()
        assert job.walk.question.no == 201


async def test_start_by_the_callers_own_words(open_screen: Open, desk: Workshop) -> None:
    """Misspelt words of an answer lead to the complaint on whose way it is met, and it says by which words."""
    async with open_screen(desk) as screen:
        await screen.press("n")
        await screen.type("hrd coke")
        assert "answer “Hard coke”" in screen.text()
        await screen.press("enter")
        assert screen.app.screen.walk.now.tree == "smoke_on_start"
        assert screen.app.screen.walk.now.place == "phone"


@pytest.mark.parametrize("size", SIZES)
async def test_two_calls_are_held_and_changed(open_screen: Open, desk: Workshop, size: Any) -> None:
    """H and n hold the first call for a second one; h and Enter go back to it where it stood; who waits is in sight."""
    seconds = [50.0]
    desk.calls = CallBoard(lambda: seconds[0])
    async with open_screen(desk, size=size) as screen:
        await call(screen, "smokes white one")
        await screen.press("h")
        assert isinstance(screen.app.screen, CallsCard)
        await screen.press("n")
        await screen.until(lambda: isinstance(screen.app.screen, NewJob))
        seconds[0] += 65
        second = await call(screen, "smokes white two", gate=False)
        assert second.job.record.number == "J-0002"
        assert "held: J-0001 1:05" in screen.text()
        await screen.press("h")
        assert "waits 1:05" in screen.text()
        assert "smokes white one" in screen.text()
        await screen.press("enter")
        await screen.until(
            lambda: isinstance(screen.app.screen, JobScreen) and screen.app.screen.job.record.number == "J-0001"
        )
        await screen.settle()
        assert screen.app.screen.walk.question.no == 201
        assert "held: J-0002 0:00" in screen.text()
        await screen.press("h", "1")
        await screen.until(
            lambda: isinstance(screen.app.screen, JobScreen) and screen.app.screen.job.record.number == "J-0002"
        )
        assert screen.app.screen.walk.question.kind == "gate"


async def test_call_back_is_kept_and_reached(open_screen: Open, desk: Workshop, casebook: Casebook) -> None:
    """Q keeps a day and a note; the job waits for it in the casebook until the customer was reached."""
    async with open_screen(desk) as screen:
        job = await call(screen)
        await screen.press("q")
        await screen.type("2026-03-02 after lunch")
        await screen.press("enter")
        await screen.until(lambda: job.walk.now.beside.waiting is not None)
        waiting = job.walk.now.beside.waiting
        assert waiting is not None
        assert (waiting.for_what, waiting.due, waiting.text) == ("call_back", "2026-03-02", "after lunch")
        assert casebook.jobs()[0].waiting == "call_back"
        await screen.press("q", "enter")
        await screen.until(lambda: job.walk.now.beside.waiting is None)
        assert casebook.jobs()[0].waiting is None


@pytest.mark.parametrize(
    ("typed", "due", "text"),
    [
        ("2026-03-02 ask about the alarm", "2026-03-02", "ask about the alarm"),
        ("after lunch", "", "after lunch"),
        ("20260302 spare", "", "20260302 spare"),
        ("25:99 odd", "", "25:99 odd"),
        ("", "", ""),
    ],
)
def test_due_is_a_day_before_a_note(typed: str, due: str, text: str) -> None:
    """What begins with a day is due then; anything else is a note."""
    assert due_of(typed, "2026-03-01") == (due, text)


def test_due_with_a_time_is_a_moment() -> None:
    """A time of today is kept as a moment in UTC."""
    due, text = due_of("9:30 again", "2026-03-01")
    assert text == "again"
    assert due.startswith("2026-0")
    assert due.endswith("+00:00")


async def test_bench_goes_on_with_the_same_job(open_screen: Open, desk: Workshop, casebook: Casebook) -> None:
    """P hands the call over to the bench: the same number, every answer still there, the next step in bench words."""
    async with open_screen(desk) as screen:
        job = await call(screen)
        await screen.press("2", "enter", "p")
        await screen.type("bench")
        await screen.press("enter")
        await screen.until(lambda: job.walk.now.place == "bench")
        await screen.settle()
        assert [g.subject for g in job.walk.now.givens] == ["alarm_now", "alarm_before", "smoke"]
        assert "at the bench" in screen.text()
        assert "Read aloud" not in screen.text()
        assert [row.number for row in casebook.jobs()] == ["J-0001"]
        assert casebook.jobs()[0].place == "bench"
