"""What an author's tree costs: its checks as they are drawn, then the fixes of what it found, then the others."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from operator import mul

from trees.book.model import Book, Check, Fix
from trees.book.tree import Tree
from trees.book.words import UNKNOWN, Place
from trees.walk.travel import Visit
from trees.walk.unit import UnitFacts
from trees.walk.weighing.branches import Draw
from trees.walk.weighing.course import Branch, Course
from trees.walk.weighing.repairs import Repairs, fix_minutes
from trees.walk.weighing.turn import own_minutes
from trees.walk.weighing.worlds import Look, Way

_ROUNDING = 1e-12

StepKey = tuple[str, str]
"""Tree and step; empty names stand for the handover."""
HANDOVER: StepKey = ("", "")


@dataclass(slots=True)
class StepTally:
    """What one step adds up to, for one job on average."""

    minutes: float = 0.0
    reached: float = 0.0
    """Chance to get there."""
    finds_wrong: float = 0.0
    """Chance that it finds only causes that are not there."""


@dataclass(slots=True)
class EndTally:
    """What one end adds up to, for one job on average."""

    reached: float = 0.0
    wrong: float = 0.0
    """Chance to end there with none of the true causes found."""


@dataclass(slots=True)
class Tally:
    """What is added up over all branches; minutes and chances are those of one job on average."""

    check_minutes: float = 0.0
    fix_minutes_more: float = 0.0
    """Fix minutes above those with the causes known from the start."""
    right: float = 0.0
    """A cause that is there was found, or cured on the way."""
    nothing: float = 0.0
    """Nothing was found and nothing cured."""
    steps: dict[StepKey, StepTally] = field(default_factory=dict)
    ends: dict[StepKey, EndTally] = field(default_factory=dict)
    missed: dict[str, float] = field(default_factory=dict)
    """Cause → chance that it is there and no true cause was found."""

    def step(self, visit: Visit) -> StepTally:
        """Return the row of a step."""
        return self.steps.setdefault((visit.tree.id, visit.step.id), StepTally())

    def end(self, key: StepKey) -> EndTally:
        """Return the row of an end."""
        return self.ends.setdefault(key, EndTally())


class DrawnOrder:
    """Follows a tree with the job's memory: what is known already costs nothing, opening the unit is charged once."""

    def __init__(self, book: Book, repairs: Repairs, tree: Tree, place: Place, unit: UnitFacts) -> None:
        self._book, self._repairs, self._worlds = book, repairs, repairs.worlds
        self._tree, self._place, self._unit = tree, place, unit
        self._cures = {fix.id: repairs.cured_by(fix) for fix in book.fixes.values()}
        self._limit = book.start_limit.get(place)

    def tally(self, draw: Draw) -> Tally:
        """Follow the branches and add up."""
        tally = Tally()
        course = Course(self._book, self._unit, self._place, self._tree)
        waiting = [Branch(course, 1.0, list(self._worlds.start), dict(self._worlds.complaint))]
        while waiting:
            branch = waiting.pop()
            visit = branch.course.onward()
            if visit is None:
                self._end(branch, tally)
            elif visit.check is None:
                waiting += self._do(branch, visit, tally)
            else:
                waiting += self._check(branch, visit, visit.check, draw, tally)
        return tally

    # ── checks ──────────────────────────────────────────────────────────────

    def _check(self, branch: Branch, visit: Visit, check: Check, draw: Draw, tally: Tally) -> list[Branch]:
        row = tally.step(visit)
        row.reached += branch.weight
        earlier = branch.course.earlier(check)
        if earlier is not None or self._blocked(branch, check):
            branch.course.answered(visit, earlier.answer if earlier is not None else UNKNOWN)
            return [branch]
        opening = self._book.opening_minutes if check.inside and not branch.opened else 0.0
        row.minutes += branch.weight * (own_minutes(check) + opening)
        branch.check_minutes += own_minutes(check) + opening
        branch.opened |= check.inside
        branch.starts += check.uses_start
        branches = [branch]
        for look in self._worlds.looks(check):
            branches = [after for before in branches for after in self._split(before, look, draw, visit, row)]
        if not check.routes():  # a list, or readings that only figures use
            for each in branches:
                each.course.answered(visit, "")
        return branches

    def _split(self, branch: Branch, look: Look, draw: Draw, visit: Visit, row: StepTally) -> Iterator[Branch]:
        """Split a branch over the ways in which one look comes out."""
        weighed = [list(map(mul, branch.sets, chances)) for chances in self._worlds.chances(look, branch.known)]
        chances = [sum(sets) for sets in weighed]
        ways = draw.split(branch.weight, chances)
        for k, weight in ways:
            sets = [x / chances[k] for x in weighed[k]]
            after = branch.fork(weight, sets) if len(ways) > 1 else branch
            after.weight, after.sets = weight, sets
            self._take(after, look.ways[k], visit, row)
            yield after

    def _take(self, branch: Branch, way: Way, visit: Visit, row: StepTally) -> None:
        branch.known.update({sign: level for sign, level in way.says.items() if sign not in branch.known})
        answer, check = way.answer, visit.check
        if answer is None or check is None:
            return
        if check.form != "tick":
            branch.course.answered(visit, answer.id)
        branch.no_starts |= answer.forbids_starts
        proves = check.proof != "words" and (self._place != "phone" or check.caller_proves)
        if proves and answer.finds:
            row.finds_wrong += branch.weight * self._none_there(branch.sets, answer.finds)
            branch.found = tuple(dict.fromkeys((*branch.found, *answer.finds)))

    def _blocked(self, branch: Branch, check: Check) -> bool:
        if self._place not in check.place:
            return True
        used_up = check.uses_start and self._limit is not None and branch.starts >= self._limit
        return used_up or (branch.no_starts and (check.uses_start or check.while_running))

    # ── fixes and ends ──────────────────────────────────────────────────────

    def _do(self, branch: Branch, visit: Visit, tally: Tally) -> list[Branch]:
        """Make a fix; where it cures all causes the unit works and the branch is over."""
        fix = self._book.fixes.get(visit.step.refers)
        row = tally.step(visit)
        row.reached += branch.weight
        if fix is None or not self._may(fix):
            branch.course.answered(visit, UNKNOWN)
            return [branch]
        if fix.id not in branch.fixes:
            row.minutes += branch.weight * fix_minutes(fix)
            branch.fix_minutes += fix_minutes(fix)
            branch.fixes |= {fix.id}
            branch.cured |= self._cures[fix.id]
        works = [branch.cured.issuperset(causes) for causes in self._worlds.sets]
        cured = [x if w else 0.0 for x, w in zip(branch.sets, works, strict=True)]
        chance = sum(cured)
        if chance > 0:
            tally.check_minutes += branch.weight * chance * branch.check_minutes
            least = sum(map(mul, cured, self._repairs.least))
            tally.fix_minutes_more += branch.weight * (chance * branch.fix_minutes - least)
            tally.right += branch.weight * chance
        if chance > 1.0 - _ROUNDING:
            return []
        branch.weight *= 1.0 - chance
        branch.sets = [0.0 if w else x / (1.0 - chance) for x, w in zip(branch.sets, works, strict=True)]
        branch.course.answered(visit, "still")
        return [branch]

    def _may(self, fix: Fix) -> bool:
        return self._place in fix.place and (self._place != "phone" or fix.who == "caller")

    def _end(self, branch: Branch, tally: Tally) -> None:
        """Fix what was found, then the rest by odds per minute, and see what was right."""
        order = self._repairs.order(branch.sets, branch.found, branch.cured)
        more = self._repairs.minutes_more(branch.sets, order, branch.cured, branch.fix_minutes)
        tally.check_minutes += branch.weight * branch.check_minutes
        tally.fix_minutes_more += branch.weight * more
        missing = self._none_there(branch.sets, branch.found)
        tally.right += branch.weight * (1.0 - missing)
        if not branch.found:
            tally.nothing += branch.weight
        end = tally.end(branch.course.where() or HANDOVER)
        end.reached += branch.weight
        end.wrong += branch.weight * missing
        found, names = self._indexes(branch.found), self._worlds.network.causes
        for causes, x in zip(self._worlds.sets, branch.sets, strict=True):
            if x and found.isdisjoint(causes):
                for name in (names[cause] for cause in causes):
                    tally.missed[name] = tally.missed.get(name, 0.0) + branch.weight * x

    def _none_there(self, sets: Sequence[float], names: Sequence[str]) -> float:
        """Return the chance that none of some causes is there."""
        wanted = self._indexes(names)
        there = sum(x for causes, x in zip(self._worlds.sets, sets, strict=True) if not wanted.isdisjoint(causes))
        return max(0.0, 1.0 - there)

    def _indexes(self, names: Sequence[str]) -> frozenset[int]:
        index = self._worlds.network.index
        return frozenset(index[name] for name in names if name in index)
