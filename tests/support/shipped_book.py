"""The book that ships, read once for all tests of a run; no test changes it."""

from __future__ import annotations

from functools import cache

from trees.book import load_book, shipped_book_path
from trees.book.model import Book


@cache
def shipped() -> Book:
    """Return the book."""
    return load_book(shipped_book_path())
