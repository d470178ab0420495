"""A book, a job and settings full of hostile words: every screen and card shows them literally, in its own lines."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from io import StringIO
from pathlib import Path
from typing import Any

import pytest
from hostile_book import HOSTILE, LONG, SHOWN, harm, hostile_book
from screen_jobs import begun, past_gate
from small_book import small_book
from textual.events import Paste

from trees.casebook import Casebook
from tui.plain_job import PlainJob
from tui.plain_talk import Talk
from tui.screens.base import WorkScreen
from tui.screens.job import JobScreen
from tui.settings import Instrument, Settings
from tui.workshop import Workshop

Open = Callable[..., Any]
SIZES = [(60, 20), (80, 24), (120, 40)]
CARDS = (
    ("j", "escape"),
    ("m", "escape"),
    ("w", "escape"),
    ("f", "escape"),
    ("p", "escape"),
    ("y", "escape"),
    ("h", "escape"),
    ("q", "escape"),
    ("f3", "escape"),
    ("plus", "escape"),
    ("equals_sign", "escape"),
    ("exclamation_mark", "escape"),
    ("number_sign", "escape"),
    ("at", "escape"),
    ("ampersand", "escape"),
    ("f1", "escape"),
    ("f2", "f2"),
    ("ctrl+p", "escape"),
    ("v", "escape"),
    ("t", "escape"),
)
"""Key that opens a card or a screen from a question, and the key that closes it."""


@pytest.fixture
def attacked(workshop: Workshop) -> Workshop:
    """Return a seat with a hostile book, hostile settings and hostile callers on the line."""
    workshop.book = hostile_book()
    workshop.place = "phone"
    meter = Instrument(HOSTILE, "V", 0.1)
    workshop.take_settings(
        replace(Settings(), workshop=HOSTILE, emergency_number=HOSTILE, place="phone", instruments=(meter,))
    )
    workshop.calls.hold("J-0999", LONG)
    return workshop


class Watch:
    """Looks at the screen after each step, and keeps what it saw for the end."""

    def __init__(self, screen: Any, size: tuple[int, int]) -> None:
        self.screen, self.size = screen, size
        self.seen: list[str] = []

    def look(self, where: str) -> str:
        """Check that nothing steers the terminal, no line is wider than the window, and the way out stays in sight."""
        shown: str = self.screen.text()
        assert not harm(shown), f"{where}: {harm(shown)!a}"
        rows = shown.split("\n")
        assert len(rows) == self.size[1], where
        strips = self.screen.app.screen._compositor.render_strips()
        assert {strip.cell_length for strip in strips} == {self.size[0]}, where
        if isinstance(self.screen.app.screen, WorkScreen):
            assert rows[-1].startswith(" F2 "), where
            assert "F1" in rows[-1], where
        self.seen.append(shown)
        return shown

    async def press(self, *keys: str) -> str:
        """Press keys and look."""
        await self.screen.press(*keys)
        return self.look(" ".join(keys))


@pytest.mark.parametrize("size", SIZES)
async def test_a_job_and_all_its_cards(open_screen: Open, attacked: Workshop, size: tuple[int, int]) -> None:
    """From the first word of a call to its last, with every card in between, hostile words stay words."""
    async with open_screen(attacked, size=size) as screen:
        watch = Watch(screen, size)
        watch.look("day list")
        await watch.press("n")
        await screen.type("smokes white [/] [red]x")
        watch.look("new job")
        await watch.press("enter")
        job = screen.app.screen
        assert isinstance(job, JobScreen)
        for _question in job.walk.book.gate:
            await watch.press("0")
            await watch.press("1")
            await watch.press("enter")
        await watch.press("r")
        assert job.walk.question.no == 201
        for key, back in CARDS:
            await watch.press(key)
            await watch.press(back)
            assert screen.app.screen is job, key
        await watch.press("0")
        await watch.press("0")
        await watch.press("b")
        await watch.press("c")
        await watch.press("i")
        await watch.press("escape")
        await watch.press("e")
        await watch.press("escape", "escape")
        await watch.press("escape")
        for key in ("slash", "o", "percent_sign", "escape", "escape", "f9"):
            await watch.press(key)
        whole = " ".join("\n".join(watch.seen).split())
        assert SHOWN in whole
        assert "smokes white [/] [red]x" in whole


@pytest.mark.parametrize("size", SIZES)
async def test_two_hundred_answers_are_all_within_reach(
    open_screen: Open, attacked: Workshop, size: tuple[int, int]
) -> None:
    """Space turns 23 pages; on each the digits choose what stands beside them, and 10,000 letters hide no other key."""
    async with open_screen(attacked, size=size) as screen:
        watch = Watch(screen, size)
        job = await past_gate(screen)
        await screen.press("r")
        assert len(job.question.options) == 200
        await screen.press(*["space"] * 21, "pagedown")
        watch.look("page 22")
        await screen.press("space")
        shown = watch.look("page 23")
        panel = job.query_one("#question")
        assert panel.scroll_y == 0
        assert "page 23 of 23" in " ".join(str(job.query_one("#q-options").render()).split()), shown
        await screen.press("2", "enter")
        assert [g.answer for g in job.walk.now.givens][-1] == "a200"
        watch.look("after the answer")


@pytest.mark.parametrize("size", SIZES)
async def test_a_stop_is_readable_whatever_stands_in_it(
    open_screen: Open, attacked: Workshop, size: tuple[int, int]
) -> None:
    """Danger now stops the job; its hostile lines are numbered and literal, and the conclusion says the same."""
    async with open_screen(attacked, size=size) as screen:
        watch = Watch(screen, size)
        await begun(screen)
        await screen.press("2", "enter")
        shown = watch.look("stop")
        assert "STOP" in shown
        await watch.press("c")
        await watch.press("escape")


async def test_what_is_pasted_is_cleaned_and_no_line_of_it_is_lost(open_screen: Open, workshop: Workshop) -> None:
    """Words, a note, a part to find and the palette take a paste in one line, without escapes and hidden letters."""
    shown = "[/] [red]a[/red] ${y} %s {n} [31m bb c $error".replace("bb", "b")
    async with open_screen(workshop, size=(120, 40)) as screen:
        watch = Watch(screen, (120, 40))
        await screen.press("n")
        for opens, closes in (("", "enter"), ("j", "enter"), ("m", "escape"), ("ctrl+p", "escape")):
            if opens == "j":
                await screen.press("1", "enter", "1", "enter")
            await screen.press(*([opens] if opens else []))
            screen.app.post_message(Paste(f"{HOSTILE}\nsmokes white\r\n"))
            await screen.settle()
            watch.look(opens or "words")
            field = screen.app.screen.focused
            assert field.value == f"{shown} smokes white", opens
            await screen.press(closes)
        job = screen.app.screen
        assert isinstance(job, JobScreen)
        assert job.walk.now.words == f"{shown} smokes white"
        notes = [entry.data["text"] for entry in job.walk.entries if entry.kind == "note"]
        assert notes == [f"{shown} smokes white"]


@pytest.mark.parametrize("size", SIZES)
async def test_environment_and_names_of_files_are_literal(
    open_screen: Open, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, size: tuple[int, int]
) -> None:
    """Who is logged in, where settings and casebook lie and which editor is named are shown as they are written."""
    named = HOSTILE.replace("/", "")
    settings = tmp_path / f"{named}.toml"
    settings.write_text("nothing = 3\n")
    monkeypatch.setenv("SOOTLINE_SETTINGS", str(settings))
    for variable in ("LOGNAME", "USER", "LNAME", "USERNAME", "EDITOR", "VISUAL"):
        monkeypatch.setenv(variable, HOSTILE)
    with Casebook.open(tmp_path / f"{named}.db") as casebook:
        async with open_screen(Workshop(small_book(), casebook, casebook.seat), size=size) as screen:
            watch = Watch(screen, size)
            await screen.until(lambda: "seat" in screen.text())
            assert SHOWN[:16] in watch.look("day list")
            for key in ("slash", "escape", "f9", "f2", "f2", "down", "enter", "escape", "escape"):
                await watch.press(key)


async def test_plain_mode_prints_them_literally(attacked: Workshop) -> None:
    """Line by line the same texts are words too, and 200 answers have their own numbers."""
    told = StringIO()
    job = await attacked.new_job(f"smokes {HOSTILE}", "smoke_on_start", "phone")
    plain = PlainJob(Talk(StringIO("yes\n" * 9), told), job)
    plain.show()
    for _question in job.walk.book.gate:
        await plain.answer("1")
        plain.show()
    await plain.commands()["read"]("")
    plain.show()
    assert "200" in told.getvalue()
    assert not harm(told.getvalue())
    assert SHOWN in told.getvalue()
