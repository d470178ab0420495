"""The cover dynamic program for many rows of factors at once, with numpy; the same sums as `cover.run`.

States run along the first axis and rows along the second, so that every step works on long pieces of memory. Needs
numpy.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from trees.suspects.case import Case
from trees.suspects.plan import Close, Plan, Step

Array = NDArray[np.float64]


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
    rows = weights.shape[1]
    start = np.full(rows, plan.unexplained * case.base)
    free = [i for i in plan.apart if i not in case.cleared]
    for i in plan.apart:
        if i in case.cleared:
            start = start * (1.0 + weights[i])
    others, some = _some_without_each([weights[i] for i in free], rows)
    here = np.zeros_like(weights)
    away = np.zeros_like(weights) if absent else None
    compiled = [_Compiled.of(step) for step in plan.steps]
    found = _forward(case, compiled, weights, some)
    none_counts = 0.0 if case.needs_cause else 1.0
    of_none, of_some = _backward(case, compiled, weights, found, none_counts=none_counts, here=here, away=away)
    total = of_none + some * of_some
    for i, other in zip(free, others, strict=True):
        here[i] = weights[i] * (1.0 + other) * of_some
        if away is not None:
            away[i] = of_none + other * of_some
    for i in plan.apart:
        if i in case.cleared:
            here[i] = total * weights[i] / (1.0 + weights[i])
            if away is not None:
                away[i] = total / (1.0 + weights[i])
    return Joints((here * start).T, None if away is None else (away * start).T, total * start)


def _some_without_each(weights: Sequence[Array], rows: int) -> tuple[list[Array], Array]:
    """Return prod(1 + w) - 1 over all weights but one, for each, and over all; only additions."""
    before = [np.zeros(rows)]
    for weight in weights:
        before.append(before[-1] + (1.0 + before[-1]) * weight)
    after = np.zeros(rows)
    others = [after] * len(weights)
    for k in range(len(weights) - 1, -1, -1):
        others[k] = before[k] + after + before[k] * after
        after = after + (1.0 + after) * weights[k]
    return others, before[-1]


@dataclass(frozen=True, slots=True)
class _CompiledClose:
    size: int
    parts: tuple[tuple[float, NDArray[np.intp]], ...]

    def shut(self, states: Array) -> Array:
        (weight, sources), *more = self.parts
        shut = weight * states[sources]
        for weight, sources in more:
            shut += weight * states[sources]
        return shut

    def reopen(self, worth: Array) -> Array:
        opened = np.zeros((self.size, worth.shape[1]))
        for weight, sources in self.parts:
            opened[sources] = weight * worth
        return opened

    @classmethod
    def of(cls, close: Close) -> _CompiledClose:
        return cls(close.size, tuple((weight, np.asarray(sources, dtype=np.intp)) for weight, sources in close.parts))


@dataclass(frozen=True, slots=True)
class _Compiled:
    step: Step
    closes: tuple[_CompiledClose, ...]

    @classmethod
    def of(cls, step: Step) -> _Compiled:
        return cls(step, tuple(_CompiledClose.of(close) for close in step.closes))


def _forward(case: Case, steps: Sequence[_Compiled], weights: Array, some_apart: Array) -> list[tuple[Array, Array]]:
    """Return the states (no cause acts yet, some do) in which each step finds them, bits opened."""
    # while no cause acts nothing depends on the factors, so one column serves all rows
    none, some = np.ones((1, 1)), some_apart[np.newaxis, :]
    found = []
    for compiled in steps:
        step = compiled.step
        for chance in step.opens:
            none = np.concatenate((none * (1.0 - chance), none * chance))
            some = np.concatenate((some * (1.0 - chance), some * chance))
        found.append((none, some))
        weight = weights[step.cause]
        if weight.any():
            if step.cause in case.cleared:
                none = none + weight * _fire(none, step)
                some = some + weight * _fire(some, step)
            else:
                some = some + weight * _fire(none + some, step)
        for close in compiled.closes:
            none, some = close.shut(none), close.shut(some)
    return found


def _backward(
    case: Case,
    steps: Sequence[_Compiled],
    weights: Array,
    found: Sequence[tuple[Array, Array]],
    *,
    none_counts: float,
    here: Array,
    away: Array | None,
) -> tuple[Array, Array]:
    """Fill in what each cause of the plan weighs; return the worth of a start without and with a cause acting."""
    rows = weights.shape[1]
    of_none, of_some = np.full((1, rows), none_counts), np.ones((1, rows))
    for compiled, (none, some) in zip(reversed(steps), reversed(found), strict=True):
        step = compiled.step
        for close in reversed(compiled.closes):
            of_none, of_some = close.reopen(of_none), close.reopen(of_some)
        weight = weights[step.cause]
        if away is not None:
            away[step.cause] = _dot(none, of_none) + _dot(some, of_some)
        if weight.any():
            joined = _fire_back(of_some, step)
            none_joined = _fire_back(of_none, step) if step.cause in case.cleared else joined
            here[step.cause] = weight * (_dot(none, none_joined) + _dot(some, joined))
            of_none = of_none + weight * none_joined
            of_some = of_some + weight * joined
        for chance in reversed(step.opens):
            half = len(of_none) // 2
            of_none = (1.0 - chance) * of_none[:half] + chance * of_none[half:]
            of_some = (1.0 - chance) * of_some[:half] + chance * of_some[half:]
    return of_none[0], of_some[0]


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
