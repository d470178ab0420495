"""Every screen as text, at three sizes and in all themes: what changes on one is seen in the diff of its snapshot."""

from __future__ import annotations

import os
import time
from collections.abc import Awaitable, Callable, Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from book_folder import written
from screen_text import WRITE, held, pairs, picture
from small_book import small_book
from small_jobs import coked, weak

from trees.book import load_book
from trees.book.starting import new_book
from trees.casebook import Casebook
from trees.walk import Walk
from tui.settings import Settings
from tui.themes import ALL
from tui.workshop import Workshop

Open = Callable[..., Any]
Way = Callable[[Any], Awaitable[None]]
STORED = Path(__file__).parent / "snapshots"
SIZES = [(60, 20), (80, 24), (120, 40)]
TODAY = "2026-01-05"


class FrozenWorkshop(Workshop):
    """A workshop where it is always the same day."""

    def today(self) -> str:
        """Return that day."""
        return TODAY


class Minutes:
    """A clock that goes on one minute each time it is asked."""

    def __init__(self) -> None:
        self.now = datetime(2026, 1, 5, 8, 0, tzinfo=UTC)

    def __call__(self) -> datetime:
        """Return the moment."""
        self.now += timedelta(minutes=1)
        return self.now


@pytest.fixture(autouse=True)
def frozen(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    """Let local time be UTC, settings be none and paths be short."""
    monkeypatch.setenv("SOOTLINE_SETTINGS", "settings.toml")
    monkeypatch.setenv("TZ", "UTC")
    monkeypatch.setenv("EDITOR", "ed")
    time.tzset()
    yield
    monkeypatch.delenv("TZ")
    time.tzset()


@pytest.fixture
def frozen_workshop() -> Iterator[Workshop]:
    """Return a seat with an open job at the bench, one by phone, and two closed ones."""
    written(Path("boats"), new_book("boats", TODAY))
    with Casebook.open(Path("casebook.db"), seat="bench one", clock=Minutes()) as casebook:
        casebook.name = "casebook.db"
        for walk in (coked("smokes white, hut above the lake", "A-1"), weak("dies at anchor", "B-2"), *open_jobs()):
            casebook.new_job(walk.entries, fingerprint=walk.book.fingerprint)
        yield FrozenWorkshop(
            small_book(),
            casebook,
            casebook.seat,
            report_folder=Path("reports"),
            settings=Settings(emergency_number="112", workshop="Invented quay workshop", seat="bench one"),
        )


def open_jobs() -> Iterator[Walk]:
    """Yield the open jobs, the one that most screens are taken of last."""
    book = small_book()
    phone = Walk.begin(book, words="smokes white, caller on the boat", tree="smoke_on_start", place="phone")
    yield phone.taken_up("bench one", TODAY).answer("no").answer("no").acknowledge("gas")
    begun = Walk.begin(book, words="smokes white at the pier", tree="smoke_on_start", place="bench", family="air2")
    yield begun.taken_up("bench one", TODAY)


def keys(*pressed: str) -> Way:
    """Return a way that presses keys on the day list; the first job of it is at its first safety question."""

    async def way(screen: Any) -> None:
        for key in pressed:
            await (screen.type(key[1:]) if key.startswith(":") else screen.press(key))

    return way


GATE_PASSED = ("enter", "1", "enter", "1", "enter")
AT_CHOICE = (*GATE_PASSED, "r")
AT_READING = (*AT_CHOICE, "1", "enter")
AT_LIST = (*AT_READING, ":6.6 6.6 6.6", "enter", "1")
AT_VOLTAGE = (*AT_CHOICE, "2", "enter")
WAYS: dict[str, Way] = {
    "day_list": keys(),
    "day_list_all": keys("l"),
    "new_job": keys("n", ":smokes wh"),
    "gate": keys("enter"),
    "gate_chosen": keys("enter", "1"),
    "danger": keys(*GATE_PASSED),
    "choice": keys(*AT_CHOICE),
    "choice_chosen": keys(*AT_CHOICE, "2"),
    "reading": keys(*AT_READING, ":6.1 6.0 6.2"),
    "tick": keys(*AT_LIST, "1"),
    "readings": keys(*AT_CHOICE, "m", ":run hours", "enter", ":120", "enter", ":4"),
    "figure": keys(*AT_VOLTAGE, ":12.6", "enter", ":11.2", "enter"),
    "phone": keys("down", "enter"),
    "stop": keys("enter", "2", "enter"),
    "trail": keys(*AT_LIST, "t", "up"),
    "map": keys(*AT_LIST, "f3"),
    "why": keys(*AT_LIST, "w", "enter"),
    "conclusion": keys(*AT_LIST, "1", "enter", "2", "c"),
    "figures": keys("v"),
    "figure_worked_out": keys("v", ":supply drop", "enter", ":12.6", "enter", ":11.2"),
    "casebook": keys("slash", ":lake"),
    "lessons": keys("slash", "tab"),
    "settings": keys("f9", "down"),
    "emergency": keys("f2"),
    "help": keys(*AT_CHOICE, "f1"),
    "palette": keys(*AT_CHOICE, "ctrl+p"),
}


async def at_size(screen: Any, size: tuple[int, int]) -> str:
    """Make the window so large and return the screen when it has come to rest."""
    await screen.pilot.resize_terminal(*size)
    return await at_rest(screen)


async def at_rest(screen: Any) -> str:
    """Return the screen when it looked the same three times running."""
    seen: list[str] = []
    for _ in range(60):
        await screen.pilot.pause()
        seen.append(picture(screen.app))
        if len(seen) >= 3 and seen[-1] == seen[-2] == seen[-3] and "working …" not in seen[-1]:
            return seen[-1]
    raise AssertionError(f"the screen does not come to rest\n{seen[-1]}")


def still(app: Any) -> None:
    """Stop the cursor from blinking, and let no message stand before the screen."""
    from textual.widgets import Input

    for field in app.screen.query(Input):
        field.cursor_blink = False
    app.clear_notifications()


async def taken(screen: Any, name: str, sizes: list[tuple[int, int]]) -> dict[str, dict[str, set[str]]]:
    """Hold a screen against its file at every size; return the colours of each theme by those of the dark one."""
    still(screen.app)
    texts = [f"── {wide} by {high} ──\n{await at_size(screen, (wide, high))}" for wide, high in sizes]
    held(STORED / f"{name}.txt", "\n\n".join(texts))
    found: dict[str, dict[str, set[str]]] = {}
    dark = {(line, cell): colours for line, cell, colours in pairs(screen.app)}
    for theme in ALL:
        screen.app.theme = theme
        await at_rest(screen)
        shown = {(line, cell): colours for line, cell, colours in pairs(screen.app)}
        assert shown.keys() == dark.keys(), f"{name}: the theme {theme} moves text"
        for at, colours in shown.items():
            found.setdefault(dark[at], {}).setdefault(theme, set()).add(colours)
    screen.app.theme = "dark"
    return found


def hold_colours(found: dict[str, dict[str, set[str]]]) -> None:
    """Hold the pairs of colours against the table of all screens; storing adds what is new."""
    file = STORED / "themes.txt"
    lines = {
        f"{dark}  " + "  ".join(f"{theme}: {' or '.join(sorted(each[theme]))}" for theme in ALL if theme != "dark")
        for dark, each in found.items()
    }
    known = set(file.read_text("utf-8").splitlines()) if file.exists() else set()
    if os.environ.get(WRITE) == "write":
        file.write_text("\n".join(sorted(known | lines)) + "\n", "utf-8")
        return
    assert lines <= known, "colours that themes.txt does not have:\n" + "\n".join(sorted(lines - known))


@pytest.mark.parametrize("name", WAYS)
async def test_screen_looks_as_it_is_stored(open_screen: Open, frozen_workshop: Workshop, name: str) -> None:
    """Text and styles at three sizes; in the other themes the same text, each pair of colours as the table says."""
    async with open_screen(frozen_workshop) as screen:
        await WAYS[name](screen)
        hold_colours(await taken(screen, name, SIZES))


@pytest.mark.parametrize(("name", "pressed"), [("book", ("o",)), ("book_preview", ("o", "tab", "down", "down", "i"))])
async def test_author_screen_looks_as_it_is_stored(
    open_screen: Open, frozen_workshop: Workshop, name: str, pressed: tuple[str, ...]
) -> None:
    """The same for the author's screen, which needs a book on disk."""
    frozen_workshop.book_folder = Path("boats")
    frozen_workshop.book = load_book(frozen_workshop.book_folder)
    async with open_screen(frozen_workshop) as screen:
        await keys(*pressed)(screen)
        hold_colours(await taken(screen, name, SIZES))


async def test_too_small_looks_as_it_is_stored(open_screen: Open, frozen_workshop: Workshop) -> None:
    """One sentence, wrapped, also in the smallest of windows."""
    async with open_screen(frozen_workshop) as screen:
        await taken(screen, "too_small", [(59, 20), (30, 10)])


@pytest.mark.parametrize("name", ["day_list", "gate_chosen"])
async def test_without_colours_nothing_is_lost(
    open_screen: Open, frozen_workshop: Workshop, monkeypatch: pytest.MonkeyPatch, name: str
) -> None:
    """With NO_COLOR a mark is a sign or an attribute: no colour is named in the snapshot."""
    monkeypatch.setenv("NO_COLOR", "1")
    async with open_screen(frozen_workshop) as screen:
        await WAYS[name](screen)
        still(screen.app)
        text = await at_size(screen, (80, 24))
        assert not set(text.partition("styles:")[2].split()) & {"accent", "danger", "text-muted", "marked"}
        held(STORED / f"{name}_no_color.txt", text)
