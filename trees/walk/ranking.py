"""The suspects of a job: what was really found stands above any ranking, then the causes by probability."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING

from trees.book.model import Book, Kind
from trees.errors import SuspectsError
from trees.walk.findings import State
from trees.walk.walk import Walk

if TYPE_CHECKING:
    from trees.suspects import Network

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


@dataclass(frozen=True)
class _Model:
    """A book and the limits of a unit, compared by the book's fingerprint."""

    book: Book
    applies: tuple[tuple[str, str], ...]

    def __hash__(self) -> int:
        return hash((self.book.fingerprint, self.applies))

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _Model) and self.book is other.book and self.applies == other.applies


@lru_cache(maxsize=8)
def _network(model: _Model) -> Network:
    from trees.suspects import Network

    return Network.of(model.book, dict(model.applies))


def probabilities(walk: Walk) -> Mapping[str, float]:
    """Return P(cause | all answers so far) for the job's unit; SuspectsError with a sentence where it can't be."""
    from trees.suspects import Evidence, Observed, Tried, posterior

    network = _network(_Model(walk.book, tuple(sorted(walk.now.unit.applies().items()))))
    told: list[tuple[int, Observed | Tried]] = [
        (
            o.given.no if o.given is not None else 0,
            Observed(sign, o.level, by=o.given.visit if o.given else "complaint"),
        )
        for sign, o in walk.observations.items()
        if sign in network.signs
    ]
    # Only a fix that did not help is a trial: one that helped may have cured a consequence and left its root.
    told += [
        (g.no, Tried(tuple(c for c in walk.book.fixes[g.subject].cures if c in network.index), "still", by=g.visit))
        for g in walk.now.givens
        if g.check is None and g.subject in walk.book.fixes and g.answer == "still"
    ]
    told.sort(key=lambda row: row[0])
    return posterior(network, Evidence().adding(item for _, item in told)).marginals


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
