"""How many minutes are left: the shortest and the longest way from here to an end, for this unit at this place.

A way answers each step; cannot-tell is taken only where nothing else is open, and work that is done helps: a way through
one vain repair after another would be days long. A way that stops the job for safety is no finish and counts for neither. Checks and work as the book gives them, a check once known for nothing, opening the unit
charged once; what stands in two steps of one way counts twice. Nothing is walked twice: the ranges are worked out from the ends backwards.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from trees.book.model import Book, Check, Step, Tree
from trees.book.words import UNKNOWN, Place
from trees.walk.unit import UnitFacts
from trees.walk.walk import Walk

Range = tuple[float, float]
"""Fewest and most minutes."""
Key = tuple[str, str, bool]
"""Tree, step, whether the unit is open already."""


@dataclass(frozen=True, slots=True)
class _Ways:
    """Ranges from a step: to an end, and back out of a shared tree with the unit still shut or open by then."""

    ended: Range | None = None
    shut: Range | None = None
    opened: Range | None = None


@dataclass(frozen=True, slots=True)
class _Edge:
    """One way on: the step it leads to, its minutes, and whether the unit is open behind it."""

    to: str
    minutes: float
    opened: bool


def minutes_left(walk: Walk) -> Range | None:
    """Return the fewest and the most minutes to an end; None where no tree leads to one from here."""
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
    return _through(counter, visit.tree.id, visit.step.id, _frames(visit.key), opened=opened)


def _frames(visit: str) -> list[tuple[str, str]]:
    """Return (tree, step) of each place that a shared tree was run from, the innermost last."""
    outer = visit.partition("<")[0].split("/")[:-1]
    return [(tree, step) for tree, _, step in (part.rpartition(".") for part in outer)]


def _through(counter: _Counter, tree: str, step: str, frames: list[tuple[str, str]], *, opened: bool) -> Range | None:
    """Go on behind the shared trees that wait to be come back to."""
    ways = counter.of((tree, step, opened))
    if not frames:
        return ways.ended
    outer_tree, outer_step = frames[-1]
    onward = counter.book.trees[outer_tree].steps[outer_step].then or ""
    found = ways.ended
    for back, is_open in ((ways.shut, False), (ways.opened, True)):
        after = _through(counter, outer_tree, onward, frames[:-1], opened=is_open) if back is not None else None
        found = _beside(found, _plus(back, after))
    return found


def _plus(one: Range | None, other: Range | None) -> Range | None:
    return None if one is None or other is None else (one[0] + other[0], one[1] + other[1])


def _beside(one: Range | None, other: Range | None) -> Range | None:
    if one is None or other is None:
        return one or other
    return min(one[0], other[0]), max(one[1], other[1])


class _Counter:
    """Ranges of all steps behind one, for one unit at one place."""

    def __init__(self, book: Book, place: Place, unit: UnitFacts, known: frozenset[str]) -> None:
        self.book, self.place, self.unit, self.known = book, place, unit, known
        self.ways: dict[Key, _Ways] = {}

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
        if step.kind in {"run", "over_to"} and step.refers in self.book.trees:
            yield step.refers, self._begin(step.refers), opened
        if step.kind == "run" and step.then:
            yield tree_id, step.then, opened
            yield tree_id, step.then, True
        for edge in self._edges(tree, step, opened=opened):
            yield tree_id, edge.to, edge.opened

    def _of(self, key: Key) -> _Ways:
        tree_id, step_id, opened = key
        tree = self.book.trees[tree_id]
        step = tree.steps.get(step_id)
        if step is None or step.kind == "stop":
            return _Ways()
        if step.kind == "end":
            return _Ways(ended=(0.0, 0.0))
        if step.kind == "return" or (tree.shared and step.kind == "check" and self._not_by_phone(step)):
            return _Ways(opened=(0.0, 0.0)) if opened else _Ways(shut=(0.0, 0.0))
        if step.kind in {"run", "over_to"}:
            return self._passage(tree_id, step, opened=opened)
        found = _Ways()
        for edge in self._edges(tree, step, opened=opened):
            after, cost = self.ways[(tree_id, edge.to, edge.opened)], (edge.minutes, edge.minutes)
            found = _Ways(
                _beside(found.ended, _plus(cost, after.ended)),
                _beside(found.shut, _plus(cost, after.shut)),
                _beside(found.opened, _plus(cost, after.opened)),
            )
        return found

    def _passage(self, tree_id: str, step: Step, *, opened: bool) -> _Ways:
        if step.refers not in self.book.trees:
            return _Ways()
        inner = self.ways[(step.refers, self._begin(step.refers), opened)]
        if step.kind == "over_to":
            return inner
        found = _Ways(ended=inner.ended)
        for back, is_open in ((inner.shut, False), (inner.opened, True)):
            if back is None or step.then is None:
                continue
            after = self.ways[(tree_id, step.then, is_open)]
            found = _Ways(
                _beside(found.ended, _plus(back, after.ended)),
                _beside(found.shut, _plus(back, after.shut)),
                _beside(found.opened, _plus(back, after.opened)),
            )
        return found

    # ── the ways out of one step ────────────────────────────────────────────

    def _asked(self, step: Step) -> Check | None:
        instead = step.instead.get(self.place)
        return self.book.checks.get(instead.check if instead else step.refers)

    def _not_by_phone(self, step: Step) -> bool:
        check = self._asked(step)
        return self.place == "phone" and check is not None and self.place not in check.place

    def _edges(self, tree: Tree, step: Step, *, opened: bool) -> Iterator[_Edge]:
        if step.kind == "do":
            yield from self._work(step, opened=opened)
        elif step.kind == "check" and self._not_by_phone(step):
            if tree.phone_exit and not tree.shared:
                yield _Edge(tree.phone_exit, 0.0, opened)
        elif step.kind == "check":
            yield from self._answers(tree, step, opened=opened)

    def _work(self, step: Step, *, opened: bool) -> Iterator[_Edge]:
        fix = self.book.fixes.get(step.refers)
        may = fix is not None and self.place in fix.place and (self.place != "phone" or fix.who == "caller")
        if fix is not None and may:
            for target in dict.fromkeys(step.go.get(answer, step.then) for answer in ("cured", "not_tried")):
                if target is not None:
                    yield _Edge(target, fix.minutes, opened)
            return
        not_done = step.then or step.go.get("not_tried")
        if not_done is not None:
            yield _Edge(not_done, 0.0, opened)

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
            for target in dict.fromkeys(targets):
                if target is not None:
                    yield _Edge(target, minutes, opened or opens)
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
