"""Why a suspect stands where it stands, on a card over the job: the same words as `sootline why`."""

from __future__ import annotations

import json
import math
import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

from screen_jobs import past_gate
from shell import sootline
from shipped_book import shipped

from trees.book.model import Book
from trees.casebook import Casebook
from trees.walk.reasons import why_of
from tui.screens.choose import ChooseCard
from tui.screens.job import JobScreen
from tui.screens.why import WhyCard
from tui.workshop import Workshop

Open = Callable[..., Any]


def account(screen: Any) -> list[str]:
    """Return the lines of the card, shown or scrolled away, as they are before they are broken."""
    return [line.strip() for line in screen.app.screen.told.plain.split("\n")]


async def open_why(screen: Any, part: str) -> None:
    """Press w, type a part of the name, Enter, and wait for the account."""
    await screen.press("escape", "w")
    await screen.until(lambda: isinstance(screen.app.screen, ChooseCard))
    await screen.type(part)
    await screen.press("enter")
    await screen.until(lambda: isinstance(screen.app.screen, WhyCard))
    await screen.until(lambda: account(screen)[:1] != ["Working it out …"] and bool(account(screen)))


async def test_why_shows_evidence_with_decibans_and_goes_by_escape(open_screen: Open, workshop: Workshop) -> None:
    """The cable's card after a low reading under load: 10 log10 of the odds after over before, and what would move it.

    The expectation is taken from the chances on the card itself, by the definition of the deciban.
    """
    async with open_screen(workshop) as screen:
        job = await past_gate(screen)
        await screen.press("r", "2", "enter", "1")
        await screen.type("12.1")
        await screen.press("enter")
        await open_why(screen, "battery")
        assert "Why: Battery flat" in screen.text()
        assert "+10 dB makes the odds ten times as high" in screen.text(), "the unit of the numbers is explained"
        lines = account(screen)
        reasons = why_of(job.walk, "battery_flat")
        (weight,) = [w for w in reasons.weights if w.answer == "smoke_on_start.watch"]
        odds = [chance / (1 - chance) for chance in (weight.before, weight.after)]
        decibans = 10 * math.log10(odds[1] / odds[0])
        assert "For it:" in lines
        said = next(line for line in lines if "How long does it smoke" in line)
        assert f"{decibans:+.1f} dB" in said
        assert f"Without this answer it would be {100 * (weight.without or 0):.0f} %" in said
        assert "What would change my mind:" in lines
        assert all("  " not in line.strip() for line in lines)
        await screen.press("escape")
        assert screen.app.screen is job


async def test_why_with_nothing_chosen_changes_nothing(
    open_screen: Open, workshop: Workshop, casebook: Casebook
) -> None:
    """Esc on the list goes back; the job on disk has no more entries than before."""
    async with open_screen(workshop) as screen:
        await past_gate(screen)
        before = len(casebook.entries(casebook.job("J-0001")))
        await screen.press("w")
        await screen.until(lambda: isinstance(screen.app.screen, ChooseCard))
        assert re.search(r"\d+ %  Battery flat", screen.text())
        await screen.press("escape")
        await screen.until(lambda: isinstance(screen.app.screen, JobScreen))
        assert len(casebook.entries(casebook.job("J-0001"))) == before


async def test_a_book_without_causes_says_so(open_screen: Open, casebook: Casebook, tmp_path: Path) -> None:
    """Where nothing can be weighed there is one sentence and no card."""
    from dataclasses import replace

    from small_book import small_book

    bare: Book = replace(small_book(), causes={})
    async with open_screen(Workshop(bare, casebook, casebook.seat, report_folder=tmp_path)) as screen:
        await past_gate(screen)
        await screen.press("w")
        await screen.until(lambda: "no cause" in screen.text())
        assert isinstance(screen.app.screen, JobScreen)


async def test_screen_and_shell_say_the_same(open_screen: Open, demo_store: Path, tmp_path: Path) -> None:
    """The card of a job of the invented workshop has the very lines of `sootline why JOB --cause`."""
    found = json.loads(sootline("--store", demo_store, "why", "D-12", "--format", "json").stdout)
    cause = found["why"][0]["cause"]
    printed = sootline("--store", demo_store, "why", "D-12", "--cause", cause).stdout.splitlines()
    with Casebook.open(demo_store, seat="bench one") as casebook:
        book = shipped()
        async with open_screen(Workshop(book, casebook, casebook.seat, report_folder=tmp_path)) as screen:
            job = JobScreen(await screen.app.workshop.open_job("D-12"))
            card = WhyCard(job.walk, cause)
            screen.app.push_screen(card)
            await screen.until(lambda: len(account(screen)) > 1)
            lines = account(screen)
    assert len(lines) > 3
    start = len(printed) - len(lines)
    assert [line.strip() for line in printed[start:]] == lines
