"""Texts of other people made safe to print: nothing in them moves the cursor, hides or turns text round."""

from __future__ import annotations

import json
import unicodedata
from typing import Any

_UNSAFE = frozenset({"Cc", "Cf", "Cn", "Co", "Cs", "Zl", "Zp"})


def printable(text: str, *, keep: str = "") -> str:
    """Return the text with every unsafe character but those of `keep` replaced; one character stays one."""
    if text.isascii() and text.isprintable():
        return text
    return "".join(
        char if char in keep else " " if char == "\t" else "\N{REPLACEMENT CHARACTER}" if unsafe(char) else char
        for char in text
    )


def json_text(data: Any, *, indent: int | None = None) -> str:
    """Return plain data as JSON that is safe to print: what `printable` would replace is escaped, so nothing is lost.

    ValueError for a number that is not finite, which JSON can't hold.
    """
    text = json.dumps(data, ensure_ascii=False, indent=indent, allow_nan=False)
    if text.isascii() and "\x7f" not in text:  # the other control characters of ASCII are escaped in any JSON
        return text
    return "".join(json.dumps(char)[1:-1] if char != "\n" and unsafe(char) else char for char in text)


def unsafe(char: str) -> bool:
    """Tell whether a character could steer a terminal or mislead an eye."""
    return unicodedata.category(char) in _UNSAFE
