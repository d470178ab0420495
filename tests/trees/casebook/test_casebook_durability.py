"""Nothing acknowledged is lost: killed programs and cut power."""

from __future__ import annotations

import os
import random
import shutil
import signal
import sqlite3
from collections.abc import Callable
from contextlib import closing
from pathlib import Path

from measured import measured
from programs import Program, Start, hear, tell
from stores import Store

from trees.casebook import Casebook
from trees.walk import Entry

MakeAnswer = Callable[[str], Entry]

ROUNDS = int(os.environ.get("SOOTLINE_TEST_KILLS", "30"))
"""Programs that are killed with signal 9, on each engine; 100 for the long run."""

# One program loads everything once and splits off one that answers per round: starting Python a hundred times would
# take minutes. What is killed is a process of its own with connections of its own.
ANSWERING = """
import os, sys
from trees.casebook import Casebook
from trees.casebook import erase, reading, search, transfer
from trees.walk import Entry
def answer():
    book = Casebook.open(sys.argv[1], busy_s=30)
    job = book.job("J-0001")
    no = book.summary(job).entries
    while True:
        no += 1
        kind, data = ("note", {"text": f"note {no}"}) if no % 3 == 0 else ("answer", {"check": "c", "answer": f"a{no}"})
        book.append(job, Entry(kind, data, f"visit/{no}"), no)
        print(no, flush=True)
for line in sys.stdin:
    child = os.fork()
    if not child:
        print("pid", os.getpid(), flush=True)
        answer()
    _, status = os.waitpid(child, 0)
    print("ended by", os.WTERMSIG(status), flush=True)
"""


def answers_until_killed(program: Program, after: int) -> int:
    """Let the program split one off and kill that after so many answers; returns the last one acknowledged."""
    tell(program, "go")
    pid = int(hear(program).removeprefix("pid "))
    last, heard = 0, 0
    while True:
        said = hear(program)
        if said.startswith("ended"):
            assert said == f"ended by {int(signal.SIGKILL)}"
            return last
        last, heard = int(said), heard + 1
        if heard == after:
            os.kill(pid, signal.SIGKILL)


def test_killed_in_the_middle(store: Store, began: Entry, programs: Start) -> None:
    """However often a program is killed while it keeps answers, each acknowledged one is there, without a gap."""
    with Casebook.open(store.where) as casebook:
        job = casebook.new_job([began])
    acknowledged, program = 1, programs(ANSWERING, store.where)
    for round_no in range(ROUNDS):
        acknowledged = answers_until_killed(program, random.Random(round_no).randint(1, 12)) or acknowledged
        store.settle()
        with Casebook.open(store.where) as casebook:
            stored = casebook.entries(job)
            (row,) = casebook.jobs()
        # The one entry that may be there without having been acknowledged is the one in hand when the signal came.
        assert len(stored) - acknowledged in {0, 1}
        assert row.entries == len(stored)
        assert store.is_sound()
        acknowledged = len(stored)
    assert [one.no for one in stored] == list(range(1, len(stored) + 1))
    for one in stored[1:]:
        said = one.entry.data.get("answer") or one.entry.data["text"]
        assert (said, one.entry.visit) == (f"note {one.no}" if one.no % 3 == 0 else f"a{one.no}", f"visit/{one.no}")
    with Casebook.open(store.where) as casebook:
        assert len(casebook.find(f"note {len(stored) - len(stored) % 3}")) == 1
    assert acknowledged > ROUNDS
    # each round held that no acknowledged entry was missing, or this line is not reached
    measured("killed", lost=0, shown=acknowledged, kills=ROUNDS)


def copy_as_cut(path: Path, folder: Path) -> Path:
    """Copy what a cut of the power leaves: the file and its log, without the shared memory."""
    folder.mkdir()
    for name in (path.name, f"{path.name}-wal"):
        if path.with_name(name).exists():
            shutil.copy(path.with_name(name), folder / name)
    return folder / path.name


def test_power_cut_after_each_answer(
    path: Path, tmp_path: Path, file_casebook: Casebook, began: Entry, answer: MakeAnswer
) -> None:
    """Whenever the power fails after an answer was acknowledged, the files on disk hold that answer and all before."""
    job = file_casebook.new_job([began])
    for no in range(2, 14):
        file_casebook.append(job, answer(f"a{no}"), no)
        with Casebook.open(copy_as_cut(path, tmp_path / f"cut{no}")) as after:
            assert after.entries(job) == file_casebook.entries(job)


def test_log_cut_off_anywhere(
    path: Path, tmp_path: Path, file_casebook: Casebook, began: Entry, answer: MakeAnswer
) -> None:
    """A log that ends anywhere in a half-written answer gives the answers before it, whole and without a gap."""
    job = file_casebook.new_job([began])
    whole = [file_casebook.append(job, answer(f"a{no}"), no) for no in range(2, 10)]
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


def test_cut_while_the_log_is_written_back(
    path: Path, tmp_path: Path, file_casebook: Casebook, began: Entry, answer: MakeAnswer
) -> None:
    """A cut while the log goes back into the file, any sectors of it old and any new, loses nothing."""
    job = file_casebook.new_job([began])
    for no in range(2, 40):
        file_casebook.append(job, answer(f"a{no}") if no % 2 else Entry("note", {"text": f"wet {no}"}), no)
    expected = file_casebook.entries(job)
    before, log = path.read_bytes(), path.with_name(f"{path.name}-wal").read_bytes()
    with closing(sqlite3.connect(path)) as other:
        assert other.execute("PRAGMA wal_checkpoint(FULL)").fetchone()[0] == 0
    after = path.read_bytes()
    assert after != before
    for size in (512, 4096):
        for seed in range(10):
            chance, folder = random.Random(seed), tmp_path / f"mixed{size}_{seed}"
            folder.mkdir()
            mixed = b"".join(
                chance.choice((before[at : at + size] or after[at : at + size], after[at : at + size]))
                for at in range(0, len(after), size)
            )
            (folder / path.name).write_bytes(mixed)
            (folder / f"{path.name}-wal").write_bytes(log)
            with Casebook.open(folder / path.name) as casebook:
                assert casebook.entries(job) == expected
                assert len(casebook.find("wet 38")) == 1
            assert Store(str(folder / path.name), "sqlite").is_sound()
