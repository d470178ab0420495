"""The shipped book in German, read once for all tests."""

from __future__ import annotations

from functools import cache

from trees.book import load_book, shipped_book_path
from trees.book.model import Book


@cache
def german() -> Book:
    """Return the shipped book in German."""
    return load_book(shipped_book_path(), "de")
