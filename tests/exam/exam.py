"""Put a file of exam jobs to a book: `.venv/bin/python tests/exam/exam.py FILE [--book FOLDER] [--format json]`.

For each job: the rank of the truth with all facts told, the contributing causes found, the first three checks that the
tree asks and that the suspects advise after the intake facts, and whether a job that must stop was stopped.
Exit 0: ran, 2: could not run.
`--list` instead of FILE prints the ids that an exam may name.
"""

from __future__ import annotations

import argparse
import json
import sys
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import asdict, dataclass, replace
from pathlib import Path

from exam_file import ExamError, ExamJob, read_exam
from listing import listed

from trees.book import Book, load_book, shipped_book_path
from trees.book.worked import GivenText
from trees.errors import SootlineError
from trees.text import printable
from trees.walk.play import answered
from trees.walk.standing import Placed, Tally, place_job, tell
from trees.walk.walk import Walk

PROPOSALS = 3


@dataclass(frozen=True, slots=True)
class Marked:
    """One exam job with its result."""

    placed: Placed
    asked: tuple[str, ...]
    """The first checks (or fixes, as `fix:id`) that the tree of the complaint asks; the tree leads."""
    proposed: tuple[str, ...]
    """The first checks (or fixes) that the suspects advise one after the other, beside the tree or without one."""
    unmapped: tuple[str, ...]


def mark(book: Book, job: ExamJob) -> Marked:
    """Put one job to the book."""
    unmapped = tuple(map(str, job.unmapped))
    return Marked(place_job(book, job.worked), tuple(steps(book, job)), tuple(proposals(book, job)), unmapped)


def _after_intake(book: Book, job: ExamJob) -> Walk:
    worked = job.worked
    intake = {
        name: given for name, given in worked.answers.items() if name not in book.checks or book.checks[name].intake
    }
    return tell(book, replace(worked, answers=intake))[0]


def steps(book: Book, job: ExamJob) -> Iterator[str]:
    """Yield what the tree asks first, answered from the facts; what is known already is not asked again."""
    walk = _after_intake(book, job)
    asked: set[str] = set()
    while len(asked) < PROPOSALS and walk.question.kind in {"check", "work", "rated"}:
        question = walk.question
        if question.check is not None and question.known is None and question.check.id not in asked:
            asked.add(question.check.id)
            yield question.check.id
        elif question.fix is not None:
            asked.add(question.fix.id)
            yield f"fix:{question.fix.id}"
        walk = next(answered(walk, job.worked.answers, {}, at_most=1))


def proposals(book: Book, job: ExamJob) -> Iterator[str]:
    """Yield what is advised first, each advice answered from the facts or with cannot-tell before the next."""
    from trees.walk.reasons import advice_of

    walk = _after_intake(book, job)
    for _ in range(PROPOSALS):
        advice = advice_of(walk)
        if advice is None:
            return
        if advice.check is not None:
            check = advice.check.check
        elif advice.opening is not None:
            check = advice.opening.checks[0]
        else:
            if advice.fix is not None:
                yield f"fix:{advice.fix.fix}"
            return
        yield check
        walk = _made(walk, check, job.worked.answers)


def _made(walk: Walk, check: str, answers: Mapping[str, GivenText]) -> Walk:
    """Make a proposed check with what the facts say, after the readings that its figure still wants."""
    wanted = walk.now.known.missing_inputs(walk.book.checks[check]) if walk.now.known is not None else ()
    for needed in wanted:
        walk = _made(walk, needed, answers)
    aside = walk.leave_for(check)
    for caution in aside.question.unread:
        aside = aside.acknowledge(caution.id)
    try:
        return next(answered(aside, answers, {}, at_most=1))
    except SootlineError:
        return aside.cannot_tell()


def told(marked: Sequence[Marked]) -> Iterator[str]:
    """Yield a line per job and the sums."""
    for one in marked:
        placed = one.placed
        if placed.must_stop is not None:
            verdict = "stopped" if placed.stopped == placed.must_stop else f"NOT STOPPED, must for {placed.must_stop}"
        else:
            further = [place for place in placed.contributing if place is not None and place <= 8]
            verdict = f"rank {placed.main or 'none'} (of all causes {placed.overall or 'none'})"
            verdict += f", contributing {len(further)} of {len(placed.contributing)}" if placed.contributing else ""
            verdict += f", before it: {', '.join(placed.ahead)}" if placed.ahead else ""
        yield f"{placed.job}: {verdict}"
        yield f"    asked first: {', '.join(one.asked) or 'nothing'}"
        yield f"    advised first: {', '.join(one.proposed) or 'nothing'}"
        if placed.trouble:
            yield f"    not weighed: {placed.trouble}"
        if placed.untold:
            why = "after the stop" if placed.stopped else "at this place, in this state, or of an unknown unit"
            yield f"    not taken {why}: {', '.join(placed.untold)}"
    tally = Tally.of(one.placed for one in marked)
    yield ""
    yield f"top 1          {tally.first} of {tally.jobs}"
    yield f"top 3          {tally.among_three} of {tally.jobs}"
    yield f"contributing   {tally.among_eight} of {tally.contributing} among the first eight"
    yield f"stops          {tally.stopped} of {tally.must_stop}"
    yield f"facts unmapped {sum(len(one.unmapped) for one in marked)}"


def counted(jobs: Sequence[ExamJob]) -> Iterator[ExamJob]:
    """Yield the jobs and count them on a terminal: a thousand take minutes."""
    shown = sys.stderr.isatty()
    for no, job in enumerate(jobs, start=1):
        if shown:
            print(f"\r{no} of {len(jobs)}", end="" if no < len(jobs) else "\n", file=sys.stderr, flush=True)
        yield job


def main(arguments: Sequence[str] | None = None, load: Callable[[Path], Book] = load_book) -> int:
    """Run an exam."""
    parser = argparse.ArgumentParser(description="Put a file of exam jobs to a book.")
    parser.add_argument("file", type=Path, nargs="?", help="the exam, as tests/README.md describes it")
    parser.add_argument("--list", action="store_true", help="print the ids of the book that an exam may name")
    parser.add_argument("--book", type=Path, default=shipped_book_path())
    parser.add_argument("--format", choices=("text", "json"), default="text")
    options = parser.parse_args(arguments)
    if (options.file is None) != options.list:
        parser.error("name the file of an exam, or --list alone")
    try:
        book = load(options.book)
        if options.list:
            print("\n".join(printable(line) for line in listed(book)))
            return 0
        brought = read_exam(options.file, book)
        marked = [mark(book, job) for job in counted(brought.jobs)]
    except (ExamError, SootlineError) as error:
        print(printable(str(error), keep="\n"), file=sys.stderr)
        return 2
    for note in brought.notes():
        print(printable(note), file=sys.stderr)
    if options.format == "json":
        tally = asdict(Tally.of(one.placed for one in marked))
        print(json.dumps({"jobs": [asdict(one) for one in marked], "tally": tally}, ensure_ascii=False, indent=1))
    else:
        print("\n".join(printable(line) for line in told(marked)))
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
