"""Texts as they may stand on a screen: literal, in one style; light enough for the first frame."""

from __future__ import annotations

import re

from textual.content import Content

from trees.text import printable, unsafe

MUTED = "$foreground-muted"
"""Style of what stands back; `$text-muted` would be brighter than plain text inside Content (Textual 8.2)."""


_APART = re.compile(r"\u00a0|(?<=\d) (?=(?:%|[^\W\d_]{1,3}\b))")
"""The space between a number and its unit, where no line may be broken."""
_HELD = "\u2800"
"""Stands in for that space while lines are broken: the library breaks at every other kind of space."""
_MARK = re.compile(r" *(?:[^\w\s(“\"'] +|\d+\.? +)?")
"""What stands before the words of a line: spaces, and a sign or a number."""


def plain(text: str) -> str:
    """Return a text of a book, a job or a file as it may reach the terminal; lines stay lines."""
    return printable(text, keep="\n")


def one_line(text: str) -> str:
    """Return a text as it may stand in a field: in one line, and nothing in it steers the terminal."""
    return printable(" ".join(text.split()))


def pasted(text: str) -> str:
    """Return what was pasted as a field takes it: no line is lost, and nothing in it steers the terminal or hides."""
    lines = " ".join(line.strip() for line in text.splitlines() if line.strip())
    return "".join(char for char in lines.replace("\t", " ") if not unsafe(char))


def say(text: str, style: str = "") -> Content:
    """Return literal text in one style."""
    return Content.styled(plain(text), style) if style else Content(plain(text))


def hung(text: Content, width: int) -> Content:
    """
    Break lines at `width` cells so that what follows stands under the words, not under the mark in front of them.

    A number stays with its unit.
    """
    rows: list[Content] = []
    for line in text.split("\n", allow_blank=True):
        mark = _MARK.match(line.plain)
        indent = len(mark.group()) if mark else 0
        if line.cell_length <= width or width - indent < 20:
            rows.append(line)
            continue
        head, words = line.divide([indent]) if indent else (Content(""), line)
        first, *more = (_loose(part.rstrip()) for part in _held(words).wrap(width - indent))
        rows += [head + first, *(Content(" " * indent) + part for part in more)]
    return Content("\n").join(rows)


def _held(text: Content) -> Content:
    return Content(_APART.sub(_HELD, text.plain), spans=list(text.spans))


def _loose(text: Content) -> Content:
    return Content(text.plain.replace(_HELD, " "), spans=list(text.spans))
