"""What the casebook hands out: jobs, their summaries for the day list, and entries as they stand on disk."""

from __future__ import annotations

import re
from dataclasses import asdict, dataclass
from typing import TYPE_CHECKING, Any, Literal

from trees.errors import CasebookError, TakenElsewhereError

if TYPE_CHECKING:  # the day list is shown before a walk is needed
    from trees.walk.entries import Entry

SCHEMA_VERSION = 2
"""Of the store that this program writes; an earlier one is brought to it when it is opened."""
NUMBER = re.compile(r"[A-Za-z0-9][A-Za-z0-9._-]{0,39}")
"""A job's number: fit for the name of a file."""
COUNTED = re.compile(r"J-(\d{4,9})", re.ASCII)
"""A number as the casebook itself gives it."""


@dataclass(frozen=True, slots=True)
class JobRecord:
    """One job: what never changes of it."""

    id: int
    """Key inside this casebook; another casebook numbers otherwise."""
    number: str
    """What people call it: `J-0001`."""
    opened_at: str
    """UTC, ISO 8601."""
    invented: bool = False
    """A job of the demo workshop, never a real one."""


@dataclass(frozen=True, slots=True)
class StoredEntry:
    """One entry as it stands on disk."""

    no: int
    """1 for the first of the job, without gaps."""
    entry: Entry
    at: str
    """UTC, ISO 8601. The order of entries is `no`; a clock that was set back does not change it."""
    seat: str
    fingerprint: str
    """Edition of the book that it was made by; empty if unknown."""


@dataclass(frozen=True, slots=True)
class JobSummary:
    """One line of the day list, kept up to date with each entry."""

    number: str
    words: str
    """The complaint in the customer's words; empty once personal data were erased."""
    tree: str | None
    place: str
    family: str | None
    opened_at: str
    last_at: str
    """When the last entry was made: UTC, ISO 8601."""
    closed: str | None
    """How it ended; None while it is open."""
    closed_at: str | None
    seat: str
    """Who took it up last."""
    entries: int
    invented: bool
    serial: str | None = None
    """The unit's serial number, once it is known."""
    waiting: str | None = None
    """For what the job waits: `parts`, `questionnaire`, `call_back`; None while it can go on."""
    due: str | None = None
    """Until when: an ISO date, or a moment in UTC."""

    @property
    def state(self) -> Literal["open", "closed"]:
        """Tell whether the job is open."""
        return "open" if self.closed is None else "closed"

    def elsewhere(self, seat: str) -> str | None:
        """Return the other seat that has this open job, or None."""
        return self.seat if self.closed is None and self.seat != seat else None

    def as_json(self) -> dict[str, Any]:
        """Return the summary as plain JSON."""
        return {**asdict(self), "state": self.state}


@dataclass(frozen=True, slots=True)
class Presence:
    """Somebody else who has a job open just now."""

    seat: str
    since: str
    """UTC, ISO 8601, by that seat's clock."""


@dataclass(frozen=True, slots=True)
class KeptRemark:
    """What somebody had to say to the author about a step, and in which job."""

    job: str
    """Its number."""
    no: int
    """Of the entry in the job."""
    at: str
    """UTC, ISO 8601."""
    seat: str
    fingerprint: str
    """Edition of the book that was worked by."""
    tree: str
    step: str
    """Ids; both empty for a remark about the book as a whole."""
    text: str
    """Empty once the job's personal data were erased."""


@dataclass(frozen=True, slots=True)
class News:
    """What happened to a job elsewhere since one looked last."""

    newer: tuple[StoredEntry, ...]
    others: tuple[Presence, ...]
    """Who else has it open."""


class UnwritableError(CasebookError):
    """The store is there and may be readable, but nothing can be written to it."""


class AnsweredElsewhereError(TakenElsewhereError):
    """Another seat wrote this entry of the job first; `newer` is what it wrote, from the wanted number on."""

    def __init__(self, message: str, newer: tuple[StoredEntry, ...]) -> None:
        super().__init__(message)
        self.newer = newer
