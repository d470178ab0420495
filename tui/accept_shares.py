"""Which counted shares an author takes, and the overlay they are written into; the book's files are never touched."""

from __future__ import annotations

import argparse
import os
import sys
import tempfile
from collections.abc import Callable, Sequence
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING

from trees.errors import SootlineError
from trees.language import _, reason_of

if TYPE_CHECKING:
    from trees.book.model import Book
    from trees.suspects.recount import Recounted

Ask = Callable[[str], bool]


def chooser(options: argparse.Namespace) -> Ask | None:
    """Return what asks line by line, None where the options say what is taken; SootlineError without either."""
    if options.accept_all or options.accept is not None:
        if options.write is None:
            raise SootlineError(_("There is nowhere to write what you accept. Add --write FILE."))
        return None
    if options.write is not None and not sys.stdin.isatty():
        raise SootlineError(
            _(
                "There is no terminal to ask on; nothing is written. "
                "Say what you take by --accept CAUSE,CAUSE or --accept-all."
            )
        )
    return ask_on_terminal


def ask_on_terminal(question: str) -> bool:
    """Ask on stderr, so that stdout keeps to results; only y takes it. SootlineError when the terminal is gone."""
    print(_("{question} Take it? y/n ").format(question=question), end="", file=sys.stderr, flush=True)
    line = sys.stdin.readline()
    if not line:
        print(file=sys.stderr)
        raise SootlineError(_("The input ended before all was asked. Nothing is written."))
    return line.strip().lower() in {"y", "yes"}


def taken(book: Book, counted: Sequence[Recounted], options: argparse.Namespace, ask: Ask | None) -> list[Recounted]:
    """Return the rows that are taken; SootlineError for a name that was not counted."""
    if options.accept_all:
        return list(counted)
    if ask is None:
        return named(counted, options.accept)
    return asked(book, counted, ask)


def named(counted: Sequence[Recounted], accept: str) -> list[Recounted]:
    """Return the rows of the causes named, parted by commas."""
    wanted = [name.strip() for name in accept.split(",") if name.strip()]
    known = {row.cause for row in counted}
    for name in wanted:
        if name not in known:
            raise SootlineError(
                _("{name} was not counted: this book has no cause of that name with a share.").format(name=name)
            )
    return [row for row in counted if row.cause in wanted]


def asked(book: Book, counted: Sequence[Recounted], ask: Ask) -> list[Recounted]:
    """Ask for each cause that a job had, contradictions first; then once for all that no job had."""
    from trees.text import printable

    spoken = sorted((row for row in counted if spoken_of(row)), key=lambda row: (not row.conflict, -row.seen))
    rest = [row for row in counted if not spoken_of(row)]
    rows = [row for row in spoken if ask(printable(f"{book.causes[row.cause].name}: {row.sentence}"))]
    if rest and ask(
        _("{n} causes that no job had: each {share:.2f} times as often.").format(
            n=len(rest), share=rest[0].share / rest[0].author
        )
    ):
        rows += rest
    return rows


def spoken_of(row: Recounted) -> bool:
    """Tell whether a cause is worth a line of its own: a job had it, or the jobs contradict its share."""
    return bool(row.seen) or row.conflict


def refuse_unfit_file(path: Path) -> None:
    """Say in a sentence, before anything is asked, why the file can't be written."""
    from trees.book.shares import HEAD

    if not path.parent.is_dir():
        raise SootlineError(_("There is no folder {parent}. Make it, or name another file.").format(parent=path.parent))
    if not path.exists():
        return
    try:
        ours = path.is_file() and path.read_bytes().startswith(HEAD.encode())
    except OSError as error:
        raise SootlineError(
            _("{path} can't be read: {strerror}. Name another file.").format(path=path, strerror=reason_of(error))
        ) from error
    if not ours:
        raise SootlineError(
            _("{path} is no overlay of shares and is not overwritten. Name another file.").format(path=path)
        )


def write_overlay(book: Book, rows: Sequence[Recounted], path: Path) -> None:
    """Write the overlay whole or not at all."""
    from trees.book.shares import CountedShare, Overlay, overlay_text

    overlay = Overlay(
        book=book.fingerprint,
        edition=book.edition,
        date=datetime.now(UTC).astimezone().date().isoformat(),
        shares={row.cause: CountedShare(100 * row.share, row.jobs, (100 * row.low, 100 * row.high)) for row in rows},
    )
    part: Path | None = None
    try:
        handle, name = tempfile.mkstemp(prefix=f".{path.stem[:40]}-", suffix=".part", dir=path.parent)
        part = Path(name)
        with os.fdopen(handle, "w", encoding="utf-8", newline="\n") as file:
            file.write(overlay_text(overlay))
        part.replace(path)
    except OSError as error:
        if part is not None:
            part.unlink(missing_ok=True)
        raise SootlineError(
            _("{path} can't be written: {strerror}. Nothing is changed.").format(path=path, strerror=reason_of(error))
        ) from error
