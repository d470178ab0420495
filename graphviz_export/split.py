"""Cut a tree into sheets at natural places: two ways of cutting, the better one kept.

One way keeps together what is reached only through one step (dominator tree, the heaviest branch cut off first); the
other runs along the steps and keeps a job on one sheet as long as it can (dynamic programming over sheets and expected
changes of sheet, all answers equally likely). Afterwards sheets that fit together share one.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import replace
from itertools import combinations

from graphviz_export.boxes import Chart
from graphviz_export.columns import Room, lay_out
from graphviz_export.paper import SIZES_MM, Paper, paper
from graphviz_export.sheets import Sheet
from trees.errors import PaperError

LIST_PT = 9.0
LIST_COLUMNS = 3
_SLACK = 3
"""So many longer runs are tried although such didn't fit before: one step more can make a shorter tree."""

Steps = frozenset[int]


def split(chart: Chart, room: Room, sheet: Paper) -> list[Sheet]:
    """Return the sheets of a chart, the one with its begin first; PaperError if one step alone doesn't fit."""
    count = 1
    while True:
        reserve = list_height_em(count, sheet)
        cutter = _Cutter(chart, _roomy(chart, room, sheet, reserve), reserve)
        sets = cutter.best()
        if len(sets) <= count:
            break
        count = len(sets)
    laid = (lay_out(steps, cutter.room, cutter.height(steps)) for steps in sets)
    return [done for done in laid if done is not None]


def list_height_em(count: int, sheet: Paper) -> float:
    """Return the room that the list of sheets takes on the first sheet."""
    if count < 2:
        return 0.0
    points = (1 + math.ceil(count / LIST_COLUMNS)) * LIST_PT * 1.4
    return (points * 25.4 / 72 + 3.0) / sheet.em_mm


def _roomy(chart: Chart, room: Room, sheet: Paper, reserve: float) -> Room:
    """Return the room in which every step fits alone; ends that make their step too tall get a place of their own."""
    for box in chart.boxes:
        if box.no in room.homes:
            continue
        height = room.height - (reserve if box.no == chart.begin else 0.0)
        if lay_out([box.no], room, height) is None:
            own = {end: home for end, home in room.homes.items() if home != box.no}
            room = replace(room, homes=own)
            if lay_out([box.no], room, height) is None:
                raise _too_large(box.no, room, sheet, reserve if box.no == chart.begin else 0.0)
    for end in (box.no for box in chart.boxes if not box.ways() and box.no not in room.homes):
        if lay_out([end], room, room.height) is None:
            raise _too_large(end, room, sheet, 0.0)
    return room


def _too_large(no: int, room: Room, sheet: Paper, reserve: float) -> PaperError:
    """Return the error that says which step is too large and which paper or distance would do."""
    alone = lay_out([no], replace(room, width=80.0, height=math.inf), math.inf)
    if alone is None:
        return PaperError(f"Step {no} can't be laid out on any paper.")
    high = alone.height + reserve
    cures = []
    for name in SIZES_MM:
        larger = paper(name, sheet.read_from_m)
        scale = larger.em_mm / sheet.em_mm
        if high <= larger.height_em * scale and alone.width <= larger.width_em * scale:
            cures.append(f"paper {name}")
            break
    share = min(room.height / high, room.width / alone.width)
    nearer = math.floor(sheet.read_from_m * share * 20) / 20
    if nearer >= 0.2:
        cures.append(f"a reading distance of {nearer:g} m")
    cures.append("a shorter text or fewer answers")
    needs = f"{alone.width * sheet.em_mm:.0f} x {high * sheet.em_mm:.0f} mm"
    return PaperError(
        f"Step {no} is too large for {sheet.name} at {sheet.read_from_m:g} m: it needs {needs} with its answers. "
        f"What would do: {', or '.join(cures)}."
    )


class _Cutter:
    """Cuts one chart in one room; remembers which sets fit."""

    def __init__(self, chart: Chart, room: Room, reserve: float) -> None:
        self.chart, self.room, self.reserve = chart, room, reserve
        self.ways = {box.no: [t for _, t in box.ways() if t not in room.homes] for box in chart.boxes}
        self.nodes = self._in_order()
        self.chances = self._chances()
        self._fits: dict[Steps, bool] = {}

    def best(self) -> list[Steps]:
        """Return the better cut: fewer sheets, then fewer changes of sheet; the begin first, then by lowest number."""
        whole = frozenset(self.nodes)
        if self.fits(whole):
            return [whole]
        cuts = (self._packed(self._along()), self._packed(self._dominated()))
        chosen = min(cuts, key=lambda cut: (len(cut), round(self.changes(cut), 9)))
        return sorted(chosen, key=lambda steps: (self.chart.begin not in steps, min(steps)))

    def height(self, steps: Steps) -> float:
        """Return the height that a sheet with those steps may use."""
        return self.room.height - (self.reserve if self.chart.begin in steps else 0.0)

    def fits(self, steps: Steps) -> bool:
        """Say whether those steps and their ends go on one sheet."""
        if steps not in self._fits:
            self._fits[steps] = lay_out(steps, self.room, self.height(steps)) is not None
        return self._fits[steps]

    def changes(self, cut: Iterable[Steps]) -> float:
        """Return how many changes of sheet a job meets, on average."""
        sheet_of = {no: index for index, steps in enumerate(cut) for no in steps}
        return sum(chance for (one, other), chance in self.chances.items() if sheet_of[one] != sheet_of[other])

    def _in_order(self) -> list[int]:
        """Return the steps so that each stands before those it leads to, branches kept together."""
        done: dict[int, None] = {}
        numbers = [box.no for box in self.chart.boxes if box.no not in self.room.homes]
        roots = [self.chart.begin, *(no for no in numbers if no != self.chart.begin)]
        for root in reversed(roots):
            stack = [(root, iter(reversed(self.ways[root])))]
            while stack:
                no, rest = stack[-1]
                following = next((t for t in rest if t not in done), None)
                if following is not None:
                    stack.append((following, iter(reversed(self.ways[following]))))
                else:
                    done.setdefault(no)
                    stack.pop()
        return list(done)[::-1]

    def _chances(self) -> dict[tuple[int, int], float]:
        """Return how probable each way from step to step is, all answers equally likely."""
        reach = dict.fromkeys(self.nodes, 0.0)
        reach[self.chart.begin] = 1.0
        chances: dict[tuple[int, int], float] = {}
        for no in self.nodes:
            count = len(self.chart.box(no).ways())
            for target in self.ways[no]:
                chances[no, target] = chances.get((no, target), 0.0) + reach[no] / count
                reach[target] += reach[no] / count
        return chances

    def _along(self) -> list[Steps]:
        """Cut the order of steps into runs: fewest sheets, then fewest expected changes."""
        nodes = self.nodes
        place = {no: index for index, no in enumerate(nodes)}
        best: list[tuple[int, float, int]] = [(0, 0.0, 0)]
        least = 0  # runs that begin before this one have not fitted for a while
        for end in range(1, len(nodes) + 1):
            offers: list[tuple[int, float, int]] = []
            leaving = 0.0
            for begin in range(end - 1, max(least - _SLACK, 0) - 1, -1):
                no = nodes[begin]
                leaving += sum(self.chances[no, to] for to in dict.fromkeys(self.ways[no]) if place[to] >= end)
                sheets, changes, _ = best[begin]
                offers.append((sheets + 1, changes + leaving, begin))
            missed: set[int] = set()
            for offer in sorted(offers):
                if self.fits(frozenset(nodes[offer[2] : end])):
                    best.append(offer)
                    break
                missed.add(offer[2])
            while least in missed:
                least += 1
        cut: list[Steps] = []
        end = len(nodes)
        while end:
            begin = best[end][2]
            cut.append(frozenset(nodes[begin:end]))
            end = begin
        return cut[::-1]

    def _dominated(self) -> list[Steps]:
        """Cut the dominator tree from its leaves up: where a branch grows too large, its heaviest twig comes off."""
        above = self._dominators()
        open_twigs: dict[int, list[Steps]] = {no: [] for no in self.nodes}
        cut: list[Steps] = []
        for no in reversed(self.nodes):
            twigs = sorted(open_twigs[no], key=lambda twig: (len(twig), min(twig)))
            while twigs and not self.fits(frozenset({no}).union(*twigs)):
                cut.append(twigs.pop())
            grown = frozenset({no}).union(*twigs)
            parent = above[no]
            if parent is None:
                cut.append(grown)
            else:
                open_twigs[parent].append(grown)
        return cut

    def _dominators(self) -> dict[int, int | None]:
        """Return for each step the last one that every way to it passes; None where there is none."""
        place = {no: index for index, no in enumerate(self.nodes)}
        before: dict[int, list[int]] = {no: [] for no in self.nodes}
        for one, other in self.chances:
            before[other].append(one)
        above: dict[int, int | None] = {}
        for no in self.nodes:
            meet: int | None = before[no][0] if before[no] else None
            for other in before[no][1:]:
                meet = _common(meet, other, above, place)
            above[no] = meet
        return above

    def _packed(self, cut: Sequence[Steps]) -> list[Steps]:
        """Join sheets whose steps fit on one, those first that send most jobs to each other."""
        sets = list(cut)
        while True:
            joined = next(((a, b) for a, b in self._pairs(sets) if self.fits(a | b)), None)
            if joined is None:
                return sets
            sets = [steps for steps in sets if steps not in joined] + [joined[0] | joined[1]]

    def _pairs(self, sets: Sequence[Steps]) -> list[tuple[Steps, Steps]]:
        """Return all pairs, those between which most jobs change first, then the fullest."""
        sheet_of = {no: index for index, steps in enumerate(sets) for no in steps}
        between: dict[tuple[int, int], float] = {}
        for (one, other), chance in self.chances.items():
            a, b = sorted((sheet_of[one], sheet_of[other]))
            between[a, b] = between.get((a, b), 0.0) + chance
        pairs = list(combinations(range(len(sets)), 2))
        pairs.sort(key=lambda pair: (-between.get(pair, 0.0), -len(sets[pair[0]]) - len(sets[pair[1]])))
        return [(sets[a], sets[b]) for a, b in pairs]


def _common(one: int | None, other: int | None, above: dict[int, int | None], place: dict[int, int]) -> int | None:
    while one is not None and other is not None and one != other:
        if place[one] > place[other]:
            one = above[one]
        else:
            other = above[other]
    return one if one is not None and other is not None else None
