"""The day list as CSV for spreadsheets, in which no cell can become a formula."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterable, Iterator
from dataclasses import asdict, fields

from trees.casebook.records import JobSummary
from trees.text import printable

# What a spreadsheet takes for the beginning of a formula, in both widths, and what it skips before one.
_BEGINS_FORMULA = tuple("=+-@＝＋－＠\t\r\n")
# Where a spreadsheet is set to part cells by another sign than a comma, a text goes on in a cell of its own behind it.
_AFTER_CUT = re.compile(r"""([;|\n][\s"']*)(?=[=+\-@＝＋－＠])""")


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
    begins = "'" if text.lstrip(' "').startswith(_BEGINS_FORMULA) else ""
    return begins + _AFTER_CUT.sub(r"\1'", printable(text, keep="\n"))


def _line(cells: list[str]) -> str:
    line = io.StringIO()
    csv.writer(line, lineterminator="").writerow(cells)
    return line.getvalue()
