"""Reading a casebook: jobs by number, summaries for the day list, the entries of a job."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from typing import Any, cast

from sqlalchemy import Connection, Row, and_, func, select

from trees.casebook.encode import join, storable
from trees.casebook.records import JobRecord, JobSummary, StoredEntry
from trees.casebook.schema import entry, job, personal
from trees.errors import CasebookError

_SHORT = re.compile(r"(?:[Jj]-?)?(\d{1,9})", re.ASCII)


def find_job(connection: Connection, number: str) -> JobRecord | None:
    """Return a job by its number, or by the figure in it; None if there is none."""
    exact = storable(number.strip())
    short = _SHORT.fullmatch(exact)
    names = [exact, f"J-{int(short[1]):04d}"] if short else [exact]
    query = select(job.c.id, job.c.number, job.c.opened_at, job.c.invented).where(job.c.number.in_(names))
    found = {row["number"]: JobRecord(**row) for row in connection.execute(query).mappings()}
    return next((found[name] for name in names if name in found), None)


def summaries(connection: Connection, *, open_only: bool) -> tuple[JobSummary, ...]:
    """Return one summary per job, the last touched first."""
    words = and_(personal.c.job_id == job.c.id, personal.c.no == 1, personal.c.field == "words")
    query = (
        select(
            job.c.number,
            func.coalesce(personal.c.text, "").label("words"),
            job.c.tree,
            job.c.place,
            job.c.family,
            job.c.opened_at,
            job.c.last_at,
            job.c.closed_as.label("closed"),
            job.c.closed_at,
            job.c.seat,
            job.c.last_no.label("entries"),
            job.c.invented,
        )
        .select_from(job.outerjoin(personal, words))
        .order_by(job.c.last_at.desc(), job.c.id.desc())
    )
    if open_only:
        query = query.where(job.c.closed_as.is_(None))
    # In the order of the fields: by name it takes longer, and there may be 100,000 jobs.
    return tuple(JobSummary(*row) for row in cast("Iterable[tuple[Any, ...]]", connection.execute(query)))


def read_entries(connection: Connection, record: JobRecord, name: str, since: int = 1) -> tuple[StoredEntry, ...]:
    """Return the entries of a job in order; CasebookError for one that can't be read any more."""
    mine = and_(personal.c.job_id == record.id, personal.c.no >= since)
    free: dict[int, dict[str, str]] = {}
    for row in connection.execute(select(personal.c.no, personal.c.field, personal.c.text).where(mine)):
        free.setdefault(row.no, {})[row.field] = row.text
    query = select(entry).where(entry.c.job_id == record.id, entry.c.no >= since).order_by(entry.c.no)
    return tuple(_stored(row, free.get(row.no, {}), record, name) for row in connection.execute(query))


def _stored(row: Row[Any], free: Mapping[str, str], record: JobRecord, name: str) -> StoredEntry:
    try:
        one = join(row.kind, row.visit, row.data, free)
    except ValueError as error:
        raise CasebookError(
            f"Entry {row.no} of job {record.number} in {name} is damaged; go on with the last good backup."
        ) from error
    return StoredEntry(row.no, one, row.at, row.seat, row.fingerprint)
