"""How a number is written: enough digits to be useful, no more than it deserves."""

from __future__ import annotations

import math

from trees.language import _


def plain_number(value: float, digits: int = 4) -> str:
    """Write a number with so many significant digits, without exponent and without trailing zeros."""
    if not math.isfinite(value):
        return _("no number")
    if value == 0:
        return "0"
    decimals = max(0, digits - 1 - math.floor(math.log10(abs(value))))
    text = f"{value:.{min(decimals, 12)}f}"
    text = text.rstrip("0").rstrip(".") if "." in text else text
    return "0" if text == "-0" else text


def number_with_uncertainty(value: float, uncertainty: float) -> tuple[str, str]:
    """Write value and uncertainty to the same place: two digits of an uncertainty that begins with 1 or 2, else one.

    Two digits for 1 and 2 keep the rounding of the uncertainty itself below a sixth
    (JCGM 100 §7.2.6: at most two digits).
    """
    if not math.isfinite(value) or not math.isfinite(uncertainty) or uncertainty <= 0:
        return plain_number(value), "0"
    place = math.floor(math.log10(uncertainty))
    leading = uncertainty / 10.0**place
    decimals = -place + (1 if leading < 2.95 else 0)
    if decimals <= 0:
        step = 10.0**-decimals
        return f"{round(value / step) * step:.0f}", f"{max(1, round(uncertainty / step)) * step:.0f}"
    return f"{value:.{decimals}f}", f"{uncertainty:.{decimals}f}"
