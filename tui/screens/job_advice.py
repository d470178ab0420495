"""What a job comes to: the minutes left and the next check, worked out beside the screen, once for each walk."""

from __future__ import annotations

import asyncio
from dataclasses import dataclass

from trees.errors import SuspectsError
from trees.language import _
from trees.suspects import Advice
from trees.walk import Walk
from trees.walk.minutes_left import minutes_left
from trees.walk.reasons import advice_of
from tui.screens.job_bench import JobBench

HOLD_S = 0.1
"""An answer on disk waits at most so long for what it comes to: painting once is quicker than painting twice."""


@dataclass(frozen=True, slots=True)
class Ahead:
    """What a walk comes to."""

    left: str
    """From how few to how many minutes lie before the next repair, in words."""
    advice: Advice | None
    """What to do next; None where the job wants nothing of the kind, or its answers can't be weighed."""


class JobAdvice(JobBench):
    """The part of the job screen that looks ahead."""

    _looked_at: tuple[Walk, asyncio.Task[Ahead]] | None = None

    def look_ahead(self, walk: Walk) -> asyncio.Task[Ahead]:
        """Work out off the event loop what a walk comes to; the same walk is worked out once."""
        if self._looked_at is None or self._looked_at[0] is not walk:
            self._looked_at = walk, asyncio.create_task(asyncio.to_thread(ahead_of, walk))
        return self._looked_at[1]

    async def keep_and_look_ahead(self, walk: Walk) -> None:
        """Write what a walk adds to the casebook; what it comes to is worked out meanwhile. Raises as `keep` does."""
        ahead = self.look_ahead(walk)
        await self.job.keep(walk)
        if not self.intake:  # a fact that is not the last leads to the next
            await asyncio.wait({ahead}, timeout=HOLD_S)


def ahead_of(walk: Walk) -> Ahead:
    """Return what a walk comes to."""
    try:
        advice = advice_of(walk)
    except SuspectsError:
        advice = None
    return Ahead(left_words(walk), advice)


def left_words(walk: Walk) -> str:
    """Return from how few to how many minutes lie before the next repair, tree or end; empty where nobody knows."""
    left = minutes_left(walk)
    if left is None or not left[1]:
        return ""
    fewest, most = left
    return (
        _(", next repair in {fewest:.0f} min").format(fewest=fewest)
        if round(fewest) == round(most)
        else _(", next repair in {fewest:.0f}–{most:.0f} min").format(fewest=fewest, most=most)
    )
