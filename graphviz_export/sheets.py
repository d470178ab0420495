"""The records of a laid-out sheet: where boxes, pointers and lines stand, in em from the upper left corner."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Placed:
    """A box in its place; `x`, `y` is its upper left corner."""

    no: int
    x: float
    y: float
    width: float
    height: float
    arrivals: tuple[int, ...]
    """Steps that come here by number, not by a line."""
    mark_height: float
    """Room above the box for the words that say where one comes from."""


@dataclass(frozen=True, slots=True)
class Stub:
    """A pointer to a box drawn elsewhere."""

    no: int
    x: float
    y: float
    width: float
    height: float


@dataclass(frozen=True, slots=True)
class Line:
    """The way from an answer row to a box or a pointer: points from left to right."""

    start: int
    """Number of the box it leaves."""
    row: int
    target: int
    points: tuple[tuple[float, float], ...]


@dataclass(frozen=True, slots=True)
class Sheet:
    """Everything on one sheet."""

    boxes: tuple[Placed, ...]
    stubs: tuple[Stub, ...]
    lines: tuple[Line, ...]
    width: float
    height: float
