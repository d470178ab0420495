"""Reading and checking a book: `load_book` for those who walk it, `check_book` for those who write it.

Each name is loaded when first asked for: the day list needs a few words of a book and no book.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from trees.book.check import Checked, check_book, load_book, shipped_book_path
    from trees.book.model import Book, Spot
    from trees.book.problems import Problem, as_json, render_text, summary

_HOMES = {
    "Book": "model",
    "Checked": "check",
    "Problem": "problems",
    "Spot": "model",
    "as_json": "problems",
    "check_book": "check",
    "load_book": "check",
    "render_text": "problems",
    "shipped_book_path": "check",
    "summary": "problems",
}

__all__ = [
    "Book",
    "Checked",
    "Problem",
    "Spot",
    "as_json",
    "check_book",
    "load_book",
    "render_text",
    "shipped_book_path",
    "summary",
]


def __getattr__(name: str) -> Any:
    if name not in _HOMES:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    return getattr(import_module(f"{__name__}.{_HOMES[name]}"), name)
