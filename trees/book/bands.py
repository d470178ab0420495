"""Whether the bands of a reading rise and cover what is plausible, without gap or overlap, for every family."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from yaml.nodes import Node

from trees.book.draft import FOLLOWS_FOR_FAMILY, Draft
from trees.book.model import Answer, Book, ByVoltage, Check, Edge, Family, FamilyValue, Spot
from trees.book.problems import Note
from trees.book.records import find, find_key
from trees.book.source import spot_of


def fits(family: Family, applies: Mapping[str, str]) -> bool:
    """Tell whether something limited to a kind of unit applies to a family."""
    return all(
        (family.medium if name == "medium" else f"{family.voltage:g}") == wanted for name, wanted in applies.items()
    )


def family_value(family: Family, name: str) -> float | None:
    """Return a value that a family states, or that follows from what it states."""
    if name in family.rated:
        return family.rated[name].value
    if name not in FOLLOWS_FOR_FAMILY:
        return None
    if name == "voltage":
        return float(family.voltage)
    outputs = family.outputs.values()
    return max(outputs) if name == "output_max" else min(outputs)


def prove_bands(draft: Draft, book: Book, check: Check) -> None:
    """Report what is wrong with the bands of one check."""
    if not check.bands:
        return
    node = draft.node("check", check.id)
    proof = _Proof(draft, check, node)
    if not proof.form():
        return
    families = [family for family in book.families.values() if fits(family, check.applies)]
    proof.voltages(families)
    seen: set[tuple[float | None, ...]] = set()
    applicable: list[Family | None] = [*families]
    for family in applicable or [None]:
        edges = tuple(_resolve(edge, family) for edge in proof.edges)
        if edges not in seen:  # families with the same edges have the same flaws
            seen.add(edges)
            proof.rising(edges, family)


def _resolve(edge: Edge | None, family: Family | None) -> float | None:
    """Return an edge for a family; None where it must be asked for at the unit."""
    if isinstance(edge, FamilyValue):
        return None if family is None else family_value(family, edge.name)
    if isinstance(edge, ByVoltage):
        return None if family is None else edge.volts.get(f"{family.voltage:g}")
    return edge


class _Proof:
    """The bands of one check: their edges in order and where each stands."""

    def __init__(self, draft: Draft, check: Check, node: Node) -> None:
        self.draft, self.check, self.node = draft, check, node
        self.edges: list[Edge | None] = [band.upto for band in check.bands[:-1]]
        self.edges.append(check.bands[-1].above)
        self.edges += check.plausible or (None, None)
        self.told: set[tuple[str, Spot]] = set()

    def spot(self, number: int, key: str = "") -> Spot:
        """Return the spot of a band's edge, or of its id."""
        band = find(self.node, "bands", number)
        at = find(band, key) if key else find(band, "id")
        return spot_of(at or band or self.node)

    def form(self) -> bool:
        """Tell whether every band but the last says `upto`, and the last `above`."""
        good = True
        last = len(self.check.bands) - 1
        for number, band in enumerate(self.check.bands):
            wanted, other = ("above", "upto") if number == last else ("upto", "above")
            if getattr(band, wanted) is None:
                good = False
                self._lacks(number, band, wanted, other)
            elif getattr(band, other) is not None:
                good = False
                key = find_key(find(self.node, "bands", number), other)
                self.draft.findings.add(
                    "band-edges",
                    f"the band `{band.id}` says both `upto` and `above`",
                    spot_of(key) if key else self.spot(number),
                    f"take `{other}` out: a band begins where the one before it ends",
                )
        return good

    def _lacks(self, number: int, band: Answer, wanted: str, other: str) -> None:
        has_other = getattr(band, other) is not None
        key = find_key(find(self.node, "bands", number), other) if has_other else None
        if wanted == "above":
            edge = find(self.node, "bands", number - 1, "upto")
            value = f" {edge.value}" if edge is not None and isinstance(edge.value, str) else ""
            message = f"no band takes readings above the last edge: `{band.id}` comes last"
            cure = f"let the last band say `above:{value}`"
        else:
            message = f"the band `{band.id}` is not the last and has no upper edge"
            cure = "write `upto:`; only the last band says `above`"
        spot = spot_of(key) if key is not None else self.spot(number)
        self.draft.findings.add("band-edges", message, spot, cure)

    def voltages(self, families: Sequence[Family]) -> None:
        """Report an edge by supply voltage that lacks the voltage of a family."""
        places = [("bands", n, "upto") for n in range(len(self.check.bands) - 1)]
        nodes = [find(self.node, *place) for place in places]
        nodes += [find(self.node, "bands", len(self.check.bands) - 1, "above")]
        nodes += [find(self.node, "plausible", 0), find(self.node, "plausible", 1)]
        lacking: dict[str, tuple[Family, list[Spot]]] = {}
        for edge, node in zip(self.edges, nodes, strict=True):
            if not isinstance(edge, ByVoltage):
                continue
            for family in families:
                if f"{family.voltage:g}" not in edge.volts:
                    spots = lacking.setdefault(f"{family.voltage:g}", (family, []))[1]
                    spots += [spot for spot in [spot_of(node or self.node)] if spot not in spots]
        for volts, (family, spots) in lacking.items():
            self.draft.findings.add(
                "voltage-missing",
                f"no edge is given for {volts} V, the supply of `{family.id}`",
                spots[0],
                f"add `{volts}:` and its value, or limit the check by `for: {{voltage: …}}`",
                [(spot, "nor here") for spot in spots[1:]],
            )

    def _tell(self, code: str, spot: Spot, message: str, cure: str, notes: Sequence[Note] = ()) -> None:
        """Report a flaw once, though several families may have it."""
        if (code, spot) not in self.told:
            self.told.add((code, spot))
            self.draft.findings.add(code, message, spot, cure, notes)

    def _whom(self, family: Family | None, *numbers: int) -> str:
        """Name the family where one of these edges differs from family to family."""
        differs = any(isinstance(self.edges[number], FamilyValue | ByVoltage) for number in numbers)
        return f" for the family `{family.id}`" if differs and family is not None else ""

    def rising(self, edges: tuple[float | None, ...], family: Family | None) -> None:
        """Report edges that do not rise, a last band that begins elsewhere, bands outside what is plausible."""
        *rising, last, low, high = edges
        before: int | None = None
        for number, edge in enumerate(rising):
            if edge is None:
                continue
            below = None if before is None else rising[before]
            if before is not None and below is not None and edge <= below:
                self._tell(
                    "bands-not-rising",
                    self.spot(number, "upto"),
                    f"the edge {edge:g} is not above the one before it, {below:g}{self._whom(family, before, number)}",
                    "put the bands in rising order; an edge belongs to the band below it",
                )
                return
            before = number
        end = rising[-1]
        if end is not None and last is not None and last != end:
            code, what = ("band-gap", "belongs to no band") if last > end else ("bands-overlap", "belongs to two bands")
            whom = self._whom(family, len(rising) - 1, len(rising))
            self._tell(
                code,
                self.spot(len(rising), "above"),
                f"what lies between {min(last, end):g} and {max(last, end):g} {what}{whom}",
                f"begin the last band where the one before it ends: `above: {self._written(len(rising) - 1)}`",
                [(self.spot(len(rising) - 1, "upto"), "the band before ends here")],
            )
            return
        self._plausible(rising, low, high, family)

    def _written(self, number: int) -> str:
        node = find(self.node, "bands", number, "upto")
        if node is not None and isinstance(node.value, str):
            return node.value
        edge = self.check.bands[number].upto
        volts = edge.volts if isinstance(edge, ByVoltage) else {}
        return "{" + ", ".join(f"{name}: {value:g}" for name, value in volts.items()) + "}"

    def _plausible(
        self, rising: Sequence[float | None], low: float | None, high: float | None, family: Family | None
    ) -> None:
        first = len(rising) + 1  # where the two ends of the plausible range stand among the edges
        if low is not None and high is not None and low >= high:
            self._tell(
                "plausible-range",
                spot_of(find(self.node, "plausible") or self.node),
                f"the plausible range ends at {high:g}, not above its beginning {low:g}"
                f"{self._whom(family, first, first + 1)}",
                "write the lowest, then the highest reading that can be true",
            )
            return
        for number, edge in enumerate(rising):
            below = edge is not None and low is not None and edge <= low
            above = edge is not None and high is not None and edge >= high
            if below or above:
                band = self.check.bands[number if below else number + 1]
                whom = self._whom(family, number, first if below else first + 1)
                self._tell(
                    "band-implausible",
                    self.spot(number, "upto"),
                    f"no plausible reading falls into the band `{band.id}`{whom}",
                    f"move the edge, or widen `plausible` {'below' if below else 'above'} {edge:g}",
                )
                return
