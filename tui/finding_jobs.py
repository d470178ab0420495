"""What the casebook screen reads off the event loop: jobs that hold what is typed, what closed jobs tell."""

from __future__ import annotations

import time
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from trees.errors import SootlineError

if TYPE_CHECKING:
    from trees.book.model import Book
    from trees.casebook import Casebook, JobSummary
    from trees.casebook.lessons import IdleCheck, Told

SHOWN = 100
"""Jobs that are listed at once; who wants another types more of it."""


@dataclass(frozen=True, slots=True)
class Found:
    """The jobs that hold what was typed."""

    rows: tuple[JobSummary, ...]
    more: bool
    """There are more than are listed."""


@dataclass(frozen=True, slots=True)
class Kinds:
    """How many jobs there are of each kind: real ones and invented ones are never shown together."""

    real: int = 0
    invented: int = 0
    closed_real: int = 0
    closed_invented: int = 0
    entries: int = 0
    """Of all jobs: with each thing that happens there are more."""

    @property
    def both(self) -> bool:
        """Tell whether there is a choice."""
        return self.real > 0 and self.invented > 0

    def closed(self, *, invented: bool) -> int:
        """Return how many are closed."""
        return self.closed_invented if invented else self.closed_real


def kinds(casebook: Casebook) -> Kinds:
    """Count the jobs."""
    rows = casebook.jobs()
    made_up = [row for row in rows if row.invented]
    closed, closed_made_up = (sum(row.closed is not None for row in some) for some in (rows, made_up))
    entries = sum(row.entries for row in rows)
    return Kinds(len(rows) - len(made_up), len(made_up), closed - closed_made_up, closed_made_up, entries)


def find(casebook: Casebook, typed: str, *, invented: bool, shown: int = SHOWN) -> Found:
    """Return the jobs of one kind that hold what is typed, the newest first."""
    limit = shown + 1
    while True:
        rows = casebook.find(typed, limit)
        mine = tuple(row for row in rows if row.invented == invented)
        if len(mine) > shown or len(rows) < limit:
            return Found(mine[:shown], len(mine) > shown)
        limit *= 8  # jobs of the other kind took the room


@dataclass
class CausesFound:
    """The causes that closed jobs found, worked out once for each state of a job."""

    casebook: Casebook
    book: Book
    known: dict[tuple[str, int], tuple[str, ...]] = field(default_factory=dict)
    """Number and entries of a job → ids of its causes."""

    def of(self, row: JobSummary) -> tuple[str, ...] | None:
        """Return the causes of a job, None where they were not worked out yet; an open job has none so far."""
        return () if row.closed is None else self.known.get((row.number, row.entries))

    def work_out(self, row: JobSummary) -> None:
        """Read a closed job and keep its causes."""
        from trees.walk import Walk

        try:
            entries = [stored.entry for stored in self.casebook.entries(self.casebook.job(row.number))]
            findings = Walk.resume(self.book, entries).findings
            causes = tuple(cause for cause, finding in findings.items() if finding.state == "found")
        except (SootlineError, LookupError, TypeError, ValueError):  # damaged, or of another book: then none is told
            causes = ()
        self.known[row.number, row.entries] = causes


def idle_of(book: Book, jobs: Sequence[Told], least: int) -> tuple[IdleCheck, ...]:
    """Return the checks that never changed anything; readings that only feed a figure have no answer to change."""
    from trees.casebook.lessons import idle_checks

    rows = idle_checks(jobs, least)
    return tuple(row for row in rows if row.answer or (row.check in book.checks and book.checks[row.check].items))


def told_for(jobs: Iterator[Told], seconds: float) -> Sequence[Told]:
    """Return what the next jobs tell, as many as can be read in so many seconds; empty at the end."""
    read = []
    until = time.monotonic() + seconds
    for told in jobs:
        read.append(told)
        if time.monotonic() > until:
            break
    return read
