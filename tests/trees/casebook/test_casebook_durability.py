"""Nothing acknowledged is lost: killed programs, cut power, and several seats on one store at once."""

from __future__ import annotations

import random
import shutil
import signal
import sqlite3
import subprocess
import sys
from collections.abc import Callable, Iterator
from contextlib import ExitStack
from pathlib import Path

import pytest

from trees.casebook import Casebook, JobRecord
from trees.walk import Entry

MakeAnswer = Callable[[str], Entry]

ROUNDS = 10
"""Kills in this suite; the same test with more rounds is a matter of this number."""

ANSWERING = """
import sys
from trees.casebook import Casebook
from trees.walk import Entry
book = Casebook.open(sys.argv[1])
job = book.job("J-0001")
no = len(book.entries(job))
while True:
    no += 1
    kind, data = ("note", {"text": f"note {no}"}) if no % 3 == 0 else ("answer", {"check": "c", "answer": f"a{no}"})
    book.append(job, Entry(kind, data, f"visit/{no}"), no)
    print(no, flush=True)
"""

RIVAL = """
import sys
from trees.casebook import Casebook
from trees.errors import TakenElsewhereError
from trees.walk import Entry
book = Casebook.open(sys.argv[1], seat=sys.argv[2])
job = book.job("J-0001")
print("ready", flush=True)
for line in sys.stdin:
    no = int(line)
    try:
        book.append(job, Entry("answer", {"check": "c", "answer": sys.argv[2]}), no)
        print("won", flush=True)
    except TakenElsewhereError as error:
        print("lost to", error.newer[0].seat, error.newer[0].no, flush=True)
book.close()
"""

HURRIED = """
import sys
from trees.casebook import Casebook
from trees.errors import TakenElsewhereError
from trees.walk import Entry
book = Casebook.open(sys.argv[1], seat=sys.argv[2], busy_s=30)
job = book.job("J-0001")
no = 2
for own in range(int(sys.argv[3])):
    while True:
        try:
            no = 1 + book.append(job, Entry("answer", {"check": "c", "answer": f"{sys.argv[2]}:{own}"}), no).no
            break
        except TakenElsewhereError as error:
            no = error.newer[-1].no + 1
book.close()
"""

FOUNDER = """
import sys
from trees.casebook import Casebook
from trees.walk import Entry
print("ready", flush=True)
for line in sys.stdin:
    with Casebook.open(line.strip(), busy_s=30) as book:
        print(book.new_job([Entry("began", {"words": "Smokes", "tree": "smoke"})]).number, flush=True)
"""


@pytest.fixture
def programs() -> Iterator[Callable[..., subprocess.Popen[str]]]:
    """Start scripts as programs of their own; whatever is left of them ends with the test."""
    with ExitStack() as stack:

        def start(script: str, *arguments: object) -> subprocess.Popen[str]:
            command = [sys.executable, "-W", "error", "-c", script, *map(str, arguments)]
            program = stack.enter_context(
                subprocess.Popen(command, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True)
            )
            stack.callback(program.kill)
            return program

        yield start


def tell(program: subprocess.Popen[str], line: object) -> None:
    assert program.stdin is not None
    print(line, file=program.stdin, flush=True)


def hear(program: subprocess.Popen[str]) -> str:
    assert program.stdout is not None
    return program.stdout.readline().strip()


def sound(path: Path) -> bool:
    other = sqlite3.connect(path)
    try:
        return bool(other.execute("PRAGMA integrity_check").fetchone() == ("ok",))
    finally:
        other.close()


def test_killed_in_the_middle(path: Path, began: Entry, programs: Callable[..., subprocess.Popen[str]]) -> None:
    """However often a program is killed while it keeps answers, each acknowledged one is there, without a gap."""
    with Casebook.open(path) as casebook:
        job = casebook.new_job([began])
    acknowledged = 1
    for round_no in range(ROUNDS):
        program = programs(ANSWERING, path)
        for _ in range(random.Random(round_no).randint(1, 60)):
            acknowledged = int(hear(program))
        program.send_signal(signal.SIGKILL)
        left, _ = program.communicate(timeout=30)
        acknowledged = max([acknowledged, *map(int, left.split())])
        assert program.returncode == -signal.SIGKILL

        with Casebook.open(path) as casebook:
            stored = casebook.entries(job)
            (row,) = casebook.jobs()
        assert [one.no for one in stored] == list(range(1, len(stored) + 1))
        # The one entry that may be there without having been acknowledged is the one in hand when the signal came.
        assert len(stored) - acknowledged in {0, 1}
        for one in stored[1:]:
            said = one.entry.data.get("answer") or one.entry.data["text"]
            assert (said, one.entry.visit) == (f"note {one.no}" if one.no % 3 == 0 else f"a{one.no}", f"visit/{one.no}")
        assert row.entries == len(stored)
        assert sound(path)
    assert acknowledged > ROUNDS


def copy_as_cut(path: Path, folder: Path) -> Path:
    """Copy what a cut of the power leaves: the file and its log, without the shared memory."""
    folder.mkdir()
    for name in (path.name, f"{path.name}-wal"):
        if path.with_name(name).exists():
            shutil.copy(path.with_name(name), folder / name)
    return folder / path.name


def test_power_cut_after_each_answer(
    path: Path, tmp_path: Path, casebook: Casebook, began: Entry, answer: MakeAnswer
) -> None:
    """Whenever the power fails after an answer was acknowledged, the files on disk hold that answer and all before."""
    job = casebook.new_job([began])
    for no in range(2, 14):
        casebook.append(job, answer(f"a{no}"), no)
        with Casebook.open(copy_as_cut(path, tmp_path / f"cut{no}")) as after:
            assert after.entries(job) == casebook.entries(job)


def test_log_cut_off_anywhere(path: Path, tmp_path: Path, casebook: Casebook, began: Entry, answer: MakeAnswer) -> None:
    """A log that ends anywhere in a half-written answer gives the answers before it, whole and without a gap."""
    job = casebook.new_job([began])
    whole = [casebook.append(job, answer(f"a{no}"), no) for no in range(2, 10)]
    log = path.with_name(f"{path.name}-wal")
    size, found = log.stat().st_size, set()
    for number, length in enumerate(range(size, 0, -size // 40)):
        copy = copy_as_cut(path, tmp_path / f"cut{number}")
        with copy.with_name(log.name).open("r+b") as file:
            file.truncate(length)
        with Casebook.open(copy) as after:
            rows = after.jobs()
            stored = after.entries(job) if rows else ()
        assert list(stored[1:]) == whole[: max(len(stored) - 1, 0)]
        assert [row.entries for row in rows] == [len(stored)] * len(rows)
        found.add(len(stored))
    assert {0, 9} < found  # the cuts met both ends and what is between


def test_two_writers_of_one_step(path: Path, began: Entry, programs: Callable[..., subprocess.Popen[str]]) -> None:
    """Two programs that answer the same step at the same time: one wins, the other is told who did."""
    with Casebook.open(path) as casebook:
        job = casebook.new_job([began])
        bench, helpline = programs(RIVAL, path, "bench"), programs(RIVAL, path, "helpline")
        assert (hear(bench), hear(helpline)) == ("ready", "ready")
        winners = []
        for no in range(2, 42):
            rivals = (bench, helpline) if no % 2 else (helpline, bench)
            for rival in rivals:
                tell(rival, no)
            heard = {"bench": hear(bench), "helpline": hear(helpline)}
            (winner,) = [seat for seat, said in heard.items() if said == "won"]
            (loser,) = heard.keys() - {winner}
            assert heard[loser] == f"lost to {winner} {no}"
            winners.append(winner)
        stored = casebook.entries(job)[1:]
    assert [one.seat for one in stored] == [one.entry.data["answer"] for one in stored] == winners


def test_many_writers_lose_nothing(path: Path, began: Entry, programs: Callable[..., subprocess.Popen[str]]) -> None:
    """Several programs that write into one job at once: no answer is lost or doubled, each one's order is kept."""
    seats, each = ("bench", "helpline", "hut", "harbour"), 25
    with Casebook.open(path) as casebook:
        job = casebook.new_job([began])
        running = [programs(HURRIED, path, seat, each) for seat in seats]
        assert [program.wait(timeout=60) for program in running] == [0] * len(seats)
        stored = casebook.entries(job)[1:]
    assert [one.no for one in stored] == list(range(2, 2 + len(seats) * each))
    for seat in seats:
        own = [one.entry.data["answer"] for one in stored if one.seat == seat]
        assert own == [f"{seat}:{n}" for n in range(each)]


def test_many_programs_make_one_casebook(tmp_path: Path, programs: Callable[..., subprocess.Popen[str]]) -> None:
    """Programs that start at once where there is no casebook yet make one, and each gets a number of its own."""
    running = [programs(FOUNDER) for _ in range(4)]
    assert [hear(program) for program in running] == ["ready"] * 4
    for round_no in range(12):
        path = tmp_path / f"round{round_no}" / "casebook.sqlite3"
        for program in running:
            tell(program, path)
        assert sorted(hear(program) for program in running) == [f"J-{no:04d}" for no in range(1, 5)]
        assert sound(path)


def test_threads_of_one_program(path: Path, casebook: Casebook, began: Entry) -> None:
    """Threads of one program may use one casebook: each job gets all its entries."""
    from concurrent.futures import ThreadPoolExecutor

    with Casebook.open(path, busy_s=30) as shared, ThreadPoolExecutor(4) as pool:

        def work(_: int) -> JobRecord:
            job = shared.new_job([began])
            for no in range(2, 12):
                shared.append(job, Entry("note", {"text": f"{job.number} {no}"}), no)
            return job

        jobs = list(pool.map(work, range(8)))
    assert len({job.number for job in jobs}) == 8
    for job in jobs:
        texts = [one.entry.data["text"] for one in casebook.entries(job)[1:]]
        assert texts == [f"{job.number} {no}" for no in range(2, 12)]
