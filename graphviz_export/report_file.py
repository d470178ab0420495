"""Writing a job's report: which format is asked for, and the file whole or not at all."""

from __future__ import annotations

from pathlib import Path

from graphviz_export.letterhead import Letterhead, read_logo
from graphviz_export.report import gather_report
from graphviz_export.report_records import Report
from graphviz_export.write import write_files
from trees.errors import PaperError
from trees.language import _
from trees.walk import Walk

REPORT_FORMATS = ("pdf", "html", "md", "json")


def write_report(
    walk: Walk,
    number: str,
    out: Path,
    *,
    invented: bool = False,
    letterhead: Letterhead | None = None,
    form: str | None = None,
    sources: bool = False,
    customer: str = "",
) -> Path:
    """Write a job's report as `.pdf`, `.html`, `.md` or `.json`; `form` where the ending does not tell. PaperError."""
    form = form or report_format(out)
    data = report_bytes(
        walk, number, form, invented=invented, letterhead=letterhead, sources=sources, customer=customer
    )
    write_files((out,), [data], private=True)
    return out


def report_format(out: Path) -> str:
    """Return the format that a file's ending asks for; PaperError if it asks for none."""
    form = out.suffix.lower().removeprefix(".")
    form = {"markdown": "md", "htm": "html"}.get(form, form)
    if form not in REPORT_FORMATS:
        raise PaperError(
            _("A report is written as .pdf, .html, .md or .json; {name} is neither.").format(name=out.name)
        )
    return form


def report_bytes(
    walk: Walk,
    number: str,
    form: str,
    *,
    invented: bool = False,
    letterhead: Letterhead | None = None,
    sources: bool = False,
    customer: str = "",
) -> bytes:
    """Return a job's report in one of `REPORT_FORMATS`; the same job gives the same bytes. PaperError."""
    report = gather_report(walk, number, invented=invented, sources=sources, customer=customer)
    return drawn(report, form, letterhead or Letterhead())


def drawn(report: Report, form: str, letterhead: Letterhead) -> bytes:
    """Return a gathered report in one of `REPORT_FORMATS`."""
    if form == "md":
        from graphviz_export.report_markdown import markdown

        return markdown(report, letterhead).encode()
    if form == "json":
        from graphviz_export.report_json import json_text

        return json_text(report, letterhead).encode()
    if form not in REPORT_FORMATS:
        raise PaperError(
            _("There is no report as {form}; it can be {listed}.").format(form=form, listed=", ".join(REPORT_FORMATS))
        )
    from graphviz_export.report_pages import page_that_fits, pdf

    logo = read_logo(letterhead)
    if form == "pdf":
        return pdf(report, letterhead, logo)
    from graphviz_export.report_html import html

    return html(report, page_that_fits(report, letterhead, logo), letterhead, logo).encode()
