"""The casebook: all jobs on disk. SQLAlchemy is loaded only when `Casebook` is asked for."""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from trees.casebook.book_text import book_files, write_book_files
    from trees.casebook.glance import FirstLook, first_look
    from trees.casebook.places import default_path, default_seat
    from trees.casebook.records import (
        AnsweredElsewhereError,
        JobRecord,
        JobSummary,
        KeptRemark,
        Presence,
        StoredEntry,
        UnwritableError,
    )
    from trees.casebook.store import Casebook

_HOMES = {
    "AnsweredElsewhereError": "records",
    "Casebook": "store",
    "FirstLook": "glance",
    "JobRecord": "records",
    "JobSummary": "records",
    "KeptRemark": "records",
    "Presence": "records",
    "StoredEntry": "records",
    "UnwritableError": "records",
    "book_files": "book_text",
    "default_path": "places",
    "default_seat": "places",
    "first_look": "glance",
    "write_book_files": "book_text",
}

__all__ = [
    "AnsweredElsewhereError",
    "Casebook",
    "FirstLook",
    "JobRecord",
    "JobSummary",
    "KeptRemark",
    "Presence",
    "StoredEntry",
    "UnwritableError",
    "book_files",
    "default_path",
    "default_seat",
    "first_look",
    "write_book_files",
]


def __getattr__(name: str) -> Any:
    if name not in _HOMES:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    return getattr(import_module(f"{__name__}.{_HOMES[name]}"), name)
