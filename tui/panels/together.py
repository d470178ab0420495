"""A set of readings while it is typed: what those of one unit make together, and each one's share."""

from __future__ import annotations

from collections.abc import Mapping

from textual.content import Content

from trees.book.model import Check
from trees.errors import ReadingError
from trees.language import _
from tui import draw
from tui.draw import MUTED

SHARED = "h"
"""Unit whose readings are parts of a whole: run hours at each step."""


def together(check: Check, typed: Mapping[str, str]) -> Content:
    """Return what is wrong in a field, and the run hours together with the share of each step; else nothing."""
    from trees.figures.units import format_value, parse_one

    rows: list[Content] = []
    hours: dict[str, float] = {}
    for field in check.readings:
        text = typed.get(field.name, "").strip()
        if not text:
            continue
        try:
            value = parse_one(text, field.unit).value
        except ReadingError as error:
            rows.append(draw.say(f"{field.label or field.name}: {error}", "$warning"))
            continue
        if field.unit == SHARED:
            hours[field.label or field.name] = value
    whole = sum(hours.values())
    if len(hours) > 1 and whole > 0:
        shares = ", ".join(f"{draw.plain(name)} {100 * value / whole:.0f} %" for name, value in hours.items())
        rows.insert(
            0,
            Content.assemble(
                (_("Together {whole}: ").format(whole=format_value(whole, SHARED)), "bold"), (shares, MUTED)
            ),
        )
    return draw.lines(rows)
