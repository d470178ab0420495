"""Which book a command walks by: the one given or shipped, with the counted shares that were asked for."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from trees.book.model import Book


def book_for(options: argparse.Namespace, folder: Path | None = None) -> Book:
    """Return the book of `--book`, or of `folder`, with the overlay of `--shares`; BookError for either."""
    from trees.book import load_book, shipped_book_path
    from trees.book.shares import lay_over

    book = load_book(folder or options.book or shipped_book_path())
    return book if options.shares is None else lay_over(book, options.shares)
