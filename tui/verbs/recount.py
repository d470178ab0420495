"""`sootline recount`: the shares of causes counted anew from the closed jobs; nothing is changed."""

from __future__ import annotations

import argparse
import json
from collections.abc import Iterator, Sequence
from datetime import UTC, datetime
from typing import TYPE_CHECKING, Any

from tui.command_line import Exit

if TYPE_CHECKING:
    from trees.book.model import Book
    from trees.casebook import Casebook
    from trees.suspects.recount import ClosedJob, Recounted

_DAYS_A_YEAR = 365.25


def run(options: argparse.Namespace) -> int:
    """Print every cause that a job speaks of; 1 if the jobs contradict the author somewhere."""
    from trees.book import load_book, shipped_book_path
    from trees.casebook import Casebook, default_path
    from trees.suspects.recount import recount
    from trees.text import printable

    book = load_book(options.book or shipped_book_path())
    with Casebook.open(options.store or default_path(), create=False, seat=options.seat) as casebook:
        jobs = list(_closed_jobs(book, casebook, invented=options.invented))
    shares = {cause.id: cause.share / 100 for cause in book.causes.values() if 0 < cause.share < 100}
    counted = recount(shares, jobs, prior_jobs=options.prior_jobs)
    if options.format == "json":
        print(json.dumps(_as_json(book, counted, jobs, options), ensure_ascii=False, indent=1))
    else:
        print("\n".join(printable(line) for line in _as_text(book, counted, jobs)))
    return Exit.FOUND if any(row.conflict for row in counted) else Exit.FINE


def _closed_jobs(book: Book, casebook: Casebook, *, invented: bool) -> Iterator[ClosedJob]:
    from trees.walk import Walk
    from trees.walk.closed_jobs import closed_job

    now = datetime.now(UTC)
    for row in casebook.jobs():
        if row.closed is None or row.closed_at is None or row.invented != invented:
            continue
        record = casebook.job(row.number)
        walk = Walk.resume(book, [stored.entry for stored in casebook.entries(record)])
        age = (now - datetime.fromisoformat(row.closed_at)).total_seconds() / 86400 / _DAYS_A_YEAR
        job = closed_job(walk, max(0.0, age))
        if job is not None:
            yield job


def _as_text(book: Book, counted: Sequence[Recounted], jobs: Sequence[ClosedJob]) -> Iterator[str]:
    yield f"{len(jobs)} closed jobs in which a cause was found."
    for row in sorted(counted, key=lambda row: (not row.conflict, -row.seen)):
        if row.seen or row.conflict:
            yield f"{book.causes[row.cause].name}: {row.sentence}"
    yield "Causes that no job had only become a little rarer. The book's own shares are not changed."


def _as_json(
    book: Book, counted: Sequence[Recounted], jobs: Sequence[ClosedJob], options: argparse.Namespace
) -> dict[str, Any]:
    return {
        "jobs": len(jobs),
        "prior_jobs": options.prior_jobs,
        "edition": book.edition,
        "causes": [
            {
                "cause": row.cause,
                "author": row.author,
                "seen": row.seen,
                "jobs": row.jobs,
                "share": row.share,
                "low": row.low,
                "high": row.high,
                "tail": row.tail,
                "conflict": row.conflict,
            }
            for row in counted
        ],
    }
