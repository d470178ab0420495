"""The contrast of every text on a screen, from the styles as they are rendered."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from rich.color import Color
from rich.style import Style

DRAWN = range(0x2500, 0x25A0)
"""Lines and blocks: borders, bars and rulers are no text, and what they show stands in words beside them."""


def luminance(color: Color) -> float:
    """Return the relative luminance, as WCAG 2.2 defines it for sRGB."""
    assert color.triplet is not None, f"a colour of the terminal's own: {color}"
    parts = [part / 255 for part in color.triplet]
    red, green, blue = [p / 12.92 if p <= 0.04045 else ((p + 0.055) / 1.055) ** 2.4 for p in parts]
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: Color, other: Color) -> float:
    """Return the contrast ratio of two colours, 1 to 21, as WCAG 2.2 defines it."""
    dark, light = sorted((luminance(one), luminance(other)))
    return (light + 0.05) / (dark + 0.05)


def segments(app: Any) -> Iterator[tuple[int, str, Style]]:
    """Yield line, text and style of everything that the screen shows now; a private call, kept here."""
    for line, strip in enumerate(app.screen._compositor.render_strips()):
        for segment in strip:
            if segment.style is not None:
                yield line, segment.text, segment.style


def is_text(text: str) -> bool:
    """Tell whether there is something to read."""
    return any(not char.isspace() and ord(char) not in DRAWN for char in text)


def poor_pairs(app: Any, least: float) -> list[str]:
    """Return every text on the screen whose contrast is below the least, with its colours."""
    found = []
    for line, text, style in segments(app):
        if not is_text(text):
            continue
        assert style.color is not None, text
        assert style.bgcolor is not None, text
        ratio = contrast(style.color, style.bgcolor)  # the same both ways round, so `reverse` changes nothing
        if ratio < least:
            found.append(f"{ratio:.2f} line {line} {text.strip()!r} {style}")
    return found
