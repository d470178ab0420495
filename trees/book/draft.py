"""A book as far as it could be read, with the place of everything in it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from yaml.nodes import Node

from trees.book.model import Book, Family, GateQuestion, Source, Spot
from trees.book.problems import Findings
from trees.book.source import spot_of
from trees.book.values import Reading, Ref
from trees.figures import FigureInfo

FOLLOWS_FOR_FAMILY = ("voltage", "output_max", "output_min")
"""Family values that need not be listed under `rated`: they follow from voltage and outputs."""


@dataclass(slots=True)
class Draft:
    """A book as far as it could be read, with all that a proof needs to point at the place."""

    reading: Reading
    sources: dict[str, str] = field(default_factory=dict)
    """File → its text."""
    fingerprint: str = ""
    head: dict[str, Any] = field(default_factory=dict)
    head_root: Node | None = None
    """The whole of book.yaml."""
    made: dict[str, dict[str, Any]] = field(default_factory=dict)
    """Kind → id → record, without those that could not be read."""
    unread: set[str] = field(default_factory=set)
    """Kinds of which a file could not be read: their names are not all known."""

    @property
    def findings(self) -> Findings:
        """The problems so far."""
        return self.reading.findings

    def key_spot(self, *path: str) -> Spot:
        """Return the spot of a record's own key: (kind, id) or (`step`, tree, id)."""
        return spot_of(self.reading.where.pair(path)[0])

    def node(self, *path: str) -> Node:
        """Return the node of a record's value."""
        return self.reading.where.pair(path)[1]

    def exists(self, ref: Ref, figures: Mapping[str, FigureInfo] | None) -> bool:
        """Tell whether a name leads somewhere, even to what could not be read."""
        where = self.reading.where
        if ref.kind == "step":
            return ("step", ref.tree, ref.name) in where
        if ref.kind == "figure":
            return figures is None or ref.name in figures
        if ref.kind == "family value":
            families: Mapping[str, Family] = self.made.get("family", {})
            return ref.name in FOLLOWS_FOR_FAMILY or any(ref.name in family.rated for family in families.values())
        if ref.kind in {"figure check", "reading"}:
            return ("check", ref.name.partition(".")[0]) in where
        return (ref.kind, ref.name) in where

    def book(self) -> Book:
        """Return what was read as a book; whole only if there are no errors."""
        head: dict[str, Any] = {
            "title": "",
            "edition": "",
            "language": "",
            "reviewed": "",
            "words": {},
            "unprompted": 0.03,
            "tools": {},
            "caller_may": {},
            "start_limit": {},
            "opening_minutes": 15.0,
            "source": Source("memory"),
            **self.head,
        }
        gate: tuple[GateQuestion, ...] = tuple(self.made.get("gate question", {}).values())
        kinds = {"families": "family", "signs": "sign", "causes": "cause", "cautions": "caution", "checks": "check"}
        kinds |= {"fixes": "fix", "trees": "tree", "worked": "worked job"}
        parts: dict[str, Any] = {name: self.made.get(kind, {}) for name, kind in kinds.items()}
        return Book(fingerprint=self.fingerprint, gate=gate, **head, **parts)
