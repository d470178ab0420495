"""What the window does to what is being done: resized, put into the background, its text copied, nothing is lost."""

from __future__ import annotations

import os
import signal
from collections.abc import Awaitable, Callable
from pathlib import Path
from typing import Any

import pytest
from real_program import RealProgram
from screen_jobs import past_gate
from textual.widgets import Input

from tui.screens.job import JobScreen
from tui.screens.too_small import TooSmall
from tui.workshop import Workshop

Open = Callable[..., Any]
WINDOWS = [(120, 40), (60, 20), (50, 12), (60, 20), (200, 60), (80, 24)]


# ── ways to every field ─────────────────────────────────────────────────────


async def complaint(screen: Any) -> None:
    """Stand where the complaint is typed."""
    await screen.press("n")


async def job(screen: Any) -> None:
    """Stand before the first question of the tree, its caution read."""
    await past_gate(screen, "smokes")
    await screen.press("r")


async def reading(screen: Any) -> None:
    """Stand in the field of a reading."""
    await job(screen)
    await screen.press("2", "enter", "1")


async def note(screen: Any) -> None:
    """Stand on the card of a note."""
    await job(screen)
    await screen.press("j")


async def part_of_a_figure(screen: Any) -> None:
    """Stand where a part of a figure's name is typed."""
    await screen.press("v")


async def figure(screen: Any) -> None:
    """Stand in the first field of a figure."""
    await screen.press("v")
    await screen.type("drop")
    await screen.press("enter")


async def casebook(screen: Any) -> None:
    """Stand where a job is looked for."""
    await screen.press("slash")


async def setting(screen: Any) -> None:
    """Stand on the card of the first setting."""
    await screen.press("f9")
    await screen.press("home", "enter", "ctrl+u")


FIELDS = [complaint, reading, note, part_of_a_figure, figure, casebook, setting]


@pytest.mark.parametrize("way", FIELDS, ids=[way.__name__ for way in FIELDS])
async def test_resize_in_the_middle_of_typing_loses_nothing(
    open_screen: Open, workshop: Workshop, way: Callable[[Any], Awaitable[None]]
) -> None:
    """Text, cursor, focus and screen are the same after a window that grew, shrank and was too small for a while."""
    async with open_screen(workshop) as screen:
        await way(screen)
        field = screen.app.focused
        assert isinstance(field, Input)
        shown = screen.app.screen
        await screen.type("12")
        for window in WINDOWS:
            await screen.pilot.resize_terminal(*window)
            await screen.pilot.pause()
            if isinstance(screen.app.screen, TooSmall):
                await screen.type("9")  # must not reach a field that can't be seen
        assert screen.app.screen is shown
        assert screen.app.focused is field
        await screen.type(",5")
        assert field.value == "12,5"


async def test_resize_keeps_what_is_chosen_and_where_the_trail_stands(open_screen: Open, workshop: Workshop) -> None:
    """A marked answer stays marked and untaken; the mark in the trail stays where it was."""
    async with open_screen(workshop) as screen:
        await job(screen)
        shown = screen.app.screen
        assert isinstance(shown, JobScreen)
        await screen.press("2")
        for window in WINDOWS:
            await screen.pilot.resize_terminal(*window)
            await screen.pilot.pause()
        assert shown.chosen == 1
        entries = len(shown.walk.entries)
        await screen.press("t", "up")
        marked = screen.app.focused.highlighted
        for window in WINDOWS:
            await screen.pilot.resize_terminal(*window)
            await screen.pilot.pause()
        assert screen.app.focused.highlighted == marked
        assert len(shown.walk.entries) == entries


# ── copying ─────────────────────────────────────────────────────────────────


async def test_selected_text_is_copied(open_screen: Open, workshop: Workshop) -> None:
    """Drag over the question, Ctrl+C: its words are handed to the terminal's clipboard, without the screen's frame."""
    async with open_screen(workshop) as screen:
        await job(screen)
        wording = screen.app.screen.query_one("#q-wording")
        await screen.pilot.mouse_down(wording, offset=(0, 1))
        await screen.pilot.hover(wording, offset=(8, 1))
        await screen.pilot.mouse_up(wording, offset=(8, 1))
        await screen.press("ctrl+c")
        assert screen.app.clipboard
        assert "How long does it smoke?".startswith(screen.app.clipboard)
        assert len(screen.app.clipboard) >= 8


async def test_typed_text_is_copied_and_put_in_elsewhere(open_screen: Open, workshop: Workshop) -> None:
    """Shift+Home marks what is typed, Ctrl+C takes it, Ctrl+V puts it into another field."""
    async with open_screen(workshop) as screen:
        await casebook(screen)
        await screen.type("quay 7")
        await screen.press("shift+home", "ctrl+c", "escape", "n", "ctrl+v")
        assert screen.app.focused.value == "quay 7"


def test_the_real_program_sends_the_copy_to_the_terminal(tmp_path: Path) -> None:
    """What is copied leaves by the escape code that terminals take for their clipboard (OSC 52, base64)."""
    program = RealProgram(["--store", str(tmp_path / "c.db"), "--seat", "one"], home=tmp_path)
    program.until("No job is open")
    program.keys("n")
    program.until("What does the customer say?")
    program.keys("quay")
    program.until("quay")
    sent = b""
    feed = program.stream.feed

    def kept(data: bytes) -> None:
        nonlocal sent
        sent += data
        feed(data)

    program.stream.feed = kept  # type: ignore[method-assign]
    program.keys("\x1b[1;2H\x03")  # Shift+Home, Ctrl+C
    program.until(lambda _text: b"\x1b]52;c;cXVheQ==" in sent)
    program.kill()


# ── the background ──────────────────────────────────────────────────────────


def test_after_the_background_the_screen_stands_again(tmp_path: Path) -> None:
    """Ctrl+Z stops the program; when it goes on the whole screen is painted again and takes keys."""
    program = RealProgram(["--store", str(tmp_path / "c.db"), "--seat", "one"], home=tmp_path)
    program.until("No job is open")
    program.keys("n")
    program.until("What does the customer say?")
    program.keys("smokes white")
    program.until("smokes white")
    program.keys("\x1a")
    _, status = os.waitpid(program.process.pid, os.WUNTRACED)
    assert os.WIFSTOPPED(status)
    program.read(0.2)
    program.screen.reset()  # the shell has written over it
    os.kill(program.process.pid, signal.SIGCONT)
    # painted in several pieces: the heading alone proves nothing of the field below it
    program.until(lambda text: "What does the customer say?" in text and "smokes white" in text)
    program.keys(" on the quay")
    program.until("smokes white on the quay")
    program.kill()
