"""What every check is worth at one turn of a weighed job: the same rules as the advice, on listed sets of causes."""

from __future__ import annotations

import math
from collections.abc import Collection, Sequence
from dataclasses import dataclass
from itertools import product
from operator import mul

from trees.book.model import Book, Check
from trees.book.words import Place
from trees.suspects.fix_order import LEAST_MINUTES
from trees.suspects.next_check import MOST_IN_BUNDLE, MOST_OUTCOMES
from trees.walk.weighing.repairs import FixMinutes, Repairs, picker
from trees.walk.weighing.worlds import Chances, Known

_FORGET = 3e-3
"""Sets of causes less likely than this don't count in a decision; in the minutes they do."""
_TELLS_NOTHING = 1e-9


@dataclass(frozen=True, slots=True)
class Gain:
    """What a check is worth at one turn."""

    check: Check
    minutes: float
    """That it takes, with the readings that it still wants; without opening the unit."""
    saves: float
    bits: float
    """How much less is open after it, on average; worked out only where asked for and the check pays."""


@dataclass(frozen=True, slots=True)
class Bundle:
    """Checks inside that share the minutes of opening."""

    first: Check
    minutes: float
    saves: float


class Choice:
    """The checks to choose from, and what each takes."""

    def __init__(self, book: Book, checks: Sequence[Check], place: Place) -> None:
        self.checks = tuple(check for check in checks if place in check.place)
        self._book, self._place = book, place
        self._limit = book.start_limit.get(place)
        self._wants = {check.id: self._readings(check) for check in book.checks.values() if check.form == "figure"}
        self.opening_minutes = book.opening_minutes

    def with_readings(self, check: Check, done: Collection[str]) -> list[Check]:
        """Return a check after the ones whose readings it still wants."""
        return [*(each for each in self._wants.get(check.id, ()) if each.id not in done), check]

    def minutes(self, check: Check, done: Collection[str]) -> float:
        """Return what a check takes with the readings it still wants, without opening the unit."""
        return sum(own_minutes(each) for each in self.with_readings(check, done))

    def allowed(self, check: Check, done: Collection[str], starts: int) -> bool:
        """Tell whether a check can be made here and now."""
        needed = self.with_readings(check, done)
        used = sum(each.uses_start for each in needed)
        in_place = all(self._place in each.place for each in needed)
        return in_place and (not used or self._limit is None or starts + used <= self._limit)

    def _readings(self, check: Check) -> tuple[Check, ...]:
        """Return the checks whose readings a figure takes, through other figures."""
        wanted: dict[str, Check] = {}
        for reference in check.inputs.values():
            source = self._book.checks.get(reference.partition(".")[0])
            if source is not None:
                inner = self._readings(source) if source.form == "figure" else (source,)
                wanted.update({each.id: each for each in inner})
        return tuple(wanted.values())


def own_minutes(check: Check) -> float:
    """Return the minutes of a check by itself; a figure takes none, its readings do."""
    return 0.0 if check.form == "figure" else check.minutes


class Turn:
    """Weighs the checks that are left; works on the sets that still count."""

    def __init__(
        self, repairs: Repairs, choice: Choice, sets: Sequence[float], known: Known, *, with_bits: bool
    ) -> None:
        self._worlds, self._choice, self._known, self._with_bits = repairs.worlds, choice, known, with_bits
        kept = [h for h, x in enumerate(sets) if x > _FORGET] or [max(range(len(sets)), key=sets.__getitem__)]
        self._keep = picker(kept)
        self._now = self._keep(tuple(sets))
        self._fixing = FixMinutes(repairs, kept)
        self._minutes_now = self._fixing.of(self._now)
        known_minutes = sum(map(mul, self._now, (repairs.least[h] for h in kept)))
        self._most = self._minutes_now - known_minutes
        """What knowing the causes for sure would save: no check saves more."""

    def gains(self, done: Collection[str], starts: int) -> list[Gain]:
        """Return what each check is worth that could pay for itself, alone or in a bundle."""
        found = []
        for check in self._choice.checks:
            if check.id in done:
                continue
            minutes = max(LEAST_MINUTES, self._choice.minutes(check, done))
            if minutes < self._most and self._choice.allowed(check, done, starts):
                saves, ways = self._best_look(check)
                if saves > 0:
                    bits = self._bits(ways) if self._with_bits and saves > minutes else 0.0
                    found.append(Gain(check, minutes, saves, bits))
        return found

    def bundle(self, inside: Sequence[Gain]) -> Bundle | None:
        """Return the best few of the checks inside that share the minutes of opening."""
        ranked = sorted(inside, key=lambda gain: -gain.saves / gain.minutes)[:MOST_IN_BUNDLE]
        best: Bundle | None = None
        for count in range(1, len(ranked) + 1):
            chosen = ranked[:count]
            looks = [self._worlds.looks(gain.check)[0] for gain in chosen]
            minutes = self._choice.opening_minutes + sum(gain.minutes for gain in chosen)
            if math.prod(len(look.ways) for look in looks) > MOST_OUTCOMES or minutes >= self._most:
                break
            rows = [self._worlds.chances(look, self._known) for look in looks]
            together = [tuple(map(math.prod, zip(*ways, strict=True))) for ways in product(*rows)]
            saves = chosen[0].saves if count == 1 else self._saves(together)
            if best is None or saves / minutes > best.saves / best.minutes:
                best = Bundle(chosen[0].check, minutes, saves)
        return best

    def _best_look(self, check: Check) -> tuple[float, Sequence[Chances]]:
        """Return the minutes saved by the best look of a check, and its ways out; a list counts as its best item."""
        best: tuple[float, Sequence[Chances]] = (0.0, ())
        for look in self._worlds.looks(check):
            if look.silent or not look.signs <= self._known.keys():
                ways = self._worlds.chances(look, self._known)
                saves = self._saves(ways)
                if saves > best[0]:
                    best = (saves, ways)
        return best

    def _saves(self, ways: Sequence[Chances]) -> float:
        """Return the minutes saved on average."""
        rows = [self._keep(row) for row in ways]
        if all(max(row) - min(row) < _TELLS_NOTHING for row in rows):
            return 0.0
        minutes = self._minutes_now
        for row in rows:
            minutes -= self._fixing.of(tuple(map(mul, self._now, row)))
        return max(0.0, minutes)

    def _bits(self, ways: Sequence[Chances]) -> float:
        """Return the bits gained on average."""
        after = (tuple(map(mul, self._now, self._keep(row))) for row in ways)
        return max(0.0, bits_of(self._now) - sum(bits_of(weights) for weights in after))


def bits_of(weights: Sequence[float]) -> float:
    """Return the bits that are open about weights that need not add up to 1, times their sum."""
    together = sum(weights)
    if not together > 0:
        return 0.0
    return together * math.log2(together) - sum([x * math.log2(x) for x in weights if x > 0])
