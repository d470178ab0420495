"""The causes of the shipped book: kept apart, led to by roots, found by the right look, and asked about safely."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

import pytest
from shipped_book import shipped

from trees.book.model import Cause, Check
from trees.book.words import Place
from trees.walk import Walk
from trees.walk.play import play

NEW_CAUSES = (
    "undersized_unit",
    "tank_vent_blocked",
    "maker_fault",
    "burner_aged",
    "mount_noise",
    "impeller_damaged",
    "starting_spray_used",
    "dust_drawn_in",
    "water_ingress",
    "room_sensor_misplaced",
    "injector_leaks",
)
OF_THE_STOP = ("starts_then_stops", "overheat", "coolant", "pump_no_fuel", "fuel_smell")


def finders(cause: str) -> set[str]:
    """Return the checks of which an answer or item finds a cause."""
    return {c.id for c in shipped().checks.values() for a in (*c.routes(), *c.items) if cause in a.finds}


def asked_in(tree: str) -> Iterator[Check]:
    """Yield the checks that the steps of one tree ask, at any place."""
    for step in shipped().trees[tree].steps.values():
        if step.kind == "check":
            yield shipped().checks[step.refers]
        yield from (shipped().checks[instead.check] for instead in step.instead.values())


def walked(tree: str, answers: Mapping[str, Any], place: Place = "bench", family: str = "air_4kw_12v") -> Walk:
    """Return the walk through one tree with these answers, the rest as `play` fills it in."""
    return play(shipped(), words="x", tree=tree, place=place, family=family, answers=answers)


def found(walk: Walk) -> set[str]:
    """Return the causes that a walk proved."""
    return {cause for cause, finding in walk.findings.items() if finding.state == "found"}


@pytest.mark.parametrize("cause", NEW_CAUSES)
def test_causes_that_look_alike_are_kept_apart(cause: str) -> None:
    """Each has its own entry, a fix, a way to keep it away, and a look or reading that finds it."""
    entry = shipped().causes[cause]
    assert entry.fixes
    assert entry.prevent
    assert finders(cause)


def test_shares_count_about_thirteen_causes_in_ten_jobs() -> None:
    """Several causes often act together: the author's shares add up to about 130 in 100 jobs."""
    assert 125 <= sum(cause.share for cause in shipped().causes.values()) <= 135


def test_no_sign_shows_often_without_a_cause() -> None:
    """A sign with nothing behind it is the exception: one in ten jobs at most."""
    assert {s.id: s.unprompted for s in shipped().signs.values() if max(s.unprompted, default=0.0) > 0.10} == {}


def test_every_consequence_has_a_root_to_look_for() -> None:
    """What is only a consequence is led to by at least one cause that can be a root, over however many steps."""

    def roots(cause: Cause) -> set[str]:
        above = [other for other in shipped().causes.values() if cause.id in other.leads_to]
        own = {other.id for other in above if other.kind != "consequence"}
        return own.union(*(roots(other) for other in above if other.kind == "consequence"))

    assert [c.id for c in shipped().causes.values() if c.kind == "consequence" and not roots(c)] == []


def test_every_root_says_what_keeps_it_away() -> None:
    """A root without advice comes back."""
    assert [c.id for c in shipped().causes.values() if c.kind != "consequence" and not c.prevent] == []


def test_a_caller_hears_every_question_and_the_operator_knows_how_it_is_misheard() -> None:
    """What may be asked by telephone has words to read aloud and what a caller may misunderstand, except figures."""
    spoken = [c for c in shipped().checks.values() if "phone" in c.place and c.form != "figure"]
    assert [c.id for c in spoken if not (c.phone and c.may_mistake)] == []


def test_melted_blades_are_seen_only_with_a_mirror() -> None:
    """From the front they look whole: whatever finds them needs the mirror."""
    assert finders("impeller_damaged")
    assert all("mirror" in shipped().checks[check].needs for check in finders("impeller_damaged"))


def test_the_maker_is_the_last_suspect() -> None:
    """A maker's fault is looked for only in steps that come after the question for an untouched young unit."""
    assert finders("maker_fault") == {"maker_flaw"}
    for tree in shipped().trees.values():
        for step in tree.steps.values():
            after = [s for s in tree.steps.values() if step.id in {*s.go.values(), s.unknown}]
            if step.kind == "check" and step.refers == "maker_flaw":
                assert {s.refers for s in after} == {"unit_new"}, tree.id


def test_nothing_runs_while_it_smells_of_fuel() -> None:
    """The tree for a fuel smell asks for no start and nothing while it runs."""
    assert [c.id for c in asked_in("fuel_smell") if c.uses_start or c.while_running] == []


def test_coolant_is_looked_at_with_the_caution_of_its_cap() -> None:
    """Whatever is looked at or opened in the coolant circuit warns of hot coolant first."""
    hands_on = [c for c in shipped().checks.values() if c.id.startswith("coolant_") and c.form in {"look", "measure"}]
    assert hands_on
    assert [c.id for c in hands_on if "hot_coolant" not in c.cautions] == []


@pytest.mark.parametrize("tree", OF_THE_STOP)
def test_a_caller_who_knows_nothing_is_sent_to_the_workshop(tree: str) -> None:
    """With cannot-tell for everything a telephone walk ends in the workshop, without a single start."""
    walk = walked(tree, {}, place="phone")
    assert (walk.question.kind, walk.question.end) == ("end", "to_workshop")
    assert not [given for given in walk.now.givens if given.check and given.check.uses_start and given.chosen]


def test_spray_told_at_the_gate_forbids_starts_and_stays_a_suspect() -> None:
    """Somebody sprayed: no reading that needs a start is taken, and the cause is hinted at in the whole job."""
    walk = walked("pump_no_fuel", {"spray_used": "yes", "pump_heard": "silent", "pump_pulses": "present"})
    assert walk.findings["starting_spray_used"].state == "hinted"
    assert not [given for given in walk.now.givens if given.subject == "pump_pulses" and given.answer == "present"]


@pytest.mark.parametrize(
    ("tree", "answers", "place", "family", "causes"),
    [
        ("coked_insert_why", {"impeller_far_side": "melted", "spray_traces": "traces"}, "bench", "air_4kw_12v",
         {"impeller_damaged", "starting_spray_used"}),
        ("coked_insert_why", {"insert_look": "broken", "even_wear": "yes"}, "bench", "air_2kw_24v",
         {"insert_worn", "burner_aged"}),
        ("coked_insert_why", {"reasons_proved": "none", "unit_new": "new", "maker_flaw": "flaw"}, "bench",
         "air_2kw_12v", {"maker_fault"}),
        ("starts_then_stops", {"lost_when": "late", "raw_fuel_look": "dry", "tank_vent": "sucks"}, "site",
         "air_2kw_12v", {"tank_vent_blocked"}),
        ("starts_then_stops", {"lost_when": "late", "shown_state": "overheat", "vents_free": "blocked"}, "bench",
         "air_2kw_12v", {"hot_air_blocked"}),
        ("overheat", {"grille_dust": "felted", "impeller_far_side": "whole"}, "bench", "air_4kw_24v",
         {"dust_drawn_in"}),
        ("overheat", {"hoses_compared": "split", "coolant_way": "reversed"}, "site", "coolant_9kw_24v",
         {"coolant_circuit_fault"}),
        ("coolant", {"hoses_compared": "split", "coolant_pump_runs": "stands"}, "bench", "coolant_5kw_12v",
         {"coolant_pump_fault"}),
        ("coolant", {"sweet_exhaust": "yes", "coolant_sample": "soot", "exchanger_pressure": "40 mbar"}, "bench",
         "coolant_5kw_24v", {"exchanger_holed"}),
        ("pump_no_fuel", {"pump_heard": "silent", "pump_coil": "9 ohm", "pump_pulses": "present",
                          "pump_moves": "still"}, "bench", "air_4kw_12v", {"pump_dead"}),
        ("fuel_smell", {"smell_where": "own", "fuel_leak_look": "wet", "leak_why": ["repair"]}, "site",
         "air_2kw_12v", {"fuel_leak", "assembly_error"}),
        ("fuel_smell", {"raw_fuel_look": "wet", "dry_chamber": "still", "injector_drip": "drips"}, "bench",
         "air_2kw_12v", {"flooded_chamber", "injector_leaks"}),
        ("will_not_start", {"what_happens": "lamp", "shown_state": "nothing", "water_marks": "standing"}, "bench",
         "air_2kw_12v", {"water_ingress"}),
    ],
)  # fmt: skip
def test_an_old_hand_finds_it(
    tree: str, answers: Mapping[str, Any], place: Place, family: str, causes: set[str]
) -> None:
    """Who sees the sign at the step where it is looked for has found the cause, common practice, no source."""
    assert causes <= found(walked(tree, answers, place, family))
