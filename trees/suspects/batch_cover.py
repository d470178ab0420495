"""The cover dynamic program for many rows of factors at once, with numpy; the same sums as `cover.run`.

What a cause does to the states is the same for every row but for its weight. So a step over few states is one matrix,
and all rows go through it together. States run along the first axis, rows along the second. Needs numpy.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from trees.suspects.case import Case
from trees.suspects.plan import Close, Plan, Step

Array = NDArray[np.float64]

_DENSE = 32
"""States up to which a step is one full matrix (measured: beyond it the zeros cost more than the calls saved)."""
_AT_ONCE = 1 << 18
"""States times rows worked on together: bounds the memory (2 MB for each step)."""


@dataclass(frozen=True, slots=True)
class Joints:
    """Weights together with all the evidence, one row per row of factors."""

    present: Array
    """Rows by causes."""
    absent: Array | None
    """The same without each cause; None if it was not wanted."""
    total: Array
    """One per row."""


def run_rows(case: Case, plan: Plan, factors: Array, *, absent: bool = False) -> Joints:
    """Weigh all causes for each row of factors (rows by causes) that stand for the case's own; see `cover.run`."""
    weights = np.ascontiguousarray((np.asarray(case.odds) * factors).T)
    here, total = np.zeros_like(weights), np.zeros(weights.shape[1])
    away = np.zeros_like(weights) if absent else None
    moves = _moves_of(case, plan)
    for part in _parts(weights.shape[1], max(1, _AT_ONCE >> plan.width)):
        part_away = None if away is None else away[:, part]
        total[part] = _weigh(case, plan, moves, weights[:, part], here=here[:, part], away=part_away)
    start = plan.unexplained * case.base
    return Joints(here.T * start, None if away is None else away.T * start, total * start)


def _parts(rows: int, most: int) -> Iterator[slice]:
    """Cut the rows into equal parts of at most so many."""
    count = -(-rows // most)
    yield from (slice(rows * k // count, rows * (k + 1) // count) for k in range(count))


def _weigh(case: Case, plan: Plan, moves: Sequence[_Move], weights: Array, *, here: Array, away: Array | None) -> Array:
    """Fill in what each cause weighs, there and not there; return the total of each row."""
    free = [i for i in plan.apart if i not in case.cleared]
    lone = weights[free]
    some = _some_of(lone)
    none_counts = 0.0 if case.needs_cause else 1.0
    found, total = _forward(moves, weights, some, none_counts)
    worth = _backward(moves, weights, found, none_counts, here=here, away=away)
    of_some = worth.some[0]
    # with the cause there, any of the others may be there or not
    here[free] = lone / (1.0 + lone) * ((1.0 + some) * of_some)
    if away is not None and worth.none is not None:
        away[free] = worth.none[0] + _some_of_others(lone) * of_some
    repaired = [i for i in plan.apart if i in case.cleared]
    if repaired:
        either = 1.0 + weights[repaired]
        everything = either.prod(axis=0)
        total = total * everything
        here *= everything
        here[repaired] = total * weights[repaired] / either
        if away is not None:
            away *= everything
            away[repaired] = total / either
    return total


def _some_of(weights: Array) -> Array:
    """Return prod(1 + w) - 1 down the columns; only additions."""
    some: Array = weights if len(weights) else np.zeros((1, weights.shape[1]))
    while len(some) > 1:
        half = len(some) // 2
        left, right = some[:half], some[half : 2 * half]
        some = np.concatenate((left + right + left * right, some[2 * half :]))
    return np.asarray(some[0])


def _some_of_others(weights: Array) -> Array:
    """Return prod(1 + w) - 1 over all weights but one, for each; only additions."""
    others, after = np.zeros_like(weights), np.zeros(weights.shape[1])
    for k, weight in enumerate(weights[:-1]):
        others[k + 1] = others[k] + (1.0 + others[k]) * weight
    for k in range(len(weights) - 1, -1, -1):
        others[k] += after + others[k] * after
        after = after + (1.0 + after) * weights[k]
    return others


@dataclass(frozen=True, slots=True)
class _Shut:
    """A close with its places as arrays."""

    size: int
    parts: tuple[tuple[float, NDArray[np.intp]], ...]

    @classmethod
    def of(cls, close: Close) -> _Shut:
        return cls(close.size, tuple((weight, np.asarray(sources, dtype=np.intp)) for weight, sources in close.parts))

    def ahead(self, states: Array) -> Array:
        (weight, sources), *more = self.parts
        shut: Array = weight * states[sources]
        for weight, sources in more:
            shut += weight * states[sources]
        return shut

    def back(self, worth: Array) -> Array:
        opened = np.zeros((self.size, worth.shape[1]))
        for weight, sources in self.parts:
            opened[sources] = weight * worth
        return opened


_Pair = tuple[Array, Array]
"""States in which no cause acts yet, and those in which some do."""


class _Worth(NamedTuple):
    """What the states at one place are worth for all that comes after it."""

    none: Array | None
    """Of the states without a cause; None where nothing asks for them."""
    some: Array


@dataclass(frozen=True, slots=True)
class _Wide:
    """A step over many states, one bit after the other."""

    step: Step
    cleared: bool
    """A trial removed its cause: it may act, but it does not stand for the failure."""
    closes: tuple[_Shut, ...]

    def ahead(self, states: _Pair, weight: Array) -> tuple[_Pair, _Pair]:
        """Return the states after the step, and what `back` needs of those before."""
        none, some = states
        for chance in self.step.opens:
            none = np.concatenate((none * (1.0 - chance), none * chance))
            some = np.concatenate((some * (1.0 - chance), some * chance))
        kept = none, some
        if self.cleared:
            none = none + weight * _fire(none, self.step)
            some = some + weight * _fire(some, self.step)
        else:
            some = some + weight * _fire(none + some, self.step)
        for close in self.closes:
            none, some = close.ahead(none), close.ahead(some)
        return (none, some), kept

    def back(self, kept: _Pair, worth: _Worth, weight: Array) -> tuple[_Worth, Array, Array | None]:
        """Return what the states before are worth, and the sums with the cause, before its weight, and without it."""
        none, some = worth
        for close in reversed(self.closes):
            none, some = None if none is None else close.back(none), close.back(some)
        joined = none_joined = _fire_back(some, self.step)
        without = None
        if none is not None:
            without = _dot(kept[0], none) + _dot(kept[1], some)
            if self.cleared:
                none_joined = _fire_back(none, self.step)
            none = none + weight * none_joined
        here = _dot(kept[0], none_joined) + _dot(kept[1], joined)
        some = some + weight * joined
        for chance in reversed(self.step.opens):
            half = len(some) // 2
            none = None if none is None else (1.0 - chance) * none[:half] + chance * none[half:]
            some = (1.0 - chance) * some[:half] + chance * some[half:]
        return _Worth(none, some), here, without


@dataclass(frozen=True, slots=True)
class _Dense:
    """A step over few states as one matrix: states left without the cause above those with it, by states before."""

    step: Step
    cleared: bool
    matrix: Array

    def ahead(self, states: _Pair, weight: Array) -> tuple[_Pair, _Pair]:
        """Return what `_Wide.ahead` does."""
        size = len(self.matrix) // 2
        of_none, of_some = self.matrix @ states[0], self.matrix @ states[1]
        none = of_none[:size]
        if self.cleared:
            none = none + weight * of_none[size:]
        else:
            of_some[size:] += of_none[size:]
        some = weight * of_some[size:]
        some += of_some[:size]
        return (none, some), (of_none, of_some)

    def back(self, kept: _Pair, worth: _Worth, weight: Array) -> tuple[_Worth, Array, Array | None]:
        """Return what `_Wide.back` does."""
        size, (of_none, of_some), (none, some) = len(self.matrix) // 2, kept, worth
        here = _dot(of_some[size:], some)
        without = None
        if none is not None:
            without = _dot(of_none[:size], none) + _dot(of_some[:size], some)
            if self.cleared:
                here = here + _dot(of_none[size:], none)
            none = self.matrix.T @ np.concatenate((none, weight * (none if self.cleared else some)))
        some = self.matrix.T @ np.concatenate((some, weight * some))
        return _Worth(none, some), here, without


_Move = _Wide | _Dense


def _moves_of(case: Case, plan: Plan) -> list[_Move]:
    moves: list[_Move] = []
    before = 1
    for step in plan.steps:
        opened = before << len(step.opens)
        closes = tuple(_Shut.of(close) for close in step.closes)
        cleared = step.cause in case.cleared
        if opened <= _DENSE:
            moves.append(_Dense(step, cleared, _matrix_of(step, closes, before)))
        else:
            moves.append(_Wide(step, cleared, closes))
        before = len(closes[-1].parts[0][1]) if closes else opened
    return moves


def _matrix_of(step: Step, closes: Sequence[_Shut], before: int) -> Array:
    states = np.eye(before)
    for chance in step.opens:
        states = np.concatenate((states * (1.0 - chance), states * chance))
    joined = _fire(states, step)
    for close in closes:
        states, joined = close.ahead(states), close.ahead(joined)
    return np.concatenate((states, joined))


def _forward(
    moves: Sequence[_Move], weights: Array, some_apart: Array, none_counts: float
) -> tuple[list[_Pair], Array]:
    """Return what each step keeps for the way back, and the total at the end."""
    # while no cause acts nothing depends on the factors, so one column serves all rows
    states = np.ones((1, 1)), some_apart[np.newaxis, :]
    found = []
    for move in moves:
        states, kept = move.ahead(states, weights[move.step.cause])
        found.append(kept)
    return found, np.asarray(none_counts * states[0][0] + states[1][0])


def _backward(
    moves: Sequence[_Move],
    weights: Array,
    found: Sequence[_Pair],
    none_counts: float,
    *,
    here: Array,
    away: Array | None,
) -> _Worth:
    """Fill in what each cause of the plan weighs; return the worth of a start."""
    rows = weights.shape[1]
    none_matters = away is not None or any(move.cleared for move in moves)
    worth = _Worth(np.full((1, rows), none_counts) if none_matters else None, np.ones((1, rows)))
    for move, kept in zip(reversed(moves), reversed(found), strict=True):
        cause = move.step.cause
        worth, here[cause], without = move.back(kept, worth, weights[cause])
        if away is not None:
            away[cause] = without
    taken = [move.step.cause for move in moves]
    here[taken] *= weights[taken]
    return worth


def _dot(left: Array, right: Array) -> Array:
    if left.shape[1] == 1:
        return np.asarray(left[:, 0] @ right)
    return np.asarray(np.einsum("sr,sr->r", left, right))


def _fire(states: Array, step: Step) -> Array:
    """Let a cause set its bits: from each state a part moves to the state with the bit set."""
    fired = states.copy()
    for stride, chance in step.sets:
        pairs = fired.reshape(-1, 2, stride, fired.shape[1])
        pairs[:, 1] += chance * pairs[:, 0]
        pairs[:, 0] *= 1.0 - chance
    return fired


def _fire_back(worth: Array, step: Step) -> Array:
    """Transpose of `_fire`: what a state is worth if the cause joins there."""
    joined = worth.copy()
    for stride, chance in step.sets:
        pairs = joined.reshape(-1, 2, stride, joined.shape[1])
        pairs[:, 0] *= 1.0 - chance
        pairs[:, 0] += chance * pairs[:, 1]
    return joined
