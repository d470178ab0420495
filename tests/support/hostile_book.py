"""Texts that an enemy or a slip may bring into every record of a book, and how to see that a screen bore them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import fields, is_dataclass, replace
from typing import Any

from small_book import small_book

from trees.book.model import Answer, Book
from trees.text import unsafe

HOSTILE = "[/] [red]a[/red] ${y} %s {n} \x1b[31m\x07 \u202eb\u2066 \u200bc\ufeff\t$error"
"""Markup, formats, an escape, a bell, letters that turn the line round, letters without width."""
SHOWN = "[/] [red]a[/red] ${y} %s {n}"
"""The part of it that a person reads as it stands."""
LONG = (HOSTILE + " " + "x" * 300 + " ") * 40
"""More than 10,000 characters, with words longer than any line."""
TEXTS = frozenset(
    ("title", "wording", "phone", "how", "may_mistake", "means", "name", "text", "word", "stop_line", "do", "label")
) | frozenset(("prevent", "ask", "then", "bring", "parts"))
"""Fields that hold words for people; ids, units and numbers stay, or the book would be another one."""


def soiled(record: Any, text: str) -> Any:
    """Return a record with the text in front of every word for people, in itself and in all that it holds."""
    if isinstance(record, Mapping):
        return {key: soiled(value, text) for key, value in record.items()}
    if isinstance(record, tuple):
        return tuple(soiled(value, text) for value in record)
    if not is_dataclass(record) or isinstance(record, type):
        return record
    changed = {}
    for field in fields(record):
        value = getattr(record, field.name)
        if field.name in TEXTS and isinstance(value, str) and value and not _is_step(record, field.name):
            changed[field.name] = f"{text} {value}"
        elif field.name in TEXTS and isinstance(value, tuple):
            changed[field.name] = tuple(f"{text} {line}" if isinstance(line, str) else line for line in value)
        else:
            changed[field.name] = soiled(value, text)
    return replace(record, **changed)


def _is_step(record: Any, name: str) -> bool:
    return name == "then" and hasattr(record, "refers")


def hostile_book() -> Book:
    """Return the small book with hostile words everywhere, 200 answers at its first check, some of 10,000 letters."""
    book = soiled(small_book(), HOSTILE)
    smoke = book.checks["smoke"]
    answers = [
        Answer(id=f"a{n}", means=LONG[:10_000] if n % 9 == 4 else f"{HOSTILE} {n}", says={"smoke_stays": "no"})
        for n in range(3, 201)
    ]
    smoke = replace(smoke, how=LONG, may_mistake=LONG, answers=(*smoke.answers, *answers))
    tree = book.trees["smoke_on_start"]
    watch = tree.steps["watch"]
    go = {**watch.go, **{answer.id: "dose" for answer in answers}}
    tree = replace(tree, title=LONG, steps={**tree.steps, "watch": replace(watch, go=go)})
    cause = book.causes["pump_weak"]
    return replace(
        book,
        checks={**book.checks, "smoke": smoke},
        trees={**book.trees, "smoke_on_start": tree},
        causes={**book.causes, "pump_weak": replace(cause, name=LONG)},
    )


def harm(shown: str) -> str:
    """Return the characters of what is shown that steer a terminal, hide or turn text; empty if none does."""
    return "".join(sorted({char for char in shown if char != "\n" and unsafe(char)} - {"\N{REPLACEMENT CHARACTER}"}))
