"""How many ways lead through each tree, how long they are, and how many end with nothing found.

A path is one way of answering every step from the beginning of a tree to an end or stop (in a shared tree: until it
comes back), through the trees that it runs or hands over to. Nothing is walked twice: the counts are worked out from
the ends backwards, so that a tree with more paths than stars is counted as fast as one with ten.
Limits to a kind of unit are left aside: every step counts as asked. Minutes are those of the checks and work done on a
path, opening the unit charged once; a check that stands in two steps of one path counts twice.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from trees.book.model import Answer, Book, Check
from trees.book.tree import Step, Tree
from trees.book.words import WORK_ANSWERS, Place


@dataclass(frozen=True, slots=True)
class Paths:
    """All ways through one tree at one place."""

    tree: str
    shared: bool
    place: Place
    count: int
    longest: int
    """Steps asked on the longest path."""
    longest_by: tuple[int, ...]
    """Numbers of the steps of one longest path."""
    mean_minutes: float
    """Mean over all paths, each counted once."""
    no_conclusion: int
    """Paths that come to an end (no stop) without any cause found."""


Flags = tuple[bool, bool]
"""A cause was found; the unit was opened."""


@dataclass(frozen=True, slots=True)
class _Tally:
    """Paths by what was met on them: how many, and their minutes added up without those of opening."""

    rows: Mapping[Flags, tuple[int, float]]
    longest: int

    def then(self, after: _Tally) -> _Tally:
        """Go on with every path of `after` behind each path of this one."""
        if not self.rows or not after.rows:
            return _NONE
        rows: dict[Flags, tuple[int, float]] = {}
        for (found, opened), (count, minutes) in self.rows.items():
            for (found2, opened2), (count2, minutes2) in after.rows.items():
                flags = (found or found2, opened or opened2)
                had, had_minutes = rows.get(flags, (0, 0.0))
                rows[flags] = (had + count * count2, had_minutes + minutes * count2 + minutes2 * count)
        return _Tally(rows, self.longest + after.longest)

    def beside(self, other: _Tally) -> _Tally:
        """Count the paths of both."""
        if not (self.rows and other.rows):
            return self if self.rows else other
        rows = dict(self.rows)
        for flags, (count, minutes) in other.rows.items():
            had, had_minutes = rows.get(flags, (0, 0.0))
            rows[flags] = (had + count, had_minutes + minutes)
        return _Tally(rows, max(self.longest, other.longest))


_NONE = _Tally({}, 0)
_HERE = _Tally({(False, False): (1, 0.0)}, 0)


@dataclass(frozen=True, slots=True)
class _Ways:
    """Paths from a step by how they end: at an end, at a stop, or coming back from a shared tree."""

    ended: _Tally = _NONE
    stopped: _Tally = _NONE
    back: _Tally = _NONE

    def beside(self, other: _Ways) -> _Ways:
        return _Ways(self.ended.beside(other.ended), self.stopped.beside(other.stopped), self.back.beside(other.back))

    def behind(self, first: _Tally) -> _Ways:
        return _Ways(first.then(self.ended), first.then(self.stopped), first.then(self.back))

    @property
    def longest(self) -> int:
        return max(t.longest if t.rows else -1 for t in (self.ended, self.stopped, self.back))


@dataclass(frozen=True, slots=True)
class _Edge:
    """One answer of a step: where it leads (None: it stops the job), and what it amounts to."""

    to: str | None
    finds: bool = False
    opens: bool = False
    minutes: float = 0.0

    def tally(self) -> _Tally:
        return _Tally({(self.finds, self.opens): (1, self.minutes)}, 1)


def count_paths(book: Book, place: Place = "bench") -> tuple[Paths, ...]:
    """Count the paths of every tree of a proved book at one place, in the author's order."""
    counter = _Counter(book, place)
    return tuple(counter.paths(tree) for tree in book.trees.values())


class _Counter:
    def __init__(self, book: Book, place: Place) -> None:
        self.book, self.place = book, place
        self.ways: dict[tuple[str, str], _Ways] = {}

    def paths(self, tree: Tree) -> Paths:
        ways = self._from(tree.id, tree.begin)
        whole = ways.ended.beside(ways.stopped).beside(ways.back)
        count = sum(number for number, _ in whole.rows.values())
        opening = self.book.opening_minutes
        minutes = sum(m + (opening * n if opened else 0.0) for (_, opened), (n, m) in whole.rows.items())
        lost = sum(number for (found, _), (number, _) in ways.ended.rows.items() if not found)
        by = tuple(self._longest(tree.id, tree.begin))
        return Paths(
            tree.id, tree.shared, self.place, count, max(ways.longest, 0), by, minutes / count if count else 0.0, lost
        )

    def _from(self, tree: str, begin: str) -> _Ways:
        """Return the ways from a step; without recursion, since a tree can be a chain of many thousand steps."""
        open_keys = [(tree, begin)]
        while open_keys:
            key = open_keys[-1]
            if key in self.ways:
                open_keys.pop()
                continue
            waiting = [after for after in self._after(*key) if after not in self.ways]
            if waiting:
                open_keys += waiting
                continue
            self.ways[key] = self._of(*key)
            open_keys.pop()
        return self.ways[(tree, begin)]

    def _after(self, tree: str, step_id: str) -> Iterator[tuple[str, str]]:
        step = self.book.trees[tree].steps[step_id]
        if step.kind in {"run", "over_to"}:
            yield step.refers, self.book.trees[step.refers].begin
        if step.kind == "run" and step.then:
            yield tree, step.then
        for edge in self._edges(self.book.trees[tree], step):
            if edge.to is not None:
                yield tree, edge.to

    def _of(self, tree: str, step_id: str) -> _Ways:
        step = self.book.trees[tree].steps[step_id]
        if step.kind == "end":
            return _Ways(ended=_HERE)
        if step.kind == "stop":
            return _Ways(stopped=_HERE)
        if step.kind == "return" or self._comes_back(self.book.trees[tree], step):
            return _Ways(back=_HERE)
        if step.kind == "over_to":
            return self.ways[(step.refers, self.book.trees[step.refers].begin)]
        if step.kind == "run":
            inner = self.ways[(step.refers, self.book.trees[step.refers].begin)]
            onward = self.ways[(tree, step.then or "")].behind(inner.back)
            return _Ways(inner.ended, inner.stopped).beside(onward)
        ways = _Ways()
        for edge in self._edges(self.book.trees[tree], step):
            after = _Ways(stopped=_HERE) if edge.to is None else self.ways[(tree, edge.to)]
            ways = ways.beside(after.behind(edge.tally()) if self._asks(step) else after)
        return ways

    def _longest(self, tree: str, step_id: str) -> Iterator[int]:
        """Yield the numbers of the steps asked on a longest path."""
        while True:
            step = self.book.trees[tree].steps[step_id]
            if step.kind == "over_to":
                tree, step_id = step.refers, self.book.trees[step.refers].begin
                continue
            if step.kind == "run":
                inner = self.ways[(step.refers, self.book.trees[step.refers].begin)]
                onward = self.ways[(tree, step.then or "")].behind(inner.back).longest
                if max(_Ways(inner.ended, inner.stopped).longest, onward) != onward:
                    tree, step_id = step.refers, self.book.trees[step.refers].begin
                    continue
                yield from self._longest_back(step.refers)
                step_id = step.then or ""
                continue
            edges = [edge for edge in self._edges(self.book.trees[tree], step) if edge.to is not None]
            if self._asks(step):
                yield step.no
            if not edges:
                return
            step_id = str(max(edges, key=lambda edge: self.ways[(tree, edge.to or "")].longest).to)

    def _longest_back(self, tree: str) -> Iterator[int]:
        """Yield the numbers of a longest path of a shared tree that comes back."""
        step_id = self.book.trees[tree].begin
        while True:
            step = self.book.trees[tree].steps[step_id]
            if step.kind == "run":
                yield from self._longest_back(step.refers)
                step_id = step.then or ""
                continue
            edges = [
                edge
                for edge in self._edges(self.book.trees[tree], step)
                if edge.to is not None and self.ways[(tree, edge.to)].back.rows
            ]
            if not edges:
                return
            if self._asks(step):
                yield step.no
            step_id = str(max(edges, key=lambda edge: self.ways[(tree, edge.to or "")].back.longest).to)

    def _asks(self, step: Step) -> bool:
        """Tell whether anything is asked here, or the step is only passed over because a caller can't do it."""
        return step.kind == "do" or (step.kind == "check" and not self._not_for_phone(step))

    def _not_for_phone(self, step: Step) -> bool:
        check = self.book.checks[step.instead[self.place].check if self.place in step.instead else step.refers]
        return step.kind == "check" and self.place == "phone" and "phone" not in check.place

    def _comes_back(self, tree: Tree, step: Step) -> bool:
        return tree.shared and step.kind == "check" and self._not_for_phone(step)

    def _edges(self, tree: Tree, step: Step) -> Iterator[_Edge]:
        if step.kind == "do":
            yield from self._work(step)
        elif step.kind == "check":
            if not self._not_for_phone(step):
                yield from self._answers(step)
            elif not tree.shared and tree.phone_exit:
                yield _Edge(tree.phone_exit)

    def _work(self, step: Step) -> Iterator[_Edge]:
        fix = self.book.fixes[step.refers]
        may = self.place in fix.place and (self.place != "phone" or fix.who == "caller")
        for answer in WORK_ANSWERS if may else ():
            target = step.go.get(answer, step.then)
            if target is not None:
                yield _Edge(target, finds=answer == "cured" and bool(fix.cures), minutes=fix.minutes)
        not_done = step.then or step.go.get("not_tried")
        if not_done is not None:
            yield _Edge(not_done)

    def _answers(self, step: Step) -> Iterator[_Edge]:
        instead = step.instead.get(self.place)
        check_id, go, then, unknown = step.refers, step.go, step.then, step.unknown
        if instead is not None:
            check_id, go, then, unknown = instead.check, instead.go, None, instead.unknown
        check = self.book.checks[check_id]
        if self.place in check.place:
            proves = check.proof != "words" and (self.place != "phone" or check.caller_proves)
            for answer in check.routes() or (None,):
                yield from self._answer(check, answer, go.get(answer.id, then) if answer else then, proves=proves)
        cannot_tell = unknown or then
        if cannot_tell is not None:
            yield _Edge(cannot_tell)

    def _answer(self, check: Check, answer: Answer | None, target: str | None, *, proves: bool) -> Iterator[_Edge]:
        """Yield the way of one answer; a list to tick and a set of readings have one way for all their answers."""
        finds = proves and answer is not None and bool(answer.finds)
        stops = answer is not None and answer.stop is not None
        if stops or target is not None:
            yield _Edge(None if stops else target, finds, check.inside, check.minutes)
