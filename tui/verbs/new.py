"""`sootline new`: a commented file to begin with, sound as it stands."""

from __future__ import annotations

import argparse
from datetime import date
from pathlib import Path

from trees.errors import BookError
from trees.language import _, reason_of
from tui.command_line import Exit
from tui.verbs.number import write


def run(options: argparse.Namespace) -> int:
    """Write the starting file and print its path; nothing that is there is overwritten."""
    if options.kind == "book":
        return _book(Path(options.name))
    from trees.book import load_book
    from trees.book.starting import new_check, new_family, new_tree

    folder = options.path or options.book
    if folder is None:
        raise BookError(_("Name the folder of your book with --in; the one that ships is not changed."))
    makers = {"tree": new_tree, "check": new_check, "family": new_family}
    place, text = makers[options.kind](load_book(folder), options.name)
    path = folder / place
    if options.kind == "family" and path.exists():
        before = path.read_bytes().decode("utf-8")
        write(path, before.rstrip("\n") + "\n" + text)
    else:
        _create(path, text.lstrip("\n"))
    print(path)
    return Exit.FINE


def _book(folder: Path) -> int:
    from trees.book.starting import new_book

    if folder.exists() and (not folder.is_dir() or any(folder.iterdir())):
        raise BookError(_("{folder} is there already; nothing was written.").format(folder=folder))
    for place, text in new_book(folder.name, date.today().isoformat()).items():
        _create(folder / place, text)
    print(folder)
    return Exit.FINE


def _create(path: Path, text: str) -> None:
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        with path.open("x", encoding="utf-8") as file:
            file.write(text)
    except FileExistsError as error:
        raise BookError(_("{path} is there already; nothing was written.").format(path=path)) from error
    except OSError as error:
        raise BookError(
            _("{path} can't be written: {strerror}.").format(path=path, strerror=reason_of(error))
        ) from error
