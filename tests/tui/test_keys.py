"""Every key that is shown works, and every key that works is listed."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import pytest
from contrast import segments
from textual.app import App
from textual.screen import Screen

from tui import commands
from tui.commands import EVERYWHERE, Command
from tui.screens.base import all_bindings
from tui.screens.book import BookScreen
from tui.screens.casebook import CasebookScreen
from tui.screens.conclusion import ConclusionScreen
from tui.screens.day_list import DayList
from tui.screens.figures import FiguresScreen
from tui.screens.job import JobScreen
from tui.screens.new_job import NewJob
from tui.screens.recount import RecountScreen
from tui.screens.settings import SettingsScreen
from tui.workshop import Workshop

SCREENS = [
    DayList,
    NewJob,
    JobScreen,
    ConclusionScreen,
    FiguresScreen,
    BookScreen,
    SettingsScreen,
    CasebookScreen,
    RecountScreen,
]
GROUPS = {
    name: group
    for name, group in vars(commands).items()
    if isinstance(group, tuple) and group and isinstance(group[0], Command)
}
"""Every tuple of records, also those that are written after this test."""


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
        """Ctrl+Q and Ctrl+P are taken by the library before any screen sees them; they do the same."""

        async def action_quit(self) -> None:
            fired.append("leave")

        def action_command_palette(self) -> None:
            fired.append("command_palette")

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
    for group in GROUPS.values():
        for command in group:
            assert command.help.endswith("."), command.id
            assert 1 <= len(command.label) <= 14, command.id


def test_the_same_key_means_the_same_on_every_screen() -> None:
    """Whoever knows a key from one screen is never surprised by it on another."""
    meanings: dict[str, dict[str, str]] = {}
    for name, group in GROUPS.items():
        for command in group:
            for key in command.keys.split(","):
                meanings.setdefault(key, {}).setdefault(command.meaning, f"{name}.{command.id}")
    several = {key: found for key, found in meanings.items() if len(found) > 1}
    assert several == {}


def test_senses_are_not_stretched_over_different_things() -> None:
    """Only keys that every program uses in one way share a sense; all other keys belong to one command."""
    senses = {command.sense for group in GROUPS.values() for command in group if command.sense}
    assert senses <= {commands.TAKE, commands.LEAVE_HERE, commands.TREE_MAP, commands.OTHER_PART}


class Stage:
    """Brings a screen up with something to work on, in the running program."""

    def __init__(self, screen: Any) -> None:
        self.screen = screen

    async def on(self, wanted: str) -> Any:
        """Go to a screen and return it."""
        await getattr(self, wanted)()
        return self.screen.app.screen

    async def day_list(self) -> None:
        """Leave a job behind, so that there is one to open."""
        await self.job()
        await self.screen.press("escape")

    async def new_job(self) -> None:
        """Stand in the field for the complaint."""
        await self.screen.press("n")
        await self.screen.type("smokes")

    async def job(self) -> None:
        """Stand before the first question of the tree, its caution read."""
        await self.new_job()
        await self.screen.press("enter", "1", "enter", "1", "enter", "r")

    async def conclusion(self) -> None:
        """Stand at the conclusion of an open job."""
        await self.job()
        await self.screen.press("c")

    async def figures(self) -> None:
        """Stand in the list of figures, a part typed."""
        await self.screen.press("v")

    async def settings(self) -> None:
        """Stand in the settings."""
        await self.screen.press("f9")

    async def casebook(self) -> None:
        """Stand in the casebook with three jobs listed."""
        for words in ("smokes", "stinks", "dies"):
            await self.screen.press("n")
            await self.screen.type(words)
            await self.screen.press("enter", "escape")
        await self.screen.press("slash")
        await self.screen.until(lambda: self.screen.app.screen.marked() is not None)

    async def book(self) -> None:
        """Stand in the author's screen."""
        await self.screen.press("o")


def looks(screen: Any) -> tuple[Any, ...]:
    """Return all that a key could have changed: texts, cards, messages, the focus, the entries of the job."""
    app = screen.app
    job = getattr(app.screen, "job", None)
    entries = len(job.walk.entries) if hasattr(job, "walk") else 0
    return (
        [(line, text, str(style)) for line, text, style in segments(app)],
        [type(each).__name__ for each in app.screen_stack],
        len(app._notifications),
        app.focused,
        entries,
        app.is_running,
    )


PRESSED = [
    ("day_list", DayList),
    ("new_job", NewJob),
    ("conclusion", ConclusionScreen),
    ("settings", SettingsScreen),
    ("figures", FiguresScreen),
    ("book", BookScreen),
    ("casebook", CasebookScreen),
    ("job", JobScreen),
]
NOTHING_TO_SEE = {"move(-1)", "page(-1)", "recheck"}
"""At the top of a list there is nowhere to go up to; files that nobody changed are checked with the same result."""


@pytest.mark.parametrize(("stage", "kind"), PRESSED)
async def test_every_key_that_is_shown_now_does_something_now(
    open_screen: Any, workshop: Workshop, stage: str, kind: Any
) -> None:
    """Footer and palette offer only what works: each command changes the screen, a card, a message or the job."""
    idle = []
    async with open_screen(workshop, (120, 40)) as screen:
        shown = await Stage(screen).on(stage)
        assert isinstance(shown, kind)
        # What is taken with Enter changes the stage, so it comes last.
        offered = sorted((command for command, _ in shown.possible()), key=lambda c: c.sense == commands.TAKE)
        base = list(screen.app.screen_stack)
        for command in offered:
            if command.id in {"leave", "suspend"} | NOTHING_TO_SEE or command.sense == commands.LEAVE_HERE:
                continue  # they leave this stage; that they fire is tested above
            before = looks(screen)
            await shown.run_action(command.id)
            await screen.settle()
            if looks(screen) == before:
                await screen.pilot.pause(0.05)
                idle += [command.id] if looks(screen) == before else []
            while len(screen.app.screen_stack) > len(base):
                screen.app.pop_screen()
                await screen.settle()
            if screen.app.screen is not shown:
                break
    assert idle == []


async def test_palette_holds_every_command_that_works_now_and_runs_it(open_screen: Any, workshop: Workshop) -> None:
    """Ctrl+P, a part of the name, Enter: any command, without knowing its key."""
    async with open_screen(workshop, (120, 40)) as screen:
        shown = screen.app.screen
        listed = {command.title for command in screen.app.get_system_commands(shown)}
        working = {f"{c.label}  ({c.key_name})" for c in (*DayList.KEYS, *EVERYWHERE) if c.id not in {"open"}}
        assert listed == working - {f"{commands.PALETTE.label}  ({commands.PALETTE.key_name})"}
        await screen.press("ctrl+p")
        await screen.type("sett")
        await screen.until(lambda: "Settings  (F9)" in screen.text())
        await screen.press("enter")
        await screen.until(lambda: isinstance(screen.app.screen, SettingsScreen))
