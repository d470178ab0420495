"""A first look at a casebook's file, for the day list, while the casebook itself is still being opened.

The library that opens a casebook takes longer to load than the whole screen does; SQLite's own module takes next to
nothing. Only a file is read that opening would leave as it is: whatever is unusual about it is left to opening, which
has the sentence for it.
"""

from __future__ import annotations

import os
from contextlib import closing
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from trees.casebook.places import HEAD_OF_FILE, locate, seat_name
from trees.casebook.records import SCHEMA_VERSION, JobSummary
from trees.errors import CasebookError

# The columns stand in the order of JobSummary's fields, the rows in that of `Casebook.jobs`.
_OPEN_JOBS = """
SELECT number, coalesce(text, ''), tree, place, family, opened_at, last_at, closed_as, closed_at, seat, last_no,
       invented, serial, waiting, due
FROM job LEFT JOIN personal ON job_id = id AND no = 1 AND field = 'words'
WHERE closed_as IS NULL
ORDER BY last_at DESC, id DESC
"""
_VERSION = "SELECT value FROM store_info WHERE name = 'schema_version'"


@dataclass(frozen=True, slots=True)
class FirstLook:
    """What the day list shows before the casebook is open."""

    open_jobs: tuple[JobSummary, ...]
    """As `Casebook.jobs(open_only=True)` returns them."""
    seat: str
    """The seat that the casebook will have."""


def first_look(where: str | os.PathLike[str], seat: str | None = None) -> FirstLook | None:
    """
    Return the open jobs of a casebook's file; None where it has to be opened to know them. Never waits, never raises.

    None for a server, and for a file that is not there, no casebook of the present schema, locked, damaged, or not ours
    to write: opening would refuse that one, and reading a log makes files beside it. Entries that stand only in the log
    are seen.
    """
    import sqlite3

    try:
        path = locate(where)
        if not isinstance(path, Path) or not _is_ours(path):
            return None
        with closing(sqlite3.connect(f"{path.as_uri()}?mode=ro", uri=True, timeout=0, isolation_level=None)) as file:
            file.execute("BEGIN")  # version and jobs of one moment: another seat may bring the store to a new schema
            if file.execute(_VERSION).fetchall() != [(str(SCHEMA_VERSION),)]:
                return None
            rows = file.execute(_OPEN_JOBS).fetchall()
        return FirstLook(tuple(_summary(*row) for row in rows), seat_name(seat))
    except (sqlite3.Error, OSError, ValueError, CasebookError):
        return None


def _summary(*row: Any) -> JobSummary:
    summary = JobSummary(*row)
    return replace(summary, invented=bool(summary.invented))  # SQLite itself knows only 0 and 1


def _is_ours(path: Path) -> bool:
    """Tell whether this is a database that we may write, log and all, as opening a casebook asks for."""
    if not (path.is_file() and os.access(path, os.R_OK | os.W_OK) and os.access(path.parent, os.W_OK | os.X_OK)):
        return False
    with path.open("rb") as file:
        return file.read(len(HEAD_OF_FILE)) == HEAD_OF_FILE
