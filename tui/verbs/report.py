"""`sootline report`: write a job's report."""

from __future__ import annotations

import argparse

from tui.command_line import Exit
from tui.loading import book_for


def run(options: argparse.Namespace) -> int:
    """Write the report and print the path."""
    from graphviz_export.report_file import write_report
    from trees.casebook import Casebook, default_path
    from trees.walk import Walk

    book = book_for(options)
    with Casebook.open(options.store or default_path(), create=False, seat=options.seat) as casebook:
        record = casebook.job(options.job)
        walk = Walk.resume(book, [stored.entry for stored in casebook.entries(record)])
    print(write_report(walk, record.number, options.out, invented=record.invented))
    return Exit.FINE
