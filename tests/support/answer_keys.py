"""Which keys give the answers of a worked job on the job screen: the walk's question turned into strokes."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from trees.book.words import UNKNOWN
from trees.walk import Question, Walk
from trees.walk.play import _harmless, _subject

PAGE = 9
"""Answers on one page."""


def strokes(walk: Walk, answers: Mapping[str, Any]) -> Iterator[str]:
    """
    Yield the strokes that answer the walk's question, at the bench or where it is fitted.

    The screen comes to rest between two of them; the last one takes the answer. Before it stand those that only
    prepare: a caution read, a field left, an item ticked, an answer marked.
    """
    question = walk.question
    if question.unread:
        yield "r"
    if question.kind == "gate":
        yield _digit(question, answers.get(_subject(question), _harmless(question)))
        yield "\r"
        return
    given = answers.get(f"family.{question.rated_name}" if question.kind == "rated" else _subject(question), UNKNOWN)
    if (question.form == "figure" and question.value is not None) or question.known is not None:
        yield "\r"
    elif given == UNKNOWN or question.blocked or question.form == "figure":
        if question.form in {"reading", "readings"} and not question.blocked:
            yield "\x1b"  # out of the field
        yield "0"
    else:
        yield from _given(question, given)


def _given(question: Question, given: Any) -> Iterator[str]:
    if question.form == "tick":
        for item in [given] if isinstance(given, str) else given:
            yield _digit(question, item)
        yield "\r"
        if not given:
            yield " "
    elif question.form == "readings" and question.check is not None:
        *first, last = [str(given.get(reading.name, "")) for reading in question.check.readings]
        for text in first:
            yield f"{text}\r"
        yield last
        yield "\r"
    elif question.form == "reading" and str(given) not in {option.id for option in question.options}:
        yield str(given)
        yield "\r"
    else:
        if question.form == "reading":
            yield "\x1b"
        yield _digit(question, str(given))
        check = question.check
        chosen = next(option for option in question.options if option.id == str(given))
        if chosen.stops or (check is not None and (check.uses_start or check.while_running)):
            yield "\r"


def _digit(question: Question, answer: str) -> str:
    index = next(n for n, option in enumerate(question.options) if option.id == answer)
    return " " * (index // PAGE) + str(index % PAGE + 1)
