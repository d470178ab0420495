"""The emergency card from every screen, card and field: it stands at once, takes nothing away, and the job has it."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from screen_jobs import past_gate

from tui.calls import CallBoard
from tui.screens.emergency import EmergencyCard
from tui.workshop import Workshop

Open = Callable[..., Any]
OVER_A_JOB = (
    *("j", "m", "w", "f", "p", "y", "h", "q", "f3", "plus", "exclamation_mark", "number_sign", "at"),
    *("ampersand", "f1", "ctrl+p", "v", "t", "c", "0", "1"),
)
"""Keys after which something else than the bare question stands on the screen, or something is marked."""
FROM_THE_LIST = (
    (),
    ("n",),
    ("v",),
    ("v", "enter"),
    ("slash",),
    ("slash", "tab"),
    ("o",),
    ("o", "percent_sign"),
    ("f9",),
    ("f9", "enter"),
    ("f1",),
    ("ctrl+p",),
)
"""Keys from the day list to every screen without a job, and to a field or a card on it."""


@pytest.mark.parametrize("key", OVER_A_JOB)
async def test_over_a_job_it_is_recorded_and_what_was_there_stays(
    open_screen: Open, workshop: Workshop, key: str
) -> None:
    """F2 opens the card over any card of a job, F2 closes it again; the job has one line of it."""
    workshop.calls = CallBoard(lambda: 50.0)
    workshop.calls.hold("J-0099", "noise")
    async with open_screen(workshop) as screen:
        job = await past_gate(screen)
        await screen.press("r", key)
        under, focus, before = screen.app.screen, screen.app.focused, screen.text()
        await screen.press("f2")
        assert isinstance(screen.app.screen, EmergencyCard)
        assert "Everybody out into fresh air now" in screen.text()
        await screen.press("f2")
        assert screen.app.screen is under
        assert screen.app.focused is focus
        assert [e.kind for e in job.walk.entries].count("emergency_card") == 1
        without_trail = [row[:44].rstrip() for row in before.splitlines()]
        assert [row[:44].rstrip() for row in screen.text().splitlines()] == without_trail


@pytest.mark.parametrize("keys", FROM_THE_LIST)
async def test_without_a_job_it_takes_nothing_away(
    open_screen: Open, workshop: Workshop, keys: tuple[str, ...]
) -> None:
    """From list, new job, figures, casebook, book, recount, settings and their fields: the card, and back there."""
    async with open_screen(workshop) as screen:
        await screen.press(*keys)
        under, focus, before = screen.app.screen, screen.app.focused, screen.text()
        for close in ("f2", "escape", "enter"):
            await screen.press("f2")
            assert isinstance(screen.app.screen, EmergencyCard)
            await screen.press(close)
            assert screen.app.screen is under
            assert screen.app.focused is focus
            assert screen.text() == before
