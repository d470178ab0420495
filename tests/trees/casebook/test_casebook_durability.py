"""Nothing acknowledged is lost: killed programs and cut power."""

from __future__ import annotations

import random
import shutil
import signal
from collections.abc import Callable
from pathlib import Path

from programs import Start, hear
from stores import Store

from trees.casebook import Casebook
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


def test_killed_in_the_middle(store: Store, began: Entry, programs: Start) -> None:
    """However often a program is killed while it keeps answers, each acknowledged one is there, without a gap."""
    with Casebook.open(store.where) as casebook:
        job = casebook.new_job([began])
    acknowledged = 1
    for round_no in range(ROUNDS):
        program = programs(ANSWERING, store.where)
        for _ in range(random.Random(round_no).randint(1, 60)):
            acknowledged = int(hear(program))
        program.send_signal(signal.SIGKILL)
        left, _ = program.communicate(timeout=30)
        acknowledged = max([acknowledged, *map(int, left.split())])
        assert program.returncode == -signal.SIGKILL
        store.settle()

        with Casebook.open(store.where) as casebook:
            stored = casebook.entries(job)
            (row,) = casebook.jobs()
        assert [one.no for one in stored] == list(range(1, len(stored) + 1))
        # The one entry that may be there without having been acknowledged is the one in hand when the signal came.
        assert len(stored) - acknowledged in {0, 1}
        for one in stored[1:]:
            said = one.entry.data.get("answer") or one.entry.data["text"]
            assert (said, one.entry.visit) == (f"note {one.no}" if one.no % 3 == 0 else f"a{one.no}", f"visit/{one.no}")
        assert row.entries == len(stored)
        assert store.is_sound()
    assert acknowledged > ROUNDS


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
