"""Reading and checking a book: `load_book` for those who walk it, `check_book` for those who write it."""

from __future__ import annotations

from trees.book.check import Checked, check_book, load_book, shipped_book_path
from trees.book.codes import CODES
from trees.book.model import Book, Spot
from trees.book.problems import Problem, as_json, count, render_text, summary

__all__ = [
    "CODES",
    "Book",
    "Checked",
    "Problem",
    "Spot",
    "as_json",
    "check_book",
    "count",
    "load_book",
    "render_text",
    "shipped_book_path",
    "summary",
]
