"""`sootline demo`: fill a throw-away casebook with twelve invented jobs and open it."""

from __future__ import annotations

import argparse
import tempfile
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import TYPE_CHECKING

from tui.command_line import Exit
from tui.loading import book_for
from tui.verbs.screen import open_screen, refuse_unfit_terminal

if TYPE_CHECKING:
    from trees.book.model import Book
    from trees.book.worked import WorkedJob
    from trees.casebook import Casebook
    from trees.walk import Walk

SEAT = "demo bench"
NOTICE = "Invented workshop: twelve invented jobs in a throw-away casebook. Nothing here was ever measured."


def run(options: argparse.Namespace) -> int:
    """Open the demo workshop; with --fill only write its jobs into a new casebook."""
    from trees.book import shipped_book_path
    from trees.casebook import Casebook
    from tui.workshop import Workshop

    if options.fill is None:
        refuse_unfit_terminal()
    path = options.book or shipped_book_path()
    book = book_for(options)
    clock = DemoClock()
    if options.fill is not None:
        with Casebook.open(options.fill, seat=options.seat or SEAT, clock=clock) as casebook:
            print(f"{fill(book, casebook, clock)} invented jobs written into {casebook.name}")
        return Exit.FINE
    with (
        tempfile.TemporaryDirectory(prefix="sootline-demo-") as folder,
        Casebook.open(Path(folder) / "casebook.db", seat=options.seat or SEAT, clock=clock) as casebook,
    ):
        fill(book, casebook, clock)
        return open_screen(
            Workshop(
                book, casebook, casebook.seat, report_folder=Path(folder) / "reports", book_folder=path, notice=NOTICE
            )
        )


class DemoClock:
    """The time, or a moment of an invented day while the demo is filled."""

    def __init__(self) -> None:
        self.moment: datetime | None = None

    def __call__(self) -> datetime:
        """Return the moment."""
        return self.moment or datetime.now(UTC)


def fill(book: Book, casebook: Casebook, clock: DemoClock) -> int:
    """Play the demo jobs and keep them, each marked invented; return how many."""
    jobs = [job for job in book.worked.values() if job.demo]
    now = datetime.now(UTC)
    for before, job in enumerate(reversed(jobs)):
        clock.moment = now - timedelta(hours=7 * before, minutes=20)
        day = clock.moment.astimezone().date().isoformat()
        walk = played(book, job, casebook.seat, day)
        casebook.new_job(
            walk.entries, number=job.id.upper().replace("_", "-"), invented=True, fingerprint=book.fingerprint
        )
    clock.moment = None
    return len(jobs)


def played(book: Book, job: WorkedJob, seat: str, day: str) -> Walk:
    """Return the walk of a worked job, with its notes, closed where it says so."""
    from trees.walk.play import GIVE_UP, play

    walk = play(
        book,
        words=job.words,
        tree=job.tree,
        place=job.place,
        family=job.family,
        answers=job.answers,
        after_repair=job.after_repair,
        seat=seat,
        date=day,
        at_most=job.at_most or GIVE_UP,
    )
    for note in job.notes:
        walk = walk.note(note)
    return walk.close(job.close) if job.close else walk
