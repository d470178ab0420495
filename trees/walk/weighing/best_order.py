"""The best order found with the same checks: at every turn the check that pays best, at the end the fixes."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from itertools import islice
from operator import mul
from typing import Literal

from trees.book.model import Answer, Book, Check
from trees.book.words import Place
from trees.walk.weighing.branches import Draw
from trees.walk.weighing.outline import Likely, Turning
from trees.walk.weighing.repairs import Repairs
from trees.walk.weighing.turn import Choice, Gain, Turn
from trees.walk.weighing.worlds import Look

FIRST_FIXES = 3
"""Fixes that a written order names where no check pays."""

Rule = Literal["minutes", "bits", "rollout"]
"""Minutes saved per minute; bits per minute among the checks that pay; a look ahead by following the first rule."""

_LOOK_AHEAD = 5
"""Checks that a rollout tries of each rule."""
_COARSE = 0.2
"""What is likelier than this is followed in a rollout; the rest is drawn."""


@dataclass(frozen=True, slots=True)
class _Stand:
    """What is known at one turn; two branches that stand alike decide alike."""

    rule: Rule
    known: tuple[tuple[str, str], ...]
    told: tuple[tuple[str, str], ...]
    done: frozenset[str]
    opened: bool
    starts: int


@dataclass(slots=True)
class _Branch:
    weight: float
    sets: list[float]
    known: dict[str, str]
    told: dict[str, str] = field(default_factory=dict)
    """Looks whose answers say more than the signs known, with these answers."""
    done: frozenset[str] = frozenset()
    opened: bool = False
    starts: int = 0
    minutes: float = 0.0
    said: tuple[Answer, ...] = ()
    """What the last check was answered."""

    def stand(self, rule: Rule) -> _Stand:
        known, told = tuple(sorted(self.known.items())), tuple(sorted(self.told.items()))
        return _Stand(rule, known, told, self.done, self.opened, self.starts)

    def fork(self, weight: float, sets: list[float]) -> _Branch:
        known, told = dict(self.known), dict(self.told)
        return _Branch(weight, sets, known, told, self.done, self.opened, self.starts, self.minutes, self.said)


class BestOrder:
    """Follows one rule with a given choice of checks; decisions are kept, since many branches share them."""

    def __init__(
        self,
        book: Book,
        repairs: Repairs,
        checks: Sequence[Check],
        place: Place,
        turned: Callable[[float], None] = lambda _weight: None,
    ) -> None:
        """Take the checks to choose from; `turned` is told the weight of every branch that came to its end."""
        self._repairs, self._worlds = repairs, repairs.worlds
        self._choice = Choice(book, checks, place)
        self._decided: dict[_Stand, Check | None] = {}
        self._turned = turned

    def first_check(self, rule: Rule) -> Check | None:
        """Return the check that the rule asks first; None where none pays."""
        return self._decide(rule, self._begin())

    def minutes(self, rule: Rule, draw: Draw) -> tuple[float, float]:
        """Return the minutes of checks, and of fixes above those with the causes known from the start."""
        return self._follow(rule, [self._begin()], draw, self._turned)

    def written_out(self, rule: Rule, least: float) -> Iterator[Turning]:
        """Yield the order turn by turn, what follows an answer right behind it; ways of fewer than `least` jobs end."""
        waiting = [(0, self._begin())]
        while waiting:
            depth, branch = waiting.pop()
            check = self._decide(rule, branch)
            turning = Turning(depth, branch.weight, branch.said, check, 0.0)
            if check is None:
                yield replace(turning, fixes=self._first_fixes(branch.sets))
                continue
            before = branch.minutes
            after = self._make(branch, check, Likely(least))
            yield replace(turning, minutes=branch.minutes - before)
            waiting += [(depth + 1, each) for each in sorted(after, key=lambda each: each.weight)]

    def _first_fixes(self, sets: Sequence[float]) -> tuple[str, ...]:
        fixes = (self._repairs.actions[k].fix for k in self._repairs.order(sets).ready_after)
        return tuple(islice((fix for fix in fixes if fix), FIRST_FIXES))

    def _begin(self) -> _Branch:
        return _Branch(1.0, list(self._worlds.start), dict(self._worlds.complaint))

    def _follow(
        self, rule: Rule, waiting: list[_Branch], draw: Draw, turned: Callable[[float], None]
    ) -> tuple[float, float]:
        checks = fixes = 0.0
        while waiting:
            branch = waiting.pop()
            check = self._decide(rule, branch)
            if check is None:
                checks += branch.weight * branch.minutes
                fixes += branch.weight * self._fixes_more(branch.sets)
                turned(branch.weight)
            else:
                waiting += self._make(branch, check, draw)
        return checks, fixes

    def _fixes_more(self, sets: Sequence[float]) -> float:
        return self._repairs.minutes_more(sets, self._repairs.order(sets))

    # ── making a check ──────────────────────────────────────────────────────

    def _make(self, branch: _Branch, check: Check, draw: Draw) -> list[_Branch]:
        """Make a check; return the branches after each of its answers."""
        made = self._choice.with_readings(check, branch.done)
        branch.minutes += self._choice.minutes(check, branch.done)
        if not branch.opened and any(each.inside for each in made):
            branch.minutes += self._choice.opening_minutes
            branch.opened = True
        branch.starts += sum(each.uses_start for each in made)
        branch.done |= {each.id for each in made}
        branch.said = ()
        branches = [branch]
        for each in made:  # what was read for a figure is also an answer in its own right
            for look in self._worlds.looks(each):
                branches = [after for before in branches for after in self._split(before, look, draw)]
        return branches

    def _split(self, branch: _Branch, look: Look, draw: Draw) -> list[_Branch]:
        weighed = [list(map(mul, branch.sets, row)) for row in self._worlds.chances(look, branch.known)]
        chances = [sum(sets) for sets in weighed]
        found = []
        for k, weight in draw.split(branch.weight, chances):
            after = branch.fork(weight, [x / chances[k] for x in weighed[k]])
            way = look.ways[k]
            after.said += (way.answer,) if way.answer is not None else ()
            if look.is_item or look.silent or any(sign in branch.known for sign in way.says):
                after.told[look.key] = way.answer.id if way.answer is not None else ""
            after.known.update({sign: level for sign, level in way.says.items() if sign not in after.known})
            found.append(after)
        return found

    # ── the choice ──────────────────────────────────────────────────────────

    def _decide(self, rule: Rule, branch: _Branch) -> Check | None:
        stand = branch.stand(rule)
        if stand not in self._decided:
            self._decided[stand] = self._ahead(branch) if rule == "rollout" else self._best(rule, branch)
        return self._decided[stand]

    def _turn(self, branch: _Branch, *, with_bits: bool) -> Turn:
        return Turn(self._repairs, self._choice, branch.sets, branch.known, with_bits=with_bits)

    def _best(self, rule: Rule, branch: _Branch) -> Check | None:
        turn = self._turn(branch, with_bits=rule == "bits")
        gains = turn.gains(branch.done, branch.starts)
        closed = [gain for gain in gains if gain.check.inside and not branch.opened]
        paying = [gain for gain in gains if gain.saves > gain.minutes and (branch.opened or not gain.check.inside)]
        worth: Callable[[Gain], float] = _per_minute if rule == "minutes" else _bits_per_minute
        best = max(paying, key=worth, default=None)
        bundle = turn.bundle(closed)
        if bundle is None or bundle.saves <= bundle.minutes:
            return best.check if best is not None else None
        wins = best is None or bundle.saves / bundle.minutes > _per_minute(best)
        return bundle.first if wins or best is None else best.check

    def _ahead(self, branch: _Branch) -> Check | None:
        """Follow the first rule after each of the checks that look best, and after none; keep the cheapest."""
        gains = self._turn(branch, with_bits=True).gains(branch.done, branch.starts)
        likely = sorted(gains, key=_per_minute, reverse=True)[:_LOOK_AHEAD]
        likely += sorted(gains, key=_bits_per_minute, reverse=True)[:_LOOK_AHEAD]
        best, best_minutes = None, self._fixes_more(branch.sets)
        for check in {gain.check.id: gain.check for gain in likely}.values():
            start = branch.fork(1.0, branch.sets)
            start.minutes = 0.0
            draw = Draw(_COARSE, seed=1)
            minutes = sum(self._follow("minutes", self._make(start, check, draw), draw, lambda _weight: None))
            if minutes < best_minutes - 1e-9:
                best, best_minutes = check, minutes
        return best


def _per_minute(gain: Gain) -> float:
    return gain.saves / gain.minutes


def _bits_per_minute(gain: Gain) -> float:
    return gain.bits / gain.minutes
