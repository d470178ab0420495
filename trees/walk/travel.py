"""The way through the trees: from the begin of a tree along the answers to the first step without one.

A visit names a step with the shared trees it was reached through: `smoke_on_start.supply/supply_voltage.loaded`.
Trees are acyclic, also across one another, so a visit happens at most once on any way.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from trees.book.model import Book, Check
from trees.book.tree import Step, Tree
from trees.book.words import UNKNOWN, Place
from trees.language import N_
from trees.walk.answers import Given, Known
from trees.walk.unit import UnitFacts

DOES_NOT_APPLY = N_("does not apply to this unit")
"""Why a step was passed over."""


@dataclass(frozen=True, slots=True)
class Visit:
    """One step on the way; `check` is what is asked there at this place."""

    key: str
    tree: Tree
    step: Step
    check: Check | None = None
    answered: Given | None = None
    passed: str = ""
    """Why the step was passed over without asking, in a few words."""


Here = Literal["step", "end", "stop", "nothing"]


@dataclass(frozen=True, slots=True)
class Travel:
    """The steps passed, and where the way stands now."""

    passed: tuple[Visit, ...]
    here: Here
    visit: Visit | None
    """The open step, the end or the stop; None where no tree is walked or a shared tree came back to nothing."""


@dataclass(frozen=True, slots=True)
class _Frame:
    """A shared tree was run from here; it comes back to `step` of `tree`."""

    tree: Tree
    step: str
    prefix: str


class Traveller:
    """Walks the trees for one job; holds the stack of shared trees."""

    def __init__(self, book: Book, unit: UnitFacts, place: Place, given: Mapping[str, Given], known: Known) -> None:
        self.book, self.unit, self.place, self.given, self.known = book, unit, place, given, known
        self.passed: list[Visit] = []
        self.stack: list[_Frame] = []
        self.prefix = ""
        self.exits_taken: set[str] = set()

    def go(self, tree_id: str | None) -> Travel:
        """Walk from the begin of a tree as far as the answers lead."""
        tree = self.book.trees.get(tree_id or "")
        if tree is None:
            return self._stand("nothing", None)
        at: tuple[Tree, str] | None = (tree, tree.begin)
        while at is not None:
            tree, step_id = at
            step = tree.steps.get(step_id)
            if step is None:  # the book lost this step since the job began
                return self._stand("nothing", None)
            visit = Visit(f"{self.prefix}{tree.id}.{step_id}", tree, step)
            if step.kind == "end":
                return self._stand("end", visit)
            if step.kind == "stop":
                return self._stand("stop", visit)
            moved = self._move(visit)
            if isinstance(moved, Visit):
                return self._stand("step", moved)
            at = moved
        return self._stand("nothing", None)

    def _stand(self, here: Here, visit: Visit | None) -> Travel:
        return Travel(tuple(self.passed), here, visit)

    def _move(self, visit: Visit) -> tuple[Tree, str] | Visit | None:
        """Return the next place, None when a shared tree came back to nothing, or the visit that wants an answer."""
        tree, step = visit.tree, visit.step
        if step.kind == "run":
            shared = self.book.trees.get(step.refers)
            if shared is None or step.then is None:
                return visit
            self.stack.append(_Frame(tree, step.then, self.prefix))
            self.prefix += f"{tree.id}.{step.id}/"
            return shared, shared.begin
        if step.kind == "return":
            return self._come_back()
        if step.kind == "over_to":
            other = self.book.trees.get(step.refers)
            self.stack.clear()
            self.prefix = ""
            return (other, other.begin) if other else visit
        if step.kind == "do":
            return self._after(visit, step.go, step.then, None)
        return self._move_check(visit)

    def _come_back(self) -> tuple[Tree, str] | None:
        if not self.stack:
            return None
        frame = self.stack.pop()
        self.prefix = frame.prefix
        return frame.tree, frame.step

    def _move_check(self, visit: Visit) -> tuple[Tree, str] | Visit | None:
        step, tree = visit.step, visit.tree
        check_id, go, unknown, then = step.refers, step.go, step.unknown, step.then
        instead = step.instead.get(self.place)
        if instead is not None:
            check_id, go, unknown, then = instead.check, instead.go, instead.unknown, None
        check = self.book.checks.get(check_id)
        if check is None:
            return visit
        if not (self.unit.fits(step.applies) and self.unit.fits(check.applies)):
            self.passed.append(Visit(visit.key, tree, step, check, passed=DOES_NOT_APPLY))
            target = unknown or then
            return (tree, target) if target else visit
        visit = Visit(visit.key, tree, step, check)
        # An answer given while the unit was elsewhere stays good after the hand-over.
        if self.place == "phone" and self.place not in check.place and visit.key not in self.given:
            return self._leave_phone(visit)
        if check.form == "figure" and visit.key not in self.given:
            for wanted in self.known.missing_inputs(check):
                inner = Visit(f"{visit.key}<{wanted}", tree, step, self.book.checks[wanted])
                if inner.key not in self.given and (self.place != "phone" or self.place in inner.check.place):  # type: ignore[union-attr]
                    return inner
        for wanted in dict.fromkeys(ref.partition(".")[0] for ref in check.inputs.values()):
            key = f"{visit.key}<{wanted}"
            if key in self.given:
                self.passed.append(Visit(key, tree, step, self.book.checks.get(wanted), self.given[key]))
        return self._after(visit, go, then, unknown)

    def _leave_phone(self, visit: Visit) -> tuple[Tree, str] | Visit | None:
        self.passed.append(Visit(visit.key, visit.tree, visit.step, visit.check, passed=N_("not by phone")))
        if self.stack or visit.tree.shared:
            return self._come_back()
        target = visit.tree.phone_exit
        if target is None or visit.key in self.exits_taken:
            return visit
        self.exits_taken.add(visit.key)
        return visit.tree, target

    def _after(
        self, visit: Visit, go: Mapping[str, str], then: str | None, unknown: str | None
    ) -> tuple[Tree, str] | Visit | None:
        given = self.given.get(visit.key)
        if given is None or given.check != visit.check:  # what a caller told elsewhere is no look at the bench
            return visit
        not_done = given.answer == UNKNOWN
        target = unknown or then or go.get("not_tried") if not_done else go.get(given.answer, then)
        if target is None:  # this edition of the book has no way for that answer: it is asked again
            return visit
        self.passed.append(Visit(visit.key, visit.tree, visit.step, visit.check, given))
        return visit.tree, target
