"""The recount on the author's screen by keys alone: each line is taken or left, and what is taken is written."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from book_folder import new_boats
from casebook_pages import squeezed
from contrast import is_text, poor_pairs, segments
from small_book import small_book
from small_jobs import coked, weak
from textual.widgets import Input

from trees.book import load_book
from trees.book.shares import read_overlay
from trees.casebook import Casebook
from tui.screens.book import BookScreen
from tui.screens.choose import WriteCard
from tui.screens.recount import RecountScreen
from tui.workshop import Workshop

Open = Callable[..., Any]
SIZES = [(60, 20), (80, 24), (120, 40)]
NASTY = "[/] x [red]a[/red] a[b=c] ${y} \x1b[31mred\u202e"


@pytest.fixture
def twelve(casebook: Casebook) -> Casebook:
    """Return a casebook of twelve closed jobs: nine with a coked insert that was cured, three with a weak pump."""
    for walk in (*(coked("smokes") for _ in range(9)), *(weak("dies") for _ in range(3))):
        casebook.new_job(walk.entries)
    return casebook


async def opened(screen: Any) -> RecountScreen:
    """Open the recount from the book's screen and wait until it is counted."""
    await screen.press("o", "percent_sign")
    shown = screen.app.screen
    assert isinstance(shown, RecountScreen)
    await screen.until(lambda: shown.count is not None)
    await screen.settle()
    return shown


async def write_into(screen: Any, path: Path) -> None:
    """Give the path in the card that asks for it."""
    await screen.until(lambda: isinstance(screen.app.screen, WriteCard))
    field = screen.app.screen.query_one(Input)
    field.value = str(path)
    await screen.press("enter")
    await screen.until(lambda: isinstance(screen.app.screen, RecountScreen))


@pytest.mark.parametrize("size", SIZES)
async def test_old_and_new_stand_beside_each_other(
    open_screen: Open, workshop: Workshop, twelve: Casebook, size: Any
) -> None:
    """
    The author's 20 of 100, worth 25 jobs, and 9 of 12 make (5 + 9) / 37 = 38; the pump's 3 unconfirmed count half.

    9 of 12 where 2.4 ± 1.7 were expected is a conflict, 1.5 of 12 is none; three causes no job had: 25 / 37 = 0.68.
    """
    async with open_screen(workshop, size) as screen:
        await opened(screen)
        text = squeezed(screen)
        assert "12 closed real jobs" in text
        assert "[ ] ≠ conflict Insert coked author 20 → 38 of 100" in text
        assert "9 of 12 jobs" in text
        await screen.press("down", "end")
        text = squeezed(screen)
        assert "[ ] Pump weak author 20 → 18 of 100" in text
        assert "1.5 of 12 jobs" in text
        assert "[ ] 3 causes that no job had: each 0.68 times as often" in text
        assert "Nothing is taken yet" in text
        assert "≠ conflict: the jobs contradict the author" in text
        assert "○" in text
        assert "●" in text
        await screen.press("escape")
        assert isinstance(screen.app.screen, BookScreen)


async def test_what_is_taken_line_by_line_is_written(
    open_screen: Open, workshop: Workshop, twelve: Casebook, tmp_path: Path
) -> None:
    """Enter takes a line and leaves it again; the file holds the lines taken, and the screen says how it is used."""
    out = tmp_path / "kept.yaml"
    async with open_screen(workshop) as screen:
        shown = await opened(screen)
        await screen.press("end", "enter")
        await screen.until(lambda: "No line is taken yet" in squeezed(screen))
        assert screen.app.screen is shown
        await screen.press("home", "enter")
        assert "[x] ≠ conflict Insert coked" in squeezed(screen)
        await screen.press("down", "enter", "enter")
        assert "[ ] Pump weak" in squeezed(screen)
        await screen.press("down", "enter", "end")
        assert "Write the 4 shares taken" in squeezed(screen)
        await screen.press("up", "enter", "end")
        assert "Write the share taken" in squeezed(screen)
        await screen.press("enter")
        await screen.until(lambda: isinstance(screen.app.screen, WriteCard))
        assert screen.app.screen.query_one(Input).value == str(tmp_path / "shares.yaml")
        await screen.press("escape")
        assert not (tmp_path / "shares.yaml").exists()
        await screen.press("enter")
        await write_into(screen, out)
        await screen.until(lambda: "1 share written" in squeezed(screen))
    overlay = read_overlay(out, workshop.book)
    assert {cause: row.share for cause, row in overlay.shares.items()} == {
        "insert_coked": pytest.approx(100 * 14 / 37, abs=0.05)  # the jobs are some seconds old
    }
    assert overlay.book == workshop.book.fingerprint


async def test_a_file_that_is_none_of_ours_is_not_replaced(
    open_screen: Open, workshop: Workshop, twelve: Casebook, tmp_path: Path
) -> None:
    """Somebody's letter stays; the sentence stands under the list, and the lines stay taken."""
    letter = tmp_path / "letter.txt"
    letter.write_text("Dear all,\n")
    async with open_screen(workshop) as screen:
        shown = await opened(screen)
        await screen.press("enter", "end", "enter")
        await write_into(screen, letter)
        await screen.until(lambda: "is not overwritten" in squeezed(screen))
        assert shown.taken == {"insert_coked"}
        await screen.press("enter")
        await write_into(screen, tmp_path / "no" / "such.yaml")
        await screen.until(lambda: "There is no folder" in squeezed(screen))
    assert letter.read_text() == "Dear all,\n"


@pytest.mark.parametrize("size", SIZES)
async def test_links_stand_beside_the_authors_word(
    open_screen: Open, workshop: Workshop, twelve: Casebook, size: Any
) -> None:
    """
    Coke was seen in 9 of 9 coked inserts, smoke that stays in none; nine are too few where nothing contradicts.

    Written 0.95 and 0.25; with what shows unprompted: 1 - 0.05 x 0.96 = 95 and 1 - 0.75 x 0.97 = 27 of 100.
    """
    async with open_screen(workshop, size) as screen:
        await opened(screen)
        await screen.press("tab")
        text = squeezed(screen)
        assert "9 closed jobs with one cause, confirmed by a cure" in text
        assert "biased sample" in text
        await screen.press("pagedown")
        text += squeezed(screen)
        assert "Insert coked → Smoke stays 0.25 (27 of 100), seen in 0 of 9 △ too few to say" in text
        assert "Insert coked → Coke 0.95 (95 of 100), seen in 9 of 9 △ too few to say" in text
        await screen.press("shift+tab")
        assert "[ ] ≠ conflict Insert coked" in squeezed(screen)


async def test_an_empty_casebook_gives_nothing_to_take(open_screen: Open, workshop: Workshop) -> None:
    """No line, no share, and a sentence why; Enter does nothing."""
    async with open_screen(workshop) as screen:
        shown = await opened(screen)
        assert "there is nothing to count" in squeezed(screen)
        assert not shown.check_action("take_share", ())
        await screen.press("enter", "tab")
        assert "no link was seen yet" in squeezed(screen)


async def test_few_jobs_are_told_as_few(open_screen: Open, workshop: Workshop, casebook: Casebook) -> None:
    """Two jobs change the shares, and it is said that this is too few to say anything."""
    for _ in range(2):
        casebook.new_job(coked("smokes").entries)
    async with open_screen(workshop) as screen:
        await opened(screen)
        assert "Too few jobs to say: 2 of at least 10" in squeezed(screen)


async def test_invented_jobs_are_counted_apart(open_screen: Open, workshop: Workshop, twelve: Casebook) -> None:
    """The other kind by its key, named in the head, in the card and in the file's name."""
    twelve.new_job(weak("demo").entries, invented=True)
    async with open_screen(workshop) as screen:
        shown = await opened(screen)
        assert "12 of" not in screen.text() or "12 closed real jobs" in squeezed(screen)
        await screen.press("f12")
        await screen.until(lambda: shown.count is not None and "1 closed invented jobs" in squeezed(screen))
        assert "Insert coked" not in screen.text()
        await screen.press("enter", "end", "enter")
        await screen.until(lambda: isinstance(screen.app.screen, WriteCard))
        assert "INVENTED" in screen.text()
        assert screen.app.screen.query_one(Input).value.endswith("shares_invented.yaml")


async def test_it_counts_against_the_authors_own_shares(open_screen: Open, casebook: Casebook, tmp_path: Path) -> None:
    """With an overlay the book in use has other shares; it is counted against those on disk, or says why not."""
    own = load_book(new_boats(tmp_path))
    laid = replace(own, causes={key: replace(cause, share=1.0) for key, cause in own.causes.items()})
    there = Workshop(laid, casebook, casebook.seat, report_folder=tmp_path, book_folder=tmp_path / "boats")
    async with open_screen(there) as screen:
        shown = await opened(screen)
        assert {c.id: c.share for c in shown.book.causes.values()} == {c.id: c.share for c in own.causes.values()}
        await screen.press("escape", "escape")
        (tmp_path / "boats" / "causes.yaml").write_text("[: broken", "utf-8")
        await screen.press("o", "percent_sign")
        await screen.until(lambda: "causes.yaml" in squeezed(screen) and "reading" not in squeezed(screen))
        assert isinstance(screen.app.screen, RecountScreen)
        assert screen.app.screen.count is None


@pytest.mark.parametrize("size", SIZES)
async def test_nasty_names_are_literal(open_screen: Open, workshop: Workshop, twelve: Casebook, size: Any) -> None:
    """Names of causes and signs are shown as they are, without escape characters."""
    book = small_book()
    workshop.book = replace(
        book,
        causes={key: replace(cause, name=f"{NASTY} {cause.name}") for key, cause in book.causes.items()},
        signs={key: replace(sign, name=f"{NASTY} {sign.name}") for key, sign in book.signs.items()},
        title=NASTY,
    )
    async with open_screen(workshop, size) as screen:
        await opened(screen)
        seen = [screen.text()]
        await screen.press("tab")
        seen.append(screen.text())
    for text in seen:
        assert "[/] x [red]a[/red] a[b=c]" in " ".join(text.split())
        assert "\x1b" not in text
        assert "\u202e" not in text


async def test_it_reads_well_without_colours_and_in_each_theme(
    open_screen: Open, workshop: Workshop, twelve: Casebook, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Without colours none is written and the mark is underlined; with them each text keeps its contrast."""
    from tui.settings import THEMES, Settings
    from tui.themes import LEAST_CONTRAST

    for theme in THEMES:
        workshop.settings = Settings(theme=theme)
        async with open_screen(workshop) as screen:
            await opened(screen)
            assert poor_pairs(screen.app, LEAST_CONTRAST[theme]) == []
            await screen.press("enter", "tab")
            assert poor_pairs(screen.app, LEAST_CONTRAST[theme]) == []
    monkeypatch.setenv("NO_COLOR", "1")
    async with open_screen(workshop) as screen:
        await opened(screen)
        styles = [(text, style) for _, text, style in segments(screen.app) if is_text(text)]
        assert all(c is None or c.is_default for _, style in styles for c in (style.color, style.bgcolor))
        assert any(style.underline for text, style in styles if "Insert coked" in text)
