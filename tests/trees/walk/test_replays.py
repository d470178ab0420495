"""Worked jobs are walked again: what fails is named, with the step at which it turned the wrong way."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from shipped_book import shipped

from trees.book.worked import Expected, Least
from trees.walk.replays import Replayed, replay_all, replay_job


def changed(job_id: str, *, answers: dict[str, Any] | None = None, expect: Expected | None = None) -> Replayed:
    """Replay a shipped job with some answers or its expectation changed."""
    job = shipped().worked[job_id]
    job = replace(job, answers={**job.answers, **(answers or {})}, expect=expect or job.expect)
    return replay_job(shipped(), job)


def test_shipped_jobs_all_end_where_they_say() -> None:
    """The book tests itself."""
    jobs = replay_all(shipped())
    assert len(jobs) >= 12
    assert [(job.job, job.faults) for job in jobs if job.faults] == []
    assert all(job.turn is None for job in jobs)


def test_missed_cause_is_blamed_on_the_step_that_could_have_found_it() -> None:
    """The screen answered as free: the cause is not found, and the turn is where the screen was looked at."""
    told = changed("d_01", answers={"screen_look": "free", "insert_look": "hard_even"})
    assert any("`screen_blocked` is not found" in fault for fault in told.faults)
    assert told.turn is not None
    assert shipped().trees[told.turn.tree].steps[told.turn.step].refers == "screen_look"
    assert told.turn.no == shipped().trees[told.turn.tree].steps[told.turn.step].no


def test_other_end_is_blamed_on_the_last_step_that_still_led_there() -> None:
    """A cracked exchanger takes the unit out of service: behind that answer no release is left."""
    told = changed("d_01", answers={"exchanger_soot": "crack"}, expect=Expected(end="released"))
    assert told.faults == (f"it must end as `released`, and it is {told.end}",)
    assert told.end.startswith("ended as `out_of_service`")
    assert told.turn is not None
    assert shipped().trees[told.turn.tree].steps[told.turn.step].refers == "exchanger_soot"
    assert told.unasked


def test_refused_answer_is_the_turn() -> None:
    """An answer that the check does not take is named with its step, and the walk stands there."""
    told = changed("d_01", answers={"tube_ends": "open_wide"})
    assert told.faults[0].startswith("an answer is not taken")
    assert told.turn is not None
    assert shipped().trees[told.turn.tree].steps[told.turn.step].refers == "tube_ends"


def test_unexpected_stop_is_a_fault() -> None:
    """A job that stops for danger does not end where it says."""
    told = changed("d_01", answers={"alarm_now": "yes"})
    assert any("stopped for `carbon_monoxide`" in fault for fault in told.faults)
    assert told.turn is not None
    assert (told.turn.tree, told.turn.step) == ("gate", "alarm_now")


def test_missing_stop_is_a_fault() -> None:
    """A job that must stop and goes on does not end where it says."""
    told = changed("d_01", expect=Expected(stopped="carbon_monoxide"))
    assert told.faults == (f"it must stop for `carbon_monoxide`, and it is {told.end}",)


@pytest.mark.parametrize(
    ("least", "fails"),
    [
        (Least(probability=0.9), False),
        (Least(probability=1.0), True),
        (Least(rank=1), False),
        (Least(probability=0.9, rank=1), False),
        (Least(), False),
    ],
)
def test_least_probability_and_rank(least: Least, fails: bool) -> None:
    """A cable measured as too thin stands at the top and is nearly certain; wholly certain nothing ever is."""
    told = changed("d_03", expect=Expected(least={"cable_voltage_drop": least}))
    assert bool(told.faults) is fails, told.faults


def test_cause_that_stands_too_low_is_told_with_its_numbers() -> None:
    """A cause that nothing points at fails both the probability and the rank that the job demands."""
    told = changed("d_01", expect=Expected(least={"loom_damage": Least(probability=0.9, rank=1)}))
    assert len(told.faults) == 2
    assert "has probability 0.0" in told.faults[0]
    assert "stands in place" in told.faults[1]


def test_cause_of_another_kind_of_unit_is_told() -> None:
    """A coolant cause is no suspect of an air heater."""
    told = changed("d_01", expect=Expected(least={"coolant_circuit_fault": Least(rank=1)}))
    assert told.faults == ("`coolant_circuit_fault` is no suspect for this unit",)
