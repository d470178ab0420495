"""The line of keys: what works now, what fits, painted only when it changes, clickable."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from screen_jobs import past_gate

from tui.panels.key_line import KeyLine, Shown, fitting
from tui.screens.job import JobScreen
from tui.screens.new_job import NewJob
from tui.workshop import Workshop

Open = Callable[..., Any]
ALL = (
    Shown("f2", "F2", "Emergency", "emergency", True),
    Shown("b", "b", "Back", "back", True),
    Shown("j", "j", "Note", "note", True),
    Shown("escape", "Esc", "List", "day_list", True),
    Shown("f1", "F1", "Keys", "help", True),
)


def last_line(screen: Any) -> str:
    """Return the line of keys as it is painted."""
    return str(screen.text().split("\n")[-1])


@pytest.mark.parametrize(
    ("width", "keys"),
    [(200, "F2 b j Esc F1"), (49, "F2 b j Esc F1"), (48, "F2 b Esc F1"), (40, "F2 Esc F1"), (10, "F2 Esc F1")],
)
def test_help_way_out_and_emergency_are_never_left_out(width: int, keys: str) -> None:
    """Where not all fit, the others go from behind, and the order stays."""
    assert " ".join(one.printed for one in fitting(ALL, width)) == keys


async def test_keys_of_a_screen_are_not_painted_anew_while_they_are_the_same(
    open_screen: Open, workshop: Workshop
) -> None:
    """An answer that leaves the keys as they are leaves the line as it is."""
    async with open_screen(workshop) as screen:
        await screen.press("n")
        await screen.type("smokes")
        await screen.press("enter", "1", "enter")
        line = screen.app.screen.query_one(KeyLine)
        told: list[int] = []
        show = line.show
        line.show = lambda: (told.append(1), show())  # type: ignore[method-assign, func-returns-value, assignment, return-value]
        screen.app.screen.refresh_bindings()
        await screen.settle()
        assert told == []
        await screen.press("1")
        assert told  # Enter takes the marked answer now
        assert "Enter Take" in last_line(screen)


async def test_click_on_a_key_presses_it(open_screen: Open, workshop: Workshop) -> None:
    """Nothing needs the mouse, and everything allows it."""
    async with open_screen(workshop) as screen:
        at = last_line(screen).index("New job")
        await screen.pilot.click(KeyLine, offset=(at, 0))
        await screen.settle()
        assert isinstance(screen.app.screen, NewJob)


async def test_field_with_the_keys_shows_its_own(open_screen: Open, workshop: Workshop) -> None:
    """In a field Enter and Esc mean the field; outside it they mean the screen."""
    async with open_screen(workshop) as screen:
        await past_gate(screen, "smokes")
        await screen.press("r", "2", "enter", "1")
        assert isinstance(screen.app.screen, JobScreen)
        assert "Esc Leave the field" in last_line(screen)
        await screen.press("escape")
        assert "Esc List" in last_line(screen)
