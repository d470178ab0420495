"""Which paths end elsewhere in a new edition: both are walked side by side with the same answers.

Two editions are followed as long as both ask the same. Where one asks something else, the same answers can't go on;
these paths are counted too, with what is asked instead. Counted from the ends backwards, nothing is walked twice.
Steps are taken as the bench takes them; where a step has an `instead` for another place is compared in `changes.py`.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from trees.book.model import Book
from trees.book.tree import Step
from trees.book.words import UNKNOWN, WORK_ANSWERS

_MOST_TOLD = 20
"""Differing ends told of one tree; behind that only their number is."""


@dataclass(frozen=True, slots=True)
class _At:
    """A place in one edition: a step, and where the shared trees that were run come back to."""

    tree: str
    step: str
    stack: tuple[tuple[str, str], ...] = ()


_Pair = tuple[_At, _At]
_Ends = dict[tuple[str, str], int]
"""Old end and new end → how many paths."""


def changed_ends(old: Book, new: Book) -> Iterator[tuple[str, str]]:
    """Yield, for each tree that both have and that is begun by itself, its id and which paths end elsewhere now."""
    both = _Both(old, new)
    for name, tree in new.trees.items():
        if name not in old.trees or tree.shared or old.trees[name].shared:
            continue
        ends = both.from_begin(name)
        ways = sorted(((was, now, n) for (was, now), n in ends.items() if was != now), key=lambda row: -row[2])
        for was, now, number in ways[:_MOST_TOLD]:
            paths = "1 path" if number == 1 else f"{_short(number)} paths"
            yield (name, f"{paths}: {was} before, {now} now")
        if len(ways) > _MOST_TOLD:
            yield (name, f"and {len(ways) - _MOST_TOLD} other pairs of ends that differ")


def _short(number: int) -> str:
    digits = len(str(number)) - 1
    return str(number) if number < 1_000_000 else f"about {number // 10 ** (digits - 1) / 10:.1f}e{digits}"


class _Both:
    def __init__(self, old: Book, new: Book) -> None:
        self.old, self.new = old, new
        self.known: dict[_Pair, _Ends] = {}

    def from_begin(self, name: str) -> _Ends:
        """Return the ends of all paths from the beginning of a tree; without recursion, since trees may be long."""
        begin = tuple(_settle(book, _At(name, book.trees[name].begin)) for book in (self.old, self.new))
        first: _Pair = (begin[0], begin[1])
        open_pairs = [first]
        while open_pairs:
            pair = open_pairs[-1]
            if pair in self.known:
                open_pairs.pop()
                continue
            onward = self._onward(pair)
            waiting = [after for after in onward if isinstance(after, tuple) and after not in self.known]
            if waiting:
                open_pairs += waiting
                continue
            ends: _Ends = {}
            for after in onward:
                for end, number in (self.known[after] if isinstance(after, tuple) else after).items():
                    ends[end] = ends.get(end, 0) + number
            self.known[pair] = ends
            open_pairs.pop()
        return self.known[first]

    def _onward(self, pair: _Pair) -> list[_Pair | _Ends]:
        """Return where each answer that both take leads, or how it ends where they ask otherwise."""
        was, now = pair
        step, step_now = self._step(self.old, was), self._step(self.new, now)
        if (_asks(step), _asks(step_now)) == ("", "") or _asks(step) != _asks(step_now):
            return [{(_told(step), _told(step_now)): 1}]
        ways, ways_now = _ways(self.old, step), _ways(self.new, step_now)
        onward: list[_Pair | _Ends] = []
        for answer, target in ways.items():
            if answer in ways_now:
                before = _settle(self.old, _At(was.tree, target, was.stack))
                after = _settle(self.new, _At(now.tree, ways_now[answer], now.stack))
                onward.append((before, after))
        return onward

    def _step(self, book: Book, at: _At) -> Step:
        return book.trees[at.tree].steps[at.step]


def _settle(book: Book, at: _At) -> _At:
    """Go through the steps that ask nothing: into shared trees, back from them, over to other trees."""
    while True:
        step = book.trees[at.tree].steps[at.step]
        if step.kind == "run":
            at = _At(step.refers, book.trees[step.refers].begin, (*at.stack, (at.tree, step.then or "")))
        elif step.kind == "over_to":
            at = _At(step.refers, book.trees[step.refers].begin)
        elif step.kind == "return" and at.stack:
            (tree, then), stack = at.stack[-1], at.stack[:-1]
            at = _At(tree, then, stack)
        else:
            return at


def _asks(step: Step) -> str:
    return f"{step.kind} {step.refers}" if step.kind in {"check", "do"} else ""


def _told(step: Step) -> str:
    if step.kind in {"end", "stop"}:
        return f"{'ends as' if step.kind == 'end' else 'stops for'} `{step.refers}` at {step.no}"
    return f"asks `{step.refers}` at {step.no}" if step.kind == "check" else f"does `{step.refers}` at {step.no}"


def _ways(book: Book, step: Step) -> dict[str, str]:
    if step.kind == "do":
        answers = list(WORK_ANSWERS)
        unknown = step.then or step.go.get("not_tried")
    else:
        answers = [answer.id for answer in book.checks[step.refers].routes()] or ["then"]
        unknown = step.unknown or step.then
    ways = {answer: target for answer in answers if (target := step.go.get(answer, step.then)) is not None}
    return {**ways, UNKNOWN: unknown} if unknown is not None else ways
