"""`sootline jobs lessons`: what the closed jobs teach, as the casebook's screen shows it, or as JSON."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from trees.language import _, ngettext
from tui.command_line import Exit

if TYPE_CHECKING:
    from trees.book.model import Book
    from trees.casebook.lessons import Told

WIDTH = 78


def lessons(options: argparse.Namespace) -> int:
    """Print the lessons of the real jobs, or of the invented ones; never of both."""
    from trees.casebook.lessons import told_jobs
    from trees.text import json_text
    from tui.finding_jobs import kinds
    from tui.loading import book_for
    from tui.verbs.jobs import open_casebook

    book = book_for(options)
    with open_casebook(options, reading=True) as casebook:
        closed = kinds(casebook).closed(invented=options.invented)
        jobs = tuple(told_jobs(casebook, book, invented=options.invented))
    if options.format == "json":
        print(json_text(_as_json(book, jobs, options), indent=1))
    else:
        _print_text(book, jobs, options)
    if closed > len(jobs):
        lost = ngettext("1 closed job", "{n} closed jobs", closed - len(jobs)).format(n=closed - len(jobs))
        print(_("sootline: {lost} can't be read by this book.").format(lost=lost), file=sys.stderr)
    return Exit.FINE


def _print_text(book: Book, jobs: Sequence[Told], options: argparse.Namespace) -> None:
    from textwrap import wrap

    from trees.text import printable
    from tui.panels.lessons import PAGES

    n = len(jobs)
    told = (
        ngettext("{n} closed invented job", "{n} closed invented jobs", n)
        if options.invented
        else ngettext("{n} closed real job", "{n} closed real jobs", n)
    )
    print(told.format(n=n))
    for page in PAGES.values():
        print()
        for line in page(book, jobs, WIDTH).plain.splitlines():
            whole = printable(line.rstrip())
            print("\n".join(wrap(whole, WIDTH)) if len(whole) > WIDTH else whole)


def _as_json(book: Book, jobs: Sequence[Told], options: argparse.Namespace) -> dict[str, Any]:
    from dataclasses import asdict

    from trees.casebook.lessons import LEVEL, RETURN_DAYS, first_visit, minutes_by_tree, pareto, repeats
    from tui.finding_jobs import idle_of
    from tui.panels.lessons import LEAST_JOBS

    return {
        "jobs": len(jobs),
        "invented": options.invented,
        "edition": book.edition,
        "fingerprint": book.fingerprint,
        "interval": {"level": LEVEL, "method": "score interval (Wilson 1927)"},
        "too_few_below": LEAST_JOBS,
        "return_days": RETURN_DAYS,
        "causes": [asdict(row) for row in pareto(jobs)],
        "repeats": [asdict(row) for row in repeats(jobs)],
        "first_visit": asdict(first_visit(jobs)),
        "minutes_by_tree": [asdict(row) for row in minutes_by_tree(jobs)],
        "idle_checks": [asdict(row) for row in idle_of(book, jobs, LEAST_JOBS)],
    }
