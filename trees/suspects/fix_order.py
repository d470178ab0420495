"""Which fix first if nothing more is checked, and how many minutes it takes until the unit works."""

from __future__ import annotations

import math
from collections.abc import Collection, Sequence
from dataclasses import dataclass

from trees.book.model import Book
from trees.suspects.network import Network

NO_FIX_MINUTES = 60.0
"""Charged for a cause without a fix in the book: common practice, no source."""
LEAST_MINUTES = 0.5
"""Nothing is free: common practice, no source."""
_ONE_CAUSE = 1e-6


@dataclass(frozen=True, slots=True)
class Action:
    """A fix and the causes that are put to it; no cause is in two of them."""

    fix: str
    """Fix id; empty where the book has no fix for the cause."""
    minutes: float
    causes: tuple[int, ...]
    """Indexes of the network's causes."""


@dataclass(frozen=True, slots=True)
class FixAdvice:
    """One fix in its turn."""

    fix: str
    minutes: float
    chance: float
    """P(one of its causes is there)."""


@dataclass(frozen=True, slots=True)
class FixPlan:
    """Fixes in the best order, the unit being tried after each."""

    minutes: float
    """Expected minutes until the unit works."""
    order: tuple[FixAdvice, ...]


def actions_of(book: Book, network: Network, banned: Collection[str] = ()) -> tuple[Action, ...]:
    """
    Put every cause to the quickest fix that cures it, so that fixes shared by causes count once.

    All fixes of the book count, whoever may do them: someone has to. `banned` are fixes already tried.
    """
    able: dict[str, set[str]] = {cause.id: set(cause.fixes) for cause in book.causes.values()}
    place = {fix.id: (fix.minutes, n) for n, fix in enumerate(book.fixes.values()) if fix.id not in banned}
    for fix in book.fixes.values():
        for cause in fix.cures:
            able.setdefault(cause, set()).add(fix.id)
    put: dict[str, list[int]] = {}
    without: list[Action] = []
    for i, cause in enumerate(network.causes):
        curing = able.get(cause, set()) & place.keys()
        if curing:
            put.setdefault(min(curing, key=place.__getitem__), []).append(i)
        else:
            without.append(Action("", NO_FIX_MINUTES, (i,)))
    done = (Action(fix, max(LEAST_MINUTES, book.fixes[fix].minutes), tuple(causes)) for fix, causes in put.items())
    return (*done, *without)


def any_cause_of(marginals: Sequence[float]) -> float:
    """
    Return Z of the independent causes that, given at least one, have these marginals; 0 for exactly one cause.

    Newton from the right on the convex Z - 1 + prod(1 - m Z). The marginals of the posterior hang together mostly by
    "at least one is there"; with priors m Z this is kept, where taking the marginals as independent would count it
    twice.
    """
    if math.fsum(marginals) <= 1.0 + _ONE_CAUSE:
        return 0.0
    if max(marginals) >= 1.0 - 1e-12:
        return 1.0
    z = 1.0
    for _ in range(80):
        none = math.prod([1.0 - m * z for m in marginals])
        slope = 1.0 - none * sum([m / (1.0 - m * z) for m in marginals])
        step = (z - 1.0 + none) / slope
        z -= step
        if step <= 1e-13 * z:
            break
    return z


def fix_plan(actions: Sequence[Action], marginals: Sequence[float]) -> FixPlan:
    """
    Sort fixes by odds per minute and expect the minutes; exact for independent causes given at least one.

    One cause for sure: by chance per minute, V = sum of R_k P(not cured before k). Several: by p / (1 - p) per minute,
    V = sum of R_k (1 - prod_{j >= k} (1 - p_j)) / (1 - prod_all (1 - p_j)).
    Source: reasoning/REASONING.md section 4.1, worked examples E01 and E03.
    """
    any_cause = any_cause_of(marginals)
    rows = _rows(actions, marginals, any_cause)
    order = tuple(
        FixAdvice(
            fix=actions[at].fix,
            minutes=actions[at].minutes,
            chance=min(1.0, chance / (any_cause or 1.0)),
        )
        for _key, at, chance in rows
    )
    return FixPlan(_expected(actions, rows, one_cause=not any_cause), order)


def order_of(actions: Sequence[Action], marginals: Sequence[float]) -> tuple[int, ...]:
    """Return the places of the actions in the best order."""
    return tuple(at for _, at, _ in _rows(actions, marginals, any_cause_of(marginals)))


def minutes_lost(
    actions: Sequence[Action], marginals: Sequence[float], any_cause: float, order: Sequence[int]
) -> float:
    """Return how many minutes another order of the fixes costs more than the best; never less than 0."""
    rows = _rows(actions, marginals, any_cause)
    chances = {at: chance for _, at, chance in rows}
    in_order = [(0.0, at, chances[at]) for at in order]
    one_cause = not any_cause
    lost = _expected(actions, in_order, one_cause=one_cause) - _expected(actions, rows, one_cause=one_cause)
    return max(0.0, lost)


_Row = tuple[float, int, float]
"""Minus the odds (one cause: the chance) per minute, place of the action, chance that it is needed."""


def _rows(actions: Sequence[Action], marginals: Sequence[float], any_cause: float) -> list[_Row]:
    rows = []
    for at, action in enumerate(actions):
        if any_cause:
            none = 1.0
            for i in action.causes:
                none *= 1.0 - marginals[i] * any_cause
            chance = 1.0 - none
            worth = chance / none if none > 0 else math.inf
        else:
            chance = worth = sum([marginals[i] for i in action.causes])
        rows.append((-worth / action.minutes, at, chance))
    rows.sort()
    return rows


def _expected(actions: Sequence[Action], rows: Sequence[_Row], *, one_cause: bool) -> float:
    """Sum the minutes of each fix times the chance that a cause is left for it or for one after it."""
    left = total = 0.0
    for _, at, chance in reversed(rows):
        left += chance if one_cause else (1.0 - left) * chance
        total += actions[at].minutes * left
    return total / left if left else 0.0


def entropy_bits(marginals: Sequence[float], any_cause: float) -> float:
    """Return how many bits are open about the set of causes, taken as independent given at least one of them."""
    if not any_cause:
        return -sum(m * math.log2(m) for m in marginals if m > 0)
    return (sum([_binary(m * any_cause) for m in marginals]) - _binary(any_cause)) / any_cause


def _binary(p: float) -> float:
    return -p * math.log2(p) - (1.0 - p) * math.log2(1.0 - p) if 0.0 < p < 1.0 else 0.0
