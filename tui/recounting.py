"""Shares and links counted anew from the closed jobs of one kind, a while at a time; for the shell and the screen."""

from __future__ import annotations

import time
from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import UTC, datetime
from typing import TYPE_CHECKING

from trees.errors import WalkError
from trees.suspects.links import LinkSeen, SingleJob, links_seen
from trees.suspects.recount import PRIOR_JOBS, ClosedJob, Recounted, recount
from trees.walk import Walk
from trees.walk.closed_jobs import closed_job, single_job
from tui.accept_shares import spoken_of

if TYPE_CHECKING:
    from trees.book.model import Book
    from trees.casebook import Casebook

_DAYS_A_YEAR = 365.25


@dataclass(frozen=True, slots=True)
class Count:
    """What the closed jobs say of a book's shares and links."""

    jobs: int
    """Closed jobs in which a cause was found."""
    spoken: tuple[Recounted, ...] = ()
    """Causes worth a line of their own, contradictions first, then the most frequent."""
    rest: tuple[Recounted, ...] = ()
    """Causes that no job had."""
    single: int = 0
    """Closed jobs with one cause, confirmed by a cure."""
    links: tuple[LinkSeen, ...] = ()
    """Links between those causes and the signs that were asked for, those furthest out first."""


@dataclass
class Counting:
    """A count that is read job by job, so that whoever waits can be told how far it is."""

    casebook: Casebook
    book: Book
    invented: bool = False
    read: int = 0
    """Closed jobs that were read."""
    _jobs: list[ClosedJob] = field(default_factory=list)
    _singles: list[SingleJob] = field(default_factory=list)
    _walks: Iterator[tuple[Walk, float]] | None = None

    def go_on(self, seconds: float) -> bool:
        """Read on for so many seconds; tell whether there is more. CasebookError as the casebook does."""
        if self._walks is None:
            self._walks = closed_walks(self.book, self.casebook, invented=self.invented)
        until = time.monotonic() + seconds
        for walk, age in self._walks:
            self.read += 1
            job, single = closed_job(walk, age), single_job(walk)
            if job is not None:
                self._jobs.append(job)
            if single is not None:
                self._singles.append(single)
            if time.monotonic() > until:
                return True
        return False

    def result(self) -> Count:
        """Count what was read; SuspectsError as `recount` says."""
        shares = shares_of(self.book)
        rows = recount(shares, self._jobs, prior_jobs=PRIOR_JOBS) if self._jobs else ()
        spoken = sorted((row for row in rows if spoken_of(row)), key=lambda row: (not row.conflict, -row.seen))
        rest = tuple(row for row in rows if not spoken_of(row))
        links = links_seen(self.book, self._singles)
        return Count(len(self._jobs), tuple(spoken), rest, len(self._singles), links)


def shares_of(book: Book) -> dict[str, float]:
    """Return cause → the author's share, 0..1, of those that have one to be counted."""
    return {cause.id: cause.share / 100 for cause in book.causes.values() if 0 < cause.share < 100}


def closed_walks(book: Book, casebook: Casebook, *, invented: bool) -> Iterator[tuple[Walk, float]]:
    """Yield each closed job as this book reads it, with its age in years; one that it can't read says nothing."""
    now = datetime.now(UTC)
    for row in casebook.jobs():
        if row.closed is None or row.closed_at is None or row.invented != invented:
            continue
        record = casebook.job(row.number)
        try:
            walk = Walk.resume(book, [stored.entry for stored in casebook.entries(record)])
            closed = walk.now.closed
        except (WalkError, LookupError, TypeError, ValueError):  # an import may bring entries of any content
            continue
        if closed is not None:
            age = (now - datetime.fromisoformat(row.closed_at)).total_seconds() / 86400 / _DAYS_A_YEAR
            yield walk, max(0.0, age)
