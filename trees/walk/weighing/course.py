"""One branch of a weighed tree: where it stands, what was answered on the way, and what that cost."""

from __future__ import annotations

from dataclasses import dataclass, field

from trees.book.model import Book, Check
from trees.book.tree import Tree
from trees.book.words import UNKNOWN, Place
from trees.walk.answers import Given, Known
from trees.walk.travel import Traveller, Visit
from trees.walk.unit import UnitFacts


class Course(Traveller):
    """A traveller that can be split: it goes on from where it stands instead of from the begin."""

    def __init__(self, book: Book, unit: UnitFacts, place: Place, tree: Tree) -> None:
        self.answers: dict[str, Given] = {}
        super().__init__(book, unit, place, self.answers, Known(book, unit))
        self.at: tuple[Tree, str] | None = (tree, tree.begin)

    def fork(self) -> Course:
        """Return a course that goes its own way from here."""
        other = Course.__new__(Course)
        other.book, other.unit, other.place = self.book, self.unit, self.place
        other.answers = dict(self.answers)
        other.given = other.answers
        other.known = Known(self.book, self.unit)
        for given in self.answers.values():
            other.known.add(given)
        other.passed, other.stack, other.prefix = [], list(self.stack), self.prefix
        other.exits_taken, other.at = set(self.exits_taken), self.at
        return other

    def onward(self) -> Visit | None:
        """Go on to the next step that wants an answer; None at an end, a stop or the handover."""
        while self.at is not None:
            tree, step_id = self.at
            step = tree.steps.get(step_id)
            if step is None or step.kind in {"end", "stop"} or tree.handover:
                return None
            moved = self._move(Visit(f"{self.prefix}{tree.id}.{step_id}", tree, step))
            if isinstance(moved, Visit):
                stuck = moved.key in self.answers or (moved.check is None and moved.step.kind != "do")
                return None if stuck else moved
            self.at = moved
        return None

    def where(self) -> tuple[str, str] | None:
        """Return the tree and step at which it stands; None in the handover or where nothing leads on."""
        if self.at is None or self.at[0].handover:
            return None
        return self.at[0].id, self.at[1]

    def answered(self, visit: Visit, answer: str) -> None:
        """Record the answer of a visit."""
        subject = visit.check.id if visit.check is not None else visit.step.refers
        given = Given(len(self.answers) + 1, visit.key, visit.check, subject, answer, self.place)
        self.answers[visit.key] = given
        self.known.add(given)

    def earlier(self, check: Check) -> Given | None:
        """Return an answer that the job has to this check already; cannot-tell is none."""
        given = self.known.of(check.id)
        return given if given is not None and given.answer != UNKNOWN else None


@dataclass(slots=True)
class Branch:
    """A course with the weights of the sets of causes that are left on it."""

    course: Course
    weight: float
    """Share of all jobs."""
    sets: list[float]
    """Weights of the sets of causes; they add up to 1."""
    known: dict[str, str] = field(default_factory=dict)
    """Sign → level."""
    check_minutes: float = 0.0
    fix_minutes: float = 0.0
    opened: bool = False
    starts: int = 0
    no_starts: bool = False
    found: tuple[str, ...] = ()
    """Causes that the tree found, in its order."""
    fixes: frozenset[str] = frozenset()
    """Fixes made on the way."""
    cured: frozenset[int] = frozenset()

    def fork(self, weight: float, sets: list[float]) -> Branch:
        """Return a branch that goes its own way from here."""
        return Branch(
            self.course.fork(),
            weight,
            sets,
            dict(self.known),
            self.check_minutes,
            self.fix_minutes,
            self.opened,
            self.starts,
            self.no_starts,
            self.found,
            self.fixes,
            self.cured,
        )
