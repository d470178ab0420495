"""A worked job: a job written by an author with what it must end in; also the jobs of the demo workshop."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Literal

if TYPE_CHECKING:
    from trees.book.model import Spot
    from trees.book.words import EndKind, Place

GivenText = str | tuple[str, ...] | Mapping[str, str]
"""An answer id or a reading as typed, ticked items, or readings by name."""


JobKind = Literal["multi", "phone", "stop", "misleading"]
JOB_KINDS: tuple[JobKind, ...] = ("multi", "phone", "stop", "misleading")


@dataclass(frozen=True, slots=True, kw_only=True)
class Least:
    """How sure the suspects must be of a cause when the job stands where its answers lead."""

    probability: float | None = None
    rank: int | None = None
    """1 stands at the top."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Expected:
    """What a worked job must end in."""

    main: tuple[str, ...] = ()
    """Causes of which one must lead the suspects: the main cause, or several that a technician would accept."""
    contributing: tuple[str, ...] = ()
    """Causes that act beside the main one."""
    kind: tuple[JobKind, ...] = ()
    """What the job is there to try: several causes, the telephone, a stop, an appearance that misleads."""
    found: tuple[str, ...] = ()
    """Causes that must be found."""
    end: EndKind | None = None
    stopped: str | None = None
    """Caution that must have stopped it."""
    least: Mapping[str, Least] = field(default_factory=dict)
    """Cause → how sure the suspects must be of it at least."""


@dataclass(frozen=True, slots=True, kw_only=True)
class WorkedJob:
    """One job: how it is answered and what it must end in."""

    id: str
    title: str
    words: str
    tree: str | None = None
    place: Place = "bench"
    family: str | None = None
    answers: Mapping[str, GivenText] = field(default_factory=dict)
    """By the id of a gate question, check or fix, or `family.value` for a figure off the plate."""
    after_repair: Mapping[str, GivenText] = field(default_factory=dict)
    """The same for a tree that takes the handover readings."""
    at_most: int | None = None
    """Leave the job open after that many answers."""
    notes: tuple[str, ...] = ()
    close: EndKind | None = None
    expect: Expected = Expected()
    demo: bool = False
    """One of the invented jobs of the demo workshop."""
    spot: Spot | None = None
