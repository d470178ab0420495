"""The cover dynamic program: exact weights of all causes by adding non-negative numbers only.

A state says which striking answers are explained by now. Each cause in turn either stays out or joins and sets the bits
of what it explains; states in which no cause acts yet are kept apart. A second pass from the end, with the transposed
operators, gives all causes at once. Source: reasoning/REASONING.md section 3.2.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from operator import mul

from trees.suspects.case import Case
from trees.suspects.plan import Close, Plan, Step

States = list[float]


@dataclass(frozen=True, slots=True)
class Joint:
    """Weights together with all the evidence; `present[i] + absent[i]` is `total` for every cause."""

    present: tuple[float, ...]
    absent: tuple[float, ...]
    total: float


def run(case: Case, plan: Plan, factors: Sequence[float], *, absent: bool = True) -> Joint:
    """
    Weigh all causes together with the evidence.

    `factors` stand for the case's own, so that one plan serves every answer that could come next. Where the case needs
    a cause, sets without one are kept apart from the start; nothing is subtracted at the end. The weights without each
    cause take extra time and can be left out.
    """
    weights = [odd * factor for odd, factor in zip(case.odds, factors, strict=True)]
    start = plan.unexplained * case.base
    free = [i for i in plan.apart if i not in case.cleared]
    for i in plan.apart:
        if i in case.cleared:
            start *= 1.0 + weights[i]
    others, some = _some_without_each([weights[i] for i in free])
    here, away = [0.0] * len(weights), [0.0] * len(weights)
    before = _forward(case, plan, weights, ([start], [start * some]))
    none_counts = 0.0 if case.needs_cause else 1.0
    of_none, of_some = _backward(
        case, plan, weights, before, none_counts=none_counts, here=here, away=away if absent else None
    )
    total = start * of_none + start * some * of_some
    for i, other in zip(free, others, strict=True):
        here[i] = weights[i] * (1.0 + other) * start * of_some
        away[i] = start * (of_none + other * of_some)
    for i in plan.apart:
        if i in case.cleared:
            here[i] = total * weights[i] / (1.0 + weights[i])
            away[i] = total / (1.0 + weights[i])
    return Joint(tuple(here), tuple(away) if absent else (), total)


def _some_without_each(weights: Sequence[float]) -> tuple[list[float], float]:
    """Return prod(1 + w) - 1 over all weights but one, for each, and over all; only additions."""
    before = [0.0]
    for weight in weights:
        before.append(before[-1] + (1.0 + before[-1]) * weight)
    after = 0.0
    others = [0.0] * len(weights)
    for k in range(len(weights) - 1, -1, -1):
        others[k] = before[k] + after + before[k] * after
        after += (1.0 + after) * weights[k]
    return others, before[-1]


def _forward(
    case: Case, plan: Plan, weights: Sequence[float], start: tuple[States, States]
) -> list[tuple[States, States]]:
    """Return the states (no cause acts yet, some do) in which each step finds them, bits opened."""
    none, some = start
    found = []
    for step in plan.steps:
        for chance in step.opens:
            none = [x * (1.0 - chance) for x in none] + [x * chance for x in none]
            some = [x * (1.0 - chance) for x in some] + [x * chance for x in some]
        found.append((none, some))
        weight = weights[step.cause]
        if weight:
            if step.cause in case.cleared:
                none = [x + weight * y for x, y in zip(none, _fire(none, step), strict=True)]
                some = [x + weight * y for x, y in zip(some, _fire(some, step), strict=True)]
            else:
                fired = _fire([x + y for x, y in zip(none, some, strict=True)], step)
                some = [x + weight * y for x, y in zip(some, fired, strict=True)]
        for close in step.closes:
            none, some = _shut(none, close), _shut(some, close)
    return found


def _backward(
    case: Case,
    plan: Plan,
    weights: Sequence[float],
    found: Sequence[tuple[States, States]],
    *,
    none_counts: float,
    here: States,
    away: States | None,
) -> tuple[float, float]:
    """Fill in what each cause of the plan weighs; return the worth of a start without and with a cause acting."""
    of_none, of_some = [none_counts], [1.0]
    for step, (none, some) in zip(reversed(plan.steps), reversed(found), strict=True):
        for close in reversed(step.closes):
            of_none, of_some = _reopen(of_none, close), _reopen(of_some, close)
        weight = weights[step.cause]
        if away is not None:
            away[step.cause] = _dot(none, of_none) + _dot(some, of_some)
        if weight:
            joined = _fire_back(of_some, step)
            none_joined = _fire_back(of_none, step) if step.cause in case.cleared else joined
            here[step.cause] = weight * (_dot(none, none_joined) + _dot(some, joined))
            of_none = [x + weight * y for x, y in zip(of_none, none_joined, strict=True)]
            of_some = [x + weight * y for x, y in zip(of_some, joined, strict=True)]
        for chance in reversed(step.opens):
            half = len(of_none) // 2
            of_none = [(1.0 - chance) * x + chance * y for x, y in zip(of_none[:half], of_none[half:], strict=True)]
            of_some = [(1.0 - chance) * x + chance * y for x, y in zip(of_some[:half], of_some[half:], strict=True)]
    return of_none[0], of_some[0]


def _dot(left: States, right: States) -> float:
    return sum(map(mul, left, right), 0.0)


def _fire(states: States, step: Step) -> States:
    """Let a cause set its bits: from each state a part moves to the state with the bit set."""
    fired = states[:]
    size = len(fired)
    for stride, chance in step.sets:
        stay = 1.0 - chance
        for clear, marked in _bit_slices(stride, size):
            low = fired[clear]
            fired[marked] = [y + chance * x for x, y in zip(low, fired[marked], strict=True)]
            fired[clear] = [stay * x for x in low]
    return fired


def _fire_back(worth: States, step: Step) -> States:
    """Transpose of `_fire`: what a state is worth if the cause joins there."""
    joined = worth[:]
    size = len(joined)
    for stride, chance in step.sets:
        stay = 1.0 - chance
        for clear, marked in _bit_slices(stride, size):
            joined[clear] = [stay * x + chance * y for x, y in zip(joined[clear], joined[marked], strict=True)]
    return joined


@cache
def _bit_slices(stride: int, size: int) -> tuple[tuple[slice, slice], ...]:
    """Slices of the states without and with a bit: few long ones, as blocks or interleaved."""
    step = stride * 2
    if size // step <= stride:
        return tuple((slice(at, at + stride), slice(at + stride, at + step)) for at in range(0, size, step))
    return tuple((slice(at, size, step), slice(at + stride, size, step)) for at in range(stride))


def _shut(states: States, close: Close) -> States:
    (weight, sources), *more = close.parts
    shut = [weight * states[s] for s in sources]
    for weight, sources in more:
        shut = [x + weight * states[s] for x, s in zip(shut, sources, strict=True)]
    return shut


def _reopen(worth: States, close: Close) -> States:
    opened = [0.0] * close.size
    for weight, sources in close.parts:
        for x, s in zip(worth, sources, strict=True):
            opened[s] = weight * x
    return opened
