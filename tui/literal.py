"""Texts as they may stand on a screen: literal, in one style; light enough for the first frame."""

from __future__ import annotations

from textual.content import Content

from trees.text import printable

MUTED = "$foreground-muted"
"""Style of what stands back; `$text-muted` would be brighter than plain text inside Content (Textual 8.2)."""


def plain(text: str) -> str:
    """Return a text of a book, a job or a file as it may reach the terminal; lines stay lines."""
    return printable(text, keep="\n")


def say(text: str, style: str = "") -> Content:
    """Return literal text in one style."""
    return Content.styled(plain(text), style) if style else Content(plain(text))
