"""The casebook's screen by keys alone: finding, reading, and the pages of what closed jobs teach."""

from __future__ import annotations

import threading
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from book_folder import new_boats
from casebook_pages import keep, opened, squeezed, turned
from many_jobs import many_jobs
from small_book import small_book
from small_jobs import coked, weak
from textual.widgets import Input, OptionList

from trees.book import load_book
from trees.casebook import Casebook, book_files
from trees.walk import Entry, Walk
from tui.panels.lesson_page import LessonPage
from tui.screens.casebook import CasebookScreen
from tui.screens.day_list import DayList
from tui.screens.job import JobScreen
from tui.screens.read_job import ReadCard
from tui.workshop import Workshop

Open = Callable[..., Any]
SIZES = [(60, 20), (80, 24), (120, 40)]


# ── finding ─────────────────────────────────────────────────────────────────


@pytest.mark.parametrize("size", SIZES)
async def test_an_empty_casebook_says_so_on_every_page(open_screen: Open, workshop: Workshop, size: Any) -> None:
    """Nothing is listed, and no page draws a conclusion from nothing."""
    async with open_screen(workshop, size) as screen:
        shown = await opened(screen)
        assert "No job is in the casebook yet." in screen.text()
        await screen.press("enter")
        assert screen.app.screen is shown
        for part in CasebookScreen.PARTS[1:]:
            text = await turned(screen, part)
            assert "0 closed real jobs." in text, part
            assert "Too few" in text, part
        await screen.press("tab")
        assert shown.part == CasebookScreen.PARTS[0]
        await screen.press("escape")
        assert isinstance(screen.app.screen, DayList)


@pytest.mark.parametrize("size", SIZES)
async def test_a_job_is_found_while_typing(open_screen: Open, workshop: Workshop, twelve: Casebook, size: Any) -> None:
    """By number, serial number and the beginnings of words; each key narrows the list; a line tells state and cause."""
    async with open_screen(workshop, size) as screen:
        shown = await opened(screen)
        assert "13 jobs, the last touched first" in screen.text()
        await screen.type("hut")
        assert "3 jobs hold it" in screen.text()
        await screen.until(lambda: "Pump weak" in screen.text())
        assert "Not released" in screen.text()
        await screen.type(" 2")
        assert "1 job holds it" in screen.text()
        assert "dies in the hut 2" in screen.text()
        await screen.press(*["backspace"] * 5)
        await screen.type("a-7")
        assert "smokes white on the quay 7" in squeezed(screen)
        await screen.until(lambda: "Insert coked" in screen.text())
        await screen.press(*["backspace"] * 3)
        await screen.type("J-0013")
        assert "stinks at the pier" in screen.text()
        assert "open, bench" in screen.text()
        await screen.type("x")
        assert "No job holds all of these words." in screen.text()
        assert not shown.check_action("open_found", ())


async def test_an_open_job_is_taken_up_and_a_closed_one_is_read(
    open_screen: Open, workshop: Workshop, twelve: Casebook
) -> None:
    """Enter takes an open job up at this seat; a closed one stands to be read, and nothing is written for it."""
    async with open_screen(workshop) as screen:
        shown = await opened(screen)
        await screen.type("0011")
        before = twelve.summary(twelve.job("J-0011"))
        await screen.press("enter")
        assert isinstance(screen.app.screen, ReadCard)
        await screen.until(lambda: "Pump weak" in screen.text())
        assert "Root: Pump weak" in squeezed(screen) or "Consequence: Pump weak" in squeezed(screen)
        assert "dies in the hut 1" in screen.text()
        assert "edition" not in screen.text()
        assert twelve.summary(twelve.job("J-0011")) == before
        await screen.press("escape")
        assert screen.app.screen is shown
        await screen.press("enter", "enter")
        assert isinstance(screen.app.screen, JobScreen)
        await screen.press("escape")
        assert screen.app.screen is shown
        await screen.press(*["backspace"] * 4)
        await screen.type("pier")
        await screen.press("enter")
        assert isinstance(screen.app.screen, JobScreen)
        assert twelve.entries(twelve.job("J-0013"))[-1].entry.kind == "taken_up"


async def test_enter_waits_for_the_search(
    open_screen: Open, workshop: Workshop, twelve: Casebook, monkeypatch: pytest.MonkeyPatch
) -> None:
    """While a search is on its way keys go on, and Enter opens what is typed, never what was listed before."""
    go_on = threading.Event()
    quick = twelve.find

    def slow(typed: str, limit: int = 50) -> Any:
        assert go_on.wait(60)
        return quick(typed, limit)

    async with open_screen(workshop) as screen:
        shown = await opened(screen)
        monkeypatch.setattr(twelve, "find", slow)
        await screen.pilot.press("p", "i", "e", "r", "enter")
        await screen.pilot.pause()
        assert shown.query_one("#find-part", Input).value == "pier"
        assert screen.app.screen is shown
        go_on.set()
        await screen.until(lambda: isinstance(screen.app.screen, JobScreen))
        assert screen.app.screen.job.record.number == "J-0013"


async def test_what_went_on_meanwhile_is_there_on_return(
    open_screen: Open, workshop: Workshop, twelve: Casebook
) -> None:
    """A job that another seat closed while a job stood open is in the list and on the pages."""
    async with open_screen(workshop) as screen:
        shown = await opened(screen)
        await screen.press("enter")
        assert isinstance(screen.app.screen, JobScreen)
        keep(twelve, coked("smokes on the raft"))
        await screen.press("escape")
        await screen.until(lambda: shown.kinds.closed_real == 13)
        await screen.type("raft")
        assert "1 job holds it" in screen.text()
        assert "13 closed real jobs" in await turned(screen, "Causes")


async def test_a_damaged_job_is_read_as_it_was_stored(
    open_screen: Open, workshop: Workshop, casebook: Casebook
) -> None:
    """Entries that the book can't read stand as they are; the pages say that one job tells nothing."""
    casebook.new_job([Entry("began", {"words": "odd"}), Entry("rated", {}), Entry("closed", {"end": "released"})])
    async with open_screen(workshop) as screen:
        await opened(screen)
        await screen.press("enter")
        await screen.until(lambda: "as they were stored" in squeezed(screen))
        assert "closed end released" in squeezed(screen)
        await screen.press("escape")
        assert "1 can't be read by this book" in await turned(screen, "Causes")


async def test_an_old_job_is_read_by_the_edition_that_is_kept(
    open_screen: Open, workshop: Workshop, casebook: Casebook, tmp_path: Path
) -> None:
    """Where that edition's text is kept it is read by it, where not by the present one; both are said."""
    old = load_book(new_boats(tmp_path))
    casebook.keep_book_text(old.fingerprint, book_files(tmp_path / "boats"))
    tree = next(iter(old.complaints()))
    walk = Walk.begin(old, words="will not start", tree=tree.id, place="bench").taken_up("bench one", "2026-01-05")
    keep(casebook, walk.close("to_workshop"))
    lost = coked("smokes", book=small_book(fingerprint="ba9876543210"))
    keep(casebook, lost)
    async with open_screen(workshop) as screen:
        await opened(screen)
        await screen.type("start")
        await screen.press("enter")
        kept = f"Read by the edition that it was made with, kept in the casebook: {old.title}"
        await screen.until(lambda: kept in squeezed(screen).replace("│", ""))
        await screen.press("escape", *["backspace"] * 5)
        await screen.type("smokes")
        await screen.press("enter")
        await screen.until(lambda: "Made with edition ba9876543210" in squeezed(screen))
        assert "was never kept" in squeezed(screen)
        assert "Insert coked" in screen.text()


# ── the pages ───────────────────────────────────────────────────────────────


@pytest.mark.parametrize("size", SIZES)
async def test_the_pages_tell_what_can_be_counted_by_hand(
    open_screen: Open, workshop: Workshop, twelve: Casebook, size: Any
) -> None:
    """
    Nine of twelve jobs had a coked insert, three a weak pump; all nine that were released stayed away.

    Wilson by hand, z² = 3.8415: 9 of 12 is (0.75 + 0.1601 ± 0.2926) / 1.3201, so 47 to 91 of 100; 3 of 12 mirrors it:
    9 to 53. 9 of 9 is 1 / (1 + 3.8415/9), so 70 to 100.
    """
    async with open_screen(workshop, size) as screen:
        await opened(screen)
        causes = await turned(screen, "Causes")
        assert "12 of 12 closed jobs name one" in causes
        assert "9 75 47 to 91 75 %" in causes
        assert "3 25 9 to 53 100 %" in causes
        assert "█" in causes
        assert "Too few" not in causes
        first = await turned(screen, "First visit")
        assert "9 of 9 settled jobs" in first
        assert "70 to 100" in first
        assert "Too few jobs to say: 9 of at least 10" in first
        minutes = await turned(screen, "Minutes")
        assert "White smoke on start" in minutes
        assert "12 " in minutes
        idle = await turned(screen, "Idle checks")
        assert "How long does it smoke?" in idle
        assert "always: Clears" in idle


async def test_a_unit_that_came_back_is_told(open_screen: Open, workshop: Workshop, casebook: Casebook) -> None:
    """One serial number twice: its jobs, the days between, and the cause that was found both times."""
    for n in range(11):
        keep(casebook, coked("smokes", f"A-{n % 10}"))
    async with open_screen(workshop, (80, 24)) as screen:
        await opened(screen)
        text = await turned(screen, "Repeats")
        assert "1 of 10 with a serial number" in text
        assert "A-0 2 visits" in text
        assert "J-0001 ─ 0 d ─ J-0011" in text
        assert "the same cause again: Insert coked" in text
        first = await turned(screen, "First visit")
        assert "10 of 11 settled jobs" in first


async def test_invented_jobs_never_mix_with_real_ones(open_screen: Open, workshop: Workshop, twelve: Casebook) -> None:
    """One kind at a time, named in the head and on each page; the key is offered only where there are both."""
    async with open_screen(workshop) as screen:
        shown = await opened(screen)
        assert not shown.check_action("invented", ())
    keep(twelve, weak("smokes in the demo"), invented=True)
    async with open_screen(workshop) as screen:
        shown = await opened(screen)
        assert "13 real jobs" in screen.text()
        await screen.type("smokes")
        assert "9 jobs hold it" in screen.text()
        assert "demo" not in screen.text()
        assert "12 closed real jobs" in await turned(screen, "Causes")
        await screen.press("f12")
        await screen.until(lambda: "1 closed invented job" in squeezed(screen))
        assert "1 invented job" in screen.text()
        assert "Insert coked" not in screen.text()
        await screen.press("shift+tab")
        assert "smokes in the demo" in screen.text()
        assert "1 job holds it" in screen.text()


async def test_hundreds_of_jobs(open_screen: Open, workshop: Workshop, twelve: Casebook, tmp_path: Path) -> None:
    """480 jobs: the newest hundred are listed, a word more finds the one, and the pages count all of them."""
    with Casebook.open(tmp_path / "many.db", seat="bench one") as many:
        lines = [line for line in twelve.export() if '"J-0013"' not in line]
        ended = lines[-1].replace('"jobs": 13', '"jobs": 12')
        many.import_from(many_jobs([*lines[:-1], ended], 40, invented=False, units=480))
        there = Workshop(workshop.book, many, many.seat, report_folder=tmp_path)
        async with open_screen(there, (80, 24)) as screen:
            shown = await opened(screen)
            assert "480 jobs" in screen.text()
            assert "The newest 100 jobs; there are more" in screen.text()
            await screen.press("pagedown", "down", "pageup")
            assert shown.query_one("#found-jobs", OptionList).highlighted == 1
            await screen.type("hu 123")
            assert "R-0123" in screen.text()
            assert "1 job holds it" in screen.text()
            text = await turned(screen, "Causes")
            # 360 of 480: (0.75 + 0.0040 ± 0.0388) / 1.0080 by hand, so 71 to 79
            assert "360 75 71 to 79 75 %" in text
            assert "480 closed real jobs" in text


async def test_a_page_scrolls_and_a_new_width_draws_it_anew(
    open_screen: Open, workshop: Workshop, twelve: Casebook
) -> None:
    """What does not fit is reached by the arrows and PgDn; after a new width the numbers still stand at the right."""
    async with open_screen(workshop, (60, 20)) as screen:
        shown = await opened(screen)
        await turned(screen, "Idle checks")
        page = shown.query_one(LessonPage)
        await screen.press("down")
        assert page.scroll_y == 1
        await screen.press("pagedown", "pageup", "up")
        assert page.scroll_y == 0
        await screen.pilot.resize_terminal(120, 40)
        await screen.until(lambda: page.size.width > 100)
        await screen.until(lambda: any("How long" in x and "████" in x for x in screen.text().splitlines()))
