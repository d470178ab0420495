"""Without colours nothing is lost: no colour is written, and every mark is a sign or an attribute of the text."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from contrast import is_text, segments
from real_program import RealProgram
from rich.style import Style
from screen_jobs import past_gate

from tui.screens.figures import FiguresScreen
from tui.screens.job import JobScreen
from tui.workshop import Workshop

Open = Callable[..., Any]


@pytest.fixture(autouse=True)
def no_color(monkeypatch: pytest.MonkeyPatch) -> None:
    """Ask for no colours, as a user does."""
    monkeypatch.setenv("NO_COLOR", "1")


def style_of(screen: Any, wanted: str) -> Style:
    """Return the style of the first piece of text that holds this."""
    return next(style for _, text, style in segments(screen.app) if wanted in text)


def coloured(screen: Any) -> list[str]:
    """Return the texts that are shown in a colour of ours."""
    return [
        text
        for _, text, style in segments(screen.app)
        if is_text(text) and any(c is not None and not c.is_default for c in (style.color, style.bgcolor))
    ]


def line_styles(screen: Any, wanted: str) -> set[str]:
    """Return the attributes of the line that holds this text, apart from its colours."""
    line = next(no for no, text, _ in segments(screen.app) if wanted in text)
    found = [style for no, text, style in segments(screen.app) if no == line and is_text(text)]
    return {name for style in found for name in ("bold", "reverse", "underline", "strike") if getattr(style, name)}


def test_the_real_program_writes_no_colour(tmp_path: Path) -> None:
    """No colour code reaches the terminal but the one that says: your own."""
    program = RealProgram(["--seat", "one", "demo"], columns=120, rows=40)
    program.until("D-12")
    program.keys("\r")
    program.until("Suspects")
    program.keys("\x1bOQ")
    program.until("EMERGENCY")
    program.keys("\x11")
    cells = [cell for row in program.screen.buffer.values() for cell in row.values()]
    assert {cell.fg for cell in cells} <= {"default"}
    assert {cell.bg for cell in cells} <= {"default"}
    assert any(cell.reverse for cell in cells) or any(cell.bold for cell in cells)
    program.finish()


async def test_the_marked_line_is_underlined_on_every_list(open_screen: Open, workshop: Workshop) -> None:
    """Which job, complaint, figure, setting or line of a card is marked shows without colours."""
    async with open_screen(workshop) as screen:
        for words in ("smokes", "stinks"):
            await screen.press("n")
            await screen.type(words)
            await screen.press("enter", "escape")
        assert "underline" in line_styles(screen, "smokes")  # the mark stayed where it was
        assert line_styles(screen, "stinks") == {"bold"}
        assert coloured(screen) == []
        await screen.press("n")
        assert "underline" in line_styles(screen, "White smoke")
        await screen.press("escape", "f9", "down")
        assert "underline" in line_styles(screen, "Address")
        assert "underline" not in line_styles(screen, "Emergency number")
        assert coloured(screen) == []
        await screen.press("escape", "v")
        assert isinstance(screen.app.screen, FiguresScreen)
        rows = screen.app.screen.query_one("#figure-list")
        first = rows.get_option_at_index(0).prompt.plain[17:30]
        assert "underline" in line_styles(screen, first)


async def test_answers_dangers_and_what_was_taken_back_are_signs(open_screen: Open, workshop: Workshop) -> None:
    """Chosen is ▶, a danger ▲ and its word, taken back struck out, a stop says so."""
    async with open_screen(workshop, (120, 40)) as screen:
        await screen.press("n")
        await screen.type("smokes")
        await screen.press("enter", "2")
        assert "▶ Yes" in screen.text()
        assert "▲ stops the job" in screen.text()
        assert coloured(screen) == []
        await screen.press("1", "enter", "1", "enter")
        assert "▲ DANGER" in screen.text()
        await screen.press("r", "1", "enter", "escape", "b")
        assert isinstance(screen.app.screen, JobScreen)
        assert style_of(screen, "Clears").strike or "strike" in line_styles(screen, "(taken back)")
        assert coloured(screen) == []
        await screen.press("t")
        shown = screen.app.screen.query_one("#trail")
        marked = shown.get_option_at_index(shown.highlighted).prompt.plain
        marked_texts = [text.strip() for _, text, style in segments(screen.app) if style.underline and is_text(text)]
        assert any(len(text) > 5 and text in marked for text in marked_texts)


async def test_the_field_that_has_the_keys_shows(open_screen: Open, workshop: Workshop) -> None:
    """A field is underlined and its cursor reversed, also where it has no border."""
    async with open_screen(workshop) as screen:
        await past_gate(screen, "smokes")
        await screen.press("r", "2", "enter", "1")
        await screen.type("12.1")
        assert "underline" in line_styles(screen, "12.1")
        assert "▶" in screen.text()  # the band that it falls into
        reversed_cells = [text for _, text, style in segments(screen.app) if style.reverse and text == " "]
        assert reversed_cells  # the cursor behind the last digit
        assert coloured(screen) == []


async def test_problems_of_a_book_are_told_by_sign_and_word(
    open_screen: Open, workshop: Workshop, tmp_path: Path
) -> None:
    """✖ error and △ warning stand before each."""
    folder = tmp_path / "book"
    folder.mkdir()
    (folder / "book.yaml").write_text("title: 3\n")
    workshop.book_folder = folder
    async with open_screen(workshop, (120, 40)) as screen:
        await screen.press("o")
        await screen.until(lambda: "✖ error" in screen.text())
        assert coloured(screen) == []


async def test_with_colours_there_are_colours(
    open_screen: Open, workshop: Workshop, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The measure of these tests sees colours where they are asked for."""
    monkeypatch.delenv("NO_COLOR")
    async with open_screen(workshop) as screen:
        assert coloured(screen)
