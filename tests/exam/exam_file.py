"""What an exam file holds: jobs as facts with the answers that they amount to, and the causes that are true.

The format is described in tests/README.md.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from difflib import get_close_matches
from pathlib import Path
from typing import Any

import yaml

from trees.book import Book
from trees.book.worked import Expected, GivenText, WorkedJob

KEYS = {"words", "complaint", "place", "family", "facts", "expect", "note"}
EXPECT_KEYS = {"causes", "accept", "contributing", "stop"}
FACT_KEYS = {"fact", "check", "answer"}
PLACES = ("bench", "site", "phone")


class ExamError(Exception):
    """An exam file that can't be used: one sentence, naming the file and the job."""


@dataclass(frozen=True, slots=True)
class ExamJob:
    """One job of an exam, put into the book's words."""

    worked: WorkedJob
    unmapped: tuple[str, ...]
    """Facts in words for which the file or this book knows no check, each with the reason."""


def read_exam(path: Path, book: Book) -> tuple[ExamJob, ...]:
    """Read an exam file against a book; ExamError with a sentence for what can't be used at all."""
    try:
        # BaseLoader leaves every scalar as the text that was written: `yes` and `12:30` stay what they are
        told = yaml.load(path.read_text("utf-8"), yaml.BaseLoader)
    except OSError as error:
        raise ExamError(f"{path}: can't be read: {error.strerror}.") from error
    except (yaml.YAMLError, UnicodeDecodeError) as error:
        raise ExamError(f"{path}: is no YAML: {error}") from error
    if not isinstance(told, dict) or not told:
        raise ExamError(f"{path}: an exam is a mapping of job ids to jobs; see tests/README.md.")
    return tuple(_job(f"{path}: {name}", name, one, book) for name, one in told.items())


def _job(where: str, name: str, told: Any, book: Book) -> ExamJob:
    _keys(where, told, KEYS, needed={"words", "facts", "expect"})
    expect = told["expect"]
    _keys(f"{where}: expect", expect, EXPECT_KEYS, needed=set())
    if not expect.get("causes") and not expect.get("stop"):
        raise ExamError(f"{where}: `expect` names neither `causes` nor `stop`, so there is nothing to find.")
    place = told.get("place", "bench")
    if place not in PLACES:
        raise ExamError(f"{where}: the place `{place}` is none of {', '.join(PLACES)}.")
    for kind, known in (("complaint", book.trees), ("family", book.families)):
        if told.get(kind) and told[kind] not in known:
            raise ExamError(f"{where}: {_unknown(kind, told[kind], known)}")
    causes, accept = _names(expect.get("causes")), _names(expect.get("accept"))
    contributing = _names(expect.get("contributing"))
    for cause in (*causes, *accept, *contributing):
        if cause not in book.causes:
            raise ExamError(f"{where}: {_unknown('cause', cause, book.causes)}")
    if expect.get("stop") and expect["stop"] not in book.cautions:
        raise ExamError(f"{where}: {_unknown('caution', expect['stop'], book.cautions)}")
    answers, unmapped = _facts(where, told["facts"], book)
    worked = WorkedJob(
        id=name,
        title=name,
        words=told["words"],
        tree=told.get("complaint") or None,
        place=place,
        family=told.get("family") or None,
        answers=answers,
        expect=Expected(
            main=(*causes[:1], *accept), contributing=(*causes[1:], *contributing), stopped=expect.get("stop")
        ),
    )
    return ExamJob(worked, tuple(unmapped))


def _facts(where: str, facts: Any, book: Book) -> tuple[Mapping[str, GivenText], list[str]]:
    if not isinstance(facts, list):
        raise ExamError(f"{where}: `facts` is a list of facts.")
    known = {*book.checks, *(question.id for question in book.gate), *book.fixes}
    answers: dict[str, GivenText] = {}
    unmapped: list[str] = []
    for no, fact in enumerate(facts, start=1):
        _keys(f"{where}: fact {no}", fact, FACT_KEYS, needed={"fact"})
        check = fact.get("check")
        if not check:
            unmapped.append(f"{fact['fact']} (no check named)")
        elif check not in known:
            unmapped.append(f"{fact['fact']} ({_unknown('check', check, known)})")
        elif "answer" not in fact:
            raise ExamError(f"{where}: fact {no} names a check and no `answer`.")
        else:
            given = fact["answer"]
            answers[check] = tuple(given) if isinstance(given, list) else given
    return answers, unmapped


def _keys(where: str, told: Any, allowed: set[str], *, needed: set[str]) -> None:
    if not isinstance(told, dict):
        raise ExamError(f"{where}: a mapping is wanted here; see tests/README.md.")
    for key in told:
        if key not in allowed:
            raise ExamError(f"{where}: {_unknown('key', key, allowed)}")
    for key in sorted(needed - set(told)):
        raise ExamError(f"{where}: `{key}` is missing.")


def _names(told: Any) -> tuple[str, ...]:
    return () if not told else (told,) if isinstance(told, str) else tuple(told)


def _unknown(kind: str, name: str, known: Any) -> str:
    near = get_close_matches(name, list(known), n=1)
    return f"there is no {kind} `{name}`" + (f"; did you mean `{near[0]}`?" if near else ".")


def problems(jobs: tuple[ExamJob, ...]) -> Iterator[str]:
    """Yield what could not be mapped, one line each."""
    for job in jobs:
        yield from (f"{job.worked.id}: not mapped: {reason}" for reason in job.unmapped)
