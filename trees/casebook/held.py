"""How a casebook is held open: its engine, name and seat, its transactions, its daily backup."""

from __future__ import annotations

import os
import secrets
import shutil
import tempfile
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import UTC, datetime
from pathlib import Path
from types import TracebackType
from typing import Self, TypeVar

from sqlalchemy import Connection, Engine, select

from trees.casebook.backups import Backup, is_due, make_backup
from trees.casebook.engine import (
    make_ready,
    read_version,
    readable_engine,
    server_engine,
    sqlite_engine,
    writing,
)
from trees.casebook.faults import in_words
from trees.casebook.patience import until_back
from trees.casebook.places import keep_private, locate, prepare_file, seat_name, shown_address
from trees.casebook.records import SCHEMA_VERSION, UnwritableError
from trees.casebook.schema import job
from trees.errors import CasebookError
from trees.language import _, reason_of

T = TypeVar("T")

BUSY_S = 5.0
"""How long another program may hold the store before we say so."""


def utc_now() -> datetime:
    """Return the time now, UTC."""
    return datetime.now(UTC)


class Held:
    """A store that is open. What can be done with it stands in `Casebook`."""

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
        self.migrated = ""
        """What was done to a store of an earlier version, as a sentence; empty if it was of the present one."""
        self.read_only = ""
        """Why nothing can be written, as a sentence; empty if it can."""
        self._program = secrets.token_hex(8)
        self._file_id = _file_id(path) if path else None
        self._copy: Path | None = None

    @classmethod
    def open(
        cls,
        where: str | os.PathLike[str],
        *,
        create: bool = True,
        clock: Callable[[], datetime] = utc_now,
        seat: str | None = None,
        busy_s: float = BUSY_S,
        reading: bool = False,
    ) -> Self:
        """
        Open the casebook at a path, `sqlite:///path` or `postgresql://…`; a new one is made where there is none.

        Args:
            create: False refuses where there is no casebook yet.
            clock: Gives the time of each entry.
            seat: Name of this seat; `user@host` if empty.
            busy_s: Seconds to wait for another program that holds the store.
            reading: Opens also a store that can't be written, to be read; `read_only` then says why.
        """
        place = locate(where)
        seat = seat_name(seat)
        if isinstance(place, Path):
            opened = cls._of_file(place, create=create, clock=clock, seat=seat, busy_s=busy_s, reading=reading)
        else:
            engine = server_engine(place)
            opened = cls(engine, shown_address(place), path=None, seat=seat, clock=clock, busy_s=busy_s)
            opened._begin(create=create, reading=reading)
        return opened

    @classmethod
    def _of_file(
        cls, path: Path, *, create: bool, clock: Callable[[], datetime], seat: str, busy_s: float, reading: bool
    ) -> Self:
        try:
            prepare_file(path, create=create and not reading)
            engine = sqlite_engine(path, busy_s)
            opened = cls(engine, str(path), path=path, seat=seat, clock=clock, busy_s=busy_s)
            opened._begin(create=create and not reading, reading=False)
            return opened
        except UnwritableError as error:
            if not reading:
                raise
            why = str(error)
        as_it_is = readable_engine(path)
        if as_it_is is not None:
            opened = cls(as_it_is, str(path), path=path, seat=seat, clock=clock, busy_s=busy_s)
            with opened._or_let_go(), opened._reading() as connection:
                version = read_version(connection, str(path))
            if version == SCHEMA_VERSION:
                opened.read_only = why
                return opened
            opened.close()
        return cls._of_copy(path, why, clock=clock, seat=seat, busy_s=busy_s)

    @classmethod
    def _of_copy(cls, path: Path, why: str, *, clock: Callable[[], datetime], seat: str, busy_s: float) -> Self:
        """Open a copy of an old store, or of one whose last entries stand in a log that can't be read where it lies."""
        copy = _copied(path)
        engine = sqlite_engine(copy / path.name, busy_s)
        opened = cls(engine, str(path), path=path, seat=seat, clock=clock, busy_s=busy_s)
        opened._copy, opened.read_only = copy, why
        with opened._or_let_go(), in_words(str(path), busy_s, path):
            make_ready(engine, str(path), path=copy / path.name, create=False, now=clock(), busy_s=busy_s)
        return opened

    def _begin(self, *, create: bool, reading: bool) -> None:
        """Make the store ready to be worked with, or let go of it."""
        with self._or_let_go():
            try:
                with in_words(self.name, self._busy_s, self.path):
                    self.migrated = make_ready(
                        self._engine,
                        self.name,
                        path=self.path,
                        create=create,
                        now=self._clock(),
                        busy_s=self._busy_s,
                    )
            except UnwritableError as error:
                with in_words(self.name, self._busy_s), self._engine.connect() as connection:
                    if not reading or read_version(connection, self.name) != SCHEMA_VERSION:
                        raise
                self.read_only = str(error)
            if self.path:
                keep_private(self.path)
                self._file_id = _file_id(self.path)
                self._back_up_if_due(self.path)

    def close(self) -> None:
        """Let go of the store. Nothing needs to be saved: every entry already is."""
        self._engine.dispose()
        if self._copy is not None:
            shutil.rmtree(self._copy, ignore_errors=True)

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()

    def back_up(self) -> Backup:
        """Make a backup now; CasebookError for a casebook on a server, which is backed up there."""
        if self.path is None:
            raise CasebookError(
                _(
                    "The casebook {name} lies on a server and is backed up there (pg_dump); `sootline jobs "
                    "export --out FILE` gives a copy in an open form."
                ).format(name=self.name)
            )
        with in_words(self.name, self._busy_s, self.path):
            return make_backup(self.path, self._clock())

    def _back_up_if_due(self, path: Path) -> None:
        """Make the daily backup. One that can't be made is told, but it keeps nobody from his work."""
        try:
            with self._reading() as connection:
                empty = connection.scalar(select(job.c.id).limit(1)) is None
            if not empty and is_due(path, self._clock()):
                self.back_up()
        except CasebookError as error:
            self.backup_trouble = str(error)

    # ── transactions ────────────────────────────────────────────────────────

    @contextmanager
    def _or_let_go(self) -> Iterator[None]:
        try:
            yield
        except BaseException:
            self.close()
            raise

    @contextmanager
    def _reading(self, *, one_moment: bool = False) -> Iterator[Connection]:
        engine = self._engine
        if one_moment and engine.dialect.name == "postgresql":  # a file is read as of one moment anyway
            engine = engine.execution_options(isolation_level="REPEATABLE READ")
        with in_words(self.name, self._busy_s, self.path), engine.connect() as connection:
            yield connection

    def _read(self, ask: Callable[[Connection], T]) -> T:
        """Return what is read, waiting for a server that is away for a moment."""

        def act(_again: bool) -> T:
            with self._reading() as connection:
                return ask(connection)

        return until_back(act, self._busy_s)

    @contextmanager
    def _writing(self) -> Iterator[Connection]:
        """Give a transaction that is durably on disk when the block is left, or not there at all."""
        if self.read_only:
            raise UnwritableError(self.read_only)
        self._refuse_moved_file()
        with in_words(self.name, self._busy_s, self.path), writing(self._engine).begin() as connection:
            yield connection
        self._refuse_moved_file()

    def _refuse_moved_file(self) -> None:
        """Refuse to write into a file that nobody will find again: SQLite itself would go on without a word."""
        if self.path and _file_id(self.path) != self._file_id:
            raise CasebookError(
                _(
                    "The casebook {path} was moved, deleted or replaced while it was open, so this was not kept; "
                    "put it back, then start the program again."
                ).format(path=self.path)
            )

    def _now(self) -> str:
        return self._clock().astimezone(UTC).isoformat(timespec="milliseconds").replace("+00:00", "Z")


def _copied(path: Path) -> Path:
    """Copy a file and its log into a folder that only we can read, and return that."""
    folder = Path(tempfile.mkdtemp(prefix="sootline-"))
    try:
        for name in (path.name, f"{path.name}-wal"):
            if path.with_name(name).exists():
                shutil.copyfile(path.with_name(name), folder / name)
    except OSError as error:
        shutil.rmtree(folder, ignore_errors=True)
        raise CasebookError(
            _("The casebook {path} could not be copied to be read: {strerror}.").format(
                path=path, strerror=reason_of(error)
            )
        ) from error
    return folder


def _file_id(path: Path) -> tuple[int, int] | None:
    try:
        found = path.stat()
    except OSError:
        return None
    return found.st_dev, found.st_ino
