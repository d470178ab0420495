"""Lay out a set of steps on one sheet: columns from left to right, each way on in the next, no line crosses.

Inside a sheet one arrival per step is a line, every other arrival a pointer with the step's number; what is drawn is a
forest, placed in the order of its answers, and that is why lines can't cross.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from functools import cached_property
from itertools import groupby
from math import inf

from graphviz_export.boxes import Box
from graphviz_export.channels import AFTER_EM, BEFORE_EM, Link, channel_lines
from graphviz_export.measures import ARRIVAL_EM, CIRCLE_EM, Tall
from graphviz_export.sheets import Line, Placed, Sheet, Stub

ROW_GAP_EM = 0.7
TREE_GAP_EM = 1.3
_FULLEST = 0.8
"""Of their columns. Boxes, pointers and gaps took at most 0.77 in the charts measured; fuller sheets are not tried."""
_POINTED_KINDS = ("end", "stop", "return", "over_to")


@dataclass(slots=True, eq=False)
class _Item:
    """A box or a pointer on its way to a place."""

    no: int
    depth: int
    """Column counted from the tree's first item."""
    is_box: bool
    before: _Item | None
    """The box whose line comes here; None for the first of a tree."""
    width: float
    height: float
    mark: float
    """Room above for the words that say where one comes from."""
    links: list[tuple[int, _Item]] = field(default_factory=list)
    """(row index, what that row leads to); two rows may lead to one item."""
    followers: list[_Item] = field(default_factory=list)
    y: float = 0.0
    column: int = 0
    """Counted from the left edge; set when the tree is placed."""


@dataclass(frozen=True)
class Room:
    """What a layout must know: the boxes, their heights, where the ends are drawn, and the usable area."""

    boxes: Mapping[int, Box]
    tall: Mapping[int, Tall]
    ways: Mapping[int, tuple[tuple[int, int], ...]]
    """(row, next step) of each box."""
    arrivals: Mapping[int, tuple[int, ...]]
    """Steps that lead to each box."""
    homes: Mapping[int, int]
    """End → the one step beside which it is drawn in full."""
    begin: int
    marked: frozenset[int]
    """Boxes that carry words above them in any case: where the tree begins, where a phone walk goes."""
    column_em: float
    """Width of a box."""
    stub_em: float
    """Width of a pointer that is a circle, with the words beside it."""
    width: float
    height: float
    thorough: bool = False
    """Try more ways of placing; worth the time for charts that a person waits for, too dear for very large ones."""

    @cached_property
    def beside(self) -> Mapping[int, tuple[int, ...]]:
        """Step → the ends that are drawn beside it."""
        found: dict[int, tuple[int, ...]] = {}
        for end, home in self.homes.items():
            found[home] = (*found.get(home, ()), end)
        return found

    @cached_property
    def pointers(self) -> Mapping[int, tuple[float, float]]:
        """Step → width and height of a pointer to it."""
        pill = {no for no, box in self.boxes.items() if box.kind in _POINTED_KINDS}
        return {
            no: (self.column_em, tall.stub) if no in pill else (self.stub_em, CIRCLE_EM)
            for no, tall in self.tall.items()
        }

    @cached_property
    def sizes(self) -> Mapping[int, tuple[float, float, bool]]:
        """Step → height of its box, of the words where one comes from, and whether those stand there in any case."""
        return {
            no: (tall.box, tall.from_mark, len(self.arrivals[no]) > 1 or no in self.marked)
            for no, tall in self.tall.items()
        }

    @cached_property
    def followers(self) -> Mapping[int, int]:
        """Step → boxes and pointers that its rows lead to; rows side by side to one step share theirs."""
        return {no: len([one for one, _ in groupby(target for _, target in ways)]) for no, ways in self.ways.items()}


def lay_out(steps: Iterable[int], room: Room, height: float) -> Sheet | None:
    """Return the sheet with those steps and the ends that live beside them, or None if it is too small for them."""
    chosen = sorted(set(steps), key=lambda no: (no != room.begin, no))
    least_channel = BEFORE_EM + AFTER_EM
    most = int((room.width + least_channel) // (room.column_em + least_channel))
    drawn = {*chosen, *(end for no in chosen for end in room.beside.get(no, ()))}
    needed = _least_height(chosen, drawn, room) / _FULLEST
    forest: _Forest | None = None
    for last in range(most - 1, -1, -1):
        if needed > (last + 2) * height:  # pointers may stand one column right of the last box with ways on
            return None
        forest = _Forest(chosen, drawn, room, last, before=forest)
        for largest_first in (False, True) if room.thorough else (False,):
            forest.place(height, largest_first=largest_first)
            if forest.height > height or forest.least_width > room.width:
                continue
            sheet = forest.sheet()
            if sheet.width <= room.width:
                return sheet
    return None


def _least_height(chosen: list[int], drawn: set[int], room: Room) -> float:
    """Return the least that boxes and pointers of a sheet take of its columns: what has no box there is a circle."""
    followers = sum(room.followers[no] for no in chosen)
    items = followers + 1
    boxes = sum(room.tall[no].box for no in drawn)
    return boxes + (items - len(drawn)) * CIRCLE_EM + items * ROW_GAP_EM


class _Forest:
    """One attempt: no step with ways on stands right of column `last`."""

    def __init__(self, chosen: list[int], drawn: set[int], room: Room, last: int, *, before: _Forest | None) -> None:
        self.room, self.last, self.drawn = room, last, drawn
        self.taken: set[int] = set()
        self.deepest = 0
        self.trees: list[list[tuple[_Item, int]]] = []
        if before is not None and before.deepest <= last:  # the same trees would grow again
            self.deepest, self.trees = before.deepest, before.trees
        else:
            self._grow(chosen)

    def place(self, height: float, *, largest_first: bool) -> None:
        """Place the trees one after another, in the order of numbers or the largest first."""
        self.skyline: dict[int, float] = {}
        self.items: list[_Item] = []
        self.wide: list[float] = []
        self.height = self.least_width = 0.0
        trees = self.trees
        if largest_first:  # the begin stays where everybody looks first
            trees = sorted(trees, key=lambda tree: (tree[0][0].no != self.room.begin, -len(tree)))
        for tree in trees:
            self._set_tree(tree)
            self.height = max(self.skyline.values())
            self.least_width = sum(self.wide) + (BEFORE_EM + AFTER_EM) * (len(self.wide) - 1)
            if self.height > height or self.least_width > self.room.width:  # the rest can only make it worse
                break

    def _grow(self, chosen: list[int]) -> None:
        """Make the trees: widest first, so that a step stands as far left as its arrivals allow."""
        inside = set(chosen)
        waiting = [no for no in chosen if not any(step in inside for step in self.room.arrivals[no])]
        late: list[int] = []
        roots: list[_Item] = []
        while waiting or late:
            no = waiting.pop(0) if waiting else late.pop(0)
            if no in self.taken:
                continue
            self.taken.add(no)
            root = self._item(no, 0, is_box=True, before=None)
            roots.append(root)
            queue = [root]
            for item in queue:
                self.deepest = max(self.deepest, item.depth)
                queue += self._branch(item, late)
        roots.sort(key=lambda item: (item.no != self.room.begin, item.no))
        self.trees = [_flat(root) for root in roots]

    def _branch(self, item: _Item, late: list[int]) -> list[_Item]:
        """Give an item what its rows lead to; return the boxes among them that have ways on."""
        grown: list[_Item] = []
        before: _Item | None = None
        for row, target in self.room.ways[item.no]:
            if before is not None and before.no == target:
                item.links.append((row, before))
                continue
            drawn_here = self._claim(item, target, late)
            follower = self._item(target, item.depth + 1, is_box=drawn_here, before=item)
            item.followers.append(follower)
            if follower.is_box and self.room.ways[target]:
                grown.append(follower)
            item.links.append((row, follower))
            before = follower
        return grown

    def _claim(self, item: _Item, target: int, late: list[int]) -> bool:
        """Say whether the target is drawn here; a step beyond the last column begins a tree of its own instead."""
        if target not in self.drawn or target in self.taken:
            return False
        home = self.room.homes.get(target)
        if home is not None and home != item.no:
            return False
        if home is None and self.room.ways[target] and item.depth + 1 > self.last:
            late.append(target)
            return False
        self.taken.add(target)
        return True

    def sheet(self) -> Sheet:
        """Return what was placed, with its lines."""
        lefts, width, lines = self._channels()
        boxes = [self._placed(item, lefts) for item in self.items if item.is_box]
        stubs = [
            Stub(item.no, lefts[item.column], item.y, item.width, item.height) for item in self.items if not item.is_box
        ]
        return Sheet(tuple(sorted(boxes, key=lambda box: box.no)), tuple(stubs), tuple(lines), width, self.height)

    def _set_tree(self, flat: list[tuple[_Item, int]]) -> None:
        """Place one tree at the start column where it ends highest; the left one of equals."""
        depth = 1 + max(item.depth for item, _ in flat)
        widest = max([self.last, *self.skyline], default=0)
        floor = round(max(self.skyline.values(), default=0.0), 2)
        best = _drop(flat, 0, self.skyline)
        for start in range(1, max(1, widest - depth + 2)):
            if best.bottom <= floor:  # no start can end higher than what stands there already
                break
            tried = _drop(flat, start, self.skyline, below=best.bottom)
            best = tried if tried.bottom < best.bottom else best
        for (item, _), y in zip(flat, best.tops, strict=True):
            item.column = item.depth + best.start
            item.y = y
            self.items.append(item)
            while len(self.wide) <= item.column:
                self.wide.append(self.room.stub_em)
            self.wide[item.column] = max(self.wide[item.column], item.width)
        self.skyline = best.skyline

    def _channels(self) -> tuple[list[float], float, list[Line]]:
        """Return the left edge of every column, the width used, and all lines."""
        links: list[list[Link]] = [[] for _ in self.wide]
        for item in self.items:
            for row, follower in item.links:
                ends = (self._leaves(item, row), self._arrives(follower))
                links[item.column].append(Link(item.no, row, follower.no, *ends, id(follower)))
        lefts, lines, left = [], [], 0.0
        for column, wide in enumerate(self.wide):
            lefts.append(left)
            # All boxes of a column are equally wide, so every line of a channel leaves from one edge.
            channel, made = channel_lines(links[column], left + self.room.column_em)
            lines += made
            left += wide + (channel if column + 1 < len(self.wide) else 0.0)
        return lefts, left, lines

    def _placed(self, item: _Item, lefts: list[float]) -> Placed:
        by_line = item.before.no if item.before else None
        arrivals = tuple(step for step in self.room.arrivals[item.no] if step != by_line)
        return Placed(
            item.no,
            lefts[item.column],
            item.y,
            self.room.column_em,
            self.room.tall[item.no].box,
            arrivals,
            item.mark,
        )

    def _item(self, no: int, depth: int, *, is_box: bool, before: _Item | None) -> _Item:
        """Return an item with its size; words above it say where one comes from if not by its one line."""
        room = self.room
        if not is_box:
            return _Item(no, depth, False, before, *room.pointers[no], 0.0)
        height, from_mark, always_told = room.sizes[no]
        return _Item(
            no, depth, True, before, room.column_em, height, from_mark if before is None or always_told else 0.0
        )

    def _leaves(self, item: _Item, row: int) -> float:
        return item.y + self.room.tall[item.no].row_middles[row]

    def _arrives(self, item: _Item) -> float:
        return item.y + (ARRIVAL_EM if item.is_box else item.height / 2)


@dataclass(frozen=True, slots=True)
class _Drop:
    """A tree dropped onto the skyline at a start column."""

    bottom: float
    start: int
    tops: list[float]
    skyline: dict[int, float]


def _flat(root: _Item) -> list[tuple[_Item, int]]:
    """Return the items of a tree in the order of reading, each with the place of the one before it."""
    flat: list[tuple[_Item, int]] = []
    waiting = [(root, -1)]
    while waiting:
        item, before = waiting.pop()
        flat.append((item, before))
        waiting += [(follower, len(flat) - 1) for follower in reversed(item.followers)]
    return flat


def _drop(flat: list[tuple[_Item, int]], start: int, skyline: Mapping[int, float], below: float = inf) -> _Drop:
    """
    Put each item at the first free place of its column, never above the one before it, in the order of rows.

    Given up, with an endless bottom, as soon as the tree can't end above `below`.
    """
    low = dict(skyline)
    tops: list[float] = []
    for item, before in flat:
        column = start + item.depth
        gap = TREE_GAP_EM if before < 0 else ROW_GAP_EM
        free = low[column] + gap if column in low else 0.0
        top = max(free, tops[before] - item.mark) if before >= 0 else free
        tops.append(top + item.mark)
        low[column] = bottom = top + item.mark + item.height
        if bottom > below:
            return _Drop(inf, start, tops, low)
    return _Drop(round(max(low.values()), 2), start, tops, low)
