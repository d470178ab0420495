"""Why a cause stands where it stands: what each answer moved, in decibans that sum, and which rival had a hand in it.

A normal answer says of a cause itself exactly 10 log10 F(0), F(0) being the chance that the cause alone leaves the sign
normal. While a striking answer (or the broken unit itself) still looks for its cause, an answer also moves a cause by
what it does to the others; that part is told apart and, where one rival accounts for it, put to the rival's name.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from trees.errors import SuspectsError
from trees.language import _
from trees.suspects.evidence import Evidence, Observed, Tried
from trees.suspects.network import Network
from trees.suspects.posterior import Posterior, posterior

SCALE: tuple[tuple[float, str], ...] = ((1, "none"), (3, "slight"), (7, "moderate"), (13, "strong"))
"""Upper edges in dB and their words; above the last it is very strong. Own scale, common practice, no source."""
_WORTH_A_RIVAL_DB = 1.0
_RIVAL_LEAVES = 0.5


@dataclass(frozen=True, slots=True)
class Weight:
    """What one answer did to one cause, at its turn."""

    answer: str
    signs: tuple[str, ...]
    """The signs it spoke of; empty for a trial fix."""
    before: float
    """Chance of the cause before this answer."""
    after: float
    db: float
    """10 log10 of the odds after over the odds before."""
    own_db: float | None
    """The part that the answer says of this cause itself; None where it can't be told apart from the rivals' part: a
    striking or unsure answer that the cause shows, and a trial."""
    linked: bool
    """The cause shows one of the signs."""
    rival: str | None = None
    """The cause through which this answer moved this one."""
    rival_rose: bool = False
    """The rival became likelier by this answer, so that this cause is needed less."""
    without: float | None = None
    """What the chance would be now if this answer had not been given; None if it was not worked out."""

    @property
    def strength(self) -> str:
        """The size of the move as a word."""
        return next((word for edge, word in SCALE if abs(self.db) < edge), "very strong")


@dataclass(frozen=True, slots=True)
class Why:
    """All that moved one cause; the weights sum to the whole move."""

    cause: str
    start: float
    """Chance before any answer."""
    end: float
    start_db: float
    end_db: float
    weights: tuple[Weight, ...]

    @property
    def total_db(self) -> float:
        """The whole move, in dB."""
        return _difference(self.start_db, self.end_db)


@dataclass(frozen=True, slots=True)
class _Turn:
    """The evidence before and after one answer, and how the causes stood."""

    answer: str
    said: tuple[Observed | Tried, ...]
    evidence: tuple[Evidence, Evidence]
    standing: tuple[Posterior, Posterior]


def why(network: Network, evidence: Evidence, cause: str, *, without: bool = True) -> Why:
    """
    Account for every answer in the order given; several signs of one answer count together.

    With `without`, also work out where the cause would stand without each answer (one posterior each). Raises
    SuspectsError as `posterior` does, and for a cause that is not in the network.
    """
    if cause not in network.index:
        raise SuspectsError(
            _("The cause {cause} is not among the suspects of this unit. Choose one that is listed.").format(
                cause=cause
            )
        )
    first = posterior(network)
    turns = _turns(network, evidence, first)
    last = turns[-1].standing[1] if turns else first
    weights = [_weight(network, cause, turn) for turn in turns]
    if without:
        weights = [replace(w, without=_without(network, evidence, w.answer, cause)) for w in weights]
    return Why(
        cause=cause,
        start=first.marginals[cause],
        end=last.marginals[cause],
        start_db=first.decibans(cause),
        end_db=last.decibans(cause),
        weights=tuple(weights),
    )


def _turns(network: Network, evidence: Evidence, first: Posterior) -> list[_Turn]:
    """Gather the observations of each answer, never across a trial, and weigh the causes after each."""
    groups: list[tuple[str, list[Observed | Tried]]] = []
    since_trial: dict[str, list[Observed | Tried]] = {}
    for item in evidence.items:
        if isinstance(item, Tried):
            since_trial = {}
        elif item.answer in since_trial:
            since_trial[item.answer].append(item)
            continue
        groups.append((item.answer, [item]))
        if isinstance(item, Observed):
            since_trial[item.answer] = groups[-1][1]
    turns: list[_Turn] = []
    before, standing = Evidence(), first
    for answer, said in groups:
        after = before.adding(said)
        now = posterior(network, after)
        turns.append(_Turn(answer, tuple(said), (before, after), (standing, now)))
        before, standing = after, now
    return turns


def _weight(network: Network, cause: str, turn: _Turn) -> Weight:
    signs = tuple(item.sign for item in turn.said if isinstance(item, Observed) and item.sign in network.signs)
    linked = any(network.index[cause] in network.signs[sign].links for sign in signs)
    before, after = turn.standing
    weight = Weight(
        answer=turn.answer,
        signs=signs,
        before=before.marginals[cause],
        after=after.marginals[cause],
        db=_move(turn.standing, cause),
        own_db=_own_db(network, cause, turn.said, linked=linked),
        linked=linked,
    )
    by_rivals = min(weight.db, 0.0) if weight.own_db is None else weight.db - weight.own_db
    if not signs or not _WORTH_A_RIVAL_DB <= abs(by_rivals) < math.inf:
        return weight
    rival = _rival(network, cause, turn, signs, by_rivals)
    if rival is None:
        return weight
    return replace(weight, rival=rival, rival_rose=after.odds[rival] > before.odds[rival])


def _move(standing: tuple[Posterior, Posterior], cause: str) -> float:
    return _difference(*(each.decibans(cause) for each in standing))


def _difference(was: float, now: float) -> float:
    """Return now - was; nothing moves a cause that is certain both times."""
    return 0.0 if was == now else now - was


def _own_db(network: Network, cause: str, said: Sequence[Observed | Tried], *, linked: bool) -> float | None:
    """Return what normal answers say of a cause itself: 10 log10 F(0) each, 0 without a link; None if not normal."""
    if any(isinstance(item, Tried) for item in said):
        return None
    if not linked:
        return 0.0
    total = 0.0
    for item in said:
        node = network.signs.get(item.sign) if isinstance(item, Observed) else None
        row = node.links.get(network.index[cause]) if node else None
        if node is None or row is None or not isinstance(item, Observed):
            continue
        if item.level != node.levels[0]:
            return None
        total += 10 * math.log10(row.upto[0]) if row.upto[0] else -math.inf
    return total


def _rival(network: Network, cause: str, turn: _Turn, signs: Sequence[str], by_rivals: float) -> str | None:
    """Return the linked cause without which most of the move would vanish, if there is one."""
    own = _move(turn.standing, cause) - by_rivals
    best, best_left = None, abs(by_rivals) * _RIVAL_LEAVES
    for rival in sorted(set().union(*(network.linked(sign) for sign in signs)) - {cause}):
        clamped = network.without(rival)
        try:
            before, after = (posterior(clamped, evidence) for evidence in turn.evidence)
        except SuspectsError:
            continue
        left = abs(_move((before, after), cause) - own)
        if left < best_left:
            best, best_left = rival, left
    return best


def _without(network: Network, evidence: Evidence, answer: str, cause: str) -> float:
    return posterior(network, evidence.without(answer)).marginals[cause]
