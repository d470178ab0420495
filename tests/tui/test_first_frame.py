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
from trees.casebook import Casebook, FirstLook, JobSummary
from trees.errors import BookError, CasebookError
from trees.walk import Entry
from tui.app import SootlineApp
from tui.opening import Opening
from tui.screens.day_list import DayList
from tui.screens.emergency import EmergencyCard
from tui.screens.job import JobScreen
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
LOOK_AT_LIST = """
import sys
from pathlib import Path
import tui.screens.day_list as d
async def painted(self):
    loaded = " ".join(n for n in {names!r} if n in sys.modules) or "nothing heavy"
    Path({file!r}).write_text(f"{{self.rows}} job, {{loaded}}")
    self.app.exit()
d.DayList.painted = painted
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

    def __init__(
        self, workshop: Workshop, casebook_error: str = "", book_error: str = "", look: FirstLook | None = None
    ) -> None:
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

        self.opening = Opening(open_casebook, load_book, lambda _casebook, _book: workshop, look=lambda: look)

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


def line(number: str, words: str) -> JobSummary:
    """Return an open job as the day list gets it."""
    at = "2026-03-02T08:00:00.000Z"
    return JobSummary(number, words, None, "bench", None, at, at, None, None, "one", 1, invented=False)


async def test_jobs_of_the_first_look_stand_while_the_casebook_opens(workshop: Workshop) -> None:
    """What the file lists is shown at once; what the casebook lists stands there afterwards, whatever the look said."""
    slow = Slow(workshop, look=FirstLook((line("J-0007", "seen at first"),), "one"))
    app = SootlineApp(slow.opening)
    async with app.run_test() as pilot:
        await until(pilot, lambda: "casebook" in slow.asked)
        assert "J-0007" in shown(app)
        assert "1 open job" in shown(app)
        assert "opening" in shown(app)
        slow.casebook.set()
        await until(pilot, lambda: "No job is open" in shown(app))
        assert "J-0007" not in shown(app)
        slow.book.set()
        await until(pilot, lambda: small_book().title in shown(app))


async def test_job_opened_from_the_first_look_waits_for_casebook_and_book(workshop: Workshop) -> None:
    """Enter on a line that is there early takes the job up as soon as everything is there; pressed again, but once."""
    job = await workshop.new_job("smokes", None, "bench")
    row = workshop.casebook.summary(job.record)
    slow = Slow(workshop, look=FirstLook((row,), row.seat))
    app = SootlineApp(slow.opening)
    async with app.run_test() as pilot:
        await until(pilot, lambda: "casebook" in slow.asked)
        app.simulate_key("enter")
        app.simulate_key("enter")
        await asyncio.sleep(0)
        assert isinstance(app.screen, DayList)
        slow.all()
        await until(pilot, lambda: isinstance(app.screen, JobScreen))
        await pilot.press("escape")
        assert isinstance(app.screen, DayList)


async def test_store_in_trouble_behind_a_first_look_is_told(workshop: Workshop) -> None:
    """A list that could be read does not hide that the casebook can't be opened."""
    slow = Slow(workshop, casebook_error="It can't be opened.", look=FirstLook((line("J-0007", "seen"),), "one"))
    app = SootlineApp(slow.opening)
    async with app.run_test() as pilot:
        slow.all()
        await until(pilot, lambda: app.failure is not None)
    assert str(app.failure) == "It can't be opened."


def test_list_is_painted_before_the_database_library_is_loaded(tmp_path: Path) -> None:
    """The real program on a real casebook: when its jobs are listed nothing heavy stands in sys.modules yet."""
    file, store = tmp_path / "loaded.txt", tmp_path / "casebook.db"
    with Casebook.open(store, seat="one") as casebook:
        waits = Entry("waiting", {"for": "call_back", "due": "2026-03-03T08:00:00+00:00", "text": ""})
        began = Entry("began", {"words": "smokes", "tree": None, "place": "bench", "family": None})
        casebook.append(casebook.new_job([began]), waits, 2)
    before = LOOK_AT_LIST.format(file=str(file), names=(*HEAVY, "trees.walk", "trees.book.check"))
    assert RealProgram(["--store", str(store)], before=before).finish(20) == 0
    assert file.read_text() == "1 job, nothing heavy"


def test_broken_store_is_one_sentence_and_status_2(tmp_path: Path) -> None:
    """From outside it is as before: no traceback, the reason on the terminal once the screen is gone."""
    store = tmp_path / "casebook.db"
    store.write_text("this is no database")
    program = RealProgram(["--store", str(store)], columns=200)
    assert program.finish(20) == 2
    assert "is no casebook" in program.text()
    assert "Traceback" not in program.text()
