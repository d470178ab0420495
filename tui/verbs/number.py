"""`sootline number`: give new steps numbers that were never used."""

from __future__ import annotations

import argparse
import os
import tempfile
from pathlib import Path

from trees.errors import BookError
from trees.language import _, reason_of
from tui.command_line import Exit


def run(options: argparse.Namespace) -> int:
    """Write the numbers into the book's own files; 0 done, 2 a file can't be read or written."""
    from trees.book.numbering import number_steps
    from trees.text import printable

    folder = options.path or options.book
    if folder is None:
        raise BookError(_("Name the folder of your book; the one that ships is not changed."))
    numbered, texts = number_steps(folder)
    for name, text in texts.items():
        write(folder / name, text)
    for one in numbered:
        print(printable(f"{one.no}  {one.file}: {one.step}"))
    if not numbered:
        print(_("Every step has its number."))
    return Exit.FINE


def write(path: Path, text: str) -> None:
    """Replace a file at once or not at all; BookError where it can't be written."""
    beside: Path | None = None
    try:
        # A name that nobody could guess: a book that came from elsewhere may hold a link where we would write.
        handle, name = tempfile.mkstemp(prefix=f".{path.stem[:40]}-", suffix=".new", dir=path.parent)
        beside = Path(name)
        with os.fdopen(handle, "wb") as file:
            file.write(text.encode())
        beside.chmod(path.stat().st_mode & 0o777)
        beside.replace(path)
    except OSError as error:
        if beside is not None:
            beside.unlink(missing_ok=True)
        raise BookError(
            _("{path} can't be written: {strerror}.").format(path=path, strerror=reason_of(error))
        ) from error
