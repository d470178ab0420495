"""Where a casebook lies and who sits at it: default path, default seat, and the file with its rights."""

from __future__ import annotations

import os
import stat
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from trees.casebook.encode import storable
from trees.casebook.records import UnwritableError
from trees.errors import CasebookError
from trees.language import N_, _, reason_of

_HARMLESS = frozenset(
    {"application_name", "connect_timeout", "dbname", "host", "port", "sslmode", "sslrootcert", "target_session_attrs"}
)
"""Options of a server's address that hold no secret."""
HEAD_OF_FILE = b"SQLite format 3\0"
"""How a file of SQLite begins."""
_READING = N_("`sootline jobs list`, `show`, `export` and `sootline report` read it as it is.")


def default_path() -> Path:
    """Return the casebook in the user's data folder."""
    from platformdirs import user_data_path

    return user_data_path("sootline", appauthor=False) / "casebook.sqlite3"


def default_seat() -> str:
    """Return `user@host`."""
    import getpass
    import socket

    try:
        user = getpass.getuser()
    except (KeyError, OSError):  # an account without a name, as in some containers
        user = "seat"
    return f"{user}@{socket.gethostname()}"


def seat_name(seat: str | None) -> str:
    """Return the name of a seat as a casebook keeps it: one line of at most 120 characters; `user@host` if empty."""
    return " ".join(storable(seat or "").split())[:120] or default_seat()


def locate(where: str | os.PathLike[str]) -> Path | str:
    """Return the absolute path of a casebook file, or the address of a server; CasebookError for anything else."""
    text = os.fspath(where)
    if not text.strip():
        raise CasebookError(_("No casebook was named: --store wants a file or a postgresql:// address."))
    if "\0" in text:
        raise CasebookError(_("The name of the casebook holds a NUL character; give another path."))
    scheme, colon, rest = text.partition("://")
    if not colon and text.lower().startswith(("postgresql:", "postgres:")):
        # Not taken for a path: its password would stand in every sentence about that file.
        raise CasebookError(_("That is no address of a server; write postgresql://user@host:port/database."))
    if not colon:
        return _absolute(text)
    if scheme == "sqlite" and rest.startswith("/") and len(rest) > 1:
        return _absolute(rest[1:])
    if scheme in {"postgresql", "postgres"}:
        return f"postgresql://{rest}"
    raise CasebookError(
        _("A casebook can't be kept at a {scheme}:// address; give a path, sqlite:///path or postgresql://….").format(
            scheme=scheme
        )
    )


def shown_address(address: str) -> str:
    """Return a server's address as it may be shown and logged: without its password, wherever that stands.

    Of the options only those are shown that can't hold a secret: a mistyped `pasword` is one that can.
    """
    scheme, _other, rest = address.partition("://")
    who, at, place = rest.rpartition("@")
    user, colon, _other = who.partition(":")
    base, question, options = place.partition("?")
    shown = [
        option if option.partition("=")[0] in _HARMLESS else f"{option.partition('=')[0]}=***"
        for option in options.split("&")
    ]
    return f"{scheme}://{user}{':***' if colon else ''}{at}{base}{question}{'&'.join(shown) if question else ''}"


def _absolute(text: str) -> Path:
    try:
        path = Path(text).expanduser().absolute()
    except RuntimeError as error:
        raise CasebookError(
            _("The casebook {text} can't be found: there is no such home folder.").format(text=text)
        ) from error
    return path


def prepare_file(path: Path, *, create: bool) -> None:
    """Make sure that a file for the casebook is there and can be written; nobody else may read a new one."""
    with _in_words(path):
        if not path.exists():
            if path.is_symlink():
                raise CasebookError(
                    _(
                        "{path} is a link to {readlink}, which does not exist; mend the link or give another path."
                    ).format(path=path, readlink=path.readlink())
                )
            if not create:
                raise CasebookError(
                    _(
                        "There is no casebook at {path}. Give the right one with --store; the first `sootline` or "
                        "`sootline demo --fill` makes one."
                    ).format(path=path)
                )
            log = path.with_name(f"{path.name}-wal")
            if log.exists():  # SQLite would throw the log away, and in it the last entries of the lost casebook
                raise CasebookError(
                    _(
                        "There is no casebook at {path}, but the log of one lies beside it: {log}. Put the casebook "
                        "back next to its log, or move the log away to begin anew."
                    ).format(path=path, log=log)
                )
            _make_folder(path.parent)
            _make_file(path)
        _refuse_unfit(path)


def _refuse_unfit(path: Path) -> None:
    if path.is_dir():
        raise CasebookError(
            _("{path} is a folder; a casebook is a file, such as {path_2}.").format(
                path=path, path_2=path / "casebook.sqlite3"
            )
        )
    if not path.is_file():
        raise CasebookError(
            _("{path} is no ordinary file, so it can't hold a casebook; give another path.").format(path=path)
        )
    if not os.access(path, os.R_OK):
        raise CasebookError(
            _("The casebook {path} can't be read by you; ask its owner, or give another with --store.").format(
                path=path
            )
        )
    with path.open("rb") as file:
        begins = file.read(len(HEAD_OF_FILE))
    if begins not in {b"", HEAD_OF_FILE}:  # SQLite itself takes one of a few bytes for an empty one and writes over it
        from trees.casebook.backups import backups, offer

        offered = f" {offer(path)}" if backups(path) else ""
        raise CasebookError(
            _(
                "{path} is no casebook: the file is no SQLite database. Nothing in it was changed; give "
                "another path with --store.{offered}"
            ).format(path=path, offered=offered)
        )
    if not os.access(path, os.W_OK):
        raise UnwritableError(
            _(
                "The casebook {path} is read-only; make it writable, or copy it and open the copy with "
                "--store. {reading}"
            ).format(path=path, reading=_(_READING))
        )
    if not os.access(path.parent, os.W_OK | os.X_OK):
        raise UnwritableError(
            _(
                "The folder {parent} is read-only, and the casebook in it needs to write beside itself; make "
                "the folder writable, or copy the casebook to another one. {reading}"
            ).format(parent=path.parent, reading=_(_READING))
        )


def keep_private(path: Path) -> None:
    """Let nobody but the owner read the casebook (mode 0600) and, where it is our own, its folder (0700)."""
    for beside in ("", "-wal", "-shm"):  # SQLite gives these the rights that the casebook has when they are made
        _tighten(path.with_name(path.name + beside), 0o600)
    if path == default_path():
        _tighten(path.parent, 0o700)


def _tighten(path: Path, mode: int) -> None:
    with suppress(OSError):  # not there, or somebody else's: then its rights are his to give
        found = stat.S_IMODE(path.stat().st_mode)
        if found & ~mode:
            path.chmod(found & mode)


def _make_folder(folder: Path) -> None:
    if folder.is_dir():
        return
    _make_folder(folder.parent)
    folder.mkdir(mode=0o700, exist_ok=True)
    _sync_folder(folder.parent)


def _make_file(path: Path) -> None:
    try:
        os.close(os.open(path, os.O_RDWR | os.O_CREAT | os.O_EXCL, 0o600))
    except FileExistsError:  # another seat was quicker by a moment
        return
    _sync_folder(path.parent)


def _sync_folder(folder: Path) -> None:
    """Put a new name in a folder onto the disk; SQLite does so for its own files only."""
    handle = os.open(folder, os.O_RDONLY)
    try:
        with suppress(OSError):  # some file systems can't sync a folder; the file itself is synced with each entry
            os.fsync(handle)
    finally:
        os.close(handle)


@contextmanager
def _in_words(path: Path) -> Iterator[None]:
    try:
        yield
    except OSError as error:
        at = error.filename if error.filename else path
        raise CasebookError(
            _("The casebook {path} can't be opened: {at}: {strerror}. Give another path with --store.").format(
                path=path, at=at, strerror=reason_of(error)
            )
        ) from error
