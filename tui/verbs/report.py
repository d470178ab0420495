"""`sootline report`: write a job's report, or the blank intake sheet that goes with a carton."""

from __future__ import annotations

import argparse
import sys
from typing import TYPE_CHECKING

from trees.errors import PaperError
from trees.language import _
from tui.command_line import Exit
from tui.loading import book_for

if TYPE_CHECKING:
    from graphviz_export.letterhead import Letterhead
    from trees.casebook import JobRecord
    from trees.walk import Walk


def run(options: argparse.Namespace) -> int:
    """Write the report and print the path; without a file the report itself goes to standard output."""
    from trees.casebook import Casebook, default_path
    from trees.walk import Walk
    from tui.customer import customer_line

    book = book_for(options)
    with Casebook.open(options.store or default_path(), create=False, seat=options.seat, reading=True) as casebook:
        record = casebook.job(options.job)
        walk = Walk.resume(book, [stored.entry for stored in casebook.entries(record)])
        customer = customer_line(casebook.customer(record))
    if options.intake:
        _sheet(options, walk, record)
    else:
        _report(options, walk, record, customer)
    return Exit.FINE


def workshop_head() -> Letterhead:
    """Return the letterhead of the settings; what of them could not be used is told on standard error."""
    from trees.text import printable
    from tui.settings import read_settings

    settings, troubles = read_settings()
    for trouble in troubles:
        print(printable(_("sootline: {trouble}").format(trouble=trouble)), file=sys.stderr)
    return settings.letterhead()


def _sheet(options: argparse.Namespace, walk: Walk, record: JobRecord) -> None:
    from graphviz_export.intake_sheet import intake_pdf, intake_sheet, write_intake_sheet

    if options.format not in {None, "pdf"}:
        raise PaperError(_("An intake sheet is written as PDF only. Leave --format out."))
    if options.sources:
        raise PaperError(_("An intake sheet has no numbers yet. Leave --sources out."))
    sheet = intake_sheet(walk, record.number, invented=record.invented)
    if options.out is not None:
        print(write_intake_sheet(sheet, options.out, letterhead=workshop_head()))
    else:
        _to_stdout(intake_pdf(sheet, workshop_head()), "pdf")


def _report(options: argparse.Namespace, walk: Walk, record: JobRecord, customer: str) -> None:
    from graphviz_export.report_file import report_bytes, write_report

    if options.out is not None:
        head = workshop_head()
        out = write_report(
            walk,
            record.number,
            options.out,
            invented=record.invented,
            letterhead=head,
            form=options.format,
            sources=options.sources,
            customer=customer,
        )
        print(out)
        return
    form = options.format or "md"
    data = report_bytes(
        walk,
        record.number,
        form,
        invented=record.invented,
        letterhead=workshop_head(),
        sources=options.sources,
        customer=customer,
    )
    _to_stdout(data, form)


def _to_stdout(data: bytes, form: str) -> None:
    if form == "pdf" and sys.stdout.isatty():
        raise PaperError(_("A PDF would only upset the terminal. Name a file with --out FILE.pdf."))
    sys.stdout.buffer.write(data)
    sys.stdout.buffer.flush()
