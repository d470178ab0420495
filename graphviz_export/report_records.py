"""What a report holds: plain records in reading order, the same for paper, page, Markdown and JSON."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from trees.language import N_, Said

FIRST_WORDS = N_("Local rules, the maker's manual and licensed trades come first.")
INVENTED = N_("Invented job, for demonstration only.")

When = Literal["before", "after repair"]
IF_TRUE = N_(" if it proves true")
"""Behind the state of work that a cause asks for which was only pointed at."""
WHENS = Said({"before": N_("before"), "after repair": N_("after repair")})


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadingRow:
    """One reading with its limits, its instrument and what it means."""

    entry: int
    """Number of its entry in the job, from 1."""
    what: str
    number: float
    unit: str
    value: str
    """The number with its unit, as people write it."""
    typed: str
    """As it was typed; several where the reading was repeated. Empty for what was worked out."""
    uncertainty: float | None
    """One standard uncertainty in `unit`; None where it is not known."""
    uncertain: str
    """The same with its unit."""
    low: float | None
    high: float | None
    """The band that the reading fell into: above `low`, up to `high`; None where it is open or not known."""
    limits: str
    judged_by: str
    """What the limits were taken from where they are no plain numbers: `dose 6.6 ml`, `entered by hand`."""
    verdict: str
    close_call: str
    """Why the verdict is too close to call, and what would settle it; empty where it is clear."""
    instrument: str
    when: When
    place: str
    conditions: str
    """Altitude and weather of the test place; empty where nobody noted them."""


@dataclass(frozen=True, slots=True, kw_only=True)
class FigureRow:
    """One number that was worked out: how, from what, and on whose word."""

    title: str
    value: str
    formula: str
    inputs: tuple[tuple[str, str], ...]
    """What went in, and its value."""
    source: str
    standing: str
    """`published`, `agreed with an independent library or a definition` …"""
    accuracy: str
    when: When


@dataclass(frozen=True, slots=True)
class CauseRow:
    """One cause and by what it is known."""

    id: str
    name: str
    by: str
    inside: str = ""
    """What happens inside, in a sentence or two."""


@dataclass(frozen=True, slots=True, kw_only=True)
class EvidenceRow:
    """Why one cause stands where it stands: what was proved, and what each answer moved, in words with decibans."""

    cause: str
    state: str
    chance: float | None
    """Given all answers; None where they can't be weighed."""
    proved: tuple[str, ...]
    start: str
    speaks_for: tuple[str, ...]
    speaks_against: tuple[str, ...]
    hardly: int
    """Answers that moved it by less than 1 dB."""
    total: str


@dataclass(frozen=True, slots=True)
class Bar:
    """One bar of a picture."""

    label: str
    told: str
    share: float
    """Length, 0 to 1."""


@dataclass(frozen=True, slots=True, kw_only=True)
class WorkRow:
    """One piece of work: done or still to do, and who may do it."""

    do: str
    state: str
    done: bool
    who: str
    """Empty where it was written down freely."""
    place: str
    minutes: float | None
    parts: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class NumberRow:
    """One number of the book and what it rests on."""

    where: str
    what: str
    standing: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Report:
    """Everything that a report says, in reading order."""

    number: str
    complaint: str
    customer: str
    """Who it is for, in one line; empty where nobody said."""
    unit: str
    place: str
    day: str
    """ISO date on which the job was last taken up."""
    language: str
    invented: bool
    book: str
    fingerprint: str
    closed: str
    end_words: str
    """What the tree says to the person at its end; empty if the job is not there."""
    bring: tuple[str, ...]
    stop: str
    stop_lines: tuple[str, ...]
    starts_forbidden: str
    roots: tuple[CauseRow, ...]
    contributing: tuple[CauseRow, ...]
    consequences: tuple[CauseRow, ...]
    hinted: tuple[CauseRow, ...]
    open_roots: tuple[str, ...]
    """Consequences without a root, as sentences."""
    contradictions: tuple[str, ...]
    ruled_out: tuple[CauseRow, ...]
    readings: tuple[ReadingRow, ...]
    figures: tuple[FigureRow, ...]
    run_hours: tuple[Bar, ...]
    suspects: tuple[Bar, ...]
    suspects_trouble: str
    """Why the answers can't be weighed; empty if they can."""
    evidence: tuple[EvidenceRow, ...]
    observed: tuple[tuple[str, str], ...]
    """Question and answer of everything that was asked or looked at."""
    work: tuple[WorkRow, ...]
    """Done first, then what the causes still ask for."""
    parts: tuple[str, ...]
    """Parts of the work that was done, as the book lists them."""
    advice: tuple[str, ...]
    cautions: tuple[str, ...]
    not_checked: tuple[str, ...]
    would_change: tuple[str, ...]
    """What was not checked and would still change the result."""
    notes: tuple[str, ...]
    photos: tuple[str, ...]
    """What each shows, where its file lay, and the SHA-256 of its bytes."""
    struck: tuple[str, ...]
    """Answers that no longer count, and why."""
    numbers: tuple[NumberRow, ...]
    """The standing of every number that was used; empty unless it was asked for."""
