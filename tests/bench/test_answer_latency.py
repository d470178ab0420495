"""How long an answer takes in the real program, against the one-line repaint of an empty app in the same run."""

from __future__ import annotations

import math
import statistics
from pathlib import Path

import pytest
from answer_keys import strokes
from measured import measured
from timed_program import TimedProgram

from trees import Book, Walk
from trees.book import shipped_book_path
from trees.casebook import Casebook, JobRecord

pytestmark = pytest.mark.bench

JOB = "d_01"
"""A demo job with 69 answers behind the safety questions: choices, lists, readings, figures."""
ANSWERS = 45
ROUNDS = 2
"""Of each answer the lesser time counts: what its question costs is in both, what the machine did besides in one."""
ALLOWED = 24.0
"""
One-line repaints that an answer may take: 60 ms where one takes 2.5 ms. The 95th centile of a few dozen answers is a
single one of them. Measured: 15 to 17, the median 13. It was 27 to 29 while the suspects were
painted a frame behind a question that had another layout; in turns with it, before question, suspects and next check
were worked out ahead and painted in one go: 44 to 51.

What is held is what an answer takes of a machine that nothing else works on (`Took.alone`): the time that passed less
that in the queue for a core that others had, at the least all the work of the program's threads. The time as it passed
is told too.
"""
EMPTY = """
from textual.app import App
from textual.widgets import Static
class Empty(App):
    said = 0
    def compose(self):
        for n in range(10):
            yield Static(f"line {n} of the empty app", id=f"line-{n}")
    def on_key(self):
        self.said += 1
        self.query_one("#line-5").update(f"said {self.said}")
Empty().run()
raise SystemExit
"""


@pytest.fixture(scope="module")
def milliseconds(tmp_path_factory: pytest.TempPathFactory) -> list[dict[str, list[float]]]:
    """Answer a demo job by keys in each round, a repaint of the empty app after each answer; both in milliseconds."""
    return [answered_job(tmp_path_factory.mktemp("latency")) for _ in range(ROUNDS)]


def answered_job(folder: Path) -> dict[str, list[float]]:
    """Answer the job in a program of its own, with a casebook of its own."""
    store, book = folder / "casebook.db", Book.load(shipped_book_path())
    job = book.worked[JOB]
    with Casebook.open(store, seat="bench one") as casebook:
        walk = Walk.begin(book, words=job.words, tree=job.tree, place=job.place, family=job.family)
        record = casebook.new_job(walk.entries, fingerprint=book.fingerprint)
        empty = TimedProgram([], before=EMPTY)
        ours = TimedProgram(["--store", str(store), "--seat", "bench one"], columns=120, rows=40)
        try:
            empty.until("line 9 of the empty app")
            ours.until("boats and mountain huts")
            ours.keys("\r")
            ours.until("Safety first")
            return answered_and_repainted(ours, empty, book, casebook, record)
        finally:
            ours.kill()
            empty.kill()


def answered_and_repainted(
    ours: TimedProgram, empty: TimedProgram, book: Book, casebook: Casebook, record: JobRecord
) -> dict[str, list[float]]:
    """Answer until there are enough; each answer is held against the disk, where it must be when it is shown."""
    rows: dict[str, list[float]] = {"answer": [], "answer alone": [], "repaint": [], "repaint alone": []}
    answers = {**book.worked[JOB].answers, **(book.worked[JOB].after_repair or {})}
    walk = on_disk(book, casebook, record)
    while len(rows["answer"]) < ANSWERS:
        assert walk.question.kind in {"gate", "check", "work", "rated"}, walk.question
        *before, last = strokes(walk, answers)
        for stroke in before:
            ours.timed(stroke)
        took = ours.timed(last, lambda text: "working …" not in text)
        further = on_disk(book, casebook, record)
        assert len(further.now.givens) == len(walk.now.givens) + 1, ours.text()
        if walk.question.kind != "gate":  # before its end nothing is proposed, and an answer costs less
            rows["answer"].append(1000 * took.seconds)
            rows["answer alone"].append(1000 * took.alone)
            repaint = empty.timed("x")
            rows["repaint"].append(1000 * repaint.seconds)
            rows["repaint alone"].append(1000 * repaint.alone)
        walk = further
    return rows


def on_disk(book: Book, casebook: Casebook, record: JobRecord) -> Walk:
    """Return the job as another seat reads it."""
    return Walk.resume(book, tuple(stored.entry for stored in casebook.entries(record)))


def centile_95(values: list[float]) -> float:
    """Return the smallest value that 95 of 100 do not pass."""
    return sorted(values)[math.ceil(0.95 * len(values)) - 1]


def test_answer_is_durable_weighed_and_shown_at_once(milliseconds: list[dict[str, list[float]]]) -> None:
    """From the key to the last changed cell, with ranking and proposal: two dozen one-line repaints, no more."""
    alone = [min(rounds) for rounds in zip(*(each["answer alone"] for each in milliseconds), strict=True)]
    passed = [took for each in milliseconds for took in each["answer"]]
    p95 = centile_95(alone)
    repaint = statistics.median(took for each in milliseconds for took in each["repaint alone"])
    measured(
        "answer_latency",
        p95_ms=round(p95, 1),
        repaint_ms=round(repaint, 2),
        ratio=round(p95 / repaint, 1),
        median_ms=round(statistics.median(alone), 1),
        p95_as_it_passed_ms=round(centile_95(passed), 1),
        answers=len(alone),
    )
    assert len(alone) >= 30
    assert p95 <= ALLOWED * repaint, [round(one) for one in alone]
