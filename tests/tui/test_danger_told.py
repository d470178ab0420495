"""Danger told is taken on screen and in plain mode even where its check is blocked: shipped book, after an alarm."""

from __future__ import annotations

from collections.abc import Callable
from io import StringIO
from pathlib import Path
from typing import Any

import pytest
from safe_gate import behind_gate
from shipped_book import shipped

from trees.casebook import Casebook
from trees.errors import WalkError
from trees.walk import Walk
from tui.draw import options
from tui.plain_job import PlainJob
from tui.plain_talk import Talk
from tui.screens.job import JobScreen
from tui.workshop import OpenJob, Workshop

Open = Callable[..., Any]


@pytest.fixture
def seat(casebook: Casebook, tmp_path: Path) -> Workshop:
    """Return a seat with the shipped book."""
    return Workshop(shipped(), casebook, casebook.seat, report_folder=tmp_path / "reports")


async def after_an_alarm(seat: Workshop) -> OpenJob:
    """Return a job on whose history an alarm stands, so that no start may be made, past its safety questions."""
    job = await seat.new_job("smokes white", "smoke_on_start", "bench")
    await job.keep(behind_gate(job.walk, alarm_before="yes"))
    assert job.walk.now.starts_forbidden
    return job


@pytest.mark.parametrize("size", [(60, 20), (80, 24)])
async def test_a_blocked_reading_that_is_dangerous_stops_the_job(open_screen: Open, seat: Workshop, size: Any) -> None:
    """38 ppm in the cabin is typed although no run may be made; a second key, Space, takes it and the job stands."""
    await after_an_alarm(seat)
    async with open_screen(seat, size=size) as screen:
        await screen.press("enter", "m")
        await screen.type("carbon monoxide in warm air")
        await screen.press("enter")
        job = screen.app.screen
        assert isinstance(job, JobScreen)
        await screen.until(lambda: job.walk.question.check is not None and job.walk.question.check.id == "co_room")
        assert "Only a dangerous reading is taken here." in str(job.query_one("#q-blocked").render())
        await screen.type("5")
        await screen.press("enter")
        assert job.walk.question.check is not None, "5 ppm is not dangerous and would mean that it ran"
        await screen.press("backspace")
        await screen.type("38 ppm")
        await screen.press("enter")
        assert job.walk.now.stopped is None
        await screen.press("space")
        assert job.walk.now.stopped == "carbon_monoxide"
        assert "STOP" in screen.text()


async def test_plain_mode_takes_it_after_yes(seat: Workshop) -> None:
    """Line by line the same: a harmless reading is refused, the dangerous one asks a second time and stops."""
    job = await after_an_alarm(seat)
    await job.keep(job.walk.leave_for("co_room"))
    told = StringIO()
    plain = PlainJob(Talk(StringIO("yes\n"), told), job)
    plain.show()
    assert "Only a dangerous reading is taken here." in told.getvalue()
    with pytest.raises(WalkError, match="Answer 0"):
        await plain.answer("5 ppm")
    await plain.answer("38 ppm")
    assert job.walk.now.stopped == "carbon_monoxide"


def test_only_the_answers_that_stop_are_listed_where_a_choice_is_blocked() -> None:
    """Of a blocked choice those answers stay, with their own digits, that stop the job; 0 stays too."""
    found = 0
    for check in shipped().checks.values():
        if check.form not in {"ask", "look"} or not any(a.stop for a in check.answers):
            continue
        walk = behind_gate(Walk.begin(shipped(), words="x", tree="smoke_on_start", place="phone"))
        question = walk.leave_for(check.id).question
        if not question.blocked:
            continue
        found += 1
        assert question.only_danger
        shown = options(question, None, frozenset()).plain
        for answer in check.answers:
            assert (answer.means in shown) == bool(answer.stop)
        stop = next(a for a in check.answers if a.stop)
        assert walk.leave_for(check.id).answer(stop.id).now.stopped == stop.stop
    assert found
