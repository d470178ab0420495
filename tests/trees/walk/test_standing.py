"""The places of a worked job's true causes are those of the screen, with all that the job tells and may tell."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from shipped_book import shipped

from trees.book.worked import Expected, WorkedJob
from trees.walk.standing import Placed, Tally, place_all, place_job, tell


def job(answers: dict[str, Any], expect: Expected, **other: Any) -> WorkedJob:
    """Return a job at the bench about smoke, with what it tells and expects."""
    base = WorkedJob(id="w", title="Made for this test", words="smokes", tree="smoke_on_start", family="air_2kw_12v")
    return replace(base, answers=answers, expect=expect, **other)


def test_cause_that_a_check_found_stands_first() -> None:
    """A screen seen blocked is found, and what is found stands above any ranking."""
    placed = place_job(shipped(), job({"screen_look": "blocked"}, Expected(main=("screen_blocked",))))
    assert (placed.main, placed.overall, placed.ahead, placed.untold) == (1, 1, (), ())


def test_best_of_the_accepted_causes_counts() -> None:
    """One of two accepted causes was found, the other ruled out."""
    expect = Expected(main=("glow_pin_worn", "screen_blocked"), contributing=("glow_pin_worn",))
    placed = place_job(shipped(), job({"screen_look": "blocked"}, expect))
    assert placed.main == 1
    assert placed.contributing[0] is not None
    assert placed.contributing[0] > 1


def test_what_may_not_be_done_at_the_place_is_not_told() -> None:
    """A caller can't measure the voltage under load, so a job by phone does not know it."""
    told = job({"supply_loaded": "10.1 V", "off_habit": "cut"}, Expected(main=("weak_battery",)), place="phone")
    walk, untold = tell(shipped(), told)
    assert untold == ["supply_loaded"]
    assert [given.subject for given in walk.now.givens if given.check is not None] == ["off_habit"]


def test_reading_without_its_plate_counts_as_not_told() -> None:
    """Without 12 or 24 V a battery reading says nothing; with the voltage told off the plate it does."""
    rest = {"battery_rest": "11.6 V"}
    bare = job(rest, Expected(main=("weak_battery",)), family=None)
    assert place_job(shipped(), bare).untold == ("battery_rest",)
    walk, untold = tell(shipped(), replace(bare, answers={**rest, "family.voltage": "12"}))
    assert untold == []
    (given,) = [given for given in walk.now.givens if given.subject == "battery_rest"]
    assert given.answer == shipped().checks["battery_rest"].bands[0].id


def test_answers_are_told_whatever_the_tree_would_ask() -> None:
    """A check of quite another tree is known as well."""
    walk, untold = tell(shipped(), job({"altitude_use": "2150 m", "fuel_label": "above_b7"}, Expected(main=("x",))))
    assert untold == []
    assert {"altitude_use", "fuel_label"} <= {given.subject for given in walk.now.givens}


def test_danger_at_the_gate_stops_before_anything_is_told() -> None:
    """An alarm that sounds now stops the job; nothing else of it is told."""
    told = job({"alarm_now": "yes", "screen_look": "blocked"}, Expected(stopped="carbon_monoxide"))
    placed = place_job(shipped(), told)
    assert (placed.must_stop, placed.stopped, placed.untold) == ("carbon_monoxide", "carbon_monoxide", ("screen_look",))
    assert Tally.of([placed]).stopped == 1


def test_jobs_without_a_main_cause_or_stop_are_left_out() -> None:
    """They have nothing to be placed."""
    assert place_all(shipped(), [job({}, Expected(end="released"))]) == ()


def test_tally_counts_places_and_stops_apart() -> None:
    """Two jobs with a main cause, one of them fourth; three further causes, one no suspect; one stop missed."""
    base = Placed("a", 1, 1, (), (8, 9, None), None, None, (), "")
    rows = (base, replace(base, main=4, contributing=()), replace(base, main=None, must_stop="fuel_fire"))
    assert Tally.of(rows) == Tally(
        jobs=2, first=1, among_three=1, contributing=3, among_eight=1, must_stop=1, stopped=0
    )
