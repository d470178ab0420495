"""How the limits of a band read on paper: “0.2 to 0.4 mm”, “up to 90 % of dose”, “above 11.5 V (12 V unit)”."""

from __future__ import annotations

from trees.book.model import Answer, ByVoltage, Check, Edge, FamilyValue
from trees.book.words import rated_name
from trees.figures.unit_names import canonical_unit
from trees.language import _


def band_limits(check: Check, index: int) -> str:
    """Return the limits of the band at `index` in words; empty if the band names none."""
    band = check.bands[index]
    lower = band.above if band.above is not None else (check.bands[index - 1].upto if index else None)
    upper = band.upto
    volts = sorted({volt for edge in (lower, upper) if isinstance(edge, ByVoltage) for volt in edge.volts})
    if not volts:
        return _range(check, lower, upper)
    each = (
        f"{_range(check, _at(lower, volt), _at(upper, volt))} ({_('{volts} V unit').format(volts=volt)})"
        for volt in volts
    )
    return ", ".join(each)


def spread_limit(answer: Answer) -> str:
    """Return from which relative spread repeated readings count as scattered."""
    return (
        _("over {spread} % apart").format(spread=_number(answer.above * 100))
        if isinstance(answer.above, float | int)
        else ""
    )


def _range(check: Check, lower: Edge | None, upper: Edge | None) -> str:
    """Return the words for one band; a unit stands behind numbers only, and once behind a pair of them."""
    low, high = _edge(check, lower), _edge(check, upper)
    if low and high:
        if not isinstance(upper, FamilyValue):
            return _("{low} to {high}{unit}").format(low=low, high=high, unit=_unit(check))
        return _("{low} to {high}").format(low=_with_unit(check, lower), high=high)
    if high:
        return _("up to {high}").format(high=_with_unit(check, upper))
    return _("above {low}").format(low=_with_unit(check, lower)) if low else ""


def _with_unit(check: Check, edge: Edge | None) -> str:
    return _edge(check, edge) + ("" if isinstance(edge, FamilyValue) else _unit(check))


def _unit(check: Check) -> str:
    if check.of:
        return _(" % of {of}").format(of=_words(check.of[0]))
    return unit_words(check.unit)


def unit_words(unit: str) -> str:
    """Return the unit as it is printed, with the space before it; nothing for a plain number."""
    return "" if unit in ("", "1") else f" {canonical_unit(unit)}"


def _edge(check: Check, edge: Edge | None) -> str:
    if edge is None:
        return ""
    if isinstance(edge, FamilyValue):
        return _("the unit's {name}").format(name=_words(edge.name))
    if isinstance(edge, ByVoltage):
        return "/".join(_number(value) for value in edge.volts.values())
    return _number(edge * 100 if check.of else edge)


def _at(edge: Edge | None, volt: str) -> Edge | None:
    return edge.volts.get(volt) if isinstance(edge, ByVoltage) else edge


def _words(name: str) -> str:
    return rated_name(name.rpartition(".")[2])


def _number(value: float) -> str:
    return f"{round(value, 9):.10g}"
