"""The casebook: begin a job, append an entry durably, read jobs back. Everything else is replayed from the entries."""

from __future__ import annotations

import time
from collections.abc import Generator, Iterable, Mapping, Sequence
from contextlib import suppress
from typing import Any

from sqlalchemy import Connection, and_, delete, func, insert, select, update

from trees.casebook import book_text as books
from trees.casebook import presence as signs
from trees.casebook.encode import join, split, storable, summary_changes
from trees.casebook.erase import Erased, erase_in_backups, free_bytes, linked_jobs
from trees.casebook.faults import ClashError, in_words
from trees.casebook.held import BUSY_S, Held, utc_now
from trees.casebook.patience import until_back
from trees.casebook.reading import find_job, found_by, read_entries, remarks, summaries
from trees.casebook.records import (
    COUNTED,
    NUMBER,
    AnsweredElsewhereError,
    JobRecord,
    JobSummary,
    KeptRemark,
    News,
    Presence,
    StoredEntry,
)
from trees.casebook.schema import book_text, entry, job, personal
from trees.casebook.search import FOUND_OTHERWISE, forget_texts, index_job
from trees.casebook.transfer import CUSTOMER, Imported, export_lines, import_into, read_export
from trees.errors import CasebookError
from trees.language import _
from trees.walk.entries import Entry

__all__ = ["BUSY_S", "Casebook", "utc_now"]

_TRIES = 20


class Casebook(Held):
    """
    All jobs of a workshop, in one SQLite file or on one PostgreSQL server.

    May be used from several threads. Every method raises CasebookError with one sentence where the store can't do it.
    """

    def __init__(self, *given: Any, **more: Any) -> None:
        super().__init__(*given, **more)
        self._at: dict[int, tuple[str, float]] = {}
        """Jobs that this program has open: since when, and when the sign there was renewed (monotonic)."""

    # ── jobs ────────────────────────────────────────────────────────────────

    def new_job(
        self, entries: Sequence[Entry], number: str | None = None, *, invented: bool = False, fingerprint: str = ""
    ) -> JobRecord:
        """Keep a new job with its first entries, all or none; without a number it gets the next one (`J-0001`)."""
        if not entries or entries[0].kind != "began":
            raise CasebookError(_("A job begins with its complaint: its first entry must be `began`."))
        if number is not None and not NUMBER.fullmatch(number):
            raise CasebookError(
                _(
                    "{number!r} is no number for a job; use letters, digits, dot, dash and underscore, at most 40."
                ).format(number=number)
            )
        at = self._now()
        for _other in range(_TRIES):
            try:
                return until_back(
                    lambda again: (
                        (self._own_job(entries, at) if again else None)
                        or self._insert_job(entries, number, at, invented=invented, fingerprint=fingerprint)
                    ),
                    self._busy_s,
                )
            except ClashError:  # without a number of its own: on a server another seat may take the same one meanwhile
                if number is not None:
                    raise CasebookError(
                        _("There is a job {number} in {name} already; choose another.").format(
                            number=number, name=self.name
                        )
                    ) from None
        raise CasebookError(_("No free number for a new job was found in {name}; try again.").format(name=self.name))

    def _own_job(self, entries: Sequence[Entry], at: str) -> JobRecord | None:
        """Return the job that was kept although the server went away before it could say so."""
        mine = and_(entry.c.job_id == job.c.id, entry.c.no == 1, entry.c.at == at, entry.c.seat == self.seat)
        begun = select(job.c.number).join(entry, mine).where(job.c.opened_at == at)
        with self._reading() as connection:
            for number in connection.scalars(begun).all():
                record = find_job(connection, number)
                kept = read_entries(connection, record, self.name) if record else ()
                if [one.entry for one in kept] == [join(one.kind, storable(one.visit), *split(one)) for one in entries]:
                    return record
        return None

    def _insert_job(
        self, entries: Sequence[Entry], number: str | None, at: str, *, invented: bool, fingerprint: str
    ) -> JobRecord:
        values: dict[str, Any] = {"invented": invented, "opened_at": at, "last_no": len(entries), "last_at": at}
        values["seat"] = self.seat
        for one in entries:
            values |= summary_changes(one, at)
        with self._writing() as connection:
            if number is None:
                values["counter"] = (connection.scalar(select(func.max(job.c.counter))) or 0) + 1
                number = f"J-{values['counter']:04d}"
            elif counted := COUNTED.fullmatch(number):
                values["counter"] = int(counted[1])
            connection.execute(insert(job).values(number=number, **values))
            record = find_job(connection, number)
            if record is None:
                raise CasebookError(
                    _("Job {number} can't be kept in {name}: the store does not give it back.").format(
                        number=number, name=self.name
                    )
                )
            for no, one in enumerate(entries, start=1):
                self._insert_entry(connection, record.id, no, one, at=at, fingerprint=fingerprint)
            index_job(connection, record.id, [text for one in entries for text in split(one)[1].values()])
        return record

    def job(self, number: str) -> JobRecord:
        """Return a job by its number; `1` and `j-1` mean J-0001 too."""
        record = self._read(lambda connection: find_job(connection, number))
        if record is None:
            raise CasebookError(
                _("There is no job {number} in {name}; `sootline jobs` lists them.").format(
                    number=number.strip(), name=self.name
                )
            )
        return record

    def jobs(self, open_only: bool = False) -> tuple[JobSummary, ...]:
        """Return one summary per job, the last touched first; no entry is read for it."""
        return self._read(lambda connection: summaries(connection, open_only=open_only))

    def summary(self, record: JobRecord) -> JobSummary:
        """Return the summary of one job."""
        (row,) = self._read(lambda connection: summaries(connection, number=record.number))
        return row

    def same_serial(self, serial: str) -> tuple[JobSummary, ...]:
        """Return all jobs of one serial number, the last touched first."""
        return self._read(lambda connection: summaries(connection, serial=serial))

    def find(self, typed: str, limit: int = 50) -> tuple[JobSummary, ...]:
        """
        Return the jobs in which each word typed begins a word of number, unit, serial or free text, the newest first.

        Letters with and without accents, large and small are the same. Anything may be typed; of nothing typed, the
        last touched jobs are returned.
        """
        return self._read(lambda connection: found_by(connection, typed, limit))

    # ── entries ─────────────────────────────────────────────────────────────

    def append(self, record: JobRecord, new: Entry, expected_no: int, *, fingerprint: str = "") -> StoredEntry:
        """
        Keep one more entry of a job. When this returns, the entry is on disk.

        Raises AnsweredElsewhereError (a TakenElsewhereError) with the newer entries where entry `expected_no` is there
        already; nothing is written then. A server that is away for less than `busy_s` is waited for.
        """
        at = self._now()
        mine = StoredEntry(expected_no, join(new.kind, storable(new.visit), *split(new)), at, self.seat, fingerprint)

        def keep(again: bool) -> StoredEntry:
            try:
                return self._append(record, new, expected_no, at, fingerprint)
            except AnsweredElsewhereError as error:
                if again and error.newer[0] == mine:  # kept before the server went away
                    return mine
                raise

        return until_back(keep, self._busy_s)

    def _append(self, record: JobRecord, new: Entry, expected_no: int, at: str, fingerprint: str) -> StoredEntry:
        changes = {"last_no": expected_no, "last_at": at, **summary_changes(new, at)}
        with self._writing() as connection:
            # One row is changed by exactly one writer: this is what lets two seats never both answer one step.
            due = and_(job.c.id == record.id, job.c.last_no == expected_no - 1)
            if connection.execute(update(job).where(due).values(**changes)).rowcount == 1:
                kept = self._insert_entry(connection, record.id, expected_no, new, at=at, fingerprint=fingerprint)
                texts = split(new)[1].values()
                if texts or new.kind in FOUND_OTHERWISE:
                    index_job(connection, record.id, texts)
                return kept
            newer = read_entries(connection, record, self.name, since=expected_no)
        if newer:
            raise AnsweredElsewhereError(self._who_was_first(record, newer[0]), newer)
        raise CasebookError(
            _("Entry {expected_no} of job {number} can't be kept in {name}: the one before it is not there.").format(
                expected_no=expected_no, number=record.number, name=self.name
            )
        )

    def entries(self, record: JobRecord) -> tuple[StoredEntry, ...]:
        """Return all entries of a job in order."""
        return self._read(lambda connection: read_entries(connection, record, self.name))

    def changed_since(self, record: JobRecord, last_no: int) -> tuple[StoredEntry, ...]:
        """Return the entries of a job behind number `last_no`; none if nothing happened since."""
        there = select(job.c.last_no).where(job.c.id == record.id)
        if (self._read(lambda connection: connection.scalar(there)) or 0) <= last_no:
            return ()
        return self._read(lambda connection: read_entries(connection, record, self.name, since=last_no + 1))

    def remarks(self, tree: str | None = None, step: str | None = None) -> tuple[KeptRemark, ...]:
        """Return what was remarked for the author: about one step, one tree, or everything; the newest job first."""
        return self._read(lambda connection: remarks(connection, tree, step))

    # ── who is where ────────────────────────────────────────────────────────

    def come(self, record: JobRecord) -> None:
        """Show to the other seats that this program has the job open; `news` renews it."""
        since = self._at.get(record.id, ("", 0.0))[0] or self._now()
        with self._writing() as connection:
            at_ms = self._shared_ms(connection)
            signs.sign(connection, record.id, self._program, self.seat, since=since, at_ms=at_ms)
        self._at[record.id] = (since, time.monotonic())

    def leave(self, record: JobRecord) -> None:
        """Show that this program has the job open no more."""
        if self._at.pop(record.id, None) is not None:
            with self._writing() as connection:
                signs.unsign(connection, self._program, record.id)

    def presence(self, record: JobRecord) -> tuple[Presence, ...]:
        """Return who else has the job open just now."""
        return self._read(
            lambda connection: signs.others_at(connection, record.id, self._program, self._shared_ms(connection))
        )

    def news(self, record: JobRecord, last_no: int) -> News:
        """
        Return what happened to a job behind entry `last_no`, and who else has it open.

        Cheap enough to be asked every second. Renews the sign of this program where it has the job open (`come`); a
        sign that can't be renewed just now keeps nobody from reading.
        """
        came = self._at.get(record.id)
        if came is not None and time.monotonic() - came[1] > signs.BEAT_S:
            with suppress(CasebookError):
                self.come(record)
        return News(self.changed_since(record, last_no), self.presence(record))

    def close(self) -> None:
        """Let go of the store. Nothing needs to be saved: every entry already is."""
        if self._at:
            self._at.clear()
            with suppress(CasebookError), self._writing() as connection:
                signs.unsign(connection, self._program)
        super().close()

    def _shared_ms(self, connection: Connection) -> int:
        return signs.now_ms(connection, int(self._clock().timestamp() * 1000))

    def _insert_entry(
        self, connection: Connection, job_id: int, no: int, new: Entry, *, at: str, fingerprint: str
    ) -> StoredEntry:
        data, free = split(new)
        visit = storable(new.visit)
        key = {"job_id": job_id, "no": no}
        row = {"kind": new.kind, "visit": visit, "data": data, "at": at, "seat": self.seat, "fingerprint": fingerprint}
        connection.execute(insert(entry).values(**key, **row))
        for field, text in free.items():
            connection.execute(insert(personal).values(**key, field=field, text=text))
        return StoredEntry(no, join(new.kind, visit, data, free), at, self.seat, fingerprint)

    def _who_was_first(self, record: JobRecord, first: StoredEntry) -> str:
        who = (
            _("Another window of this seat")
            if first.seat == self.seat
            else _("The seat {seat}").format(seat=first.seat)
        )
        return _(
            "{who} was first at job {number} (entry {no}, {at} UTC), so yours was not kept; look at the "
            "newer state and answer again if it still asks."
        ).format(who=who, number=record.number, no=first.no, at=first.at[11:19])

    # ── the customer ────────────────────────────────────────────────────────

    def customer(self, record: JobRecord) -> dict[str, str]:
        """Return what is known of a job's customer: of name, phone, address and text those that were told."""
        told = and_(personal.c.job_id == record.id, personal.c.no == 0)
        query = select(personal.c.field, personal.c.text).where(told).order_by(personal.c.field)
        return {row.field: row.text for row in self._read(lambda connection: connection.execute(query).all())}

    def keep_customer(self, record: JobRecord, told: Mapping[str, str]) -> None:
        """Keep what was told of a job's customer in the place of what was; CasebookError for anything but CUSTOMER."""
        if other := sorted(told.keys() - set(CUSTOMER)):
            raise CasebookError(
                _("Of a customer we keep {listed}, not {listed_2}.").format(
                    listed=", ".join(CUSTOMER), listed_2=", ".join(other)
                )
            )
        rows = [{"job_id": record.id, "no": 0, "field": f, "text": storable(t)} for f, t in told.items() if t.strip()]
        with self._writing() as connection:
            connection.execute(delete(personal).where(and_(personal.c.job_id == record.id, personal.c.no == 0)))
            if rows:
                connection.execute(insert(personal), rows)
            texts = connection.scalars(select(personal.c.text).where(personal.c.job_id == record.id)).all()
            forget_texts(connection, record.id)
            index_job(connection, record.id, texts)

    # ── the book's text ─────────────────────────────────────────────────────

    def keep_book_text(self, fingerprint: str, files: Mapping[str, bytes]) -> None:
        """Keep the text of a book's edition, once; CasebookError if the files are another edition."""
        here = select(book_text.c.fingerprint).where(book_text.c.fingerprint == fingerprint)
        with self._reading() as connection:
            if connection.scalar(here) is not None:
                return
        row = {"fingerprint": fingerprint, "files": books.pack(files, fingerprint), "kept_at": self._now()}
        try:
            with self._writing() as connection:
                connection.execute(insert(book_text).values(**row))
        except ClashError:  # another seat kept it in this moment
            return

    def book_text(self, fingerprint: str) -> dict[str, bytes]:
        """Return the files of a kept edition by name; CasebookError if it was never kept."""
        with self._reading() as connection:
            packed = connection.scalar(select(book_text.c.files).where(book_text.c.fingerprint == fingerprint))
        if packed is None:
            raise CasebookError(
                _("The text of the book's edition {fingerprint} is not kept in {name}.").format(
                    fingerprint=fingerprint, name=self.name
                )
            )
        return books.unpack(packed, fingerprint)

    # ── the whole of it ─────────────────────────────────────────────────────

    def export(self) -> Generator[str, None, None]:
        """Give the whole casebook as JSON lines, as it stood at one moment."""
        with self._reading(one_moment=True) as connection:
            yield from export_lines(connection, self.name)

    def import_from(self, lines: Iterable[str]) -> Imported:
        """Keep what an export holds, all or nothing; jobs that are there already must be the same."""
        found = read_export(lines)
        with self._writing() as connection:
            return import_into(connection, self.name, found)

    def erase(self, record: JobRecord) -> Erased:
        """Erase what people typed into a job, here and in every backup; the technical record stays."""
        with self._writing() as connection:
            texts = connection.execute(delete(personal).where(personal.c.job_id == record.id)).rowcount
            forget_texts(connection, record.id)
            linked = linked_jobs(connection, record)
        in_backups, left = erase_in_backups(self.path, record) if self.path else (0, ())
        self._engine.dispose()  # a connection of our own that waits in the pool would keep the log from being emptied
        with in_words(self.name, self._busy_s, self.path):
            freed = free_bytes(self._engine, self.path)
        return Erased(texts, in_backups, left, linked, freed)
