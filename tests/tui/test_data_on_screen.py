"""Any text from a job or a book is shown as it is: no markup, no escape sequences, on every screen."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Any

import pytest
from small_book import small_book

from tui.workshop import Workshop

NASTY = "[/] x [red]a[/red] a[b=c] ${y} \x1b[31mred\u202e"
SHOWN = ("[/] x [red]a[/red]", "a[b=c] ${y}")


def nasty_book() -> Any:
    """Return the small book with nasty texts in everything that the screens show."""
    book = small_book()
    checks = {
        key: replace(
            check,
            wording=f"{NASTY} {check.wording}",
            how=NASTY,
            answers=tuple(replace(a, means=f"{a.means} {NASTY}") for a in check.answers),
        )
        for key, check in book.checks.items()
    }
    causes = {key: replace(cause, name=f"{cause.name} {NASTY}", prevent=NASTY) for key, cause in book.causes.items()}
    cautions = {key: replace(c, word=f"CO {NASTY}", text=NASTY, stop_line=NASTY) for key, c in book.cautions.items()}
    trees = {key: replace(tree, title=f"{tree.title} {NASTY}") for key, tree in book.trees.items()}
    gate = tuple(replace(q, ask=f"{NASTY} {q.ask}") for q in book.gate)
    return replace(book, title=NASTY, checks=checks, causes=causes, cautions=cautions, trees=trees, gate=gate)


@pytest.mark.parametrize("size", [(80, 24), (120, 40)])
async def test_nasty_texts_are_literal_on_every_screen(
    open_screen: Callable[..., Any], workshop: Workshop, size: tuple[int, int]
) -> None:
    """Brackets stay brackets, and no escape or bidi character reaches the terminal."""
    workshop.book = nasty_book()
    seen = []
    async with open_screen(workshop, size=size) as screen:
        seen.append(screen.text())
        await screen.press("n")
        await screen.type("a[b=c] smokes white [/]")
        seen.append(screen.text())
        await screen.press("enter")
        seen.append(screen.text())
        await screen.press("1", "enter", "1", "enter")
        seen.append(screen.text())
        await screen.press("r")
        seen.append(screen.text())
        await screen.press("2", "enter", "f1")
        seen.append(screen.text())
        await screen.press("escape", "c")
        seen.append(screen.text())
        await screen.press("escape", "escape")
        seen.append(screen.text())
    for text in seen:
        assert "\x1b" not in text
        assert "\u202e" not in text
    whole = " ".join("\n".join(seen).split())
    for part in SHOWN:
        assert part in whole, part
    assert "a[b=c] smokes white [/]" in whole
