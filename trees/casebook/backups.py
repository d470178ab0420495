"""The rolling backup of a casebook's file: made, listed, put back. It lies beside the casebook in a folder of its own.

A copy gets its name only after SQLite found it sound, so a spoilt casebook never pushes a good backup out.
"""

from __future__ import annotations

import fcntl
import os
import re
import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager, suppress
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path

from trees.casebook.records import SCHEMA_VERSION
from trees.errors import CasebookError
from trees.language import _, ngettext, reason_of

GENERATIONS = 7
"""How many backups are kept."""
DUE_AFTER = timedelta(days=1)

_NAME = re.compile(r"(\d{6})_(\d{8}T\d{6}Z)(_replaced)?\.sqlite3", re.ASCII)
_STAMP = "%Y%m%dT%H%M%SZ"


@dataclass(frozen=True, slots=True)
class Backup:
    """One backup as it lies in the folder."""

    path: Path
    order: int
    """Rises with each; the time does not where a clock was set back."""
    made_at: datetime
    """UTC."""
    replaced: bool
    """No backup in the strict sense but what a restored one took the place of; it may be spoilt."""


def backup_folder(store: Path) -> Path:
    """Return where the backups of a casebook lie."""
    return store.with_name(f"{store.name}.backups")


def backups(store: Path) -> tuple[Backup, ...]:
    """Return all backups of a casebook, the newest first."""
    found = []
    with _in_words(store), suppress(FileNotFoundError, NotADirectoryError):
        for path in backup_folder(store).iterdir():
            if named := _NAME.fullmatch(path.name):
                with suppress(ValueError):
                    made_at = datetime.strptime(named[2], _STAMP).replace(tzinfo=UTC)
                    found.append(Backup(path, int(named[1]), made_at, bool(named[3])))
    return tuple(sorted(found, key=lambda one: -one.order))


def is_due(store: Path, now: datetime) -> bool:
    """Tell whether the last backup is older than a day, or from a clock that was a day ahead."""
    last = next((one for one in backups(store) if not one.replaced), None)
    return last is None or abs(now - last.made_at) > DUE_AFTER


def make_backup(store: Path, now: datetime) -> Backup:
    """Copy the casebook as it stands, also while others write to it; CasebookError if the copy is not sound."""
    with locked(store) as folder:
        raw = folder / f"making-{os.getpid()}"
        try:
            _copy(store, raw)
            if trouble := trouble_in(raw):
                raise CasebookError(
                    _("The casebook {store} is damaged ({trouble}), so no backup was made of it. {offer}").format(
                        store=store, trouble=trouble, offer=offer(store)
                    )
                )
            made = _put(store, raw, now, "")
        finally:
            _remove(raw)
        for old in [one for one in backups(store) if not one.replaced][GENERATIONS:]:
            old.path.unlink()
        for old in [one for one in backups(store) if one.replaced][GENERATIONS:]:
            old.path.unlink()
    return made


def _copy(store: Path, to: Path) -> None:
    to.unlink(missing_ok=True)
    os.close(os.open(to, os.O_RDWR | os.O_CREAT | os.O_EXCL, 0o600))  # never through a link that lies there
    try:
        with closing(_reading(store)) as source, closing(sqlite3.connect(to)) as copy:
            source.backup(copy)
            copy.execute("PRAGMA journal_mode = DELETE")
    except sqlite3.OperationalError as error:
        raise CasebookError(_("{store} could not be copied: {error}.").format(store=store, error=error)) from error
    except sqlite3.DatabaseError as error:
        raise CasebookError(
            _("The casebook {store} is damaged ({error}). {offer}").format(store=store, error=error, offer=offer(store))
        ) from error


def _reading(path: Path) -> sqlite3.Connection:
    # A file without a log is read as it is, so that nothing appears beside it.
    alone = "" if path.with_name(f"{path.name}-wal").exists() else "&immutable=1"
    return sqlite3.connect(f"{path.as_uri()}?mode=ro{alone}", uri=True)


def trouble_in(path: Path) -> str:
    """Return what SQLite finds wrong with a file as a casebook that we can read; empty if it is sound."""
    try:
        with closing(_reading(path)) as file:
            (found,) = file.execute("PRAGMA integrity_check(1)").fetchone()
            if found != "ok":
                return str(found).splitlines()[-1]
            (version,) = file.execute("SELECT value FROM store_info WHERE name = 'schema_version'").fetchone()
            file.execute("SELECT count(*) FROM job, store_info").fetchone()
    except (sqlite3.Error, TypeError) as error:
        return str(error)
    return (
        ""
        if version.isdigit() and 1 <= int(version) <= SCHEMA_VERSION
        else _("it is of version {version}").format(version=version)
    )


def jobs_in(path: Path) -> int:
    """Return how many jobs a sound backup holds."""
    with closing(_reading(path)) as file:
        return int(file.execute("SELECT count(*) FROM job").fetchone()[0])


def last_good(store: Path) -> Backup | None:
    """Return the newest backup that is sound."""
    return next((one for one in backups(store) if not one.replaced and not trouble_in(one.path)), None)


def offer(store: Path) -> str:
    """Return the sentence that offers the last good backup of a casebook."""
    good = last_good(store)
    if good is None:
        return _("There is no good backup of it.")
    return _(
        "The last good backup is of {made_at:%Y-%m-%d %H:%M} UTC with {jobs}; `sootline --store "
        "{store} jobs restore` puts it back and keeps the damaged file."
    ).format(made_at=good.made_at, jobs=_counted(jobs_in(good.path)), store=store)


def restore(store: Path, now: datetime, chosen: Path | None = None) -> tuple[Path, Path | None]:
    """
    Put a backup (the last good one if none is chosen) in the casebook's place.

    Returns the backup and where what was there before is kept, if anything was. Raises CasebookError where there is
    no sound backup; nothing is changed then.
    """
    if chosen is None:
        good = last_good(store)
        if good is None:
            raise CasebookError(
                _("There is no good backup of {store}; they lie in {folder}.").format(
                    store=store, folder=backup_folder(store)
                )
            )
        chosen = good.path
    else:
        named = backup_folder(store) / chosen
        chosen = (named if named.is_file() else chosen).absolute()
        if not chosen.is_file():
            raise CasebookError(
                _("There is no backup {chosen}; `sootline jobs restore --list` shows what there is.").format(
                    chosen=chosen
                )
            )
        if trouble := trouble_in(chosen):
            raise CasebookError(
                _("The backup {chosen} is no sound casebook ({trouble}), so nothing was changed.").format(
                    chosen=chosen, trouble=trouble
                )
            )
    with locked(store) as folder:
        new = folder / f"making-{os.getpid()}"
        try:
            _copy(chosen, new)
            _sync(new)
            before = None
            if store.exists():
                # The file first: one that is gone while its log is left is seen and told when the casebook is opened.
                before = folder / f"{_next(store):06d}_{now.astimezone(UTC):{_STAMP}}_replaced.sqlite3"
                store.replace(before)
                log = store.with_name(f"{store.name}-wal")
                if log.exists():
                    log.replace(before.with_name(f"{before.name}-wal"))
            store.with_name(f"{store.name}-shm").unlink(missing_ok=True)
            new.replace(store)
            _sync(store.parent)
        finally:
            _remove(new)
    return chosen, before


@contextmanager
def locked(store: Path) -> Iterator[Path]:
    """Give the folder of the backups, made if need be, while no other program works in it."""
    folder = backup_folder(store)
    with _in_words(store):
        folder.mkdir(mode=0o700, exist_ok=True)
        handle = os.open(folder, os.O_RDONLY)
        try:
            fcntl.flock(handle, fcntl.LOCK_EX)
            yield folder
        finally:
            os.close(handle)


def _put(store: Path, raw: Path, now: datetime, kind: str) -> Backup:
    path = raw.with_name(f"{_next(store):06d}_{now.astimezone(UTC):{_STAMP}}{kind}.sqlite3")
    _sync(raw)
    raw.replace(path)
    _sync(path.parent)
    return next(one for one in backups(store) if one.path == path)


def _next(store: Path) -> int:
    return 1 + max((one.order for one in backups(store)), default=0)


def _sync(path: Path) -> None:
    handle = os.open(path, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


def _remove(raw: Path) -> None:
    for beside in ("", "-journal", "-wal", "-shm"):
        raw.with_name(raw.name + beside).unlink(missing_ok=True)


def _counted(jobs: int) -> str:
    return ngettext("1 job", "{n} jobs", jobs).format(n=jobs)


@contextmanager
def _in_words(store: Path) -> Iterator[None]:
    try:
        yield
    except OSError as error:
        at = error.filename or backup_folder(store)
        raise CasebookError(
            _("The backups of {store} can't be reached: {at}: {strerror}.").format(
                store=store, at=at, strerror=reason_of(error)
            )
        ) from error
