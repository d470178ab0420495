"""What a database says went wrong, as one sentence for a person."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from sqlalchemy.exc import DBAPIError, IntegrityError, OperationalError, SQLAlchemyError

from trees.casebook.records import UnwritableError
from trees.errors import CasebookError
from trees.language import N_, _

_READ_ONLY_SERVER = "25006"
"""SQLSTATE of a change that a server takes none of, as one that only follows another."""
_KEPT = N_("What was acknowledged before is safe.")


class ClashError(CasebookError):
    """A row with this key is there already; the store itself handles it."""


class LostServerError(CasebookError):
    """The server went away or can't be reached; whether the last change was kept is not known."""


@contextmanager
def in_words(name: str, busy_s: float, path: Path | None = None) -> Iterator[None]:
    """Turn every database error inside the block into a CasebookError about the casebook of that name.

    Of a damaged file (`path`) the sentence offers the last good backup.
    """
    try:
        yield
    except (SQLAlchemyError, sqlite3.Error) as error:
        cause = error.orig if isinstance(error, DBAPIError) else error
        if isinstance(error, IntegrityError):
            raise ClashError(
                _("The casebook {name} refused this entry: {cause}.").format(name=name, cause=cause)
            ) from error
        kind = LostServerError if _is_lost(error) else UnwritableError if _is_unwritable(cause) else CasebookError
        raise kind(_sentence(cause, name, busy_s) + _offer(cause, path)) from error


def _offer(cause: BaseException | None, path: Path | None) -> str:
    damaged = {sqlite3.SQLITE_CORRUPT, sqlite3.SQLITE_NOTADB}
    if path is None or not isinstance(cause, sqlite3.Error) or _code(cause) & 0xFF not in damaged:
        return ""
    from trees.casebook.backups import backups, offer

    return f" {offer(path)}" if backups(path) else ""


def _is_lost(error: BaseException) -> bool:
    """Tell whether a server went away, so that trying again may help."""
    if not isinstance(error, OperationalError) or isinstance(error.orig, sqlite3.Error):
        return False
    state = getattr(error.orig, "sqlstate", None) or ""
    # Classes of the SQL standard and of PostgreSQL: 08 connection, 57P0x shut down, crashed or still starting.
    # Without a state there was no connection to give one.
    return error.connection_invalidated or not state or state.startswith(("08", "57P0"))


def _is_unwritable(cause: BaseException | None) -> bool:
    """Tell whether the store could still be read."""
    if not isinstance(cause, sqlite3.Error):
        return getattr(cause, "sqlstate", None) == _READ_ONLY_SERVER
    unwritable = {sqlite3.SQLITE_READONLY, sqlite3.SQLITE_FULL, sqlite3.SQLITE_IOERR, sqlite3.SQLITE_CANTOPEN}
    return _code(cause) & 0xFF in unwritable


def is_busy(error: BaseException) -> bool:
    """Tell whether SQLite only says that somebody else is at it."""
    return isinstance(error, sqlite3.Error) and _code(error) & 0xFF in {sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED}


def _code(error: sqlite3.Error) -> int:
    return getattr(error, "sqlite_errorcode", sqlite3.SQLITE_ERROR)


def _sentence(cause: BaseException | None, name: str, busy_s: float) -> str:
    if not isinstance(cause, sqlite3.Error):
        said = " ".join(str(cause).split()).rstrip(".?")
        return _(
            "The server of the casebook {name} reports: {said}. See that it runs and can be reached. {kept}"
        ).format(name=name, said=said, kept=_(_KEPT))
    code = _code(cause)
    known = {
        sqlite3.SQLITE_BUSY: _(
            "The casebook {name} is locked by another program and stayed so for {busy_s:g} s; close that "
            "program, then try again. {kept}"
        ).format(name=name, busy_s=busy_s, kept=_(_KEPT)),
        sqlite3.SQLITE_READONLY: _(
            "The casebook {name} can't be written: it is read-only. Make the file and its folder "
            "writable, or copy it and open the copy with --store. {kept}"
        ).format(name=name, kept=_(_KEPT)),
        sqlite3.SQLITE_NOTADB: _(
            "{name} is no casebook: the file is no SQLite database. Nothing in it was changed; give "
            "another path with --store."
        ).format(name=name),
        sqlite3.SQLITE_CORRUPT: _(
            "The casebook {name} is damaged ({cause}). Leave it as it is, make a copy of it and of the "
            "files beside it, and go on with the last good backup."
        ).format(name=name, cause=cause),
        sqlite3.SQLITE_FULL: _(
            "The disk of the casebook {name} is full, so this was not kept; make room, then try again. {kept}"
        ).format(name=name, kept=_(_KEPT)),
        sqlite3.SQLITE_IOERR: _(
            "The disk of the casebook {name} is full or fails ({cause}), so this was not kept; make room "
            "or look at the disk, then try again. {kept}"
        ).format(name=name, cause=cause, kept=_(_KEPT)),
        sqlite3.SQLITE_CANTOPEN: _(
            "The casebook {name} can't be opened: its folder is gone or read-only; look there, or give "
            "another path with --store."
        ).format(name=name),
        sqlite3.SQLITE_PERM: _(
            "You may not open the casebook {name}; ask its owner, or give another path with --store."
        ).format(name=name),
        sqlite3.SQLITE_TOOBIG: _("This is too large to be kept in the casebook {name}; make it shorter. {kept}").format(
            name=name, kept=_(_KEPT)
        ),
    }
    known[sqlite3.SQLITE_LOCKED] = known[sqlite3.SQLITE_BUSY]
    return known.get(
        code & 0xFF,
        _(
            "The casebook {name} can't be used ({cause}): it is damaged or was made by another program. "
            "Nothing was changed; give another path with --store."
        ).format(name=name, cause=cause),
    )
