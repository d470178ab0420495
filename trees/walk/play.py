"""Play a job from answers by name: worked jobs, the demo workshop and the tests walk this way."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from trees.book.model import Book
from trees.book.words import UNKNOWN, Place
from trees.errors import WalkError
from trees.language import _
from trees.walk.question import Question
from trees.walk.walk import Walk

GIVE_UP = 500
"""Answers after which a job is taken to go in circles; trees are acyclic, so only a fault gets there."""


def play(
    book: Book,
    *,
    words: str,
    tree: str | None,
    place: Place,
    family: str | None,
    answers: Mapping[str, Any],
    after_repair: Mapping[str, Any] | None = None,
    seat: str = "bench",
    date: str = "2026-01-01",
    at_most: int = GIVE_UP,
) -> Walk:
    """
    Walk a job with given answers as far as they lead, or `at_most` answers.

    An answer is found by the id of its gate question, check or fix: an answer id, a reading as typed, a mapping of
    readings, or a list of ticked items. What is not named: the gate's first harmless answer, a figure taken over,
    a known answer taken over, a fix not done, and cannot tell for everything else. `after_repair` comes first in a
    tree that takes the handover readings.
    """
    walk = Walk.begin(book, words=words, tree=tree, place=place, family=family).taken_up(seat, date)
    last = walk
    for last in answered(walk, answers, after_repair or {}, at_most=at_most):  # noqa: B007 - only the last one counts
        pass
    return last


def answered(
    walk: Walk, answers: Mapping[str, Any], after_repair: Mapping[str, Any], *, at_most: int = GIVE_UP
) -> Iterator[Walk]:
    """Yield the walk after each answer, as `play` gives them; an answer that is not taken raises its own error."""
    for _other in range(at_most):
        question = walk.question
        if question.kind not in {"gate", "check", "work", "rated"}:
            return
        handover = question.tree is not None and question.tree.handover
        walk = _answer(walk, question, {**answers, **after_repair} if handover else answers)
        yield walk
    if at_most == GIVE_UP:
        raise WalkError(_("This job does not come to an end."))


def _answer(walk: Walk, question: Question, answers: Mapping[str, Any]) -> Walk:
    if question.kind == "gate":
        return walk.answer(answers.get(_subject(question), _harmless(question)))
    if question.kind == "rated":
        given = answers.get(f"family.{question.rated_name}")
        if given is None:
            return walk.cannot_tell()
        return walk.answer(str(given)) if question.form == "choice" else walk.reading(str(given))
    if question.blocked:
        return _danger(walk, question, answers) or walk.cannot_tell()
    for caution in question.unread:
        walk = walk.acknowledge(caution.id)
    given = answers.get(_subject(question), UNKNOWN)
    if question.kind == "work":
        return walk.cannot_tell() if given == UNKNOWN else walk.answer(str(given))
    if question.form == "figure":
        return walk.take_figure() if question.value is not None else walk.cannot_tell()
    if question.known is not None:
        return walk.take_over()
    return _give(walk, question, given)


def _danger(walk: Walk, question: Question, answers: Mapping[str, Any]) -> Walk | None:
    """Return the walk after an answer that stops the job: that one is taken even where its check is blocked."""
    given = answers.get(_subject(question), UNKNOWN)
    try:
        return None if given == UNKNOWN or not question.stopping else _give(walk, question, given)
    except WalkError:
        return None


def _give(walk: Walk, question: Question, given: Any) -> Walk:
    if given == UNKNOWN:
        return walk.cannot_tell()
    if question.form == "tick":
        return walk.tick([given] if isinstance(given, str) else list(given))
    if question.form == "readings":
        return walk.readings({name: str(value) for name, value in given.items()})
    if question.form == "reading" and str(given) not in {option.id for option in question.options}:
        return walk.reading(str(given))
    return walk.answer(str(given))


def _subject(question: Question) -> str:
    for what in (question.gate, question.fix, question.check):
        if what is not None:
            return what.id
    return ""


def _harmless(question: Question) -> str:
    """Return the gate's answer that says nothing is wrong."""
    answers = question.gate.answers if question.gate is not None else ()
    quiet = [a for a in answers if not (a.stop or a.forbids_starts or a.opens)]
    return (quiet or list(answers))[0].id
