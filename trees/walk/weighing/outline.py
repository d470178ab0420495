"""The best order written out: which check at each turn, and after which answers, as far as jobs get there often."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from trees.book.model import Answer, Check
from trees.walk.weighing.branches import Draw


@dataclass(frozen=True, slots=True)
class Turning:
    """One turn of an order; those that follow it are deeper by one."""

    depth: int
    share: float
    """How many jobs get there, 0..1."""
    said: tuple[Answer, ...]
    """Answers of the check before that lead here; none at the beginning, and where nothing of a list is true."""
    check: Check | None
    """What is asked here; None where no check pays."""
    minutes: float
    """Of the check, with the readings that it still wants and the opening of the unit."""
    fixes: tuple[str, ...] = ()
    """Where no check pays: the first fixes, best first."""


class Likely(Draw):
    """Follows the ways that enough jobs take, and lets go of the others; nothing is drawn."""

    def __init__(self, least: float) -> None:
        super().__init__(least, seed=0)

    def split(self, weight: float, chances: Sequence[float]) -> list[tuple[int, float]]:
        """Return the ways that at least `least` of all jobs take, with their weight."""
        return [(k, weight * chance) for k, chance in enumerate(chances) if weight * chance >= self.least]
