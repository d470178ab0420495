"""`sootline diff`: what changed between two editions of a book, for the person who walks."""

from __future__ import annotations

import argparse
import io
import subprocess
import tarfile
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import asdict
from pathlib import Path
from typing import TYPE_CHECKING

from trees.errors import BookError
from tui.command_line import Exit

if TYPE_CHECKING:
    from trees.book.model import Book


def run(options: argparse.Namespace) -> int:
    """Print the changes; 0 none, 1 some, 2 an edition can't be read."""
    from trees.book.changes import changes
    from trees.text import json_text, printable

    with edition(options.old, options.path) as old, edition(options.new, options.path) as new:
        found = changes(_load(old, options.old), _load(new, options.new))
    if options.format == "json":
        print(json_text({"changes": [asdict(change) for change in found]}, indent=1))
    else:
        for change in found:
            print(printable(f"{change.what:<10} {change.where}: {change.told}"))
        if not found:
            print("Nothing changed for the person who walks.")
    return Exit.FOUND if found else Exit.FINE


def _load(folder: Path, name: str) -> Book:
    from trees.book import load_book

    try:
        return load_book(folder)
    except BookError as error:  # the unpacked folder is gone when this is read
        raise BookError(str(error).replace(str(folder), name), error.problems) from error


@contextmanager
def edition(name: str, path: Path | None) -> Iterator[Path]:
    """Yield the folder of an edition: a folder as it is, or the book at a git revision, unpacked for a moment."""
    if Path(name).is_dir():
        yield Path(name)
        return
    book = path or Path()
    if not book.is_dir():
        raise BookError(f"There is no folder {book} whose history could be asked for {name}.")
    with tempfile.TemporaryDirectory(prefix="sootline-diff-") as folder:
        _unpack(name, book, Path(folder))
        yield Path(folder)


def _unpack(revision: str, book: Path, folder: Path) -> None:
    """Write the YAML files that a book had at a revision into a folder."""
    if revision.startswith("-"):
        raise BookError(f"`{revision}` is neither a folder nor a git revision.")
    # `git archive` in a folder of the repository packs that folder only, with paths counted from it.
    command = ["git", "-C", str(book), "archive", "--format=tar", revision]
    try:
        packed = subprocess.run(command, capture_output=True, check=False)
    except FileNotFoundError as error:
        raise BookError(f"`{revision}` is no folder, and git is not there to look for a revision.") from error
    if packed.returncode:
        raise BookError(f"`{revision}` is neither a folder nor a git revision of {book}; name the book with --in.")
    with tarfile.open(fileobj=io.BytesIO(packed.stdout)) as archive:
        archive.extractall(folder, filter="data")
