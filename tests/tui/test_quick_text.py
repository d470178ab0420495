"""A text that is painted only where it changed, and an answer that is shown in one go."""

from __future__ import annotations

import threading
from collections.abc import Callable
from typing import Any

import pytest
from textual.app import App, ComposeResult
from textual.content import Content
from textual.widgets import Static

from trees.walk import Walk
from tui.panels.quick_text import QuickText
from tui.screens import job_advice
from tui.workshop import Workshop

Open = Callable[..., Any]


class Page(App[None]):
    """A text above another one."""

    CSS = "QuickText, Static { height: auto; }"

    def compose(self) -> ComposeResult:
        """Lay out both."""
        yield QuickText("one", id="text", markup=False)
        yield Static("below", id="below")

    def on_mount(self) -> None:
        """Count how often the screen is laid out."""
        self.laid_out = 0
        self.screen.screen_layout_refresh_signal.subscribe(self, self.count)

    def count(self, _screen: object) -> None:
        """Count once more."""
        self.laid_out += 1


@pytest.mark.parametrize(
    ("text", "laid_out", "below"),
    [
        ("one", 0, 1),
        (Content("two"), 0, 1),
        (Content.styled("one", "bold"), 0, 1),
        (Content("two\nlines"), 1, 2),
        (Content("word " * 20), 1, 3),
    ],
)
async def test_screen_is_laid_out_once_where_the_height_changes(text: str | Content, laid_out: int, below: int) -> None:
    """A text of the same height moves nothing; one of another height moves what stands below, in one go."""
    app = Page()
    async with app.run_test(size=(40, 10)) as pilot:
        await pilot.pause()
        app.laid_out = 0
        app.query_one("#text", QuickText).update(text)
        await pilot.pause()
        assert app.laid_out == laid_out
        assert app.query_one("#below").region.y == below
        assert str(app.query_one("#text", QuickText).content) == str(text)


async def test_a_text_in_another_style_is_another_text() -> None:
    """The same letters in another style are painted anew; the same ones in the same style are not."""
    app = Page()
    async with app.run_test(size=(40, 10)) as pilot:
        text = app.query_one("#text", QuickText)
        for content, painted in (
            (Content.styled("one", "bold"), True),
            (Content.styled("one", "bold"), False),
            (Content("one"), True),
        ):
            before = text.visual
            text.update(content)
            assert (text.visual is not before) == painted
            await pilot.pause()


async def test_an_answer_is_shown_in_one_go(
    open_screen: Open, workshop: Workshop, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Question, trail, suspects, minutes left and next check come at once where they are known in time."""
    monkeypatch.setattr(job_advice, "HOLD_S", 30.0)
    async with open_screen(workshop, size=(120, 40)) as screen:
        await screen.press("n")
        await screen.type("smokes")
        await screen.press("enter", "1", "enter", "1", "enter")
        seen: list[str] = []
        screen.app.screen.screen_layout_refresh_signal.subscribe(
            screen.app, lambda _screen: seen.append(screen.text()), immediate=True
        )
        for _ in range(2):
            seen.clear()
            before = screen.text()
            await screen.press("0")
            assert screen.text() != before
            assert seen
            assert set(seen) == {screen.text()}


async def test_a_question_does_not_wait_long_for_what_it_comes_to(
    open_screen: Open, workshop: Workshop, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Where the next check takes long the question and its suspects stand already; it follows by itself."""
    ready, ahead_of = threading.Event(), job_advice.ahead_of

    def slow(walk: Walk) -> job_advice.Ahead:
        assert ready.wait(60.0)
        return ahead_of(walk)

    async with open_screen(workshop, size=(120, 40)) as screen:
        await screen.press("n")
        await screen.type("smokes")
        await screen.press("enter", "1", "enter", "1", "enter")
        monkeypatch.setattr(job_advice, "ahead_of", slow)
        try:
            asked = screen.app.screen.walk.question
            await screen.press("0")
            await screen.until(lambda: "Next: working …" in screen.text())
            assert screen.app.screen.walk.question != asked
            assert screen.app.screen.walk.question.wording[:20] in screen.text()
            assert "Suspects" in screen.text()
        finally:
            ready.set()
        await screen.until(lambda: "working" not in screen.text())
        assert "Next:" in screen.text()
