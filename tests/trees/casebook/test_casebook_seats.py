"""Several seats on one store, as programs of their own: none loses, doubles or reorders what another keeps."""

from __future__ import annotations

import os
from pathlib import Path

import pytest
from measured import measured
from programs import Start, hear, tell
from small_book import small_book
from stores import ENGINES, EngineName, Store, empty_store

from trees.casebook import AnsweredElsewhereError, Casebook, JobRecord
from trees.walk import Entry, Walk

SEATS = ("bench", "helpline", "hut", "harbour", "slip", "quay", "van", "store")

ANSWERS = int(os.environ.get("SOOTLINE_TEST_ANSWERS", "200"))
"""Answers of all seats together; 2000 for the long run."""

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

TAKER = """
import sys
from trees.casebook import Casebook
from trees.walk import Entry
with Casebook.open(sys.argv[1], seat="bench") as book:
    (row,) = book.jobs()
    no = row.entries
    for kind, data in (
        ("taken_up", {"seat": "bench", "date": "2026-03-03"}),
        ("place", {"place": "bench"}),
        ("note", {"text": "On the bench"}),
    ):
        no = book.append(book.job(row.number), Entry(kind, data), no + 1).no
    print(f"saw {row.elsewhere('bench')}, {row.entries} entries", flush=True)
"""

CLOCKED = """
import sys
from datetime import UTC, datetime
from trees.casebook import Casebook
from trees.walk import Entry
when = datetime(int(sys.argv[2]), 1, 1, tzinfo=UTC)
with Casebook.open(sys.argv[1], clock=lambda: when) as book:
    job = book.job("J-0001")
    for line in sys.stdin:
        book.append(job, Entry("note", {"text": "x"}), int(line))
        print("kept", flush=True)
"""


def test_two_writers_of_one_step(store: Store, began: Entry, programs: Start) -> None:
    """Two programs that answer the same step at the same time: one wins, the other is told who did."""
    with Casebook.open(store.where) as casebook:
        job = casebook.new_job([began])
        bench, helpline = programs(RIVAL, store.where, "bench"), programs(RIVAL, store.where, "helpline")
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


def test_many_writers_lose_nothing(store: Store, began: Entry, programs: Start) -> None:
    """Several programs that write into one job at once: no answer is lost or doubled, each one's order is kept."""
    each = ANSWERS // len(SEATS)
    with Casebook.open(store.where) as casebook:
        job = casebook.new_job([began])
        running = [programs(HURRIED, store.where, seat, each) for seat in SEATS]
        assert [program.wait(timeout=600) for program in running] == [0] * len(SEATS)
        stored = casebook.entries(job)[1:]
    assert [one.no for one in stored] == list(range(2, 2 + len(SEATS) * each))
    for seat in SEATS:
        own = [one.entry.data["answer"] for one in stored if one.seat == seat]
        assert own == [f"{seat}:{n}" for n in range(each)]
    assert store.is_sound()
    wanted = len(SEATS) * each
    found = len({one.entry.data["answer"] for one in stored})
    measured("seats", writers=len(SEATS), answers=wanted, lost=wanted - found, doubled=len(stored) - found)


@pytest.mark.parametrize("engine", ENGINES)
def test_many_programs_make_one_casebook(engine: EngineName, tmp_path: Path, programs: Start) -> None:
    """Programs that start at once where there is no casebook yet make one, and each gets a number of its own."""
    running = [programs(FOUNDER) for _ in range(4)]
    assert [hear(program) for program in running] == ["ready"] * 4
    for round_no in range(12):
        folder = tmp_path / f"round{round_no}"
        with empty_store(engine, folder) as store:
            for program in running:
                tell(program, store.where)
            assert sorted(hear(program) for program in running) == [f"J-{no:04d}" for no in range(1, 5)]
            assert store.is_sound()


def test_call_handed_over_to_the_bench(store: Store, programs: Start) -> None:
    """A call that one seat began and another takes up keeps its trail: both seats' entries, in order, one walk."""
    book = small_book()
    with Casebook.open(store.where, seat="helpline") as helpline:
        walk = Walk.begin(book, words="Smokes", tree=next(iter(book.trees)), place="phone")
        walk = walk.taken_up("helpline", "2026-03-02")
        job = helpline.new_job(walk.entries, fingerprint=book.fingerprint)
        assert hear(programs(TAKER, store.where)) == f"saw helpline, {len(walk.entries)} entries"
        (row,) = helpline.jobs()
        assert row.elsewhere("helpline") == "bench"
        stored = helpline.entries(job)
        assert [one.seat for one in stored] == ["helpline"] * len(walk.entries) + ["bench"] * 3
        assert [one.entry.kind for one in stored[-3:]] == ["taken_up", "place", "note"]
        with pytest.raises(AnsweredElsewhereError) as caught:
            helpline.append(job, Entry("note", {"text": "Still here"}), len(walk.entries) + 1)
    assert caught.value.newer == stored[-3:]
    resumed = Walk.resume(book, (one.entry for one in stored))
    assert (resumed.entries[: len(walk.entries)], resumed.now.place) == (walk.entries, "bench")


def test_programs_whose_clocks_differ(store: Store, began: Entry, programs: Start) -> None:
    """Seats whose clocks are years apart answer in turn: the order is that of answering, each with its own time."""
    with Casebook.open(store.where) as casebook:
        job = casebook.new_job([began])
        late, early = programs(CLOCKED, store.where, 2031), programs(CLOCKED, store.where, 2001)
        for no in range(2, 10):
            seat = late if no % 2 else early
            tell(seat, no)
            assert hear(seat) == "kept"
        stored = casebook.entries(job)[1:]
    assert [one.no for one in stored] == list(range(2, 10))
    assert [one.at[:4] for one in stored] == ["2001", "2031"] * 4


def test_threads_of_one_program(store: Store, casebook: Casebook, began: Entry) -> None:
    """Threads of one program may use one casebook: each job gets all its entries."""
    from concurrent.futures import ThreadPoolExecutor

    with Casebook.open(store.where, busy_s=30) as shared, ThreadPoolExecutor(4) as pool:

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
