"""What closed jobs teach: which causes, which units come back, what the first visit cured, which checks idle.

Everything counts over `Told`, what one closed job tells; nothing here reads a clock or a store but `told_jobs`.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime
from itertools import pairwise
from statistics import NormalDist, median
from typing import TYPE_CHECKING

from trees.book.words import UNKNOWN
from trees.errors import WalkError

if TYPE_CHECKING:
    from trees.book.model import Book
    from trees.casebook.store import Casebook
    from trees.walk.walk import Walk

LEVEL = 0.95
"""Of all intervals here."""
RETURN_DAYS = 90
"""A unit that comes back within so many days was not cured: common practice, no source."""
SETTLED = frozenset({"released", "settled_by_phone"})
"""Ends by which a job says that the trouble is over."""


@dataclass(frozen=True, slots=True)
class Told:
    """What one closed job tells."""

    number: str
    opened_at: str
    closed_at: str
    """UTC, ISO 8601, both."""
    end: str
    tree: str | None
    """Of the complaint."""
    serial: str = ""
    causes: frozenset[str] = frozenset()
    """Found by a look, a reading or a cure."""
    minutes: float = 0.0
    """Of what was done, by the book's own minutes."""
    reopened: bool = False
    answers: tuple[CheckAnswer, ...] = field(default=())


@dataclass(frozen=True, slots=True)
class CheckAnswer:
    """One check that was answered otherwise than by cannot-tell."""

    check: str
    answer: str
    """Id of the answer or band; of a list the ticked ids."""
    pointed: bool
    """It found a cause or hinted at one."""
    minutes: float


@dataclass(frozen=True, slots=True)
class Counted:
    """How often one cause was found; shares 0..1."""

    cause: str
    jobs: int
    of: int
    """Closed jobs in which any cause was found."""
    share: float
    low: float
    high: float
    """Ends of the 95 % interval of the share."""
    running: float
    """Share that this cause and all more frequent ones have in all that was found."""


@dataclass(frozen=True, slots=True)
class Repeat:
    """A unit that came more than once."""

    serial: str
    jobs: tuple[str, ...]
    """Numbers, the oldest first."""
    days: tuple[float, ...]
    """From each closing to the next opening."""
    causes: tuple[str, ...]
    """Found in more than one of these jobs."""


@dataclass(frozen=True, slots=True)
class Rate:
    """How many of 100, with the 95 % interval; all 0 to 100 where nothing can be counted yet."""

    cured: int
    of: int
    per_100: float
    low: float
    high: float


@dataclass(frozen=True, slots=True)
class TreeMinutes:
    """What the jobs of one complaint took, in the book's minutes of what was done."""

    tree: str
    jobs: int
    median: float
    lowest: float
    highest: float


@dataclass(frozen=True, slots=True)
class IdleCheck:
    """A check that always gave the same answer, which pointed at nothing."""

    check: str
    answer: str
    asked: int
    minutes: float
    """Spent on it in all these jobs."""


def wilson(seen: int, of: int) -> tuple[float, float]:
    """
    Return the score interval of a proportion, 0..1.

    Source: E. B. Wilson, Probable inference, the law of succession, and statistical inference, Journal of the American
    Statistical Association 22 (1927) 209-212. (p + z²/2n ± z √(p(1-p)/n + z²/4n²)) / (1 + z²/n).
    Raises ValueError for counts that are none.
    """
    if not 0 <= seen <= of:
        raise ValueError(f"{seen} of {of} is no count")
    if of == 0:
        return 0.0, 1.0
    z = NormalDist().inv_cdf((1.0 + LEVEL) / 2.0)
    share, over = seen / of, 1.0 + z * z / of
    middle = (share + z * z / (2 * of)) / over
    reach = z * math.sqrt(share * (1.0 - share) / of + z * z / (4.0 * of * of)) / over
    # At either end the formula gives the end itself, but for the last bits.
    return (0.0 if seen == 0 else middle - reach), (1.0 if seen == of else middle + reach)


def pareto(jobs: Iterable[Told]) -> tuple[Counted, ...]:
    """Return the causes that were found, the most frequent first; several may share a job."""
    telling = [job for job in jobs if job.causes]
    counts = Counter(cause for job in telling for cause in job.causes)
    found, so_far, rows = sum(counts.values()), 0, []
    for cause, seen in sorted(counts.items(), key=lambda row: (-row[1], row[0])):
        so_far += seen
        low, high = wilson(seen, len(telling))
        rows.append(Counted(cause, seen, len(telling), seen / len(telling), low, high, so_far / found))
    return tuple(rows)


def repeats(jobs: Iterable[Told]) -> tuple[Repeat, ...]:
    """Return the units that came more than once, by serial number, those that came most often first."""
    rows = []
    for serial, theirs in _by_serial(jobs).items():
        if len(theirs) > 1:
            counts = Counter(cause for job in theirs for cause in job.causes)
            again = tuple(sorted(cause for cause, seen in counts.items() if seen > 1))
            days = tuple(_days(one.closed_at, next_.opened_at) for one, next_ in pairwise(theirs))
            rows.append(Repeat(serial, tuple(job.number for job in theirs), days, again))
    return tuple(sorted(rows, key=lambda row: (-len(row.jobs), row.serial)))


def first_visit(jobs: Iterable[Told]) -> Rate:
    """
    Return how many of 100 settled jobs were cured at the first visit.

    Counted are the jobs closed as SETTLED. One was cured at the first visit if it was never reopened and its unit did
    not come back within RETURN_DAYS; a unit without a serial number can't be known to come back.
    """
    everything = tuple(jobs)
    back = set()
    for theirs in _by_serial(everything).values():
        for one, next_ in pairwise(theirs):
            if _days(one.closed_at, next_.opened_at) <= RETURN_DAYS:
                back.add(one.number)
    settled = [job for job in everything if job.end in SETTLED]
    cured = sum(not job.reopened and job.number not in back for job in settled)
    low, high = wilson(cured, len(settled))
    return Rate(cured, len(settled), 100.0 * cured / len(settled) if settled else 0.0, 100.0 * low, 100.0 * high)


def minutes_by_tree(jobs: Iterable[Told]) -> tuple[TreeMinutes, ...]:
    """Return what the jobs of each complaint took, the most frequent complaint first."""
    times: dict[str, list[float]] = {}
    for job in jobs:
        if job.tree is not None:
            times.setdefault(job.tree, []).append(job.minutes)
    rows = [TreeMinutes(tree, len(all_), median(all_), min(all_), max(all_)) for tree, all_ in times.items()]
    return tuple(sorted(rows, key=lambda row: (-row.jobs, row.tree)))


def idle_checks(jobs: Iterable[Told], least: int = 10) -> tuple[IdleCheck, ...]:
    """
    Return the checks that changed nothing in at least so many jobs, those that cost most minutes first.

    A check changed something as soon as two jobs answered it differently, or one answer found a cause or hinted at one.
    What is always answered alike tells two jobs apart no better than leaving it out.
    """
    asked: dict[str, list[CheckAnswer]] = {}
    for job in jobs:
        for one in {answer.check: answer for answer in job.answers}.values():  # the last one of a job counts
            asked.setdefault(one.check, []).append(one)
    rows = []
    for check, answers in asked.items():
        same = len({one.answer for one in answers}) == 1
        if len(answers) >= least and same and not any(one.pointed for one in answers):
            rows.append(IdleCheck(check, answers[0].answer, len(answers), sum(one.minutes for one in answers)))
    return tuple(sorted(rows, key=lambda row: (-row.minutes, row.check)))


# ── what one job tells ──────────────────────────────────────────────────────


def worked_out(walk: Walk, *, number: str, opened_at: str, closed_at: str) -> Told | None:
    """Return what a closed job tells; None for an open one."""
    now = walk.now
    if now.closed is None:
        return None
    pointing = {
        reason.no for finding in walk.findings.values() for reason in finding.reasons if reason.state != "ruled_out"
    }
    answers = tuple(
        CheckAnswer(
            given.check.id,
            given.answer or "+".join(sorted(answer.id for answer in given.chosen)),
            given.no in pointing,
            given.check.minutes,
        )
        for given in now.givens
        if given.check is not None and given.answer != UNKNOWN and not given.taken_over
    )
    return Told(
        number=number,
        opened_at=opened_at,
        closed_at=closed_at,
        end=now.closed,
        tree=now.complaint,
        serial=now.beside.serial,
        causes=frozenset(cause for cause, finding in walk.findings.items() if finding.state == "found"),
        minutes=now.minutes,
        reopened=any(entry.kind == "reopened" for entry in walk.entries),
        answers=answers,
    )


def told_jobs(casebook: Casebook, book: Book, *, invented: bool = False) -> Iterator[Told]:
    """
    Give what each closed job of a casebook tells, by this edition of the book, the last touched first.

    A job that this edition can't read at all tells nothing. Raises CasebookError as the casebook does.
    """
    from trees.walk.walk import Walk

    for row in casebook.jobs():
        if row.closed is None or row.closed_at is None or row.invented != invented:
            continue
        entries = (stored.entry for stored in casebook.entries(casebook.job(row.number)))
        try:
            told = worked_out(
                Walk.resume(book, entries), number=row.number, opened_at=row.opened_at, closed_at=row.closed_at
            )
        except (WalkError, LookupError, TypeError, ValueError):  # an import may bring entries of any content
            continue
        if told is not None:
            yield told if told.serial else replace(told, serial=row.serial or "")


def _by_serial(jobs: Iterable[Told]) -> dict[str, Sequence[Told]]:
    """Return the jobs of each unit in the order of their opening."""
    units: dict[str, list[Told]] = {}
    for job in jobs:
        if job.serial:
            units.setdefault(job.serial, []).append(job)
    return {serial: sorted(theirs, key=lambda job: (job.opened_at, job.number)) for serial, theirs in units.items()}


def _days(begin: str, end: str) -> float:
    return (datetime.fromisoformat(end) - datetime.fromisoformat(begin)).total_seconds() / 86_400
