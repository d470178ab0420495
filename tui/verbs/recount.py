"""`sootline recount`: the shares of causes counted anew from the closed jobs; the book is never changed."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

from trees.errors import SootlineError
from trees.language import _, ngettext, spoken
from tui.accept_shares import chooser, refuse_unfit_file, spoken_of, taken, write_overlay
from tui.command_line import Exit

if TYPE_CHECKING:
    from trees.book.model import Book
    from trees.suspects.recount import ClosedJob, Recounted
    from trees.walk import Walk


def run(options: argparse.Namespace) -> int:
    """Print every cause that a job speaks of, write what is taken; 1 if the jobs contradict the author somewhere."""
    from trees.book import load_book, shipped_book_path
    from trees.casebook import Casebook, default_path
    from trees.suspects.recount import recount
    from trees.walk.closed_jobs import closed_job
    from tui.recounting import closed_walks, shares_of

    ask = chooser(options)
    if options.write is not None:
        refuse_unfit_file(options.write)
    if options.shares is not None:
        print(_("sootline: counted against the author's own shares; --shares is left aside."), file=sys.stderr)
    book = load_book(options.book or shipped_book_path(), spoken())
    with Casebook.open(options.store or default_path(), create=False, seat=options.seat) as casebook:
        walks = list(closed_walks(book, casebook, invented=options.invented))
    if options.links:
        return _print_links(book, [walk for walk, _other in walks], options)
    jobs = [job for job in (closed_job(walk, age) for walk, age in walks) if job is not None]
    counted = recount(shares_of(book), jobs, prior_jobs=options.prior_jobs)
    if options.write is not None and not jobs:
        raise SootlineError(
            _("No closed job says which cause it had, so there is nothing to take. Nothing is written.")
        )
    _print(book, counted, jobs, options)
    if options.write is not None:
        _write(book, taken(book, counted, options, ask), options.write)
    return Exit.FOUND if any(row.conflict for row in counted) else Exit.FINE


def _print(book: Book, counted: Sequence[Recounted], jobs: Sequence[ClosedJob], options: argparse.Namespace) -> None:
    from trees.text import json_text, printable

    if options.format == "json":
        print(json_text(_as_json(book, counted, jobs, options), indent=1))
    else:
        print("\n".join(printable(line) for line in _as_text(book, counted, jobs)))


def _write(book: Book, rows: Sequence[Recounted], path: Path) -> None:
    if not rows:
        print(_("sootline: nothing was taken; {path} is not written.").format(path=path), file=sys.stderr)
        return
    write_overlay(book, rows, path)
    number = ngettext("1 share", "{n} shares", len(rows)).format(n=len(rows))
    print(
        _("sootline: {number} written; use `sootline --shares {path}`.").format(number=number, path=path),
        file=sys.stderr,
    )


def _print_links(book: Book, walks: Sequence[Walk], options: argparse.Namespace) -> int:
    """Print how often each cause showed its signs, beside the author's word; 1 if the jobs contradict it somewhere."""
    from dataclasses import asdict

    from trees.suspects.links import links_seen
    from trees.text import json_text, printable
    from trees.walk.closed_jobs import single_job

    jobs = [job for job in map(single_job, walks) if job is not None]
    rows = links_seen(book, jobs)
    if options.format == "json":
        links = [{**asdict(row), "conflict": row.conflict} for row in rows]
        print(json_text({"jobs": len(jobs), "links": links}, indent=1))
    else:
        print(
            _("{n} closed jobs with one cause, confirmed by a cure. Only asked signs count: a biased sample.").format(
                n=len(jobs)
            )
        )
        for row in rows:
            print(printable(f"{book.causes[row.cause].name} → {book.signs[row.sign].name}: {row.sentence}"))
    return Exit.FOUND if any(row.conflict for row in rows) else Exit.FINE


def _as_text(book: Book, counted: Sequence[Recounted], jobs: Sequence[ClosedJob]) -> Iterator[str]:
    yield _("{n} closed jobs in which a cause was found.").format(n=len(jobs))
    for row in sorted(counted, key=lambda row: (not row.conflict, -row.seen)):
        if spoken_of(row):
            yield f"{book.causes[row.cause].name}: {row.sentence}"
    yield _("Causes that no job had only become a little rarer. The book's own shares are not changed.")


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
