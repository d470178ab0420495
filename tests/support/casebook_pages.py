"""The casebook's screen as its tests use it: filled with jobs, opened, turned to a page, read as text."""

from __future__ import annotations

from typing import Any

from small_book import small_book
from small_jobs import coked, weak

from trees.casebook import Casebook
from trees.walk import Walk
from tui.panels.lesson_page import LessonPage
from tui.screens.casebook import CasebookScreen


def keep(casebook: Casebook, walk: Walk, **more: Any) -> str:
    """Keep a job and return its number."""
    return casebook.new_job(walk.entries, fingerprint=walk.book.fingerprint, **more).number


def keep_twelve(casebook: Casebook) -> None:
    """Keep twelve closed jobs, nine with a coked insert and three with a weak pump; and an open one."""
    for n in range(9):
        keep(casebook, coked(f"smokes white on the quay {n}", f"A-{n}"))
    for n in range(3):
        keep(casebook, weak(f"dies in the hut {n}", f"B-{n}"))
    keep(casebook, Walk.begin(small_book(), words="stinks at the pier", tree="smoke_on_start", place="bench"))


def squeezed(screen: Any) -> str:
    """Return the text of the screen with single blanks."""
    return " ".join(screen.text().split())


async def opened(screen: Any) -> CasebookScreen:
    """Open the casebook from the day list and wait until the jobs are listed."""
    await screen.press("slash")
    shown = screen.app.screen
    assert isinstance(shown, CasebookScreen)
    await screen.until(lambda: shown.shown is not None and shown.listed == shown.wanted and not shown.finding)
    await screen.settle()
    return shown


async def turned(screen: Any, part: str) -> str:
    """Turn to a page by the key and return what it shows."""
    shown = screen.app.screen
    while shown.part != part:
        await screen.press("tab")
    if part != CasebookScreen.PARTS[0]:
        page = shown.query_one(LessonPage)
        await screen.until(lambda: page.book is not None and page.whole)
        await screen.until(lambda: "closed real job" in squeezed(screen) or "closed invented job" in squeezed(screen))
    return squeezed(screen)
