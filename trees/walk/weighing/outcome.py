"""What weighing a tree brings out."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from trees.book.words import Place
from trees.walk.weighing.branches import Estimate
from trees.walk.weighing.outline import Turning

Best = Literal["tree", "minutes", "bits", "rollout"]
"""Which order was the best found: the tree's own or the one by a rule."""


@dataclass(frozen=True, slots=True)
class StepCost:
    """One step of the tree, for one job on average."""

    tree: str
    step: str
    no: int
    minutes: float
    reached: float
    """Chance to get there."""
    finds_wrong: float
    """Chance that what it finds is not there."""


@dataclass(frozen=True, slots=True)
class EndMiss:
    """One end of the tree: how often it is reached, and how often with none of the true causes found."""

    tree: str
    """Empty for the handover."""
    step: str
    no: int
    reached: float
    wrong: float


@dataclass(frozen=True, slots=True)
class Weighing:
    """A tree weighed by the book's own shares, words and minutes; minutes are those of one job on average."""

    tree: str
    most_causes: int
    place: Place
    sets: int
    """Sets of causes that were followed."""
    covers: float
    """What part of all jobs with up to `most_causes` causes they stand for."""
    checks: tuple[str, ...]
    """Checks that the tree makes at this place."""
    author: Estimate
    """Minutes to a working unit by the tree: checks, fixes of what it finds, then the other fixes."""
    author_checks: Estimate
    best: Estimate
    best_checks: Estimate
    best_by: Best
    limit_minutes: float
    """With the causes known from the start: fixes alone."""
    first_check: str | None
    """What the best order asks first; None where fixing at once is cheaper."""
    right: Estimate
    """Chance that a cause found by the tree is there."""
    nothing: Estimate
    """Chance that it finds nothing."""
    steps: tuple[StepCost, ...]
    """All steps, costliest first."""
    ends: tuple[EndMiss, ...]
    """All ends, most often wrong first."""
    missed: tuple[tuple[str, float], ...]
    """Causes that were there with no true cause found, most often first."""
    order: tuple[Turning, ...] = ()
    """The better of the orders found, turn by turn; empty where nobody asked for it."""
    order_by: Best = "tree"
    """The rule of that order."""

    @property
    def slower_per_cent(self) -> float:
        """How many per cent more minutes the tree takes than the best order found."""
        return 100.0 * (self.author.value / self.best.value - 1.0) if self.best.value else 0.0

    @property
    def drawn(self) -> bool:
        """Some branches were drawn, so the minutes have an error."""
        return bool(self.author.error or self.best.error)
