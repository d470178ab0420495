"""The casebook's screen with hostile texts, without colours, and in each theme."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Any

import pytest
from casebook_pages import keep, opened, turned
from contrast import is_text, poor_pairs, segments
from small_book import small_book
from small_jobs import coked

from trees.casebook import Casebook
from tui.screens.casebook import CasebookScreen
from tui.workshop import Workshop

Open = Callable[..., Any]
SIZES = [(60, 20), (80, 24), (120, 40)]
NASTY = "[/] x [red]a[/red] a[b=c] ${y} \x1b[31mred\u202e"


@pytest.mark.parametrize("size", SIZES)
async def test_nasty_texts_are_literal(open_screen: Open, workshop: Workshop, casebook: Casebook, size: Any) -> None:
    """Words, serial number, names of causes, trees and checks are shown as they are, without escape characters."""
    book = small_book()
    workshop.book = replace(
        book,
        causes={key: replace(cause, name=f"{NASTY} {cause.name}") for key, cause in book.causes.items()},
        checks={key: replace(check, wording=f"{NASTY} {check.wording}") for key, check in book.checks.items()},
        trees={key: replace(tree, title=f"{NASTY} {tree.title}") for key, tree in book.trees.items()},
    )
    for _ in range(11):
        keep(casebook, coked(f"{NASTY} smokes", NASTY[:20]))
    async with open_screen(workshop, size) as screen:
        await opened(screen)
        await screen.type("[/] x [red]")
        await screen.until(lambda: screen.text().count("[/] x") > 2)
        seen = [screen.text()]
        await screen.press("enter")
        await screen.until(lambda: "Consequence" in screen.text())
        seen.append(screen.text())
        await screen.press("escape")
        for part in CasebookScreen.PARTS[1:]:
            await turned(screen, part)
            seen.append(screen.text())
    for text in seen:
        assert "\x1b" not in text
        assert "\u202e" not in text
    for no in (0, 1, 2, 3, 5, 6):  # the first visit names nothing
        assert "[/] x [red]a" in " ".join(seen[no].split()), CasebookScreen.PARTS[max(0, no - 1)]


async def test_without_colours_the_pages_tell_the_same(
    open_screen: Open, workshop: Workshop, twelve: Casebook, monkeypatch: pytest.MonkeyPatch
) -> None:
    """No colour is written; the page that is shown is marked by an attribute, the marked job is underlined."""
    monkeypatch.setenv("NO_COLOR", "1")
    async with open_screen(workshop) as screen:
        await opened(screen)
        assert next(style for _, text, style in segments(screen.app) if "pier" in text).underline
        assert not next(style for _, text, style in segments(screen.app) if "hut 2" in text).underline
        for part in CasebookScreen.PARTS:
            await turned(screen, part)
            coloured = [
                text
                for _, text, style in segments(screen.app)
                if is_text(text) and any(c is not None and not c.is_default for c in (style.color, style.bgcolor))
            ]
            assert coloured == [], part
            assert next(style for _, text, style in segments(screen.app) if text.strip() == part).reverse


@pytest.mark.parametrize("theme", ["dark", "light", "contrast"])
async def test_every_text_can_be_read(open_screen: Open, workshop: Workshop, twelve: Casebook, theme: str) -> None:
    """The pages and the card keep the contrast of each theme."""
    from tui.settings import Settings
    from tui.themes import LEAST_CONTRAST

    workshop.settings = Settings(theme=theme)
    async with open_screen(workshop) as screen:
        await opened(screen)
        for part in CasebookScreen.PARTS:
            await turned(screen, part)
            assert poor_pairs(screen.app, LEAST_CONTRAST[theme]) == [], part
        await turned(screen, CasebookScreen.PARTS[0])
        await screen.type("hut")
        await screen.press("enter")
        await screen.until(lambda: "Pump weak" in screen.text())
        assert poor_pairs(screen.app, LEAST_CONTRAST[theme]) == []
