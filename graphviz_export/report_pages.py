"""A report as PDF pages; texts reach typst as data, so nothing in them can be markup."""

from __future__ import annotations

import json
from typing import Any

from graphviz_export.report import FIRST_WORDS, Report, as_json
from graphviz_export.typst_run import choose_fonts, date_of, draw, language_of
from trees.text import printable

INVENTED = "Invented job, for demonstration only."


def pdf(report: Report) -> bytes:
    """Return the report as a PDF file; the same report gives the same bytes."""
    data = _printable(_data(report))
    fonts = choose_fonts(json.dumps(data, ensure_ascii=False))
    data["fonts"] = list(fonts.families)
    return draw("report.typ", data, "pdf", fonts, report.day)[0]


def _printable(value: Any) -> Any:
    """Return the data with nothing in any text that a page could not show."""
    if isinstance(value, str):
        return printable(value)
    if isinstance(value, list | tuple):
        return [_printable(item) for item in value]
    return {key: _printable(item) for key, item in value.items()} if isinstance(value, dict) else value


def _data(report: Report) -> dict[str, object]:
    language, region = language_of(report.language)
    found = (report.roots, report.contributing, report.consequences, report.hinted)
    first = (
        ("Work done", report.work, "No work was done."),
        ("So that it stays away", report.advice, "No advice follows from what was found."),
    )
    sections = (
        ("What was asked and seen", [f"{q} — {a}" for q, a in report.observed], ""),
        ("Ruled out", [f"{row.name} — {row.by}" for row in report.ruled_out], ""),
        ("Cautions", report.cautions, ""),
        ("Not checked", report.not_checked, "Everything that was asked could be told."),
        ("Notes", report.notes, ""),
    )
    return {
        **as_json(report),
        "title": f"Report {report.number}",
        "book_title": report.book.partition(",")[0],
        "date": list(date_of(report.day)),
        "lang": language,
        "region": region,
        "first_words": FIRST_WORDS,
        "invented_words": INVENTED,
        "nothing_found": not any(found),
        "facts": [
            ["Complaint", report.complaint],
            ["Unit", report.unit],
            ["Done", report.place],
            ["Day", report.day],
            ["Closed", report.closed],
        ],
        "first": [[title, list(rows), empty] for title, rows, empty in first],
        "sections": [[title, list(rows), empty] for title, rows, empty in sections],
    }
