"""Every key that is shown works, and every key that works is listed."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import pytest
from textual.app import App
from textual.screen import Screen

from tui import commands
from tui.commands import EVERYWHERE, Command
from tui.screens.base import all_bindings
from tui.screens.book import BookScreen
from tui.screens.conclusion import ConclusionScreen
from tui.screens.day_list import DayList
from tui.screens.figures import FiguresScreen
from tui.screens.job import JobScreen
from tui.screens.new_job import NewJob

SCREENS = [DayList, NewJob, JobScreen, ConclusionScreen, FiguresScreen, BookScreen]


def method(command: Command) -> str:
    """Return the name of the method that a command calls."""
    return f"action_{command.id.partition('(')[0]}"


@pytest.mark.parametrize("screen", SCREENS)
def test_every_command_has_its_action(screen: Any) -> None:
    """A key in the list calls something."""
    for command in (*screen.KEYS, *EVERYWHERE):
        assert hasattr(screen, method(command)), command.id


@pytest.mark.parametrize("screen", SCREENS)
def test_no_key_is_used_twice_on_one_screen(screen: Any) -> None:
    """If two commands share a key only the first would ever fire."""
    keys = [key for command in (*screen.KEYS, *EVERYWHERE) for key in command.keys.split(",")]
    assert len(keys) == len(set(keys)), keys


@pytest.mark.parametrize("screen", SCREENS)
async def test_every_key_really_fires(screen: Any) -> None:
    """Key names are not checked by the library: each is pressed here and must call its command."""
    fired: list[str] = []
    listed: Sequence[Command] = (*screen.KEYS, *EVERYWHERE)

    def recorder(name: str) -> Any:
        return lambda _self, *arguments: fired.append(f"{name}({arguments[0]})" if arguments else name)

    actions = {method(c): recorder(c.id.partition("(")[0]) for c in listed}
    probe = type("Probe", (Screen,), {"BINDINGS": all_bindings(screen.KEYS), **actions})

    class ProbeApp(App[None]):
        """Ctrl+Q is taken by the library's own quit before any screen sees it; it leaves as well."""

        async def action_quit(self) -> None:
            fired.append("leave")

    app = ProbeApp()
    async with app.run_test() as pilot:
        app.push_screen(probe())
        await pilot.pause()
        for command in listed:
            for key in command.keys.split(","):
                fired.clear()
                await pilot.press(key)
                assert fired == [command.id], (command.id, key)


def test_help_says_a_sentence_for_every_command() -> None:
    """Each command explains itself in one sentence, with a label short enough for the footer."""
    groups = (
        commands.DAY_LIST,
        commands.NEW_JOB,
        commands.JOB,
        commands.CONCLUSION,
        commands.FIGURES,
        commands.BOOK,
        EVERYWHERE,
    )
    for group in groups:
        for command in group:
            assert command.help.endswith("."), command.id
            assert 1 <= len(command.label) <= 14, command.id
