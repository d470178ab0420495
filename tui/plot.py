"""A curve drawn with braille dots: lines of text with labelled axes and the present point marked."""

from __future__ import annotations

import math
from collections.abc import Sequence

from trees.figures.plain import plain_number

MARK = "●"
SMALLEST = (24, 6)
"""Columns and lines below which nothing is drawn."""

_ACROSS, _DOWN = 2, 4
_DOTS = ((0x01, 0x08), (0x02, 0x10), (0x04, 0x20), (0x40, 0x80))
"""Bit of each dot of a braille character, by row and column (Unicode, block 2800 to 28FF)."""

Point = tuple[float, float | None]
"""One point of a curve; no height where the formula does not hold."""


def plot(
    points: Sequence[Point],
    here: tuple[float, float] | None,
    *,
    width: int,
    height: int,
    x_name: str,
    y_name: str,
) -> tuple[str, ...]:
    """
    Draw a curve into `width` columns and `height` lines, both with the axes and their labels.

    Neighbouring points are joined; a point without height leaves a gap. `here` is marked and always in the picture.
    Nothing is drawn (an empty tuple) in too small a room or where fewer than two points have a height.
    """
    seen = [(x, y) for x, y in points if y is not None and math.isfinite(y)]
    if width < SMALLEST[0] or height < SMALLEST[1] or len(seen) < 2:
        return ()
    marked = [here] if here is not None else []
    x_low, x_high = _span([x for x, _ in (*points, *marked)])
    y_low, y_high = _span([y for _, y in (*seen, *marked)])
    bottom, top = _labels(y_low, y_high)
    margin = max(len(bottom), len(top)) + 1
    columns, rows = width - margin - 1, height - 3

    def dot(x: float, y: float) -> tuple[int, int]:
        across = (x - x_low) / (x_high - x_low) * (columns * _ACROSS - 1)
        up = (y - y_low) / (y_high - y_low) * (rows * _DOWN - 1)
        return round(across), rows * _DOWN - 1 - round(up)

    cells = [[0] * columns for _ in range(rows)]
    last: tuple[int, int] | None = None
    for x, y in points:
        now = dot(x, y) if y is not None and math.isfinite(y) else None
        if now is not None:
            for across, down in _line(last or now, now):
                cells[down // _DOWN][across // _ACROSS] |= _DOTS[down % _DOWN][across % _ACROSS]
        last = now
    area = [[chr(0x2800 + bits) if bits else " " for bits in row] for row in cells]
    if here is not None:
        across, down = dot(*here)
        area[down // _DOWN][across // _ACROSS] = MARK
    labels = [top, *[""] * (rows - 2), bottom] if rows > 1 else [top]
    left, right = _labels(x_low, x_high)
    return (
        y_name if len(y_name) <= width else y_name[: width - 1] + "…",
        *(f"{label:>{margin}}┤{''.join(row)}".rstrip() for label, row in zip(labels, area, strict=True)),
        " " * margin + "└" + "─" * columns,
        " " * (margin + 1) + _under(left, x_name, right, columns),
    )


def _span(values: Sequence[float]) -> tuple[float, float]:
    """Return lowest and highest; a flat row of values gets room on both sides."""
    low, high = min(values), max(values)
    if high - low <= 1e-9 * max(abs(low), abs(high)):
        room = 0.1 * abs(low) or 1.0
        return low - room, high + room
    return low, high


def _labels(low: float, high: float) -> tuple[str, str]:
    """Write both ends of an axis with as many digits as tell them well apart."""
    digits = 3
    if high != low:
        digits = max(3, min(8, 2 + math.ceil(math.log10(max(abs(low), abs(high)) / (high - low)))))
    return plain_number(low, digits), plain_number(high, digits)


def _under(left: str, name: str, right: str, columns: int) -> str:
    """Put the name of the axis between its ends, shortened where there is no room."""
    room = columns - len(left) - len(right) - 2
    shown = name if len(name) <= room else name[: max(0, room - 1)] + "…" if room > 1 else ""
    return f"{left} {shown:^{max(0, room)}} {right}"


def _line(start: tuple[int, int], end: tuple[int, int]) -> Sequence[tuple[int, int]]:
    """Return the dots of a straight line, both ends included."""
    across, down = end[0] - start[0], end[1] - start[1]
    steps = max(abs(across), abs(down), 1)
    return [(round(start[0] + across * i / steps), round(start[1] + down * i / steps)) for i in range(steps + 1)]
