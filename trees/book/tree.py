"""What a tree of a book holds: its steps, the ways out of each, and what a step asks at another place."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from trees.book.words import UNKNOWN, StepKind

if TYPE_CHECKING:
    from trees.book.model import Spot


@dataclass(frozen=True, slots=True, kw_only=True)
class Instead:
    """What a step asks at another place."""

    check: str
    go: Mapping[str, str]
    unknown: str | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """One place in a tree; `no` is the same on screen, on paper and on the telephone."""

    id: str
    no: int
    kind: StepKind
    refers: str = ""
    """Check id, tree id, fix id, end kind or caution id, by kind."""
    go: Mapping[str, str] = field(default_factory=dict)
    """Answer id → step id; for `do`: cured, still, not_tried (done, not tried out yet)."""
    then: str | None = None
    """Where every answer without its own way leads."""
    unknown: str | None = None
    instead: Mapping[str, Instead] = field(default_factory=dict)
    """Place → what is asked there."""
    applies: Mapping[str, str] = field(default_factory=dict)
    text: str = ""
    """A sentence of this step's own: the reason of the check, or how the end is told."""
    bring: tuple[str, ...] = ()
    spot: Spot | None = None

    def targets(self) -> Iterator[tuple[str, str]]:
        """Yield (how, step id) for every way out of this step inside its tree."""
        yield from self.go.items()
        if self.then is not None:
            yield "then", self.then
        if self.unknown is not None:
            yield UNKNOWN, self.unknown
        for place, instead in self.instead.items():
            for answer, target in instead.go.items():
                yield f"{place}: {answer}", target
            if instead.unknown is not None:
                yield f"{place}: {UNKNOWN}", instead.unknown


@dataclass(frozen=True, slots=True)
class Slower:
    """Why a tree takes longer than the best order of its checks: teaching order, safety, tools."""

    per_cent: float
    """More expected minutes than the best order found, as it was weighed."""
    because: str

    def __str__(self) -> str:
        return f"{self.per_cent:g} % slower: {self.because}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Tree:
    """An order in which to make checks for one complaint; acyclic."""

    id: str
    title: str
    begin: str
    steps: Mapping[str, Step]
    shared: bool = False
    """Run by other trees, comes back by `return`."""
    handover: bool = False
    """Its readings are taken after the repair: asked anew, compared with those before, no evidence of the cause."""
    phone_exit: str | None = None
    slower: Slower | None = None
    complaint_words: tuple[str, ...] = ()
    complaint_says: Mapping[str, str] = field(default_factory=dict)
    spot: Spot | None = None
