"""What is known of the unit on the bench: its family, and figures read off its plate or its maker's manual."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from trees.book.model import ByVoltage, Edge, Family, FamilyValue


@dataclass(frozen=True, slots=True)
class Missing:
    """A value that only the unit's plate or its maker's manual can give."""

    name: str
    """The family value, or `voltage`."""


@dataclass(frozen=True, slots=True)
class UnitFacts:
    """The family, if known, and what was entered by hand; by hand wins over the class value."""

    family: Family | None = None
    by_hand: Mapping[str, float] = field(default_factory=dict)
    not_to_be_had: frozenset[str] = frozenset()
    """Values that were asked for and could not be read anywhere."""

    def value(self, name: str) -> float | None:
        """Return a family value in the unit the family states, or None."""
        if name in self.by_hand:
            return self.by_hand[name]
        if self.family is None:
            return None
        if name == "voltage":
            return float(self.family.voltage)
        if name in {"output_max", "output_min"} and self.family.outputs:
            outputs = self.family.outputs.values()
            return max(outputs) if name == "output_max" else min(outputs)
        rated = self.family.rated.get(name)
        return None if rated is None else rated.value

    def is_by_hand(self, name: str) -> bool:
        """Tell whether a value was entered by hand rather than taken from the class."""
        return name in self.by_hand

    def edge(self, edge: Edge) -> float | Missing:
        """Resolve a band edge for this unit."""
        if isinstance(edge, FamilyValue):
            found = self.value(edge.name)
            return Missing(edge.name) if found is None else found
        if isinstance(edge, ByVoltage):
            volts = self.value("voltage")
            if volts is None:
                return Missing("voltage")
            found = edge.volts.get(f"{volts:g}")
            return Missing("voltage") if found is None else found
        return edge

    def fits(self, applies: Mapping[str, str]) -> bool:
        """Tell whether something limited to a kind of unit may apply; what is not known may always."""
        for name, wanted in applies.items():
            if wanted == "any":
                continue
            if name == "medium":
                if self.family is not None and self.family.medium != wanted:
                    return False
            elif name == "voltage":
                volts = self.value("voltage")
                if volts is not None and f"{volts:g}" != wanted:
                    return False
        return True

    def applies(self) -> dict[str, str]:
        """Return what is known as limits, for the reasoning."""
        known: dict[str, str] = {}
        if self.family is not None:
            known["medium"] = self.family.medium
        volts = self.value("voltage")
        if volts is not None:
            known["voltage"] = f"{volts:g}"
        return known
