"""`sootline demo`: fill a throw-away casebook with twelve invented jobs and open it."""

from __future__ import annotations

import argparse
import tempfile
from datetime import UTC, datetime, timedelta
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from trees.errors import BookError, SootlineError
from trees.language import N_, _
from tui.command_line import Exit
from tui.loading import book_for, settings_for
from tui.verbs.screen import open_screen, refuse_unfit_terminal, workshop_of

if TYPE_CHECKING:
    from trees.book.model import Book
    from trees.book.worked import WorkedJob
    from trees.casebook import Casebook
    from trees.walk import Walk
    from tui.opening import Opening

SEAT = "demo bench"
NOTICE = N_("Invented workshop: invented jobs in a throw-away casebook. Nothing here was ever measured.")


def run(options: argparse.Namespace) -> int:
    """Open the demo workshop; with --fill only write its jobs into a new casebook."""
    if options.fill is not None:
        from trees.casebook import Casebook

        book, clock = book_for(options), DemoClock()
        with Casebook.open(options.fill, seat=options.seat or SEAT, clock=clock) as casebook:
            print(_("{n} invented jobs written into {name}").format(n=fill(book, casebook, clock), name=casebook.name))
        return Exit.FINE
    refuse_unfit_terminal()
    with tempfile.TemporaryDirectory(prefix="sootline-demo-") as folder:
        return open_screen(opening(options, Path(folder)))


def opening(options: argparse.Namespace, folder: Path) -> Opening:
    """Return the way to the demo workshop: here the book comes first, for its worked jobs fill the casebook."""
    from tui.opening import Opening

    seat = options.seat or SEAT
    settings, troubles = settings_for(options)
    books: list[Book] = []

    def open_casebook() -> Casebook:
        from trees.casebook import Casebook

        books.append(book_for(options))
        clock = DemoClock()
        casebook = Casebook.open(folder / "casebook.db", seat=seat, clock=clock)
        fill(books[0], casebook, clock)
        return casebook

    notice = "\n".join((_(NOTICE), *map(str, troubles)))
    return Opening(open_casebook, lambda: books[0], partial(workshop_of, options, settings), settings, notice)


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
        try:
            walk = played(book, job, casebook.seat, day)
        except SootlineError as error:
            raise BookError(
                _("The worked job {job} can't be played: {error} `sootline replay` tells where it turns.").format(
                    job=job.id, error=error
                )
            ) from error
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
