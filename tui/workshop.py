"""What all screens share: the book, the casebook, this seat; and the one way in which an answer gets onto disk."""

from __future__ import annotations

import asyncio
import hashlib
from collections.abc import Mapping
from contextlib import suppress
from dataclasses import dataclass, field
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING

from trees.book.model import Book
from trees.book.words import Place
from trees.errors import CasebookError, SootlineError, TakenElsewhereError
from trees.language import _, ngettext, reason_of
from trees.walk import Entry, Walk, beside
from tui.calls import CallBoard
from tui.settings import Settings
from tui.speech import in_spoken_language, speak
from tui.timers import TimerBoard

if TYPE_CHECKING:
    from trees.casebook import Casebook, JobRecord, Presence, StoredEntry


@dataclass(frozen=True, slots=True)
class SharesInForce:
    """Which counted shares weigh the suspects: a job that is closed tells them."""

    fingerprint: str
    """First 12 hexadecimal digits of SHA-256 over the overlay's file."""
    date: str
    """Day on which they were counted."""

    @classmethod
    def of(cls, overlay: Path, book: Book) -> SharesInForce:
        """Return what an overlay's file is; BookError where it does not fit the book."""
        from trees.book.shares import read_overlay

        read = read_overlay(overlay, book)
        return cls(hashlib.sha256(overlay.read_bytes()).hexdigest()[:12], read.date)


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
    settings: Settings = field(default_factory=Settings)
    shares: SharesInForce | None = None
    """The counted shares that weigh the suspects; None: the book's own."""
    timers: TimerBoard = field(default_factory=TimerBoard)
    """The timers that run at this seat, whatever screen is shown."""
    calls: CallBoard = field(default_factory=CallBoard)
    """The callers who are held on the line."""
    instruments_asked: str = ""
    """Local date on which it was asked what is measured with."""
    ticking: bool = False
    """The screen's clock ticks for them already."""

    def take_settings(self, settings: Settings) -> None:
        """Let new settings hold from now on; what stands in jobs already stays."""
        if settings.place != self.settings.place:
            self.place = settings.place
        if settings.seat and settings.seat != self.settings.seat:
            self.seat = self.casebook.seat = settings.seat
        if settings.language != self.settings.language:
            speak(settings.language)
            self.book = in_spoken_language(self.book, self.book_folder)
        self.settings = settings

    def going_on(self) -> str:
        """Return what would be lost with the end of the program: running timers, held calls; empty if nothing."""
        timers = sum(len(running) for running in self.timers.running.values())
        held = len(self.calls.held)
        parts = (
            ngettext("{n} timer runs", "{n} timers run", timers).format(n=timers) if timers else "",
            ngettext("{n} call is held", "{n} calls are held", held).format(n=held) if held else "",
        )
        told = ", ".join(part for part in parts if part)
        return f"{told}." if told else ""

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
        record, entries, customer = await asyncio.to_thread(self._read, number)
        walk = Walk.resume(self.book, entries)
        job = OpenJob(self, record, walk, customer)
        taken = next((e for e in reversed(entries) if e.kind == "taken_up"), None)
        mine = taken is not None and (taken.data.get("seat"), taken.data.get("date")) == (self.seat, self.today())
        if walk.now.closed is None and not mine:
            await job.keep(self._with_tools(walk.taken_up(self.seat, self.today())))
        await job.come()
        return job

    async def follow_up(self, stopped: OpenJob, reason: str) -> OpenJob:
        """Begin a job that goes on after a stopped one, linked to it."""
        now = stopped.walk.now
        family = now.unit.family.id if now.unit.family else None
        walk = Walk.begin(self.book, words=now.words, tree=now.complaint, place=now.place, family=family)
        walk = walk.follow_up_of(stopped.record.number, reason).taken_up(self.seat, self.today())
        return await self._open(self._with_tools(walk))

    async def _open(self, walk: Walk) -> OpenJob:
        job = OpenJob(self, await asyncio.to_thread(self._begin, walk), walk)
        await job.come()
        return job

    def _begin(self, walk: Walk) -> JobRecord:
        return self.casebook.new_job(walk.entries, fingerprint=self.book.fingerprint)

    def _read(self, number: str) -> tuple[JobRecord, tuple[Entry, ...], Mapping[str, str]]:
        record = self.casebook.job(number)
        entries = tuple(stored.entry for stored in self.casebook.entries(record))
        return record, entries, self.casebook.customer(record)

    async def new_job(self, words: str, tree: str | None, place: Place) -> OpenJob:
        """Begin a job and keep it."""
        walk = Walk.begin(self.book, words=words, tree=tree, place=place).taken_up(self.seat, self.today())
        return await self._open(self._with_tools(walk))

    def _with_tools(self, walk: Walk) -> Walk:
        """Return the walk that knows which tools this seat lacks, where the settings say so; a stopped one as it is."""
        from trees.walk.beside import tools

        if self.settings.tools is None:
            missing = frozenset[str]()
        else:
            missing = frozenset(self.book.tools) - frozenset(self.settings.tools)
        same = missing == walk.now.beside.tools_missing
        return walk if same or walk.now.stopped is not None else tools(walk, missing)


@dataclass(frozen=True, slots=True)
class Look:
    """What a look at the casebook brought of a job that stands open."""

    newer: tuple[StoredEntry, ...] = ()
    """What another seat added; the job's walk holds it already."""
    others: tuple[Presence, ...] = ()
    """Who else has the job open."""
    trouble: str = ""
    """Why nothing could be seen, as a sentence; empty if it could."""

    @property
    def changed(self) -> bool:
        """Tell whether the job went on elsewhere."""
        return bool(self.newer)


@dataclass
class OpenJob:
    """A job on the screen. `walk` is replaced only after its entries are on disk."""

    workshop: Workshop
    record: JobRecord
    walk: Walk
    customer: Mapping[str, str] = field(default_factory=dict)
    """What is known of the customer: of name, phone, address and text those that were told."""
    _one_at_a_time: asyncio.Lock = field(default_factory=asyncio.Lock, repr=False, compare=False)
    """An answer and a look both replace the walk."""

    async def come(self) -> None:
        """Show to the other seats that the job is open here; a store that can't be written shows nothing."""
        with suppress(CasebookError):
            await asyncio.to_thread(self.workshop.casebook.come, self.record)

    async def leave(self) -> None:
        """Show that it is open here no more."""
        with suppress(CasebookError):
            await asyncio.to_thread(self.workshop.casebook.leave, self.record)

    async def look(self) -> Look:
        """Look whether the job went on elsewhere, then the walk is the newer one, and who has it open. Never raises."""
        async with self._one_at_a_time:
            entries = self.walk.entries
            try:
                news = await asyncio.to_thread(self.workshop.casebook.news, self.record, len(entries))
            except CasebookError as error:
                return Look(trouble=str(error))
            if news.newer:
                self.walk = Walk.resume(self.walk.book, (*entries, *(stored.entry for stored in news.newer)))
            return Look(news.newer, news.others)

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
        async with self._one_at_a_time:
            await self._keep(self._with_what_closing_tells(new))

    async def keep_photo(self, path: Path, text: str = "") -> None:
        """Keep where a photo lies and the hash of its bytes; SootlineError with a sentence where it can't be read."""
        digest = await asyncio.to_thread(_sha256, path)
        await self.keep(beside.photo(self.walk, str(path), digest, text))

    async def keep_customer(self, told: Mapping[str, str]) -> None:
        """Keep who the customer is, in the place of what was; CasebookError where it can't be kept."""
        await asyncio.to_thread(self.workshop.casebook.keep_customer, self.record, told)
        self.customer = {name: text for name, text in told.items() if text.strip()}

    def _with_what_closing_tells(self, new: Walk) -> Walk:
        """Let a job that is closed say which counted shares weighed it, and which seat released the unit."""
        shares, kept = self.workshop.shares, len(self.walk.entries)
        closing = next((no for no in range(kept, len(new.entries)) if new.entries[no].kind == "closed"), None)
        if closing is None:
            return new
        told = Walk(new.book, new.entries[:closing])
        if shares is not None:
            told = beside.shares_in_force(told, shares.fingerprint, shares.date)
        if new.entries[closing].data["end"] == "released":
            told = beside.release(told, self.workshop.seat)
        return Walk(new.book, (*told.entries, *new.entries[closing:]))

    async def _keep(self, new: Walk) -> None:
        known = len(self.walk.entries)
        if new.entries[:known] != self.walk.entries or len(new.entries) == known:
            # A look brought newer entries while this answer was on its way: as if the casebook had refused it.
            raise TakenElsewhereError(
                _(
                    "Job {number} went on at another seat in between, so yours was not kept; look at the newer "
                    "state and answer again if it still asks."
                ).format(number=self.record.number)
            )
        for no in range(len(self.walk.entries) + 1, len(new.entries) + 1):
            try:
                await asyncio.to_thread(self._append, new.entries[no - 1], no)
            except TakenElsewhereError:
                stored = await asyncio.to_thread(self.workshop.casebook.entries, self.record)
                self.walk = Walk.resume(self.workshop.book, tuple(s.entry for s in stored))
                raise
            self.walk = new if no == len(new.entries) else Walk(new.book, new.entries[:no])

    def _append(self, entry: Entry, no: int) -> None:
        book = self.workshop.book
        self.workshop.casebook.append(self.record, entry, expected_no=no, fingerprint=book.fingerprint)


def _sha256(path: Path) -> str:
    try:
        if path.exists() and not path.is_file():  # a pipe or a device would never end
            raise SootlineError(_("The photo {path} is no ordinary file.").format(path=path))
        with path.open("rb") as file:
            return hashlib.file_digest(file, "sha256").hexdigest()
    except OSError as error:
        raise SootlineError(
            _("The photo {path} can't be read: {strerror}.").format(path=path, strerror=reason_of(error))
        ) from error
