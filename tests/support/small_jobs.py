"""Closed jobs of the small book, each with a cause that is known beforehand."""

from __future__ import annotations

from small_book import small_book

from trees.book.model import Book
from trees.walk import Walk, beside


def coked(words: str, serial: str = "", book: Book | None = None) -> Walk:
    """Return a job that found the insert coked and cured it: 6 + 10 + 20 min of checks, 45 of work, 5 of handover."""
    walk = _begun(words, serial, book).reading("6.6").answer("no").tick([]).answer("coked")
    return walk.answer("cured").reading("12.6").close("released", "Told the owner.")


def weak(words: str, serial: str = "", book: Book | None = None) -> Walk:
    """Return a job that found the pump weak and went out of the house as it was."""
    walk = _begun(words, serial, book).reading("3").answer("no").tick([]).answer("clean")
    return walk.close("not_released", "A pump is on its way.")


def _begun(words: str, serial: str, book: Book | None) -> Walk:
    begun = Walk.begin(book or small_book(), words=words, tree="smoke_on_start", place="bench", family="air2")
    walk = begun.taken_up("bench one", "2026-01-05").answer("no").answer("no")
    if serial:
        walk = beside.unit(walk, serial)
    return walk.acknowledge("gas").answer("short")
