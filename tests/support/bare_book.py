"""A book of records with nothing in it but what a test names."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from trees.book.model import Book, Source

RECORDS = ("families", "signs", "causes", "cautions", "checks", "fixes", "trees")


def bare_book(*, unprompted: float = 0.03, opening_minutes: float = 15.0, **parts: Any) -> Book:
    """Return a book of these fields; records may stand in a row or by their ids, all that is left out is empty."""
    for name in RECORDS:
        records: Mapping[str, Any] | Iterable[Any] = parts.get(name, ())
        parts[name] = records if isinstance(records, Mapping) else {record.id: record for record in records}
    plain = {"title": "Heaters of boats and huts (invented)", "edition": "1", "language": "en", "gate": ()}
    plain |= {"reviewed": "2026-01-01", "fingerprint": "000000000000", "source": Source("practice")}
    nothing = {name: {} for name in ("words", "tools", "caller_may", "start_limit")}
    return Book(**{**plain, **nothing, "unprompted": unprompted, "opening_minutes": opening_minutes, **parts})
