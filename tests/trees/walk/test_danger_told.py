"""Danger that somebody tells stops the job, also where the check itself may not be made here and now."""

from __future__ import annotations

import pytest
from safe_gate import behind_gate
from shipped_book import shipped

from trees.book.worked import Expected, WorkedJob
from trees.errors import WalkError
from trees.walk import Walk
from trees.walk.play import play
from trees.walk.standing import place_job


def after_an_alarm() -> Walk:
    """Return a job sent in because an alarm sounded: no start is allowed in it; carbon monoxide is asked for."""
    walk = Walk.begin(shipped(), words="x", tree="exhaust_inside", place="site").taken_up("one", "2026-01-05")
    walk = behind_gate(walk, alarm_before="yes").leave_for("co_room")
    assert "No start in this job" in walk.question.blocked
    return walk


def test_dangerous_reading_of_a_blocked_check_stops() -> None:
    """38 ppm that were measured before the job came in are danger, though nothing may run now."""
    assert after_an_alarm().reading("38 ppm").now.stopped == "carbon_monoxide"


def test_harmless_reading_of_a_blocked_check_is_refused() -> None:
    """A good reading would mean that it ran; that is not taken."""
    with pytest.raises(WalkError, match="No start in this job"):
        after_an_alarm().reading("1 ppm")


def test_played_jobs_keep_the_same_rule() -> None:
    """A worked or exam job that tells the danger is stopped, one that tells a good reading goes on without it."""
    told = WorkedJob(
        id="w", title="w", words="x", tree="exhaust_inside", place="site", expect=Expected(stopped="carbon_monoxide"),
        answers={"alarm_before": "yes", "co_room": "38 ppm"},
    )  # fmt: skip
    assert place_job(shipped(), told).stopped == "carbon_monoxide"
    walk = play(
        shipped(), words="x", tree="exhaust_inside", place="site", family=None,
        answers={"alarm_before": "yes", "co_room": "1 ppm"},
    )  # fmt: skip
    assert walk.now.stopped is None
    assert all(given.check is None or given.check.id != "co_room" or not given.answer for given in walk.now.givens)
