"""The suspects of a job: what was really found stands above any ranking, then the causes by probability."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from trees.book.words import Kind
from trees.errors import SuspectsError
from trees.walk.findings import State, leads_to
from trees.walk.walk import Walk

ORDER: Mapping[State | None, int] = {"found": 0, "hinted": 1, None: 2, "ruled_out": 3}


@dataclass(frozen=True, slots=True)
class Suspect:
    """One cause as the job knows it."""

    cause: str
    name: str
    kind: Kind
    probability: float | None
    """Given all answers so far; None where the answers can't be weighed, or the cause is outside the model."""
    state: State | None


def probabilities(walk: Walk) -> Mapping[str, float]:
    """Return P(cause | all answers so far) for the job's unit; SuspectsError with a sentence where it can't be."""
    # the reasoning is loaded with the first job, not with the screen
    from trees.suspects import posterior
    from trees.walk.reasons import evidence_of

    return posterior(*evidence_of(walk)).marginals


def rank(walk: Walk) -> tuple[tuple[Suspect, ...], str]:
    """Return the suspects, and why they can't be weighed (empty if they can)."""
    trouble = ""
    chances: Mapping[str, float] = {}
    try:
        chances = probabilities(walk)
    except SuspectsError as error:
        trouble = str(error)
    states = {cause: finding.state for cause, finding in walk.findings.items()}
    rows = [
        Suspect(c.id, c.name, c.kind, chances.get(c.id), states.get(c.id))
        for c in walk.book.causes.values()
        if walk.now.unit.fits(c.applies)
    ]
    rows.sort(key=lambda s: (ORDER[s.state], -(s.probability or 0.0)))
    return tuple(rows), trouble


def apart(walk: Walk, suspects: Sequence[Suspect]) -> tuple[tuple[Suspect, ...], tuple[Suspect, ...]]:
    """
    Return roots and consequences, each in the order given.

    A cause that can be both stands with the roots unless a found root leads to it.
    """
    led_to = frozenset[str]().union(*(leads_to(walk.book, root) for root in walk.conclusion.roots))
    below = {s.cause for s in suspects if s.kind == "consequence" or (s.kind == "both" and s.cause in led_to)}
    return tuple(s for s in suspects if s.cause not in below), tuple(s for s in suspects if s.cause in below)
