"""By which book and which settings a command runs: those given, and for what is not given those kept or shipped."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path
from typing import TYPE_CHECKING

from trees.language import _

if TYPE_CHECKING:
    from trees.book.model import Book
    from tui.settings import Settings, Trouble


def book_for(options: argparse.Namespace, folder: Path | None = None) -> Book:
    """Return the book of `--book`, or of `folder`, with the overlay of `--shares`; BookError for either."""
    from trees.book import load_book, shipped_book_path
    from trees.book.shares import lay_over
    from tui.speech import in_spoken_language

    at = Path(folder or options.book or shipped_book_path())
    book = load_book(at)
    return in_spoken_language(book if options.shares is None else lay_over(book, options.shares), at)


def settings_for(options: argparse.Namespace) -> tuple[Settings, tuple[Trouble, ...]]:
    """Return the settings and what was wrong with their file, which is told; they fill in the store and the seat."""
    from trees.text import printable
    from tui.settings import read_settings, settings_path

    settings, troubles = read_settings()
    for trouble in troubles:
        print(printable(_("sootline: {trouble}").format(trouble=trouble)), file=sys.stderr)
    options.store = options.store or (_store(settings.store, settings_path()) if settings.store else None)
    options.seat = options.seat or settings.seat or None
    return settings, troubles


def _store(named: str, file: Path) -> str:
    """Return the store that the settings name; a path without a root begins at the settings file."""
    return named if "://" in named else str(file.parent / Path(named).expanduser())
