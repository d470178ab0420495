"""Erasing what people typed into a job, down to the bytes of the file and of every backup that we keep."""

from __future__ import annotations

import json
import os
import sqlite3
from contextlib import closing
from dataclasses import dataclass
from pathlib import Path

from sqlalchemy import Connection, Engine, select, text

from trees.casebook.backups import backup_folder, backups, locked
from trees.casebook.records import JobRecord
from trees.casebook.schema import entry, job
from trees.casebook.search import REBUILD, technical_words

_BUSY_S = 5.0


@dataclass(frozen=True, slots=True)
class Erased:
    """What was erased, and where it could not be."""

    texts: int
    backups: int
    """Backups in which texts of this job were erased too."""
    left: tuple[Path, ...]
    """Backups that can't be read any more, so that the text may still be in them."""
    linked: tuple[str, ...]
    """Numbers of the jobs that follow this one up or that it follows up: they may hold the same complaint."""
    freed: bool
    """False while another program held the store, so that its file may still have the bytes; erase again then."""


def linked_jobs(connection: Connection, record: JobRecord) -> tuple[str, ...]:
    """Return the numbers of the jobs that follow this one up, or that it follows up."""
    found = set()
    query = select(job.c.number, entry.c.data).join(job, job.c.id == entry.c.job_id)
    for row in connection.execute(query.where(entry.c.kind == "follow_up_of")):
        pair = {row.number, str(json.loads(row.data).get("job"))}
        if record.number in pair:
            found |= pair - {record.number}
    return tuple(sorted(found))


def free_bytes(engine: Engine, path: Path | None) -> bool:
    """Overwrite what was deleted; False where another program is reading and keeps the old bytes alive."""
    if path is not None:
        return _free_file(path)
    with engine.connect().execution_options(isolation_level="AUTOCOMMIT") as connection:
        for table in ("personal", "job_search"):
            connection.execute(text(f"VACUUM (FULL) {table}"))
    return True


def _free_file(path: Path) -> bool:
    with closing(sqlite3.connect(path, isolation_level=None, timeout=_BUSY_S)) as file:
        file.execute("PRAGMA secure_delete = ON")
        try:
            file.execute("VACUUM")
        except sqlite3.OperationalError:  # locked: another program writes just now
            return False
        (busy, *_) = file.execute("PRAGMA wal_checkpoint(TRUNCATE)").fetchone()
    return not busy


def erase_in_backups(store: Path, record: JobRecord) -> tuple[int, tuple[Path, ...]]:
    """Erase a job's texts in every backup of a casebook; returns in how many, and which can't be read."""
    if not backup_folder(store).is_dir():
        return 0, ()
    erased, left = 0, []
    with locked(store) as folder:
        for one in backups(store):
            raw = folder / f"making-{os.getpid()}"
            try:
                erased += _erase_in(one.path, raw, record)
            except sqlite3.Error:
                left.append(one.path)
            finally:
                for beside in ("", "-wal", "-shm", "-journal"):
                    raw.with_name(raw.name + beside).unlink(missing_ok=True)
    return erased, tuple(left)


def _erase_in(path: Path, raw: Path, record: JobRecord) -> bool:
    """Put a copy without the texts in the backup's place: a cut of the power leaves the one or the other, whole."""
    raw.unlink(missing_ok=True)
    os.close(os.open(raw, os.O_RDWR | os.O_CREAT | os.O_EXCL, 0o600))  # never through a link that lies there
    with closing(sqlite3.connect(path)) as source, closing(sqlite3.connect(raw, isolation_level=None)) as copy:
        source.backup(copy)
        mine = "FROM personal WHERE job_id = (SELECT id FROM job WHERE number = ? AND opened_at = ?)"
        (found,) = copy.execute(f"SELECT count(*) {mine}", (record.number, record.opened_at)).fetchone()
        copy.execute("PRAGMA journal_mode = DELETE")
        copy.execute("PRAGMA secure_delete = ON")
        copy.execute(f"DELETE {mine}", (record.number, record.opened_at))
        _forget_in(copy, record)
        copy.execute("VACUUM")
    log = path.with_name(f"{path.name}-wal")
    handle = os.open(raw, os.O_RDONLY)
    os.fsync(handle)
    os.close(handle)
    raw.replace(path)
    for beside in (log, path.with_name(f"{path.name}-shm")):
        beside.unlink(missing_ok=True)
    return bool(found)


def _forget_in(copy: sqlite3.Connection, record: JobRecord) -> None:
    """Let a backup find the job by its number, unit and serial alone; one of schema 1 has no words to find by."""
    if not copy.execute("SELECT 1 FROM sqlite_master WHERE name = 'job_search'").fetchone():
        return
    asked = "SELECT id, number, family, unit, serial FROM job WHERE number = ? AND opened_at = ?"
    for key, *technical in copy.execute(asked, (record.number, record.opened_at)).fetchall():
        copy.execute("UPDATE job_search SET words = ? WHERE job_id = ?", (technical_words(*technical), key))
    copy.execute(REBUILD)
