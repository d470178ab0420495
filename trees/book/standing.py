"""What does a number of the book rest on? Its standing in words, and the proof that every number has one.

Band edges, plausible ranges, uncertainties, rated data and likelihoods in figures are numbers that somebody must answer
for: a source is named beside them, at their check (family, cause, sign), or at the top of their file. Minutes, shares
and likelihood words rest on the book's own source.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from yaml.nodes import MappingNode, Node, ScalarNode

from trees.book.draft import Draft
from trees.book.model import ByVoltage, Check, Edge, Family, FamilyValue, Source
from trees.book.records import find
from trees.book.source import spot_of

_MOST_NOTES = 5
_CURE = "write `source:` there or once at the top of the file: practice, memory, or {published: …, clause: …, seen: …}"


@dataclass(frozen=True, slots=True)
class Standing:
    """One number of a check or family and what it rests on."""

    what: str
    """`up to 0.2 mm: Rubbing`, `plausible 0 to 3 mm`, `uncertainty 0.03 mm`, `dose 6.6 ml`."""
    source: Source

    @property
    def words(self) -> str:
        """Its standing for people."""
        return in_words(self.source)


def in_words(source: Source) -> str:
    """Return `published: name, clause, opened`, `common practice, no source` or `from memory`."""
    if source.standing == "practice":
        return "common practice, no source"
    if source.standing == "memory":
        return "from memory"
    seen = {"opened": "opened", "quoted": "seen quoted"}.get(source.seen, source.seen)
    return "published: " + ", ".join(part for part in (source.name, source.clause, seen) if part)


def of_check(check: Check, default: Source) -> tuple[Standing, ...]:
    """Return every number of a check with its standing, in the author's order.

    `default` is the book's source; a band edge that stands with the family is named and has the family's standing,
    see `of_family`.
    """
    source = check.source or default
    rows: list[Standing] = []
    for band in check.bands:
        where, edge = ("up to", band.upto) if band.upto is not None else ("above", band.above)
        if edge is not None and not isinstance(edge, FamilyValue):
            rows.append(Standing(f"{where} {_edge(edge, check)}: {band.means}", band.source or source))
    if check.spread is not None:
        rows.append(Standing(f"spread above {check.spread.above:g}", check.spread.source or source))
    if check.plausible is not None:
        low, high = check.plausible
        rows.append(Standing(f"plausible {_edge(low, check, '')} to {_edge(high, check)}", source))
    for reading in check.readings:
        if reading.plausible is not None:
            low, high = reading.plausible
            unit = "" if reading.unit == "1" else f" {reading.unit}"
            rows.append(Standing(f"{reading.label or reading.name}: plausible {low:g} to {high:g}{unit}", source))
    if check.uncertainty is not None:
        rows.append(Standing(f"uncertainty {check.uncertainty:g}{_unit(check, measured=True)}", source))
    return tuple(rows)


def of_family(family: Family, default: Source) -> tuple[Standing, ...]:
    """Return every number of a family with its standing: outputs, then rated data."""
    source = family.source or default
    outputs = [Standing(f"output {step} {value:g} kW", source) for step, value in family.outputs.items()]
    rated = [
        Standing(f"{name.replace('_', ' ')} {value.value:g} {value.unit}", value.source or source)
        for name, value in family.rated.items()
    ]
    return (*outputs, *rated)


def _edge(edge: Edge, check: Check, unit: str | None = None) -> str:
    unit = _unit(check) if unit is None else unit
    if isinstance(edge, FamilyValue):
        return f"the family's {edge.name.replace('_', ' ')}"
    if isinstance(edge, ByVoltage):
        return " or ".join(f"{value:g}{unit} at {volts} V" for volts, value in edge.volts.items())
    return f"{edge:g}{unit}"


def _unit(check: Check, *, measured: bool = False) -> str:
    """Return the unit behind a number; edges over a base are fractions of it, uncertainties are not."""
    if check.of and not measured:
        return " of what is expected"
    return "" if check.unit in {"", "1"} else f" {check.unit}"


def prove_standing(draft: Draft) -> None:
    """Report records that hold numbers for which nobody answers, once for each."""
    numbers_of = {
        "family": _family_numbers,
        "sign": _sign_numbers,
        "cause": _cause_numbers,
        "check": _check_numbers,
    }
    for kind, numbers in numbers_of.items():
        for name in draft.made.get(kind, {}):
            node = draft.node(kind, name)
            if spot_of(node).file in draft.reading.with_source or find(node, "source") is not None:
                continue
            spots = [spot_of(number) for number in numbers(node)]
            if spots:
                what = "a number" if len(spots) == 1 else f"{len(spots)} numbers"
                draft.findings.add(
                    "number-without-source",
                    f"the {kind} `{name}` has {what} that nobody answers for",
                    spots[0],
                    _CURE,
                    [(spot, "and this one") for spot in spots[1:_MOST_NOTES]],
                )


def _family_numbers(node: Node) -> Iterator[Node]:
    yield from _values(find(node, "outputs"))
    for rated in _values(find(node, "rated")):
        value = find(rated, "value")
        if value is not None and find(rated, "source") is None:
            yield value


def _check_numbers(node: Node) -> Iterator[Node]:
    for key in ("plausible", "uncertainty"):
        found = find(node, key)
        if found is not None:
            yield found
    for reading in _values(find(node, "readings")):
        found = find(reading, "plausible")
        if found is not None:
            yield found
    bands = find(node, "bands")
    banded = [*(bands.value if bands is not None else ()), find(node, "spread")]
    for band in banded:
        edge = find(band, "upto") or find(band, "above")
        if edge is None or find(band, "source") is not None:
            continue
        if isinstance(edge, MappingNode) or not str(edge.value).startswith("family."):
            yield edge


def _sign_numbers(node: Node) -> Iterator[Node]:
    found = find(node, "unprompted")
    if found is not None:
        yield found


def _cause_numbers(node: Node) -> Iterator[Node]:
    for chance in _values(find(node, "shows")):
        for number in _values(chance) if isinstance(chance, MappingNode) else (chance,):
            if isinstance(number, ScalarNode) and not number.value[:1].isalpha():
                yield number


def _values(node: Node | None) -> Iterator[Node]:
    if isinstance(node, MappingNode):
        yield from (value for _, value in node.value)
