"""What an exam file holds: jobs as facts with the answers that they amount to, and the causes that are true.

The format is described in tests/README.md. What is no exam is refused, with all its faults at once; what this book does
not know of an exam is left out and said. Every fault and every note names file, line and column and what to do.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass, field
from pathlib import Path

from exam_answers import UnfitError, again, given_answer
from yaml.nodes import MappingNode, Node, ScalarNode, SequenceNode

from trees.book import Book
from trees.book.problems import Findings, Problem
from trees.book.source import is_empty, kind_name, read_source, spot_of
from trees.book.worked import Expected, GivenText, WorkedJob

KEYS = ("words", "complaint", "place", "family", "facts", "expect", "note")
EXPECT_KEYS = ("causes", "accept", "contributing", "stop")
FACT_KEYS = ("fact", "check", "answer")
PLACES = ("bench", "site", "phone")
SHOWN = 20
"""Faults told of one file; the rest is counted."""


class ExamError(Exception):
    """An exam file that can't be used: a line per fault, each with file, line and column and what to do."""


@dataclass(frozen=True, slots=True)
class Unmapped:
    """A fact that is left out, and why."""

    at: str
    """`file:line:column`."""
    fact: str
    reason: str

    def __str__(self) -> str:
        return f"{self.fact} ({self.reason})"


@dataclass(frozen=True, slots=True)
class ExamJob:
    """One job of an exam, put into the book's words."""

    worked: WorkedJob
    unmapped: tuple[Unmapped, ...]
    """Facts in words for which the file or this book knows no check or no such answer."""


@dataclass(frozen=True, slots=True)
class Exam:
    """All jobs of a file."""

    jobs: tuple[ExamJob, ...]
    doubts: tuple[str, ...]
    """What in the file may not mean what its author thinks, a line each: text cut by ` #`, curly quotes."""

    def notes(self) -> Iterator[str]:
        """Yield what may be meant otherwise and what could not be mapped, a line each."""
        yield from self.doubts
        for job in self.jobs:
            yield from (f"{one.at}: {job.worked.id}: not mapped: {one}" for one in job.unmapped)


def read_exam(path: Path, book: Book) -> Exam:
    """Read an exam file against a book; ExamError with a line per fault for what can't be used at all."""
    try:
        data = path.read_bytes()
    except OSError as error:
        raise ExamError(f"{path}: can't be read: {error.strerror}; name the file of an exam.") from error
    reader = _Reader(path, book)
    findings = Findings()
    root = read_source(str(path), data, findings).root
    problems = [problem for problem in findings.told() if problem.severity == "error"]
    doubts = [_yaml_fault(problem) for problem in findings.told() if problem.severity == "warning"]
    if path.suffix.lower() in {".csv", ".tsv"} or (root is None and _is_table(data)):
        raise ExamError(f"{path}:1:1: this is a table and no exam; write it as YAML, as tests/README.md shows.")
    if root is None and not problems:
        problems = list(findings.told())
    reader.faults += [_yaml_fault(problem) for problem in problems]
    if root is not None and {key.value for key, _ in root.value} <= {*KEYS, "id"}:
        reader.fault(root, "this is one job without an id; write `e_01:` above it and indent what follows.")
    jobs = [] if root is None or reader.faults else [job for pair in root.value if (job := reader.job(*pair))]
    if reader.faults:
        more = [f"and {len(reader.faults) - SHOWN} more."] if len(reader.faults) > SHOWN else []
        raise ExamError("\n".join([*reader.faults[:SHOWN], *more]))
    return Exam(tuple(jobs), tuple(doubts))


def unknown(kind: str, name: str, known: Collection[str]) -> str:
    """Say that a name is not there, with the nearest one, or with all where there are few."""
    near = Findings().nearest(name, known)
    cure = (
        f"did you mean `{near}`?" if near else f"take one of {', '.join(known)}." if len(known) <= 8 else "see --list."
    )
    return f"there is no {kind} `{name}`; {cure}"


def _yaml_fault(problem: Problem) -> str:
    spot = problem.spot
    said = f"{problem.message}; {problem.help or 'see tests/README.md'}."
    if problem.code == "wrong-type":
        said = "an exam holds jobs by their ids; begin each job with an id of your own and a colon, such as `e_01:`."
    return f"{spot.file}:{spot.line}:{spot.column}: {said.replace('a book does not take', 'an exam does not take')}"


def _is_table(data: bytes) -> bool:
    rows = [row for row in data.decode("utf-8", "replace").splitlines()[:5] if row.strip()]
    return len(rows) > 1 and any(all(row.count(sign) >= 2 for row in rows) for sign in ";\t,") and ": " not in rows[0]


@dataclass(slots=True)
class _Reader:
    """Reads jobs from nodes and gathers faults; what is faulty is left out of what it returns."""

    path: Path
    book: Book
    faults: list[str] = field(default_factory=list)

    def at(self, node: Node) -> str:
        spot = spot_of(node)
        return f"{self.path}:{spot.line}:{spot.column}"

    def fault(self, node: Node, said: str) -> None:
        self.faults.append(f"{self.at(node)}: {said}")

    def job(self, name: ScalarNode, node: Node) -> ExamJob | None:
        before = len(self.faults)
        given = self._keys(name, node, f"job `{name.value}`", KEYS, needed=("words", "facts", "expect"))
        if given is None:
            return None
        words = self._text(given, "words")
        place = self._one_of(given, "place", "place", PLACES) or "bench"
        complaint = self._one_of(given, "complaint", "complaint", self.book.trees)
        family = self._one_of(given, "family", "family", self.book.families)
        answers, unmapped = self._facts(given["facts"]) if "facts" in given else ({}, ())
        expect = self._expect(name, given["expect"]) if "expect" in given else Expected()
        if len(self.faults) > before:
            return None
        worked = WorkedJob(
            id=name.value,
            title=name.value,
            words=words,
            tree=complaint or None,
            place=place,  # type: ignore[arg-type]
            family=family or None,
            answers=answers,
            expect=expect,
        )
        return ExamJob(worked, unmapped)

    def _expect(self, name: Node, node: Node) -> Expected:
        given = self._keys(name, node, "`expect`", EXPECT_KEYS)
        if given is None:
            return Expected()
        causes, accept, further = (self._causes(given, key) for key in ("causes", "accept", "contributing"))
        stop = self._one_of(given, "stop", "caution", self.book.cautions)
        if not ("causes" in given or "stop" in given):
            self.fault(node, "`expect` names neither `causes` nor `stop`, so there is nothing to find; write one.")
        contributing = tuple(dict.fromkeys((*causes[1:], *further)))
        return Expected(main=(*causes[:1], *accept), contributing=contributing, stopped=stop or None)

    def _causes(self, given: Mapping[str, Node], key: str) -> tuple[str, ...]:
        node = given.get(key)
        if node is None:
            return ()
        listed = node.value if isinstance(node, SequenceNode) else [node]
        if key == "causes" and not listed:
            self.fault(node, "`causes` is empty; name the true cause, or leave it out of a job that must stop.")
        for one in listed:
            if not isinstance(one, ScalarNode) or is_empty(one):
                self.fault(one, f"{kind_name(one)} stands here; write the id of a cause.")
            elif one.value not in self.book.causes:
                self.fault(one, unknown("cause", one.value, self.book.causes))
        return tuple(one.value for one in listed if isinstance(one, ScalarNode))

    def _facts(self, node: Node) -> tuple[Mapping[str, GivenText], tuple[Unmapped, ...]]:
        if not isinstance(node, SequenceNode):
            self.fault(node, "`facts` is a list; begin each fact with `- `.")
            return {}, ()
        answers: dict[str, GivenText] = {}
        told_at: dict[str, Node] = {}
        unmapped: list[Unmapped] = []
        for one in node.value:
            fact = self._keys(one, one, "a fact", FACT_KEYS, needed=("fact",))
            if fact is None:
                continue
            words, check = self._text(fact, "fact"), self._text(fact, "check")
            if "answer" in fact and not check:
                self.fault(one, "an `answer` without a `check`; name the check that it answers.")
            elif check and "answer" not in fact:
                self.fault(fact["check"], "the fact names a check and no `answer`; write one, or leave the check out.")
            if not check or "answer" not in fact:
                unmapped += [] if check else [Unmapped(self.at(one), words, "no check named")]
                continue
            try:
                self._take(answers, check, fact["answer"])
            except UnfitError as unfit:
                where = fact["check"] if unfit.of_check else fact["answer"]
                unmapped.append(Unmapped(self.at(where), words, str(unfit)))
            except ValueError:
                line = spot_of(told_at[check]).line
                self.fault(one, f"`{check}` is answered otherwise in line {line}; keep the true one of the two.")
            else:
                told_at.setdefault(check, one)
        return answers, tuple(unmapped)

    def _take(self, answers: dict[str, GivenText], check: str, node: Node) -> None:
        given = given_answer(self.book, check, node)
        answers[check] = again(self.book, check, answers[check], given) if check in answers else given

    def _keys(
        self, name: Node, node: Node, what: str, allowed: Collection[str], *, needed: Collection[str] = ()
    ) -> dict[str, Node] | None:
        """Return the values by key, None where that is no mapping."""
        if not isinstance(node, MappingNode):
            wanted = f"{what} is a mapping with the keys {', '.join(allowed)}"
            self.fault(name if is_empty(node) else node, f"{kind_name(node)} stands here; {wanted}.")
            return None
        for key, _ in node.value:
            if key.value not in allowed:
                self.fault(key, unknown("key", key.value, allowed))
        given = {key.value: value for key, value in node.value}
        missing = [key for key in needed if key not in given]
        if missing:
            self.fault(name, f"{what} lacks {', '.join(f'`{key}`' for key in missing)}; write what belongs there.")
        return given

    def _text(self, given: Mapping[str, Node], key: str) -> str:
        node = given.get(key)
        if node is None:
            return ""
        if not isinstance(node, ScalarNode):
            self.fault(node, f"{kind_name(node)} stands at `{key}`; write text, in quotes if it begins with a bracket.")
            return ""
        return str(node.value)

    def _one_of(self, given: Mapping[str, Node], key: str, kind: str, known: Collection[str]) -> str:
        named = self._text(given, key)
        if named and named not in known:
            self.fault(given[key], unknown(kind, named, known))
        return named
