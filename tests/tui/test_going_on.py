"""What goes on at a seat while no job is open: held calls and timers on the day list, and a warning before leaving."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from hand_clock import HandClock

from tui.calls import CallBoard
from tui.screens.day_list import DayList, is_due
from tui.screens.job_timers import tick
from tui.screens.leave import LeaveCard
from tui.timers import TimerBoard
from tui.workshop import Workshop

Open = Callable[..., Any]
SIZES = [(60, 20), (80, 24)]


@pytest.fixture
def clock(workshop: Workshop) -> HandClock:
    """Return the clock that the seat's boards read."""
    hand = HandClock()
    workshop.calls, workshop.timers = CallBoard(hand), TimerBoard(hand)
    return hand


@pytest.mark.parametrize("size", SIZES)
async def test_day_list_shows_who_is_held(open_screen: Open, workshop: Workshop, clock: HandClock, size: Any) -> None:
    """A caller who waits on the line stands on the day list too, with the minutes that pass, until let go."""
    async with open_screen(workshop, size=size) as screen:
        assert "held:" not in screen.text()
        workshop.calls.hold("J-0007", "smokes white")
        workshop.timers.start("J-0004", "smoke")
        clock.now_s += 65
        tick(screen.app, workshop)
        await screen.settle()
        assert "held: J-0007 1:05" in screen.text()
        assert "J-0004 Smoke 1:05" in screen.text()
        workshop.calls.let_go("J-0007")
        workshop.timers.drop("J-0004", "smoke")
        tick(screen.app, workshop)
        await screen.settle()
        assert "J-0007" not in screen.text()


async def test_leaving_asks_while_something_runs(open_screen: Open, workshop: Workshop, clock: HandClock) -> None:
    """Ctrl+Q tells what would be lost; again it does nothing, Esc stays, Space leaves."""
    async with open_screen(workshop) as screen:
        workshop.timers.start("J-0004", "smoke")
        workshop.timers.start("J-0005", "cool_down")
        workshop.calls.hold("J-0007", "smokes white")
        assert clock.now_s == 100.0
        await screen.press("ctrl+q")
        assert isinstance(screen.app.screen, LeaveCard)
        assert "2 timers run, 1 call is held." in screen.text()
        await screen.press("ctrl+q")
        assert isinstance(screen.app.screen, LeaveCard)
        await screen.press("escape")
        assert isinstance(screen.app.screen, DayList)
        assert screen.app.is_running
        await screen.press("ctrl+q", "space")
        assert not screen.app.is_running


async def test_leaving_with_nothing_going_on_asks_nothing(open_screen: Open, workshop: Workshop) -> None:
    """Every answer is on disk, so Ctrl+Q leaves at once."""
    async with open_screen(workshop) as screen:
        await screen.press("ctrl+q")
        assert not screen.app.is_running


async def test_day_list_shows_a_call_back_that_is_due(open_screen: Open, workshop: Workshop) -> None:
    """What an open job waits for stands under the customer's words, which keep their room, with the day."""
    from trees.walk import beside

    words = "smokes white, caller by the old crane"
    job = await workshop.new_job(words, "smoke_on_start", "phone")
    await job.keep(beside.wait(job.walk, "call_back", "2026-03-02", "about the battery"))
    async with open_screen(workshop) as screen:
        assert words in screen.text()
        assert "↳ waits for a call-back 2026-03-02" in screen.text()


@pytest.mark.parametrize(
    ("due", "come"),
    [("2000-01-01", True), ("9999-01-01", False), ("2000-01-01T10:00+00:00", True), ("9999-01-01T10:00+00:00", False)],
)
async def test_a_call_back_whose_time_has_come_says_so(
    open_screen: Open, workshop: Workshop, due: str, come: bool
) -> None:
    """A day or moment behind us is due now, one before us is not; in words, not by colour."""
    from trees.walk import beside

    job = await workshop.new_job("smokes white", "smoke_on_start", "phone")
    await job.keep(beside.wait(job.walk, "call_back", due))
    async with open_screen(workshop) as screen:
        assert "waits for a call-back" in screen.text()
        assert (", due now" in screen.text()) is come


def test_a_due_that_is_no_moment_is_not_due() -> None:
    """What an import brought may be anything."""
    for due in ("", "soonT", "2000-01-01T10:00"):
        assert not is_due(due)


async def test_day_list_tells_what_the_casebook_says_of_itself(open_screen: Open, workshop: Workshop) -> None:
    """A store that was moved to a new version, and a backup that could not be made, are told above the jobs."""
    workshop.casebook.migrated = "The casebook was moved from version 1 to 2."
    workshop.casebook.backup_trouble = "No room on the disk."
    async with open_screen(workshop) as screen:
        assert "The casebook was moved from version 1 to 2." in screen.text()
        assert "The daily backup was not made. No room on the disk." in screen.text()
