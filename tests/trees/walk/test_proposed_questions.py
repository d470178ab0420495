"""A question that has no sense in a job is not proposed beside its tree; the tree still asks what it asks."""

from __future__ import annotations

from safe_gate import behind_gate
from shipped_book import shipped
from small_walk import TODAY

from trees.walk import Walk
from trees.walk.reasons import advice_of, turns_of


def job(tree: str, *told: tuple[str, str]) -> Walk:
    """Return a job of the shipped book past its safety questions, with these checks answered beside the tree."""
    walk = behind_gate(Walk.begin(shipped(), words="x", tree=tree, family="air_2kw_12v").taken_up(*TODAY))
    for check, answer in told:
        walk = walk.leave_for(check).answer(answer)
    return walk


def weighed(walk: Walk) -> set[str]:
    """Return the checks that are proposed or would be elsewhere."""
    advice = advice_of(walk)
    assert advice is not None
    return {worth.check for worth in (*advice.checks, *advice.elsewhere)}


def test_bound_to_trees() -> None:
    """When the flame goes out is asked of a unit that stops, not of one that smokes or is only loud."""
    assert "lost_when" not in weighed(job("noisy_blower"))
    assert "lost_when" not in weighed(job("smoke_on_start"))
    stops = job("starts_then_stops")
    assert stops.question.check is not None
    assert stops.question.check.id == "lost_when"
    assert "lost_when" in weighed(stops)


def test_bound_to_a_sign() -> None:
    """What failed before it locked is asked once a lock was read from the display."""
    assert "lock_before" not in weighed(job("low_heat"))
    assert "lock_before" in weighed(job("low_heat", ("shown_state", "locked")))


def test_never_after_a_sign() -> None:
    """Nobody asks for the colour once warm of a unit on which nothing happens when it is switched on."""
    assert "exhaust_colour" in weighed(job("will_not_start"))
    assert "exhaust_colour" not in weighed(job("will_not_start", ("what_happens", "nothing")))


def test_complaint_is_not_asked_twice() -> None:
    """The owner's complaint was taken at the start; only a unit that came alone or for service is asked for it."""
    for tree in (tree.id for tree in shipped().complaints()):
        asked = {"complaint_start", "complaint_run"} & weighed(job(tree))
        assert not asked or tree in {"intake_alone", "yearly_service"}


def test_what_has_no_sense_is_no_turn_of_mind_either() -> None:
    """What would move a cause leaves it out too."""
    walk = job("noisy_blower")
    named = {turn.check for cause in list(shipped().causes)[:12] for turn in turns_of(walk, cause)}
    assert named
    assert not named & {"lost_when", "lock_before", "complaint_run"}


def test_a_proposal_never_locks_a_check_away() -> None:
    """Asked for by name, any check is made."""
    walk = job("noisy_blower").leave_for("lost_when")
    assert walk.question.check is not None
    assert walk.question.check.id == "lost_when"
