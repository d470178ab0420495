"""Shares, ranges and visits drawn in plain characters: one line each, legible without colour."""

from __future__ import annotations

import math
from collections.abc import Sequence

from trees.language import N_

OLD, NEW, BOTH = "○", "●", "◉"
LEGEND = N_("█ up to the lower end of the interval, ▓ up to the share, ┤ the upper end.")
OLD_AND_NEW = N_("○ the author, ● the count, ├ ┤ the interval.")
_TOPS = (0.1, 0.2, 0.3, 0.5, 1.0)


def top_of(highest: float) -> float:
    """Return the end of an axis for shares 0..1 that holds the highest: 10, 20, 30, 50 or 100 of 100."""
    return next((top for top in _TOPS if highest <= top), 1.0)


def round_top(highest: float) -> float:
    """Return the end of an axis from 0 that holds any positive number: 1, 2 or 5 times a power of ten."""
    if highest <= 0:
        return 1.0
    power = 10.0 ** math.floor(math.log10(highest))
    return next(step * power for step in (1.0, 2.0, 5.0, 10.0) if highest <= step * power * (1 + 1e-9))


def share_bar(share: float, low: float, high: float, top: float, width: int) -> str:
    """Draw a share with its interval: solid up to the lower end, lighter up to the share, a rule to the upper end."""
    ends, here, end = (_cells(x, top, width) for x in (low, share, high))
    rule = "─" * (end - here - 1) + "┤" if end > here else ""
    return "█" * ends + "▓" * (here - ends) + rule


def bar_of(value: float, top: float, width: int) -> str:
    """Draw a plain bar; what is more than nothing shows at least a sliver."""
    cells = _cells(value, top, width)
    return "█" * cells if cells or value <= 0 else "▏"


def range_bar(lowest: float, middle: float, highest: float, top: float, width: int) -> str:
    """Draw a range from lowest to highest, its middle as a dot."""
    return _on_a_rule(lowest, highest, top, width, {NEW: middle})


def old_and_new(old: float, new: float, ends: tuple[float, float], top: float, width: int) -> str:
    """Draw what the author wrote and what was counted on the interval of the count."""
    return _on_a_rule(*ends, top, width, {OLD: old, NEW: new})


def visits(days: Sequence[float], longest: float, width: int) -> str:
    """Draw one dot a visit, as far apart as the days between them; `longest` days fill the width."""
    at, so_far = [0], 0.0
    for gap in days:
        so_far += max(0.0, gap)
        at.append(max(at[-1] + 1, _cells(so_far, longest, width - 1)))
    return "".join(NEW if cell in at else "─" for cell in range(at[-1] + 1))


def axis(top: float, width: int, unit: str) -> str:
    """Return the numbers under a plot: 0, the half, and the end with its unit."""
    end = f"{top:g} {unit}"
    half = f"{top / 2:g}"
    middle = max(1, _cells(0.5, 1.0, width) - 1)
    line = f"{'0':<{middle}}{half}"
    return f"{line:<{max(len(line) + 1, width - len(f'{top:g}'))}}{end}"


def _cells(x: float, top: float, width: int) -> int:
    return max(0, min(width, round(x / top * width))) if top > 0 else 0


def _on_a_rule(low: float, high: float, top: float, width: int, marks: dict[str, float]) -> str:
    """Draw a rule with marks, which may lie outside it; two marks in one cell become one sign for both."""
    last = width - 1
    left, right = _cells(low, top, last), _cells(high, top, last)
    cells = [" "] * width
    cells[left : right + 1] = "─" * (right - left + 1)
    cells[left], cells[right] = "├", "┤"
    for sign, value in marks.items():
        cell = _cells(value, top, last)
        cells[cell] = BOTH if cells[cell] in marks else sign
    return "".join(cells).rstrip()
