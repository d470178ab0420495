"""The casebook: begin a job, append an entry durably, read jobs back. Everything else is replayed from the entries."""

from __future__ import annotations

import os
from collections.abc import Callable, Generator, Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from datetime import UTC, datetime
from pathlib import Path
from types import TracebackType
from typing import Any, Self

from sqlalchemy import Connection, Engine, and_, delete, func, insert, select, update

from trees.casebook import book_text as books
from trees.casebook.backups import Backup, is_due, make_backup
from trees.casebook.encode import join, split, storable, summary_changes
from trees.casebook.engine import make_ready, server_engine, shown_address, sqlite_engine, writing
from trees.casebook.erase import Erased, erase_in_backups, free_bytes, linked_jobs
from trees.casebook.faults import ClashError, in_words
from trees.casebook.patience import until_back
from trees.casebook.places import default_seat, keep_private, locate, prepare_file
from trees.casebook.reading import find_job, read_entries, summaries
from trees.casebook.records import COUNTED, NUMBER, AnsweredElsewhereError, JobRecord, JobSummary, StoredEntry
from trees.casebook.schema import book_text, entry, job, personal
from trees.casebook.transfer import Imported, export_lines, import_into, read_export
from trees.errors import CasebookError
from trees.walk.entries import Entry

BUSY_S = 5.0
"""How long another program may hold the store before we say so."""

_TRIES = 20


def utc_now() -> datetime:
    """Return the time now, UTC."""
    return datetime.now(UTC)


class Casebook:
    """
    All jobs of a workshop, in one SQLite file or on one PostgreSQL server.

    May be used from several threads. Every method raises CasebookError with one sentence where the store can't do it.
    """

    def __init__(
        self, engine: Engine, name: str, *, path: Path | None, seat: str, clock: Callable[[], datetime], busy_s: float
    ) -> None:
        self._engine = engine
        self._clock = clock
        self._busy_s = busy_s
        self.name = name
        """The path, or the address without its password."""
        self.path = path
        """The file; None on a server."""
        self.seat = seat
        self.backup_trouble = ""
        """Why the backup that was due at opening could not be made; empty if it could."""
        self._file_id = _file_id(path) if path else None

    @classmethod
    def open(
        cls,
        where: str | os.PathLike[str],
        *,
        create: bool = True,
        clock: Callable[[], datetime] = utc_now,
        seat: str | None = None,
        busy_s: float = BUSY_S,
    ) -> Self:
        """
        Open the casebook at a path, `sqlite:///path` or `postgresql://…`; a new one is made where there is none.

        Args:
            create: False refuses where there is no casebook yet.
            clock: Gives the time of each entry.
            seat: Name of this seat; `user@host` if empty.
            busy_s: Seconds to wait for another program that holds the store.
        """
        place = locate(where)
        seat = " ".join(storable(seat or "").split())[:120] or default_seat()
        if isinstance(place, Path):
            prepare_file(place, create=create)
            name, path, engine = str(place), place, sqlite_engine(place, busy_s)
        else:
            engine = server_engine(place)
            name, path = shown_address(place), None
        try:
            with in_words(name, busy_s, path):
                make_ready(engine, name, create=create, now=clock(), busy_s=busy_s)
            if path:
                keep_private(path)
            opened = cls(engine, name, path=path, seat=seat, clock=clock, busy_s=busy_s)
            opened._back_up_if_due()
            return opened
        except BaseException:
            engine.dispose()
            raise

    def close(self) -> None:
        """Let go of the store. Nothing needs to be saved: every entry already is."""
        self._engine.dispose()

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()

    # ── jobs ────────────────────────────────────────────────────────────────

    def new_job(
        self, entries: Sequence[Entry], number: str | None = None, *, invented: bool = False, fingerprint: str = ""
    ) -> JobRecord:
        """Keep a new job with its first entries, all or none; without a number it gets the next one (`J-0001`)."""
        if not entries or entries[0].kind != "began":
            raise CasebookError("A job begins with its complaint: its first entry must be `began`.")
        if number is not None and not NUMBER.fullmatch(number):
            raise CasebookError(
                f"{number!r} is no number for a job; use letters, digits, dot, dash and underscore, at most 40."
            )
        at = self._now()
        for _ in range(_TRIES):
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
                    raise CasebookError(f"There is a job {number} in {self.name} already; choose another.") from None
        raise CasebookError(f"No free number for a new job was found in {self.name}; try again.")

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
                raise CasebookError(f"Job {number} can't be kept in {self.name}: the store does not give it back.")
            for no, one in enumerate(entries, start=1):
                self._insert_entry(connection, record.id, no, one, at=at, fingerprint=fingerprint)
        return record

    def job(self, number: str) -> JobRecord:
        """Return a job by its number; `1` and `j-1` mean J-0001 too."""

        def find(_again: bool) -> JobRecord | None:
            with self._reading() as connection:
                return find_job(connection, number)

        record = until_back(find, self._busy_s)
        if record is None:
            raise CasebookError(f"There is no job {number.strip()} in {self.name}; `sootline jobs` lists them.")
        return record

    def jobs(self, open_only: bool = False) -> tuple[JobSummary, ...]:
        """Return one summary per job, the last touched first; no entry is read for it."""

        def read(_again: bool) -> tuple[JobSummary, ...]:
            with self._reading() as connection:
                return summaries(connection, open_only=open_only)

        return until_back(read, self._busy_s)

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
                return self._insert_entry(connection, record.id, expected_no, new, at=at, fingerprint=fingerprint)
            newer = read_entries(connection, record, self.name, since=expected_no)
        if newer:
            raise AnsweredElsewhereError(self._who_was_first(record, newer[0]), newer)
        raise CasebookError(
            f"Entry {expected_no} of job {record.number} can't be kept in {self.name}: the one before it is not there."
        )

    def entries(self, record: JobRecord) -> tuple[StoredEntry, ...]:
        """Return all entries of a job in order."""

        def read(_again: bool) -> tuple[StoredEntry, ...]:
            with self._reading() as connection:
                return read_entries(connection, record, self.name)

        return until_back(read, self._busy_s)

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
        who = "Another window of this seat" if first.seat == self.seat else f"The seat {first.seat}"
        return (
            f"{who} was first at job {record.number} (entry {first.no}, {first.at[11:19]} UTC), so yours was not kept; "
            "look at the newer state and answer again if it still asks."
        )

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
            raise CasebookError(f"The text of the book's edition {fingerprint} is not kept in {self.name}.")
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
            linked = linked_jobs(connection, record)
        in_backups, left = erase_in_backups(self.path, record) if self.path else (0, ())
        self._engine.dispose()  # a connection of our own that waits in the pool would keep the log from being emptied
        with in_words(self.name, self._busy_s, self.path):
            freed = free_bytes(self._engine, self.path)
        return Erased(texts, in_backups, left, linked, freed)

    def back_up(self) -> Backup:
        """Make a backup now; CasebookError for a casebook on a server, which is backed up there."""
        if self.path is None:
            raise CasebookError(
                f"The casebook {self.name} lies on a server and is backed up there (pg_dump); "
                "`sootline jobs export --out FILE` gives a copy in an open form."
            )
        with in_words(self.name, self._busy_s, self.path):
            return make_backup(self.path, self._clock())

    def _back_up_if_due(self) -> None:
        """Make the daily backup. One that can't be made is told, but it keeps nobody from his work."""
        if self.path is None:
            return
        try:
            with self._reading() as connection:
                empty = connection.scalar(select(job.c.id).limit(1)) is None
            if not empty and is_due(self.path, self._clock()):
                self.back_up()
        except CasebookError as error:
            self.backup_trouble = str(error)

    # ── inside ──────────────────────────────────────────────────────────────

    @contextmanager
    def _reading(self, *, one_moment: bool = False) -> Iterator[Connection]:
        engine = self._engine
        if one_moment and engine.dialect.name == "postgresql":  # a file is read as of one moment anyway
            engine = engine.execution_options(isolation_level="REPEATABLE READ")
        with in_words(self.name, self._busy_s, self.path), engine.connect() as connection:
            yield connection

    @contextmanager
    def _writing(self) -> Iterator[Connection]:
        """Give a transaction that is durably on disk when the block is left, or not there at all."""
        self._refuse_moved_file()
        with in_words(self.name, self._busy_s, self.path), writing(self._engine).begin() as connection:
            yield connection
        self._refuse_moved_file()

    def _refuse_moved_file(self) -> None:
        """Refuse to write into a file that nobody will find again: SQLite itself would go on without a word."""
        if self.path and _file_id(self.path) != self._file_id:
            raise CasebookError(
                f"The casebook {self.path} was moved, deleted or replaced while it was open, so this was not kept; "
                "put it back, then start the program again."
            )

    def _now(self) -> str:
        return self._clock().astimezone(UTC).isoformat(timespec="milliseconds").replace("+00:00", "Z")


def _file_id(path: Path) -> tuple[int, int] | None:
    try:
        found = path.stat()
    except OSError:
        return None
    return found.st_dev, found.st_ino
