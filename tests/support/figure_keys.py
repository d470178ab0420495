"""The figures' screen as tests use it: a figure picked by a part of its name, its fields filled."""

from __future__ import annotations

from typing import Any

from textual.widgets import Input

from tui.screens.figures import FiguresScreen


async def pick(screen: Any, part: str, key: str = "v") -> FiguresScreen:
    """Open the figures, put in a part of one's name at once, take the marked one."""
    await screen.press(key)
    figures = screen.app.screen
    assert isinstance(figures, FiguresScreen)
    figures.query_one("#figure-part", Input).value = part
    await screen.press("enter")
    return figures


async def fill(screen: Any, *texts: str) -> None:
    """Type into one field after the other, Enter between them."""
    for place, text in enumerate(texts):
        if place:
            await screen.press("enter")
        await screen.type(text)
