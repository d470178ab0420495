"""`sootline diff`: what changed between two editions of a book, for the person who walks."""

from __future__ import annotations

import argparse
import os
import subprocess
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import asdict
from pathlib import Path, PurePosixPath
from typing import TYPE_CHECKING

from trees.errors import BookError
from trees.language import _
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
            print(_("Nothing changed for the person who walks."))
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
        raise BookError(
            _("There is no folder {book} whose history could be asked for {name}.").format(book=book, name=name)
        )
    with tempfile.TemporaryDirectory(prefix="sootline-diff-") as folder:
        _unpack(name, book, Path(folder))
        yield Path(folder)


def _unpack(revision: str, book: Path, folder: Path) -> None:
    """Write the YAML files that a book had at a revision into a folder."""
    if revision.startswith("-"):
        raise BookError(_("`{revision}` is neither a folder nor a git revision.").format(revision=revision))
    # Objects are read as they lie: `git archive` would run the filters that a repository from elsewhere has configured.
    listed = _git(book, revision, "ls-tree", "-r", "-z", revision)
    names = {}
    for row in listed.split(b"\0"):
        kind, _other, name = row.partition(b"\t")
        path = PurePosixPath(os.fsdecode(name))
        if kind.startswith(b"100") and path.suffix == ".yaml" and ".." not in path.parts and not path.is_absolute():
            names[path] = kind.split()[2]
    if not names:
        raise _no_edition(book, revision)
    packed = _git(book, revision, "cat-file", "--batch", typed=b"\n".join([*names.values(), b""]))
    for path in names:
        head, _other, packed = packed.partition(b"\n")
        size = int(head.split()[2])
        folder.joinpath(path).parent.mkdir(parents=True, exist_ok=True)
        folder.joinpath(path).write_bytes(packed[:size])
        packed = packed[size + 1 :]


def _git(book: Path, revision: str, *command: str, typed: bytes = b"") -> bytes:
    """Return what git says in a folder of the repository: names are counted from there, and nothing is fetched."""
    environment = {**os.environ, "GIT_NO_LAZY_FETCH": "1"}
    asked = ["git", "-C", str(book), *command]
    try:
        run = subprocess.run(asked, capture_output=True, check=False, input=typed, env=environment)
    except FileNotFoundError as error:
        raise BookError(
            _("`{revision}` is no folder, and git is not there to look for a revision.").format(revision=revision)
        ) from error
    if run.returncode:
        raise _no_edition(book, revision)
    return run.stdout


def _no_edition(book: Path, revision: str) -> BookError:
    return BookError(
        _("`{revision}` is neither a folder nor a git revision of {book}; name the book with --in.").format(
            revision=revision, book=book
        )
    )
