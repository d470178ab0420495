"""How many minutes are left to the next repair, the next tree or an end, for this unit at this place.

From the shortest way to the one that nine ways in ten do not pass, where each answer is as likely as another.
A way answers each step; cannot-tell is taken only where nothing else is open. A way that stops the job for safety
counts for neither. Checks as the book gives them, a check once known for nothing, opening the unit charged once;
what stands in two steps of one way counts twice. Nothing is walked twice: worked out from the ends backwards.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass

from trees.book.model import Book, Check, Fix
from trees.book.tree import Step, Tree
from trees.book.words import UNKNOWN, Place
from trees.walk.unit import UnitFacts
from trees.walk.walk import Walk

Range = tuple[float, float]
"""Minutes of the shortest way, and those that nine ways in ten do not pass."""
Key = tuple[str, str, bool]
"""Tree, step, whether the unit is open already."""
MOST_WAYS = 0.9
_RARE = 1e-6
"""A length of way rarer than this is left out of the count, which keeps the answer key quick."""


@dataclass(frozen=True, slots=True)
class _Spread:
    """How long the ways of one kind are: the shortest, and minutes → how likely."""

    fewest: float
    likely: Mapping[float, float]


_HERE = _Spread(0.0, {0.0: 1.0})


@dataclass(frozen=True, slots=True)
class _Ways:
    """Ways from a step: to a repair or an end, and back out of a shared tree, the unit shut or open by then."""

    ended: _Spread | None = None
    shut: _Spread | None = None
    opened: _Spread | None = None

    @property
    def lead_on(self) -> bool:
        """Tell whether any way leads on."""
        return not (self.ended is None and self.shut is None and self.opened is None)


@dataclass(frozen=True, slots=True)
class _Edge:
    """One way on: the step it leads to, its minutes, whether the unit is open behind it, how many answers take it."""

    to: str
    minutes: float
    opened: bool
    answers: int = 1


def minutes_left(walk: Walk) -> Range | None:
    """Return the minutes of the shortest way and of the longest but the rarest tenth; None where no way is known."""
    now = walk.now
    if now.closed is not None or now.stopped is not None or now.travel.visit is None:
        return None
    if now.travel.here == "end":
        return 0.0, 0.0
    done = [g for g in now.givens if g.check is not None and g.answer != UNKNOWN]
    known = frozenset(g.check.id for g in done if g.check is not None)
    opened = any(g.check is not None and g.check.inside for g in done)
    counter = _Counter(walk.book, now.place, now.unit, known)
    visit = now.travel.visit
    work = counter.work(visit.step)
    if work is not None:  # the next repair is the present one
        return work.minutes, work.minutes
    spread = _through(counter, visit.tree.id, visit.step.id, _frames(visit.key), opened=opened)
    return None if spread is None else (spread.fewest, _not_passed(spread))


def _not_passed(spread: _Spread) -> float:
    """Return the minutes that nine ways in ten do not pass."""
    wanted, so_far = MOST_WAYS * sum(spread.likely.values()), 0.0
    for minutes in sorted(spread.likely):
        so_far += spread.likely[minutes]
        if so_far >= wanted - _RARE:
            return minutes
    return spread.fewest


def _frames(visit: str) -> list[tuple[str, str]]:
    """Return (tree, step) of each place that a shared tree was run from, the innermost last."""
    outer = visit.partition("<")[0].split("/")[:-1]
    return [(tree, step) for tree, _, step in (part.rpartition(".") for part in outer)]


def _through(counter: _Counter, tree: str, step: str, frames: list[tuple[str, str]], *, opened: bool) -> _Spread | None:
    """Go on behind the shared trees that wait to be come back to."""
    ways = counter.of((tree, step, opened))
    if not frames:
        return ways.ended
    outer_tree, outer_step = frames[-1]
    onward = counter.book.trees[outer_tree].steps[outer_step].then or ""
    found = [ways.ended]
    for back, is_open in ((ways.shut, False), (ways.opened, True)):
        after = _through(counter, outer_tree, onward, frames[:-1], opened=is_open) if back is not None else None
        found.append(_behind(back, after))
    return _mixed((1.0, 0.0, each) for each in found)


def _behind(one: _Spread | None, other: _Spread | None) -> _Spread | None:
    """Return the ways of the one with those of the other behind them."""
    if one is None or other is None:
        return None
    shifted = _shifted((share, minutes, other) for minutes, share in one.likely.items())
    return _Spread(one.fewest + other.fewest, shifted)


def _mixed(parts: Iterable[tuple[float, float, _Spread | None]]) -> _Spread | None:
    """Return ways beside each other as one, each given as (share, minutes before it, how long it is)."""
    there = [(share, minutes, spread) for share, minutes, spread in parts if spread is not None]
    if not there:
        return None
    return _Spread(min(minutes + spread.fewest for _share, minutes, spread in there), _shifted(there))


def _shifted(parts: Iterable[tuple[float, float, _Spread]]) -> Mapping[float, float]:
    likely: dict[float, float] = {}
    for share, before, spread in parts:
        for minutes, of_it in spread.likely.items():
            total = minutes + before
            likely[total] = likely.get(total, 0.0) + share * of_it
    return {minutes: share for minutes, share in likely.items() if share >= _RARE}


class _Counter:
    """Ways of all steps behind one, for one unit at one place."""

    def __init__(self, book: Book, place: Place, unit: UnitFacts, known: frozenset[str]) -> None:
        self.book, self.place, self.unit, self.known = book, place, unit, known
        self.ways: dict[Key, _Ways] = {}
        self.ways_on: dict[Key, tuple[_Edge, ...]] = {}
        """Out of one step."""

    def of(self, key: Key) -> _Ways:
        """Return the ways from a step; without recursion, since a tree can be a chain of many thousand steps."""
        waiting = [key]
        while waiting:
            here = waiting[-1]
            if here in self.ways:
                waiting.pop()
                continue
            missing = [after for after in self._after(here) if after not in self.ways]
            if missing:
                waiting += missing
                continue
            self.ways[here] = self._of(here)
            waiting.pop()
        return self.ways[key]

    def _begin(self, tree: str) -> str:
        return self.book.trees[tree].begin

    def _after(self, key: Key) -> Iterator[Key]:
        tree_id, step_id, opened = key
        tree = self.book.trees[tree_id]
        step = tree.steps.get(step_id)
        if step is None:
            return
        if step.kind == "run" and step.refers in self.book.trees:
            yield step.refers, self._begin(step.refers), opened
        if step.kind == "run" and step.then:
            yield tree_id, step.then, opened
            yield tree_id, step.then, True
        for edge in self._on(tree, step, opened=opened):
            yield tree_id, edge.to, edge.opened

    def _on(self, tree: Tree, step: Step, *, opened: bool) -> tuple[_Edge, ...]:
        """Return the ways out of a step, which are asked for three times."""
        key = tree.id, step.id, opened
        if key not in self.ways_on:
            self.ways_on[key] = tuple(self._edges(tree, step, opened=opened))
        return self.ways_on[key]

    def _of(self, key: Key) -> _Ways:
        tree_id, step_id, opened = key
        tree = self.book.trees[tree_id]
        step = tree.steps.get(step_id)
        if step is None or step.kind == "stop":
            return _Ways()
        if step.kind in {"end", "over_to"} or self.work(step) is not None:
            return _Ways(ended=_HERE)
        if step.kind == "return" or (tree.shared and step.kind == "check" and self._not_by_phone(step)):
            return _Ways(opened=_HERE) if opened else _Ways(shut=_HERE)
        if step.kind == "run":
            return self._passage(tree_id, step, opened=opened)
        there = [(e, self.ways[(tree_id, e.to, e.opened)]) for e in self._on(tree, step, opened=opened)]
        there = [(edge, after) for edge, after in there if after.lead_on]
        of_all = sum(edge.answers for edge, _after in there)
        return _Ways(
            _mixed((edge.answers / of_all, edge.minutes, after.ended) for edge, after in there),
            _mixed((edge.answers / of_all, edge.minutes, after.shut) for edge, after in there),
            _mixed((edge.answers / of_all, edge.minutes, after.opened) for edge, after in there),
        )

    def _passage(self, tree_id: str, step: Step, *, opened: bool) -> _Ways:
        if step.refers not in self.book.trees:
            return _Ways()
        inner = self.ways[(step.refers, self._begin(step.refers), opened)]
        found = [_Ways(ended=inner.ended)]
        for back, is_open in ((inner.shut, False), (inner.opened, True)):
            if back is None or step.then is None:
                continue
            after = self.ways[(tree_id, step.then, is_open)]
            found.append(_Ways(_behind(back, after.ended), _behind(back, after.shut), _behind(back, after.opened)))
        return _Ways(
            _mixed((1.0, 0.0, each.ended) for each in found),
            _mixed((1.0, 0.0, each.shut) for each in found),
            _mixed((1.0, 0.0, each.opened) for each in found),
        )

    # ── the ways out of one step ────────────────────────────────────────────

    def _asked(self, step: Step) -> Check | None:
        instead = step.instead.get(self.place)
        return self.book.checks.get(instead.check if instead else step.refers)

    def _not_by_phone(self, step: Step) -> bool:
        check = self._asked(step)
        return self.place == "phone" and check is not None and self.place not in check.place

    def _edges(self, tree: Tree, step: Step, *, opened: bool) -> Iterator[_Edge]:
        if step.kind == "do":
            not_done = step.then or step.go.get("not_tried")
            if not_done is not None:
                yield _Edge(not_done, 0.0, opened)
        elif step.kind == "check" and self._not_by_phone(step):
            if tree.phone_exit and not tree.shared:
                yield _Edge(tree.phone_exit, 0.0, opened)
        elif step.kind == "check":
            yield from self._answers(tree, step, opened=opened)

    def work(self, step: Step) -> Fix | None:
        """Return the repair that may be made at a step, at this place; None where none may."""
        fix = self.book.fixes.get(step.refers) if step.kind == "do" else None
        may = fix is not None and self.place in fix.place and (self.place != "phone" or fix.who == "caller")
        return fix if may else None

    def _answers(self, tree: Tree, step: Step, *, opened: bool) -> Iterator[_Edge]:
        instead = step.instead.get(self.place)
        go, then, unknown = (instead.go, None, instead.unknown) if instead else (step.go, step.then, step.unknown)
        check = self._asked(step)
        if check is None:
            return
        targets = [go.get(a.id, then) for a in check.routes() if not a.stop] or [then]
        applies = self.unit.fits(step.applies) and self.unit.fits(check.applies)
        if applies and self.place in check.place and any(targets):
            opens = check.inside and check.id not in self.known
            minutes = 0.0 if check.id in self.known else check.minutes + self._readings_first(tree, check)
            minutes += self.book.opening_minutes if opens and not opened else 0.0
            for target, answers in Counter(target for target in targets if target is not None).items():
                yield _Edge(target, minutes, opened or opens, answers)
            return
        cannot_tell = unknown or then
        if cannot_tell is not None:
            yield _Edge(cannot_tell, 0.0, opened)

    def _readings_first(self, tree: Tree, check: Check) -> float:
        """Return the minutes of the readings that a figure asks for at its own step, having none of its tree's."""
        if check.form != "figure":
            return 0.0
        in_tree = {step.refers for step in tree.steps.values() if step.kind == "check"}
        wanted = (
            {reference.partition(".")[0] for reference in check.inputs.values()} - {"family"} - in_tree - self.known
        )
        inputs = (self.book.checks[each] for each in wanted if each in self.book.checks)
        return sum(each.minutes for each in inputs if self.place in each.place and each.form != "figure")
