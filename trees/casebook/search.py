"""How jobs are found by what is typed: words are cut and folded here, the same for both engines and for the question.

A job is found where each word typed begins some word of it: of its number, unit, serial number or any free text. What
is typed is cut down to letters and figures, so nothing in it can mean anything to a database.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable, Sequence
from typing import Any

from sqlalchemy import Connection, Integer, Subquery, insert, select, text, update

from trees.casebook.schema import FOUND_BY, job, job_search, personal

_WORD = re.compile(r"[^\W_]+")
_LONGEST, _MOST = 60, 4000
"""Letters of a word and words of a job that are found by; a job with more is found by the first of them."""
_AT_ONCE = 500
FOUND_OTHERWISE = frozenset({"unit", "family"})
"""Kinds of entry that change what a job is found by without a text."""
REBUILD = "INSERT INTO job_search_index (job_search_index) VALUES ('rebuild')"
"""Writes SQLite's index anew from `job_search`."""


def words_of(typed: str) -> list[str]:
    """Return the words of a text in small letters without accents, each once, in their order."""
    apart = unicodedata.normalize("NFKD", typed.casefold())
    plain = "".join(sign for sign in apart if not unicodedata.combining(sign)).casefold()
    return list(dict.fromkeys(word[:_LONGEST] for word in _WORD.findall(plain)))


def _code_words(code: str) -> list[str]:
    """Return the words of a number, also in one piece and without leading noughts: J-0012 is j, 0012, 12 and j0012."""
    words = words_of(code)
    return [*words, *(w.lstrip("0") for w in words if w.isdigit() and w.strip("0")), "".join(words)[:_LONGEST]]


def technical_words(number: str, family: str | None, unit: str | None, serial: str | None) -> str:
    """Return what a job is found by without anything that was typed freely."""
    return _joined(_technical((number, family, unit, serial)))


def _technical(row: Sequence[Any]) -> list[str]:
    number, family, unit, serial = row
    return [*_code_words(number), *words_of(f"{family or ''} {unit or ''}"), *_code_words(serial or "")]


def index_job(connection: Connection, job_id: int, texts: Iterable[str]) -> None:
    """Let a job be found by these texts too, and by its number, unit and serial as they now stand."""
    row = connection.execute(_TECHNICAL.where(job.c.id == job_id)).one()[1:]
    there = connection.scalar(select(job_search.c.words).where(job_search.c.job_id == job_id))
    more = [word for given in texts for word in words_of(given)]
    words = _joined([*_technical(row), *(there or "").split(), *more])
    if there is None:
        connection.execute(insert(job_search).values(job_id=job_id, words=words))
    elif words != there:
        connection.execute(update(job_search).where(job_search.c.job_id == job_id).values(words=words))


def forget_texts(connection: Connection, job_id: int) -> None:
    """Let a job be found by its number, unit and serial alone."""
    row = connection.execute(_TECHNICAL.where(job.c.id == job_id)).one()[1:]
    known = update(job_search).where(job_search.c.job_id == job_id)
    connection.execute(known.values(words=technical_words(*row)))
    if connection.dialect.name == "sqlite":
        # A removed word stays in the index's pages until they are written anew.
        connection.exec_driver_sql(REBUILD)


def index_all(connection: Connection) -> int:
    """Work out anew what every job is found by; returns of how many."""
    connection.execute(job_search.delete())
    rows = connection.execute(_TECHNICAL.order_by(job.c.id)).all()
    for at in range(0, len(rows), _AT_ONCE):
        some = rows[at : at + _AT_ONCE]
        free: dict[int, list[str]] = {}
        theirs = personal.c.job_id.between(some[0].id, some[-1].id)
        for found in connection.execute(select(personal.c.job_id, personal.c.text).where(theirs)):
            free.setdefault(found.job_id, []).append(found.text)
        values = [
            {"job_id": row.id, "words": _joined([*_technical(row[1:]), *words_of(" ".join(free.get(row.id, ())))])}
            for row in some
        ]
        connection.execute(insert(job_search), values)
    return len(rows)


def asked(engine: str, words: Iterable[str]) -> str:
    """Return what stands for `asked` in IDS: each word begins some word of the job."""
    if engine == "sqlite":
        return " ".join(f'"{word}"*' for word in words)
    return " & ".join(f"'{word}':*" for word in words)


def _ids(question: str) -> Subquery:
    return text(f"{question} ORDER BY id DESC LIMIT :most").columns(id=Integer).subquery()


IDS = {
    "sqlite": _ids("SELECT rowid AS id FROM job_search_index WHERE job_search_index MATCH :asked"),
    "postgresql": _ids(f"SELECT job_id AS id FROM job_search WHERE {FOUND_BY} @@ CAST(:asked AS tsquery)"),  # noqa: S608
}
"""The ids of at most `most` jobs that hold words as `asked`, the newest first, on each engine."""

_TECHNICAL = select(job.c.id, job.c.number, job.c.family, job.c.unit, job.c.serial)


def _joined(words: Iterable[str]) -> str:
    return " ".join(sorted([word for word in dict.fromkeys(words) if word][:_MOST]))
