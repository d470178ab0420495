"""Whether numbers that meet are in the same unit: readings, figures, family values and the bands they are judged by.

A typed reading is turned into the unit of its check, but what passes from check to figure or from family to band does
not change: there, another unit would be a wrong number.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from yaml.nodes import Node

from trees.book.draft import Draft
from trees.book.model import Book, Check, FamilyValue
from trees.book.records import find
from trees.book.source import spot_of
from trees.errors import ReadingError
from trees.figures import FigureInfo
from trees.figures.unit_names import canonical_unit, dimension_of

_OF_EVERY_FAMILY: Mapping[str, str] = {"voltage": "V", "output_max": "kW", "output_min": "kW"}


def prove_units(draft: Draft, book: Book, figures: Mapping[str, FigureInfo] | None) -> None:
    """Report units that nobody knows, and numbers that would be taken in another unit than they are in."""
    unknown = _prove_known(draft, book)
    for check in book.checks.values():
        node = draft.node("check", check.id)
        for what, at, here, wanted in _meetings(book, check, node, figures or {}):
            if here and wanted and canonical_unit(here) != canonical_unit(wanted) and not {here, wanted} & unknown:
                draft.findings.add(
                    "unit-differs",
                    f"{what} is in {_said(here)}, and {_said(wanted)} is wanted",
                    spot_of(at or node),
                    f"let both be in {_said(wanted)}; readings may be typed in any unit all the same",
                )
        if check.figure in (figures or {}):
            _prove_ranges(draft, book, check, node, (figures or {})[check.figure])


def _prove_ranges(draft: Draft, book: Book, check: Check, node: Node, figure: FigureInfo) -> None:
    """Report plausible readings from which a figure can't be worked out: at the bench it would only stay empty."""
    for name, link in check.inputs.items():
        plausible = _plausible_of(book, link) if name in figure.inputs else None
        if plausible is None:
            continue
        low, high = figure.inputs[name].range
        if plausible[0] < low or plausible[1] > high:
            unit = figure.inputs[name].unit
            draft.findings.add(
                "figure-range",
                f"`{link}` takes {plausible[0]:g} to {plausible[1]:g} as plausible, and the figure `{figure.name}` "
                f"holds for {low:g} to {high:g} {unit} only",
                spot_of(find(node, "from", name) or node),
                "narrow `plausible` there, or take another figure",
            )


def _plausible_of(book: Book, link: str) -> tuple[float, float] | None:
    """Return the plausible range of what a link names, where it is given in numbers."""
    head, _, name = link.partition(".")
    check = book.checks.get(head)
    if head == "family" or check is None or check.of:
        return None
    found = next((reading.plausible for reading in check.readings if reading.name == name), check.plausible)
    low, high = found or (None, None)
    return (low, high) if isinstance(low, float) and isinstance(high, float) else None


def _said(unit: str) -> str:
    return "no unit" if unit == "1" else f"`{unit}`"


def _prove_known(draft: Draft, book: Book) -> set[str]:
    """Report units that are no units; return them."""
    unknown: set[str] = set()
    for unit, at in _all_units(draft, book):
        try:
            if unit and unit not in unknown:
                dimension_of(unit)
        except ReadingError as error:
            unknown.add(unit)
            cure = 'write it as instruments do, such as V, mm or ml/min; `unit: "1"` is a plain number'
            draft.findings.add("unknown-unit", str(error).rstrip("."), spot_of(at), cure)
    return unknown


def _all_units(draft: Draft, book: Book) -> Iterator[tuple[str, Node]]:
    for family in book.families.values():
        node = draft.node("family", family.id)
        for name, rated in family.rated.items():
            yield rated.unit, find(node, "rated", name, "unit") or node
    for check in book.checks.values():
        node = draft.node("check", check.id)
        yield check.unit, find(node, "unit") or node
        for reading in check.readings:
            yield reading.unit, find(node, "readings", reading.name, "unit") or node


def _meetings(
    book: Book, check: Check, node: Node, figures: Mapping[str, FigureInfo]
) -> Iterator[tuple[str, Node | None, str, str]]:
    """Yield what meets: its name, where it is named, its unit, and the unit in which it is taken."""
    figure = figures.get(check.figure)
    if figure is not None:
        yield f"the figure `{figure.name}`", find(node, "unit"), figure.result.unit, check.unit
        for name, link in check.inputs.items():
            if name in figure.inputs and link.partition(".")[0] != check.id:
                for unit in _units_of(book, link):
                    yield f"`{link}`", find(node, "from", name), unit, figure.inputs[name].unit
    for number, base in enumerate(check.of):
        other = book.checks.get(base.removeprefix("figure."))
        if other is not None and other.form != "figure":
            continue
        for unit in _units_of(book, base.removeprefix("figure.")):
            yield f"`{base}`", find(node, "of", number), unit, check.unit
    if check.of:  # edges are fractions then
        return
    for number, band in enumerate(check.bands):
        for key, edge in (("upto", band.upto), ("above", band.above)):
            if isinstance(edge, FamilyValue):
                for unit in _units_of(book, f"family.{edge.name}"):
                    yield f"`family.{edge.name}`", find(node, "bands", number, key), unit, check.unit


def _units_of(book: Book, link: str) -> list[str]:
    """Return the unit or units of what a link names; none where it can't be known."""
    head, _, name = link.partition(".")
    if head == "family":
        stated = {family.rated[name].unit for family in book.families.values() if name in family.rated}
        return sorted(stated) or [unit for unit in [_OF_EVERY_FAMILY.get(name, "")] if unit]
    check = book.checks.get(head)
    if check is None:
        return []
    units = [reading.unit for reading in check.readings if reading.name == name] if name else [check.unit]
    return [unit for unit in units if unit]
