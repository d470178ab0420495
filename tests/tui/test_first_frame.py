"""The first frame waits for nothing heavy: it stands before casebook and book are opened."""

from __future__ import annotations

import asyncio
import threading
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from real_program import RealProgram
from small_book import small_book

from trees.book.model import Book
from trees.casebook import Casebook
from trees.errors import BookError, CasebookError
from tui.app import SootlineApp
from tui.opening import Opening
from tui.screens.day_list import DayList
from tui.screens.emergency import EmergencyCard
from tui.screens.new_job import NewJob
from tui.workshop import Workshop

HEAVY = ("networkx", "pydantic", "typst", "pint", "sqlalchemy", "yaml", "numpy", "tomlkit", "graphviz_export")
LOOK = """
import sys
from pathlib import Path
import tui.screens.day_list as d
def fill(self):
    Path({file!r}).write_text(" ".join(n for n in {names!r} if n in sys.modules) or "nothing heavy")
    self.app.exit()
d.DayList.fill = fill
"""


def test_nothing_heavy_is_loaded_before_the_first_frame(tmp_path: Path) -> None:
    """The real program, started as always: when the frame is painted none of these stands in sys.modules."""
    file = tmp_path / "loaded.txt"
    store = tmp_path / "casebook.db"
    program = RealProgram(["--store", str(store)], before=LOOK.format(file=str(file), names=HEAVY))
    assert program.finish(20) == 0
    assert file.read_text() == "nothing heavy"
    assert not store.exists()


class Slow:
    """An opening whose parts come when a test lets them."""

    def __init__(self, workshop: Workshop, casebook_error: str = "", book_error: str = "") -> None:
        self.casebook, self.book = threading.Event(), threading.Event()
        self.asked: list[str] = []

        def open_casebook() -> Casebook:
            self.asked.append("casebook")
            self.casebook.wait(20)
            if casebook_error:
                raise CasebookError(casebook_error)
            return workshop.casebook

        def load_book() -> Book:
            self.asked.append("book")
            self.book.wait(20)
            if book_error:
                raise BookError(book_error)
            return workshop.book

        self.opening = Opening(open_casebook, load_book, lambda _casebook, _book: workshop)

    def all(self) -> None:
        """Let everything come."""
        self.casebook.set()
        self.book.set()


async def until(pilot: Any, ready: Callable[[], bool]) -> None:
    """Wait for a condition, letting threads go on."""
    for _ in range(400):
        if ready():
            return
        await asyncio.to_thread(lambda: None)
        await pilot.pause()
    raise AssertionError("waited in vain")


def shown(app: SootlineApp) -> str:
    """Return the screen as text."""
    return "\n".join("".join(s.text for s in strip) for strip in app.screen._compositor.render_strips())


async def test_frame_then_jobs_then_book(workshop: Workshop) -> None:
    """The frame stands while the casebook opens, the jobs while the book is read; F2 works from the first moment."""
    slow = Slow(workshop)
    app = SootlineApp(slow.opening)
    async with app.run_test() as pilot:
        await until(pilot, lambda: slow.asked == ["casebook"])
        assert "opening" in shown(app)
        await pilot.press("f2")
        assert isinstance(app.screen, EmergencyCard)
        await pilot.press("escape")
        slow.casebook.set()
        await until(pilot, lambda: "book" in slow.asked)
        await until(pilot, lambda: "No job is open" in shown(app))
        assert "reading the book" in shown(app)
        slow.book.set()
        await until(pilot, lambda: small_book().title in shown(app))


async def test_key_pressed_too_early_is_not_lost(workshop: Workshop) -> None:
    """A new job that is asked for while the book is read begins as soon as it is there."""
    slow = Slow(workshop)
    app = SootlineApp(slow.opening)
    async with app.run_test() as pilot:
        slow.casebook.set()
        await until(pilot, lambda: "book" in slow.asked)
        task = asyncio.create_task(app.screen.run_action("new"))
        await pilot.pause()
        assert isinstance(app.screen, DayList)
        slow.book.set()
        await task
        await until(pilot, lambda: isinstance(app.screen, NewJob))


@pytest.mark.parametrize("part", ["casebook_error", "book_error"])
async def test_what_can_not_be_opened_ends_the_program_with_its_sentence(workshop: Workshop, part: str) -> None:
    """The screen goes, the sentence stays for standard error."""
    slow = Slow(workshop, **{part: "It can't be opened."})
    app = SootlineApp(slow.opening)
    async with app.run_test() as pilot:
        slow.all()
        await until(pilot, lambda: app.failure is not None)
    assert str(app.failure) == "It can't be opened."


def test_broken_store_is_one_sentence_and_status_2(tmp_path: Path) -> None:
    """From outside it is as before: no traceback, the reason on the terminal once the screen is gone."""
    store = tmp_path / "casebook.db"
    store.write_text("this is no database")
    program = RealProgram(["--store", str(store)], columns=200)
    assert program.finish(20) == 2
    assert "is no casebook" in program.text()
    assert "Traceback" not in program.text()
