"""The day list as CSV for spreadsheets, in which no cell can become a formula."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Iterator
from dataclasses import asdict, fields

from trees.casebook.records import JobSummary
from trees.text import printable

# What a spreadsheet takes for the beginning of a formula, in both widths, and what it skips before one.
_BEGINS_FORMULA = tuple("=+-@＝＋－＠\t\r\n")


def csv_lines(rows: Iterable[JobSummary]) -> Iterator[str]:
    """Give the head and one line per job (RFC 4180, without line ends); text that could be a formula gets a `'`."""
    names = [field.name for field in fields(JobSummary)]
    yield _line(names)
    for row in rows:
        yield _line([harmless(value) for value in asdict(row).values()])


def harmless(value: object) -> str:
    """Return what stands in the cell; a figure or a word of ours is never changed."""
    if value is None:
        return ""
    text = str(value)
    return (
        "'" + printable(text, keep="\n") if text.lstrip(" ").startswith(_BEGINS_FORMULA) else printable(text, keep="\n")
    )


def _line(cells: list[str]) -> str:
    line = io.StringIO()
    csv.writer(line, lineterminator="").writerow(cells)
    return line.getvalue()
