"""What all screens share: the book, the casebook, this seat; and the one way in which an answer gets onto disk."""

from __future__ import annotations

import asyncio
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING

from trees.book.model import Book, Place
from trees.errors import TakenElsewhereError
from trees.walk import Entry, Walk

if TYPE_CHECKING:
    from trees.casebook import Casebook, JobRecord


@dataclass
class Workshop:
    """One seat of a workshop."""

    book: Book
    casebook: Casebook
    seat: str
    place: Place = "bench"
    report_folder: Path = Path()
    book_folder: Path | None = None
    """Where the book was read; its text is kept in the casebook so that old jobs can be read for ever."""
    notice: str = ""
    """Shown on the day list, e.g. that the casebook is a throw-away one."""

    def today(self) -> str:
        """Return the local date, on which the gate's answers rest."""
        return datetime.now(UTC).astimezone().date().isoformat()

    def keep_book(self) -> None:
        """Keep the text of this edition in the casebook, once."""
        from trees.casebook import book_files

        if self.book_folder is not None:
            self.casebook.keep_book_text(self.book.fingerprint, book_files(self.book_folder))

    async def open_job(self, number: str) -> OpenJob:
        """Take a job up: its entries are read and, on a new day or at another seat, that is recorded."""
        record, entries = await asyncio.to_thread(self._read, number)
        walk = Walk.resume(self.book, entries)
        job = OpenJob(self, record, walk)
        taken = next((e for e in reversed(entries) if e.kind == "taken_up"), None)
        mine = taken is not None and (taken.data.get("seat"), taken.data.get("date")) == (self.seat, self.today())
        if walk.now.closed is None and not mine:
            await job.keep(walk.taken_up(self.seat, self.today()))
        return job

    async def follow_up(self, stopped: OpenJob, reason: str) -> OpenJob:
        """Begin a job that goes on after a stopped one, linked to it."""
        now = stopped.walk.now
        family = now.unit.family.id if now.unit.family else None
        walk = Walk.begin(self.book, words=now.words, tree=now.complaint, place=now.place, family=family)
        walk = walk.follow_up_of(stopped.record.number, reason).taken_up(self.seat, self.today())
        record = await asyncio.to_thread(self._begin, walk)
        return OpenJob(self, record, walk)

    def _begin(self, walk: Walk) -> JobRecord:
        return self.casebook.new_job(walk.entries, fingerprint=self.book.fingerprint)

    def _read(self, number: str) -> tuple[JobRecord, tuple[Entry, ...]]:
        record = self.casebook.job(number)
        return record, tuple(stored.entry for stored in self.casebook.entries(record))

    async def new_job(self, words: str, tree: str | None, place: Place) -> OpenJob:
        """Begin a job and keep it."""
        walk = Walk.begin(self.book, words=words, tree=tree, place=place).taken_up(self.seat, self.today())
        record = await asyncio.to_thread(self._begin, walk)
        return OpenJob(self, record, walk)


@dataclass
class OpenJob:
    """A job on the screen. `walk` is replaced only after its entries are on disk."""

    workshop: Workshop
    record: JobRecord
    walk: Walk

    async def new_day(self) -> bool:
        """Take the job up again where a screen stood open past midnight; tell whether that was so."""
        now, today = self.walk.now, self.workshop.today()
        if now.closed is not None or now.stopped is not None or (now.seat, now.day) == (self.workshop.seat, today):
            return False
        await self.keep(self.walk.taken_up(self.workshop.seat, today))
        return True

    async def keep(self, new: Walk) -> None:
        """Write what `new` adds to the casebook, durably; only then is it the job's walk.

        Raises TakenElsewhereError when another seat was first; the walk is then the newer one.
        """
        for no in range(len(self.walk.entries) + 1, len(new.entries) + 1):
            try:
                await asyncio.to_thread(self._append, new.entries[no - 1], no)
            except TakenElsewhereError:
                stored = await asyncio.to_thread(self.workshop.casebook.entries, self.record)
                self.walk = Walk.resume(self.workshop.book, tuple(s.entry for s in stored))
                raise
            self.walk = Walk(new.book, new.entries[:no])

    def _append(self, entry: Entry, no: int) -> None:
        book = self.workshop.book
        self.workshop.casebook.append(self.record, entry, expected_no=no, fingerprint=book.fingerprint)
