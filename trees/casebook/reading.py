"""Reading a casebook: jobs by number, summaries for the day list, the entries of a job."""

from __future__ import annotations

import json
import re
from collections.abc import Iterable, Mapping
from typing import Any, cast

from sqlalchemy import Connection, Row, Select, and_, func, literal_column, select

from trees.casebook.encode import join, storable
from trees.casebook.records import NUMBER, JobRecord, JobSummary, KeptRemark, StoredEntry
from trees.casebook.schema import entry, job, personal
from trees.casebook.search import IDS, asked, words_of
from trees.errors import CasebookError
from trees.language import _

_SHORT = re.compile(r"(?:[Jj]-?)?(\d{1,9})", re.ASCII)


def find_job(connection: Connection, number: str) -> JobRecord | None:
    """Return a job by its number, or by the figure in it; None if there is none."""
    exact = storable(number.strip())
    short = _SHORT.fullmatch(exact)
    names = [exact, f"J-{int(short[1]):04d}"] if short else [exact]
    query = select(job.c.id, job.c.number, job.c.opened_at, job.c.invented).where(job.c.number.in_(names))
    rows = connection.execute(query).mappings()
    # A number becomes the name of a file, and a casebook from elsewhere may hold one that we would never give.
    found = {row["number"]: JobRecord(**row) for row in rows if NUMBER.fullmatch(row["number"])}
    return next((found[name] for name in names if name in found), None)


def summaries(
    connection: Connection, *, open_only: bool = False, number: str | None = None, serial: str | None = None
) -> tuple[JobSummary, ...]:
    """Return one summary per job, the last touched first; of all, or of those that fit."""
    query = _SUMMARIES.order_by(job.c.last_at.desc(), job.c.id.desc())
    if open_only:
        query = query.where(job.c.closed_as.is_(None))
    if number is not None:
        query = query.where(job.c.number == number)
    if serial is not None:
        query = query.where(job.c.serial == serial)
    return _read(connection, query)


def found_by(connection: Connection, typed: str, limit: int) -> tuple[JobSummary, ...]:
    """Return the jobs that hold words beginning as those typed, the newest first; of nothing, the last touched."""
    words = words_of(typed)
    if not words:
        return _read(connection, _SUMMARIES.order_by(job.c.last_at.desc(), job.c.id.desc()).limit(limit))
    engine = connection.dialect.name
    return _read(connection, _FOUND[engine], asked=asked(engine, words), most=limit)


def _read(connection: Connection, query: Select[Any], **values: Any) -> tuple[JobSummary, ...]:
    # In the order of the fields: by name it takes longer, and there may be 100,000 jobs.
    rows = cast("Iterable[tuple[Any, ...]]", connection.execute(query, values).all())
    return tuple([JobSummary(*row) for row in rows])


_SUMMARIES = select(
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
    job.c.serial,
    job.c.waiting,
    job.c.due,
).select_from(
    job.outerjoin(personal, and_(personal.c.job_id == job.c.id, personal.c.no == 1, personal.c.field == "words"))
)
# Put together once: this is asked after each key.
_FOUND = {
    engine: _SUMMARIES.where(job.c.id.in_(select(ids.c.id))).order_by(job.c.id.desc()) for engine, ids in IDS.items()
}


def read_entries(connection: Connection, record: JobRecord, name: str, since: int = 1) -> tuple[StoredEntry, ...]:
    """Return the entries of a job in order; CasebookError for one that can't be read any more."""
    mine = and_(personal.c.job_id == record.id, personal.c.no >= since)
    free: dict[int, dict[str, str]] = {}
    for row in connection.execute(select(personal.c.no, personal.c.field, personal.c.text).where(mine)):
        free.setdefault(row.no, {})[row.field] = row.text
    query = select(entry).where(entry.c.job_id == record.id, entry.c.no >= since).order_by(entry.c.no)
    return tuple(_stored(row, free.get(row.no, {}), record, name) for row in connection.execute(query))


def remarks(connection: Connection, tree: str | None, step: str | None) -> tuple[KeptRemark, ...]:
    """Return the remarks about one step, about one tree, or all of them, the newest job first."""
    said = and_(personal.c.job_id == entry.c.job_id, personal.c.no == entry.c.no, personal.c.field == "text")
    query = (
        select(
            job.c.number,
            entry.c.no,
            entry.c.at,
            entry.c.seat,
            entry.c.fingerprint,
            entry.c.data,
            func.coalesce(personal.c.text, "").label("text"),
        )
        .select_from(entry.join(job, job.c.id == entry.c.job_id).outerjoin(personal, said))
        .where(literal_column("kind = 'remark'"))  # in words and not as a value, so that the index of remarks serves
        .order_by(entry.c.job_id.desc(), entry.c.no)
    )
    found = []
    for row in connection.execute(query):
        data = json.loads(row.data)
        where = (str(data.get("tree") or ""), str(data.get("step") or ""))
        if (tree is None or where[0] == tree) and (step is None or where[1] == step):
            found.append(KeptRemark(row.number, row.no, row.at, row.seat, row.fingerprint, *where, row.text))
    return tuple(found)


def _stored(row: Row[Any], free: Mapping[str, str], record: JobRecord, name: str) -> StoredEntry:
    try:
        one = join(row.kind, row.visit, row.data, free)
    except ValueError as error:
        raise CasebookError(
            _("Entry {no} of job {number} in {name} is damaged; go on with the last good backup.").format(
                no=row.no, number=record.number, name=name
            )
        ) from error
    return StoredEntry(row.no, one, row.at, row.seat, row.fingerprint)
