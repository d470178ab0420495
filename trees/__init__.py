"""The core, without a screen: books, walks, suspects, figures and the casebook.

`Book` and `Walk` are loaded when first asked for, so that `import trees` costs next to nothing.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from trees.book.model import Book
    from trees.walk import Walk

__all__ = ["Book", "Walk"]


def __getattr__(name: str) -> Any:
    if name == "Book":
        from trees.book.model import Book

        return Book
    if name == "Walk":
        from trees.walk import Walk

        return Walk
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
