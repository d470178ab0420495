"""A casebook as JSON lines and back, in the open form that README.md here documents."""

from __future__ import annotations

import json
import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any, NoReturn

from sqlalchemy import Connection, insert, select

from trees.book.words import PLACES
from trees.casebook import book_text as books
from trees.casebook.encode import join, split, storable, summary_changes
from trees.casebook.reading import find_job, read_entries
from trees.casebook.records import COUNTED, NUMBER, StoredEntry
from trees.casebook.schema import book_text, entry, job, personal
from trees.casebook.search import index_job
from trees.errors import CasebookError, NewerCasebookError
from trees.language import _
from trees.text import json_text
from trees.walk.entries import KINDS, Entry

FORMAT = 2
"""2 has more kinds of entry than 1; otherwise they are the same."""
CUSTOMER = ("name", "phone", "address", "text")
_TIME = re.compile(r"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d\.\d{3}Z", re.ASCII)


@dataclass(frozen=True, slots=True)
class Imported:
    """What an import brought."""

    jobs: int
    known: int
    """Jobs that were there already, entry for entry."""
    books: int


@dataclass(slots=True)
class _Job:
    number: str
    opened_at: str
    invented: bool
    entries: list[StoredEntry] = field(default_factory=list)
    customer: dict[str, str] = field(default_factory=dict)


# ── out ─────────────────────────────────────────────────────────────────────


def export_lines(connection: Connection, name: str) -> Iterator[str]:
    """Give the casebook line by line, each a JSON object: head, books, jobs in the order of their making, end."""
    counts = {"books": 0, "jobs": 0, "customers": 0, "entries": 0}
    yield _line("casebook", format=FORMAT)
    for row in connection.execute(select(book_text).order_by(book_text.c.fingerprint)):
        files = books.unpack(row.files, row.fingerprint)
        texts = {file: content.decode("utf-8") for file, content in files.items()}
        yield _line("book", fingerprint=row.fingerprint, kept_at=row.kept_at, files=texts)
        counts["books"] += 1
    for number in connection.scalars(select(job.c.number).order_by(job.c.id)).all():
        record = find_job(connection, number)
        if record is None:
            continue
        yield _line("job", number=number, opened_at=record.opened_at, invented=record.invented)
        customer = select(personal.c.field, personal.c.text).where(personal.c.job_id == record.id, personal.c.no == 0)
        if fields := {row.field: row.text for row in connection.execute(customer.order_by(personal.c.field))}:
            yield _line("customer", job=number, **fields)
            counts["customers"] += 1
        for one in read_entries(connection, record, name):
            what = {"kind": one.entry.kind, "visit": one.entry.visit, "data": dict(one.entry.data)}
            made = {"at": one.at, "seat": one.seat, "fingerprint": one.fingerprint}
            yield _line("entry", job=number, no=one.no, **what, **made)
            counts["entries"] += 1
        counts["jobs"] += 1
    yield _line("end", **counts)


def _line(what: str, **more: Any) -> str:
    return json_text({"line": what, **more})


# ── in ──────────────────────────────────────────────────────────────────────


def read_export(lines: Iterable[str]) -> tuple[dict[str, tuple[str, bytes]], tuple[_Job, ...]]:
    """Return the books (fingerprint: when kept, packed) and jobs of an export; CasebookError names the bad line."""
    reader = _Reader()
    for no, text in enumerate(lines, start=1):
        reader.take(no, text)
    if not reader.ended:
        raise CasebookError(_("The export is cut off: its last line, `end`, is missing. Nothing was imported."))
    return reader.books, tuple(reader.jobs.values())


class _Reader:
    """Reads an export line by line and refuses what is not as the form says."""

    def __init__(self) -> None:
        self.books: dict[str, tuple[str, bytes]] = {}
        self.jobs: dict[str, _Job] = {}
        self.ended = False
        self._no = 0

    def take(self, no: int, text: str) -> None:
        self._no = no
        try:
            data = json.loads(
                text, parse_constant=lambda word: self._refuse(_("{word} is no number of JSON").format(word=word))
            )
        except (ValueError, RecursionError):
            self._refuse(_("it is no JSON"))
        if not isinstance(data, dict):
            self._refuse(_("it is no JSON object"))
        what = data.get("line")
        if (no == 1) != (what == "casebook") or self.ended:
            self._refuse(_("an export begins with one line `casebook` and ends with one line `end`"))
        take = {"casebook": self._head, "book": self._book, "job": self._job, "customer": self._customer}
        take |= {"entry": self._entry, "end": self._end}
        if what not in take:
            self._refuse(_("{what!r} is no kind of line").format(what=what))
        take[what](data)

    def _head(self, data: Mapping[str, Any]) -> None:
        found = self._get(data, "format", int)
        if found > FORMAT:
            raise NewerCasebookError(
                _(
                    "The export is of form {found}; this program reads up to form {FORMAT}. Install the newer program."
                ).format(found=found, FORMAT=FORMAT)
            )

    def _book(self, data: Mapping[str, Any]) -> None:
        files, edition = self._get(data, "files", dict), self._get(data, "fingerprint", str)
        if not all(isinstance(text, str) for text in files.values()):
            self._refuse(_("a file of the book is no text"))
        try:
            packed = books.pack({name: text.encode("utf-8") for name, text in files.items()}, edition)
        except (CasebookError, UnicodeEncodeError):
            self._refuse(_("the text of the book is not that of edition {edition}").format(edition=edition))
        self.books[edition] = (self._time(data, "kept_at"), packed)

    def _job(self, data: Mapping[str, Any]) -> None:
        number = self._get(data, "number", str)
        if not NUMBER.fullmatch(number) or number in self.jobs:
            self._refuse(_("{number!r} is no number for a job, or stands here twice").format(number=number))
        self.jobs[number] = _Job(number, self._time(data, "opened_at"), self._get(data, "invented", bool))

    def _customer(self, data: Mapping[str, Any]) -> None:
        mine = self._of_job(data).customer
        if mine or not (fields := {key: storable(self._get(data, key, str)) for key in CUSTOMER if key in data}):
            self._refuse(_("a job has at most one line `customer`, and that one is not empty"))
        mine |= fields

    def _entry(self, data: Mapping[str, Any]) -> None:
        mine = self._of_job(data)
        no, kind = self._get(data, "no", int), self._get(data, "kind", str)
        if kind not in KINDS or (no == 1 and kind != "began"):
            self._refuse(_("{kind!r} is no kind that entry {no} may have").format(kind=kind, no=no))
        if no != len(mine.entries) + 1:
            self._refuse(
                _("entry {no} of job {number} does not follow the one before it").format(no=no, number=mine.number)
            )
        texts = [self._get(data, name, str) for name in ("seat", "fingerprint", "visit")]
        at, (seat, edition, visit) = self._time(data, "at"), map(storable, texts)
        one = Entry(kind, self._get(data, "data", dict), visit)
        if kind in {"began", "place"} and (one.data.get("place") or "bench") not in PLACES:
            self._refuse(
                _("entry {no} of job {number} names a place that there is not").format(no=no, number=mine.number)
            )
        try:
            one = join(kind, visit, *split(one))
            summary_changes(one, at)
        except (CasebookError, KeyError, RecursionError):
            self._refuse(
                _("the data of entry {no} of job {number} can't be those of `{kind}`").format(
                    no=no, number=mine.number, kind=kind
                )
            )
        mine.entries.append(StoredEntry(no, one, at, seat, edition))

    def _end(self, data: Mapping[str, Any]) -> None:
        found = {
            "books": len(self.books),
            "jobs": len(self.jobs),
            "customers": sum(bool(one.customer) for one in self.jobs.values()),
            "entries": sum(len(one.entries) for one in self.jobs.values()),
        }
        if any(self._get(data, name, int) != count for name, count in found.items()):
            self._refuse(_("lines are missing: it counts otherwise than what came before it"))
        if not all(one.entries for one in self.jobs.values()):
            self._refuse(_("a job has no entry"))
        self.ended = True

    def _of_job(self, data: Mapping[str, Any]) -> _Job:
        number = self._get(data, "job", str)
        if number not in self.jobs:
            self._refuse(_("job {number!r} was not opened before it").format(number=number))
        return self.jobs[number]

    def _get(self, data: Mapping[str, Any], name: str, kind: type) -> Any:
        value = data.get(name)
        if type(value) is not kind:  # True is no number here
            self._refuse(_("`{name}` is missing or is no {name__}").format(name=name, name__=kind.__name__))
        return value

    def _time(self, data: Mapping[str, Any], name: str) -> str:
        text = self._get(data, name, str)
        try:
            datetime.fromisoformat(text)
        except ValueError:
            text = ""
        if not _TIME.fullmatch(text):
            self._refuse(_("`{name}` is no time like 2026-03-02T08:00:02.000Z").format(name=name))
        return str(text)

    def _refuse(self, why: str) -> NoReturn:
        raise CasebookError(
            _("Line {no} of the export can't be read: {why}. Nothing was imported.").format(no=self._no, why=why)
        )


def import_into(
    connection: Connection, name: str, found: tuple[dict[str, tuple[str, bytes]], tuple[_Job, ...]]
) -> Imported:
    """Keep what an export holds, in the transaction of the connection. A job that is there must be the same."""
    editions, jobs = found
    known = new_books = 0
    there = set(connection.scalars(select(book_text.c.fingerprint)))
    for edition, (kept_at, packed) in editions.items():
        if edition not in there:
            connection.execute(insert(book_text).values(fingerprint=edition, files=packed, kept_at=kept_at))
            new_books += 1
    for one in jobs:
        present = find_job(connection, one.number)
        if present is None or present.number != one.number:
            _insert(connection, one)
        elif read_entries(connection, present, name) == tuple(one.entries):
            known += 1
        else:
            raise CasebookError(
                _(
                    "Job {number} is in {name} already and is another one or goes on otherwise, so nothing was "
                    "imported; import into a casebook of its own with --store."
                ).format(number=one.number, name=name)
            )
    return Imported(len(jobs) - known, known, new_books)


def _insert(connection: Connection, one: _Job) -> None:
    values: dict[str, Any] = {"number": one.number, "opened_at": one.opened_at, "invented": one.invented}
    values |= {"last_no": len(one.entries), "last_at": one.entries[-1].at, "seat": one.entries[0].seat}
    if counted := COUNTED.fullmatch(one.number):
        values["counter"] = int(counted[1])
    for stored in one.entries:
        values |= summary_changes(stored.entry, stored.at)
    key = connection.execute(insert(job).values(**values)).inserted_primary_key[0]  # type: ignore[index]
    rows, texts = [], [{"job_id": key, "no": 0, "field": name, "text": text} for name, text in one.customer.items()]
    for stored in one.entries:
        data, free = split(stored.entry)
        made = {"at": stored.at, "seat": stored.seat, "fingerprint": stored.fingerprint}
        what = {"kind": stored.entry.kind, "visit": stored.entry.visit, "data": data}
        rows.append({"job_id": key, "no": stored.no, **what, **made})
        texts += [{"job_id": key, "no": stored.no, "field": name, "text": text} for name, text in free.items()]
    connection.execute(insert(entry), rows)
    if texts:
        connection.execute(insert(personal), texts)
    index_job(connection, key, [row["text"] for row in texts])
