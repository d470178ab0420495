"""Following the branches of a job: all of them where they are few, a fair draw among the unlikely ones where not."""

from __future__ import annotations

import math
import random
from collections.abc import Sequence
from dataclasses import dataclass
from statistics import fmean, stdev


class TooManyBranches(Exception):  # noqa: N818
    """A draw that was to follow every branch met more than it may; never leaves this package."""


class Draw:
    """
    Splits the weight of a branch over its ways out.

    A way likelier than `least` (of all jobs) is followed itself. The less likely ones share their weight among as many
    of them as carry `least` each, one at least, drawn so that each way is followed with its own share on average.
    With `least` 0 every way is followed and nothing is drawn.
    """

    def __init__(self, least: float, seed: int, most: int | None = None) -> None:
        """`most` bounds the branches; one more raises TooManyBranches."""
        self.least = least
        self._branches_left = most
        self.drew = False
        """Something was left to the draw, so that the figures have an error."""
        # a fixed seed: the same book gives the same figures; nothing secret hangs on it
        self._random = random.Random(seed)  # noqa: S311

    def split(self, weight: float, chances: Sequence[float]) -> list[tuple[int, float]]:
        """Return the ways to follow with their weight; the weights add up to `weight`."""
        shares = [(k, weight * chance) for k, chance in enumerate(chances) if chance > 0]
        likely = [(k, share) for k, share in shares if share >= self.least]
        rest = [(k, share) for k, share in shares if share < self.least]
        if self._branches_left is not None:
            self._branches_left -= len(shares) - 1
            if self._branches_left < 0:
                raise TooManyBranches
        if len(rest) < 2:
            return shares
        together = math.fsum(share for _, share in rest)
        count = max(1, int(together / self.least))
        if count >= len(rest):
            return shares
        self.drew = True
        return likely + self._draw(rest, together, count)

    def _draw(self, rest: Sequence[tuple[int, float]], together: float, count: int) -> list[tuple[int, float]]:
        """Draw `count` of the ways at even distances along their weights."""
        step = together / count
        mark = self._random.random() * step
        drawn: list[tuple[int, float]] = []
        passed = 0.0
        for k, share in rest:
            passed += share
            if mark < passed and len(drawn) < count:
                drawn.append((k, step))
                mark += step
        if len(drawn) < count:  # the last mark fell beyond the sum by a rounding
            drawn.append((rest[-1][0], together - step * len(drawn)))
        return drawn


@dataclass(frozen=True, slots=True)
class Estimate:
    """A mean and its standard error; the error is 0 where nothing was drawn."""

    value: float
    error: float = 0.0

    @classmethod
    def of(cls, values: Sequence[float]) -> Estimate:
        """Return mean and standard error of independent draws."""
        if len(values) < 2:
            return cls(values[0])
        return cls(fmean(values), stdev(values) / math.sqrt(len(values)))
