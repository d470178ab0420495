"""Where to cut: two ways of cutting a set of steps into sheets, the better one kept.

One way keeps together what is reached only through one step (dominator tree, the heaviest branch cut off first); the
other runs along the steps and keeps a job on one sheet as long as it can (dynamic programming over sheets and expected
changes of sheet, answers as likely as closed jobs say, or all equally). Afterwards sheets that fit together share one.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from itertools import combinations

from graphviz_export.boxes import Chart
from graphviz_export.columns import Room, lay_out

Steps = frozenset[int]
_FEW = 4
"""A sheet with at most so many steps is given up if they find room elsewhere."""
_SLACK = 3
"""So many longer runs are tried although such didn't fit before: one step more can make a shorter tree."""


class Cutter:
    """Cuts one chart in one room; remembers which sets fit."""

    def __init__(self, chart: Chart, room: Room) -> None:
        self.chart, self.room = chart, room
        self.boxes = {box.no: box for box in chart.boxes}
        self.reserve = 0.0
        """Height that the list of sheets takes on the sheet with the begin."""
        self.ways = {box.no: [t for _, t in box.ways() if t not in room.homes] for box in chart.boxes}
        self.nodes = self._in_order()
        self.chances = self._chances()
        self._fits: dict[Steps, bool] = {}

    def keep_free(self, reserve: float) -> None:
        """Keep that height free on the sheet with the begin; what is known of other sheets stays known."""
        if reserve != self.reserve:
            self.reserve = reserve
            self._fits = {steps: fit for steps, fit in self._fits.items() if self.chart.begin not in steps}

    def best(self, within: Steps | None = None) -> list[Steps]:
        """Return the better cut: fewer sheets, then fewer changes of sheet; the begin first, then by lowest number."""
        whole = frozenset(self.nodes) if within is None else within
        if self.fits(whole):
            return [whole]
        cuts = [self._packed(self._along(whole)), self._packed(self._dominated(whole))]
        if self.room.thorough:
            cuts = [self._settled(self._dissolved(self._settled(cut))) for cut in cuts]
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
        return sum(chance for (one, other), chance in self.chances.items() if sheet_of.get(one) != sheet_of.get(other))

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
        """Return how probable each way from step to step is, as counted, or with all answers equally likely."""
        reach = dict.fromkeys(self.nodes, 0.0)
        reach[self.chart.begin] = 1.0
        chances: dict[tuple[int, int], float] = {}
        for no in self.nodes:
            box = self.boxes[no]
            ways = box.ways()
            weights = [1 + box.rows[row].count for row, _ in ways]
            for (_, target), weight in zip(ways, weights, strict=True):
                if target in reach:
                    chance = reach[no] * weight / sum(weights)
                    chances[no, target] = chances.get((no, target), 0.0) + chance
                    reach[target] += chance
        return chances

    def _along(self, within: Steps) -> list[Steps]:
        """Cut the order of steps into runs: fewest sheets, then fewest expected changes."""
        nodes = [no for no in self.nodes if no in within]
        place = {no: index for index, no in enumerate(nodes)}
        best: list[tuple[int, float, int]] = [(0, 0.0, 0)]
        least = 0  # runs that begin before this one have not fitted for a while
        for end in range(1, len(nodes) + 1):
            offers: list[tuple[int, float, int]] = []
            leaving = 0.0
            for begin in range(end - 1, max(least - _SLACK, 0) - 1, -1):
                no = nodes[begin]
                leaving += sum(self.chances[no, to] for to in dict.fromkeys(self.ways[no]) if place.get(to, end) >= end)
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

    def _dominated(self, within: Steps) -> list[Steps]:
        """Cut the dominator tree from its leaves up: where a branch grows too large, its heaviest twig comes off."""
        above = self.dominators()
        open_twigs: dict[int, list[Steps]] = {no: [] for no in within}
        cut: list[Steps] = []
        for no in (no for no in reversed(self.nodes) if no in within):
            twigs = sorted(open_twigs[no], key=lambda twig: (len(twig), min(twig)))
            while twigs and not self.fits(frozenset({no}).union(*twigs)):
                cut.append(twigs.pop())
            grown = frozenset({no}).union(*twigs)
            parent = above[no]
            if parent is None or parent not in within:
                cut.append(grown)
            else:
                open_twigs[parent].append(grown)
        return cut

    def dominators(self) -> dict[int, int | None]:
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

    def _settled(self, cut: Sequence[Steps]) -> list[Steps]:
        """Move single steps to a neighbour's sheet while that spares changes, or fills the sheets more evenly."""
        sets = list(cut)
        best = self._goodness(sets)
        moved = True
        while moved:
            moved = False
            for step, giver, taker in self._moves(sets):
                rest, grown = giver - {step}, taker | {step}
                tried = [rest if one is giver else grown if one is taker else one for one in sets]
                goodness = self._goodness(tried)
                if goodness < best and self.fits(grown) and self.fits(rest):
                    sets, best, moved = tried, goodness, True
                    break
        return sets

    def _dissolved(self, cut: Sequence[Steps]) -> list[Steps]:
        """Give up sheets of a few steps whose steps find room on other sheets."""
        sets = list(cut)
        for small in sorted((steps for steps in cut if len(steps) <= _FEW), key=len):
            others = [steps for steps in sets if steps is not small]
            for no in sorted(small):
                places = [at for at, steps in enumerate(others) if self.fits(steps | {no})]
                if not places:
                    break
                near = min(places, key=lambda at: self._goodness([*others[:at], others[at] | {no}, *others[at + 1 :]]))
                others[near] |= {no}
            else:
                sets = others
        return sets

    def _goodness(self, sets: Sequence[Steps]) -> tuple[float, float]:
        """Return changes of sheet, then unevenness; less is better."""
        heights = [sum(self.room.tall[no].box for no in steps) for steps in sets]
        return round(self.changes(sets), 9), round(sum(height**2 for height in heights), 6)

    def _moves(self, sets: Sequence[Steps]) -> Iterator[tuple[int, Steps, Steps]]:
        """Yield (step, its sheet, sheet of a neighbour); a sheet keeps at least one step."""
        home = {no: steps for steps in sets for no in steps}
        for one, other in self.chances:
            if one in home and other in home and home[one] is not home[other]:
                for step, neighbour in ((one, other), (other, one)):
                    if len(home[step]) > 1:
                        yield step, home[step], home[neighbour]

    def _pairs(self, sets: Sequence[Steps]) -> Iterator[tuple[Steps, Steps]]:
        """Yield all pairs, those between which most jobs change first, then the fullest."""
        sheet_of = {no: index for index, steps in enumerate(sets) for no in steps}
        between: dict[tuple[int, int], float] = {}
        for (one, other), chance in self.chances.items():
            if one in sheet_of and other in sheet_of:
                a, b = sorted((sheet_of[one], sheet_of[other]))
                if a != b:
                    between[a, b] = between.get((a, b), 0.0) + chance
        sizes = [len(steps) for steps in sets]
        # the many pairs without a way between them are seldom come to
        for a, b in sorted(between, key=lambda pair: (-between[pair], -sizes[pair[0]] - sizes[pair[1]], pair)):
            yield sets[a], sets[b]
        rest = (pair for pair in combinations(range(len(sets)), 2) if pair not in between)
        for a, b in sorted(rest, key=lambda pair: -sizes[pair[0]] - sizes[pair[1]]):
            yield sets[a], sets[b]


def _common(one: int | None, other: int | None, above: dict[int, int | None], place: dict[int, int]) -> int | None:
    while one is not None and other is not None and one != other:
        if place[one] > place[other]:
            one = above[one]
        else:
            other = above[other]
    return one if one is not None and other is not None else None
