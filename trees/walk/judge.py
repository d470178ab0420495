"""Which band a reading falls into, for this unit: edges resolved, repeats averaged, scatter noticed."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from trees.book.model import Answer, Check
from trees.walk.unit import Missing, UnitFacts

WorkOut = Callable[[str], float | None]
"""Gives the value of a figure check by its id, or None where an input is missing."""


@dataclass(frozen=True, slots=True)
class BandEdges:
    """A check's bands for one unit, in the check's unit of measure."""

    bands: tuple[tuple[Answer, float | None, float | None], ...]
    """Band, lower edge (exclusive; None for the first), upper edge (inclusive; None for the last)."""
    plausible: tuple[float, float] | None
    base_name: str
    """What the edges are fractions of (`family.dose`), or empty."""
    base: float


@dataclass(frozen=True, slots=True)
class Verdict:
    """What a reading means."""

    answer: Answer | None
    """None where the bands can't be known for this unit."""
    value: float
    """The mean of the readings."""
    relative_spread: float
    """(largest - smallest) / mean, 0 for one reading."""
    implausible: bool
    edges: BandEdges | None


def band_edges(check: Check, unit: UnitFacts, work_out: WorkOut) -> BandEdges | Missing:
    """Resolve the bands of a reading or figure check for this unit; tell what is missing."""
    base_name, base = "", 1.0
    if check.of:
        found = next(((name, value) for name in check.of if (value := _base(name, unit, work_out)) is not None), None)
        if found is None:
            wanted = next((name for name in check.of if name.startswith("family.")), check.of[0])
            return Missing(wanted.removeprefix("family."))
        base_name, base = found
    rows: list[tuple[Answer, float | None, float | None]] = []
    low: float | None = None
    for band in check.bands:
        high: float | None = None
        if band.upto is not None:
            edge = unit.edge(band.upto)
            if isinstance(edge, Missing):
                return edge
            high = edge * base
        rows.append((band, low, high))
        low = high
    plausible = None
    if check.plausible is not None:
        ends = [unit.edge(end) for end in check.plausible]
        numbers = [end * base for end in ends if not isinstance(end, Missing)]
        plausible = (numbers[0], numbers[1]) if len(numbers) == len(ends) else None
    return BandEdges(tuple(rows), plausible, base_name, base)


def _base(name: str, unit: UnitFacts, work_out: WorkOut) -> float | None:
    where, _, rest = name.partition(".")
    return unit.value(rest) if where == "family" else work_out(rest)


def judge(check: Check, values: Sequence[float], unit: UnitFacts, work_out: WorkOut) -> Verdict:
    """Put one or more readings of the same thing (in the check's unit) into a band."""
    mean = sum(values) / len(values)
    spread = (max(values) - min(values)) / abs(mean) if len(values) > 1 and mean else 0.0
    edges = band_edges(check, unit, work_out)
    if isinstance(edges, Missing):
        return Verdict(None, mean, spread, False, None)
    implausible = edges.plausible is not None and not edges.plausible[0] <= mean <= edges.plausible[1]
    limit = check.spread.above if check.spread is not None else None
    if check.spread is not None and isinstance(limit, float) and spread > limit:
        return Verdict(check.spread, mean, spread, implausible, edges)
    for band, _, high in edges.bands:
        # An edge belongs to the band below it; the tolerance absorbs the binary image of typed decimals.
        if high is None or mean <= high + 1e-9 * max(1.0, abs(high)):
            return Verdict(band, mean, spread, implausible, edges)
    return Verdict(None, mean, spread, implausible, edges)
