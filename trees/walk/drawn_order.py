"""What an author's tree costs: its checks as they are drawn, then the fixes of what it found, then the others."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from operator import mul

from trees.book.model import UNKNOWN, Book, Check, Fix, Place, Tree
from trees.walk.branches import Draw
from trees.walk.course import Branch, Course
from trees.walk.travel import Visit
from trees.walk.unit import UnitFacts
from trees.walk.worlds import Look, Way, Worlds, fix_minutes

HANDOVER = "handover"


@dataclass(slots=True)
class Tally:
    """What is added up over all branches; minutes and chances are those of one job on average."""

    check_minutes: float = 0.0
    fix_minutes_more: float = 0.0
    """Fix minutes above those with the cause known from the start."""
    right: float = 0.0
    """A cause that is there was found."""
    nothing: float = 0.0
    """Nothing was found."""
    steps: dict[tuple[str, str], list[float]] = field(default_factory=dict)
    """Tree and step → minutes, chance to get there, chance that what it finds is not there."""
    ends: dict[tuple[str, str], list[float]] = field(default_factory=dict)
    """Tree and step → chance to end there, chance that nothing right was found by then."""
    missed: dict[str, float] = field(default_factory=dict)
    """Cause → chance that it is there and nothing right was found."""

    def at(self, visit: Visit) -> list[float]:
        """Return the row of a step."""
        return self.steps.setdefault((visit.tree.id, visit.step.id), [0.0, 0.0, 0.0])


class DrawnOrder:
    """Follows a tree with the job's memory: what is known already costs nothing, opening the unit is charged once."""

    def __init__(self, book: Book, worlds: Worlds, tree: Tree, place: Place, unit: UnitFacts) -> None:
        self.book, self.worlds, self.tree, self.place, self.unit = book, worlds, tree, place, unit
        self._cures = {fix.id: worlds.cured_by(fix) for fix in book.fixes.values()}

    def tally(self, draw: Draw) -> Tally:
        """Follow the branches and add up."""
        tally = Tally()
        known = {sign: level for sign, level in self.tree.complaint_says.items() if sign in self.worlds.network.signs}
        course = Course(self.book, self.unit, self.place, self.tree)
        waiting = [Branch(course, 1.0, list(self.worlds.start), known)]
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

    # ── steps ───────────────────────────────────────────────────────────────

    def _check(self, branch: Branch, visit: Visit, check: Check, draw: Draw, tally: Tally) -> Iterator[Branch]:
        row = tally.at(visit)
        row[1] += branch.weight
        earlier = branch.course.earlier(check)
        if earlier is not None:
            branch.course.answered(visit, earlier.answer)
            yield branch
            return
        if self._blocked(branch, check):
            branch.course.answered(visit, UNKNOWN)
            yield branch
            return
        minutes = self._minutes(branch, check)
        row[0] += branch.weight * minutes
        branch.check_minutes += minutes
        branch.opened |= check.inside
        branch.starts += check.uses_start
        branches = [branch]
        looks = self.worlds.looks(check)
        for look in looks:
            branches = [split for b in branches for split in self._split(b, look, draw, visit, row)]
        for each in branches:
            if not looks or check.form == "tick":
                each.course.answered(visit, "")
            yield each

    def _split(self, branch: Branch, look: Look, draw: Draw, visit: Visit, row: list[float]) -> Iterator[Branch]:
        """Split a branch over the ways in which one look comes out."""
        weighed = [list(map(mul, branch.sets, row)) for row in self.worlds.chances(look, branch.known)]
        chances = [sum(sets) for sets in weighed]
        ways = draw.split(branch.weight, chances)
        for k, weight in ways:
            sets = [x / chances[k] for x in weighed[k]]
            after = branch.fork(weight, sets) if len(ways) > 1 else branch
            after.weight, after.sets = weight, sets
            self._take(after, look.ways[k], visit, row)
            yield after

    def _take(self, branch: Branch, way: Way, visit: Visit, row: list[float]) -> None:
        branch.known.update({sign: level for sign, level in way.says.items() if sign not in branch.known})
        answer, check = way.answer, visit.check
        if answer is None or check is None:
            return
        if check.form != "tick":
            branch.course.answered(visit, answer.id)
        branch.no_starts |= answer.forbids_starts
        proves = check.proof != "words" and (self.place != "phone" or check.caller_proves)
        if proves and answer.finds:
            row[2] += branch.weight * self._none_there(branch.sets, answer.finds)
            branch.finds(answer.finds)

    def _do(self, branch: Branch, visit: Visit, tally: Tally) -> Iterator[Branch]:
        fix = self.book.fixes.get(visit.step.refers)
        row = tally.at(visit)
        row[1] += branch.weight
        if fix is None or not self._may(fix):
            branch.course.answered(visit, UNKNOWN)
            yield branch
            return
        if fix.id in branch.fixes:
            branch.course.answered(visit, "still")
            yield branch
            return
        row[0] += branch.weight * fix_minutes(fix)
        branch.fix_minutes += fix_minutes(fix)
        branch.fixes |= {fix.id}
        branch.cured |= self._cures[fix.id]
        works = [all(i in branch.cured for i in causes) for causes in self.worlds.sets]
        chance = sum(x for x, cured in zip(branch.sets, works, strict=True) if cured)
        if chance > 0:
            self._works(branch, works, chance, tally)
        if chance < 1.0 - 1e-12:
            branch.weight *= 1.0 - chance
            branch.sets = [
                0.0 if cured else x / (1.0 - chance) for x, cured in zip(branch.sets, works, strict=True)
            ]
            branch.course.answered(visit, "still")
            yield branch

    def _works(self, branch: Branch, works: Sequence[bool], chance: float, tally: Tally) -> None:
        """Close the part of a branch in which a fix made the unit work: the cure found the cause."""
        least = sum(
            x * minutes for x, minutes, w in zip(branch.sets, self.worlds.least, works, strict=True) if w
        )
        tally.check_minutes += branch.weight * chance * branch.check_minutes
        tally.fix_minutes_more += branch.weight * (chance * branch.fix_minutes - least)
        tally.right += branch.weight * chance

    def _end(self, branch: Branch, tally: Tally) -> None:
        """Fix what was found, then the rest by odds per minute, and see what was right."""
        worlds = self.worlds
        order = worlds.fix_order(branch.sets, branch.found, branch.cured)
        more = sum(
            x * (branch.fix_minutes + worlds.minutes_of(h, order, branch.cured) - worlds.least[h])
            for h, x in enumerate(branch.sets)
            if x
        )
        tally.check_minutes += branch.weight * branch.check_minutes
        tally.fix_minutes_more += branch.weight * more
        missing = self._none_there(branch.sets, branch.found)
        tally.right += branch.weight * (1.0 - missing)
        if not branch.found:
            tally.nothing += branch.weight
        stands = branch.course.where()
        key = (stands[0].id, stands[1].id) if stands is not None and not stands[0].handover else (HANDOVER, "")
        end = tally.ends.setdefault(key, [0.0, 0.0])
        end[0] += branch.weight
        end[1] += branch.weight * missing
        found = {worlds.network.index[name] for name in branch.found if name in worlds.network.index}
        for causes, x in zip(worlds.sets, branch.sets, strict=True):
            if x and not found & set(causes):
                for cause in causes:
                    name = worlds.network.causes[cause]
                    tally.missed[name] = tally.missed.get(name, 0.0) + branch.weight * x

    # ── what a step takes ───────────────────────────────────────────────────

    def _none_there(self, sets: Sequence[float], names: Sequence[str]) -> float:
        """Return the chance that none of some causes is there."""
        wanted = {self.worlds.network.index[name] for name in names if name in self.worlds.network.index}
        there = sum(x for causes, x in zip(self.worlds.sets, sets, strict=True) if wanted & set(causes))
        return max(0.0, 1.0 - there)

    def _minutes(self, branch: Branch, check: Check) -> float:
        own = 0.0 if check.form == "figure" else check.minutes
        return own + (self.book.opening_minutes if check.inside and not branch.opened else 0.0)

    def _blocked(self, branch: Branch, check: Check) -> bool:
        if self.place not in check.place:
            return True
        limit = self.book.start_limit.get(self.place)
        used_up = check.uses_start and limit is not None and branch.starts >= limit
        return used_up or (branch.no_starts and (check.uses_start or check.while_running))

    def _may(self, fix: Fix) -> bool:
        return self.place in fix.place and (self.place != "phone" or fix.who == "caller")
