"""A job on the screen as tests begin it: by keys, with the small book."""

from __future__ import annotations

from typing import Any

from tui.screens.job import JobScreen


async def begun(screen: Any, words: str = "smokes white") -> JobScreen:
    """Begin a job: n, the words, Enter."""
    await screen.press("n")
    await screen.type(words)
    await screen.press("enter")
    assert isinstance(screen.app.screen, JobScreen)
    return screen.app.screen  # type: ignore[no-any-return]


async def past_gate(screen: Any, words: str = "smokes white") -> JobScreen:
    """Begin a job and answer the two safety questions."""
    job = await begun(screen, words)
    await screen.press("1", "enter", "1", "enter")
    return job


async def to_hours(screen: Any) -> JobScreen:
    """Begin a job and leave its tree for the grid of the run hours."""
    job = await past_gate(screen)
    await screen.press("plus")
    await screen.type("run hours")
    await screen.press("enter")
    await screen.until(lambda: job.walk.question.form == "readings")
    await screen.settle()
    return job
