"""A screen as text: its characters, then per line which part has which style by name; compared with what is stored.

A style is named by the colours of the dark theme (`accent bold`, `text-muted on marked`); `themes.txt` beside the
snapshots has every pair of colours in each theme, so one text holds for all of them. SOOTLINE_SNAPSHOTS=write stores
anew.
"""

from __future__ import annotations

import difflib
import os
from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path
from typing import Any

from rich.style import Style

WRITE = "SOOTLINE_SNAPSHOTS"
GROUNDS = ("", "background", "surface", "panel")
"""What text stands on where nothing is meant by it."""
ATTRIBUTES = ("bold", "dim", "italic", "underline", "reverse", "strike")
NAMED = (
    "foreground",
    "background",
    "surface",
    "panel",
    "text-muted",
    "accent",
    "success",
    "error",
    "danger",
    "primary",
    "secondary",
    "marked",
)
"""Theme colours in the order in which a colour that two of them share is named."""
Run = tuple[int, int, Style]
"""First cell, cell behind the last, style."""


def lines_of(app: Any) -> list[tuple[str, list[Run]]]:
    """Return text and runs of every line that the app shows now; a private call, kept here."""
    rows = []
    for strip in app.screen._compositor.render_strips():
        at, text, runs = 0, "", []
        for segment in strip:
            if segment.control or not segment.text:
                continue
            runs.append((at, at + segment.cell_length, segment.style or Style()))
            at += segment.cell_length
            text += segment.text
        rows.append((text, runs))
    return rows


class Names:
    """What the colours of a theme are called."""

    def __init__(self, variables: Mapping[str, str]) -> None:
        self.of: dict[str, str] = {}
        for name in NAMED:
            self.of.setdefault(variables[name].lower(), name)

    def colour(self, color: Any) -> str:
        """Return the name of a colour, its hexadecimal value where the theme has none, nothing for the terminal's."""
        if color is None or color.is_default:
            return ""
        if color.triplet is None:
            return str(color.name)
        value = color.triplet.hex
        return self.of.get(value) or next((name for known, name in self.of.items() if _near(known, value)), value)

    def style(self, style: Style) -> str:
        """Return the name of a style; plain text and its usual grounds are not told."""
        fore, back = self.colour(style.color), self.colour(style.bgcolor)
        told = [] if fore in {"", "foreground"} else [fore]
        told += [] if back in GROUNDS else [f"on {back}"]
        return " ".join((*told, *(name for name in ATTRIBUTES if getattr(style, name))))


def _near(one: str, other: str) -> bool:
    """Tell whether two colours differ by rounding only."""
    return all(abs(int(one[at : at + 2], 16) - int(other[at : at + 2], 16)) <= 1 for at in (1, 3, 5))


def picture(app: Any) -> str:
    """Return the screen as text, each line behind its number, and below it the styles that are not plain."""
    names, rows = Names(app.theme_variables), lines_of(app)
    texts = [f"{no:>2} {text}".rstrip() for no, (text, _runs) in enumerate(rows, start=1)]
    styles = [f"{no:>2} {told}" for no, row in enumerate(rows, start=1) if (told := _told(*row, names))]
    return "\n".join([*texts, "styles:", *styles])


def _told(text: str, runs: Sequence[Run], names: Names) -> str:
    """Return the styles of a line; neighbours of one style count as one, blanks are told only where they are seen."""
    joined: list[tuple[int, int, str]] = []
    for first, end, style in runs:
        name = names.style(style)
        if not text[first:end].strip() and " on " not in f" {name}" and "reverse" not in name:
            continue
        if joined and joined[-1][1:] == (first, name):
            joined[-1] = (joined[-1][0], end, name)
        else:
            joined.append((first, end, name))
    return "; ".join(f"{first + 1}-{end} {name}" for first, end, name in joined if name)


def pairs(app: Any) -> Iterator[tuple[int, int, str]]:
    """Yield line, cell and colours (`#aabbcc on #ddeeff`) of every visible character."""
    for line, (text, runs) in enumerate(lines_of(app)):
        for first, end, style in runs:
            if text[first:end].strip() and style.color is not None and style.bgcolor is not None:
                colours = f"{style.color.triplet.hex} on {style.bgcolor.triplet.hex}"  # type: ignore[union-attr]
                yield from ((line, cell, colours) for cell in range(first, end))


def held(stored: Path, text: str) -> None:
    """Compare with the stored text, or store it; AssertionError with a diff where they differ."""
    text = text.rstrip("\n") + "\n"
    if os.environ.get(WRITE) == "write":
        stored.parent.mkdir(parents=True, exist_ok=True)
        stored.write_text(text, "utf-8")
        return
    assert stored.exists(), f"{stored.name} is not stored yet; {WRITE}=write stores it"
    before = stored.read_text("utf-8")
    if before != text:
        diff = difflib.unified_diff(before.splitlines(), text.splitlines(), "stored", "now", lineterm="", n=2)
        raise AssertionError("\n".join((f"{stored.name} differs; if that is meant, {WRITE}=write stores it", *diff)))
