"""Texts of other people made safe to print: nothing in them moves the cursor, hides or turns text round."""

from __future__ import annotations

import unicodedata

_UNSAFE = frozenset({"Cc", "Cf", "Cn", "Co", "Cs", "Zl", "Zp"})


def printable(text: str, *, keep: str = "") -> str:
    """Return the text with every unsafe character but those of `keep` replaced; one character stays one."""
    if text.isascii() and text.isprintable():
        return text
    return "".join(
        char if char in keep else " " if char == "\t" else "\N{REPLACEMENT CHARACTER}" if unsafe(char) else char
        for char in text
    )


def unsafe(char: str) -> bool:
    """Tell whether a character could steer a terminal or mislead an eye."""
    return unicodedata.category(char) in _UNSAFE
