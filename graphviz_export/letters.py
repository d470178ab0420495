"""How wide a line of text is, well enough to wrap it for a program that can't measure it; never too narrow."""

from __future__ import annotations

import unicodedata

_NARROW = frozenset(" !'(),./:;I[\\]`fijlrt|-")
_WIDE = frozenset("mwMW@%&—…")
BOLD_FACTOR = 1.08


def line_em(text: str) -> float:
    """Return an upper estimate of the width of a line in em of Arimo, kerning left out."""
    return sum(_letter_em(letter) for letter in text)


def wrap(text: str, width_em: float) -> list[str]:
    """Return the text cut into lines no wider than that; a word that is too long is cut inside. Never empty."""
    lines: list[str] = []
    line = ""
    for word in text.split():
        rest = word
        joined = f"{line} {rest}" if line else rest
        if line_em(joined) <= width_em:
            line = joined
            continue
        if line:
            lines.append(line)
        while line_em(rest) > width_em and len(rest) > 1:
            cut = _longest(rest, width_em)
            lines.append(rest[:cut])
            rest = rest[cut:]
        line = rest
    return [*lines, line] if line or not lines else lines


def shortened(text: str, width_em: float) -> str:
    """Return the text, cut with an ellipsis if it would be wider than that."""
    if line_em(text) <= width_em:
        return text
    return text[: _longest(text, width_em - _letter_em("…"))].rstrip() + "…"


def _longest(word: str, width_em: float) -> int:
    used = 0.0
    for index, letter in enumerate(word):
        used += _letter_em(letter)
        if used > width_em:
            return max(1, index)
    return len(word)


def _letter_em(letter: str) -> float:
    if letter in _NARROW:
        return 0.34
    if unicodedata.combining(letter):
        return 0.0
    if letter in _WIDE or unicodedata.east_asian_width(letter) in "WF":
        return 1.02
    if letter.isascii():
        return 0.75 if letter.isupper() else 0.585
    return 0.85
