"""What it takes to repair each set of causes: with the cause known, and by fixes in an order, trying after each."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import accumulate
from operator import itemgetter, mul

from trees.book.model import Fix
from trees.suspects.fix_order import LEAST_MINUTES, NO_FIX_MINUTES, Action, actions_of, any_cause_of
from trees.walk.weighing.worlds import Worlds


@dataclass(frozen=True, slots=True)
class Order:
    """Fixes in the order in which they are made, the unit being tried after each."""

    ready_after: Mapping[int, float]
    """Action → minutes spent when it is done."""


class Repairs:
    """The fixes of a book, put to the sets of causes."""

    def __init__(self, worlds: Worlds) -> None:
        self.worlds = worlds
        self.actions: tuple[Action, ...] = actions_of(worlds.book, worlds.network)
        self._action_of = {cause: k for k, action in enumerate(self.actions) for cause in action.causes}
        self.needs = tuple(tuple(dict.fromkeys(self._action_of[i] for i in causes)) for causes in worlds.sets)
        """Per set: the actions that cure it."""
        self._able = [self._fixes_of(i) for i in range(len(worlds.network.causes))]
        self.least = tuple(self._least_minutes(causes) for causes in worlds.sets)
        """Per set: minutes of fixes with its causes known from the start."""

    def limit(self) -> float:
        """Return the minutes of a job on average with the causes known from the start."""
        return math.fsum(x * minutes for x, minutes in zip(self.worlds.start, self.least, strict=True))

    def cured_by(self, fix: Fix) -> frozenset[int]:
        """Return the causes that a fix cures."""
        return frozenset(i for i, fixes in enumerate(self._able) if fix in fixes)

    def order(self, weights: Sequence[float], first: Iterable[str] = (), cured: frozenset[int] = frozenset()) -> Order:
        """
        Return all fixes, best odds per minute first; those of the causes `first` (found, by name) before the others.

        A fix of which all causes were cured already is left out.
        """
        marginals = self._marginals(weights)
        any_cause = any_cause_of(marginals) if self.worlds.most_causes > 1 else 0.0
        index = self.worlds.network.index
        found = {index[name] for name in first if name in index}
        rows = []
        for k, action in enumerate(self.actions):
            left = [i for i in action.causes if i not in cured]
            if left:
                worth = _worth([marginals[i] for i in left], any_cause) / action.minutes
                rows.append((found.isdisjoint(left), -worth, k))
        rows.sort()
        spent, ready = 0.0, {}
        for _, _, k in rows:
            spent += self.actions[k].minutes
            ready[k] = spent
        return Order(ready)

    def minutes_more(
        self, weights: Sequence[float], order: Order, cured: frozenset[int] = frozenset(), spent: float = 0.0
    ) -> float:
        """Return the minutes of an order, `spent` included, above those with the causes known; never below 0."""
        return sum(x * (spent + self._minutes_of(h, order, cured) - self.least[h]) for h, x in enumerate(weights) if x)

    def _minutes_of(self, at: int, order: Order, cured: frozenset[int]) -> float:
        if not cured:
            return max(order.ready_after[k] for k in self.needs[at])
        left = (i for i in self.worlds.sets[at] if i not in cured)
        return max((order.ready_after[self._action_of[i]] for i in left), default=0.0)

    def _marginals(self, weights: Sequence[float]) -> list[float]:
        found = [0.0] * len(self.worlds.network.causes)
        for causes, weight in zip(self.worlds.sets, weights, strict=True):
            for cause in causes:
                found[cause] += weight
        total = sum(weights)
        return [min(1.0, weight / total) for weight in found]

    def _fixes_of(self, cause: int) -> tuple[Fix, ...]:
        book, name = self.worlds.book, self.worlds.network.causes[cause]
        named = book.causes[name].fixes if name in book.causes else ()
        return tuple(fix for fix in book.fixes.values() if name in fix.cures or fix.id in named)

    def _least_minutes(self, causes: Sequence[int]) -> float:
        """Return the fewest minutes of fixes that together cure a set; one fix may serve several causes."""
        best: list[tuple[float, frozenset[str]]] = [(0.0, frozenset())]
        without = 0.0
        for cause in causes:
            if not self._able[cause]:
                without += NO_FIX_MINUTES
                continue
            best = [
                (minutes + (0.0 if fix.id in done else fix_minutes(fix)), done | {fix.id})
                for minutes, done in best
                for fix in self._able[cause]
            ]
        return without + min(minutes for minutes, _ in best)


class FixMinutes:
    """Minutes of fixes in their best order, for many weights of the same few sets of causes."""

    def __init__(self, repairs: Repairs, kept: Sequence[int]) -> None:
        needs = [repairs.needs[h] for h in kept]
        places = {k: place for place, k in enumerate(dict.fromkeys(k for each in needs for k in each))}
        self._needs = [tuple(places[k] for k in each) for each in needs]
        self._minutes = [repairs.actions[k].minutes for k in places]
        self._per_minute = [1.0 / minutes for minutes in self._minutes]
        self._single = repairs.worlds.most_causes == 1
        # one cause a set: most actions serve one set, so their chances are picked and only the others are added
        firsts = {k: at for at, each in reversed(list(enumerate(self._needs))) for k in each}
        self._pick = picker([firsts[k] for k in range(len(places))])
        self._add = [(k, at) for at, each in enumerate(self._needs) for k in each if firsts[k] != at]

    def of(self, weights: Sequence[float]) -> float:
        """Return the minutes times the weight of all sets."""
        chances = list(self._pick(weights))
        for k, at in self._add:
            chances[k] += weights[at]
        if not self._single:
            return self._several(weights, chances)
        rows = sorted(zip(map(mul, chances, self._per_minute), chances, self._minutes, strict=True))
        _, rising, minutes = zip(*rows, strict=True)
        whole: float = sum(map(mul, minutes, accumulate(rising)))
        return whole

    def _several(self, weights: Sequence[float], chances: Sequence[float]) -> float:
        together = sum(weights)
        if not together > 0:
            return 0.0
        marginals = [min(1.0, p / together) for p in chances]
        any_cause = any_cause_of(marginals)
        keys = sorted((-_worth([m], any_cause) * self._per_minute[k], k) for k, m in enumerate(marginals))
        spent, ready = 0.0, [0.0] * len(keys)
        for _, k in keys:
            spent += self._minutes[k]
            ready[k] = spent
        return sum(w * max([ready[k] for k in needs]) for w, needs in zip(weights, self._needs, strict=True) if w)


def picker(places: Sequence[int]) -> Callable[[Sequence[float]], tuple[float, ...]]:
    """Return a function that picks some places of a row."""
    if len(places) == 1:
        return lambda row: (row[places[0]],)
    return itemgetter(*places)


def fix_minutes(fix: Fix) -> float:
    """Return the minutes charged for a fix; nothing is free."""
    return max(LEAST_MINUTES, fix.minutes)


def _worth(marginals: Sequence[float], any_cause: float) -> float:
    """Return the odds that one of some causes is there; its chance where there is just one cause."""
    if not any_cause:
        return sum(marginals)
    none = math.prod([1.0 - m * any_cause for m in marginals])
    return (1.0 - none) / none if none > 0 else math.inf
