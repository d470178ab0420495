"""Who has a job open: shown to the other seats at once, gone when the program is; and what they did is seen at once."""

from __future__ import annotations

import signal
import time
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from programs import Start, hear, tell
from stores import Store

from trees.casebook import Casebook
from trees.casebook.presence import ALIVE_S, BEAT_S
from trees.walk import Entry

WITHIN_S = 2.0
"""After how long another seat has to know (issue 8, point 3)."""

SEAT = """
import sys
from trees.casebook import Casebook
from trees.walk import Entry
with Casebook.open(sys.argv[1], seat=sys.argv[2], busy_s=30) as book:
    job = book.job("J-0001")
    for line in sys.stdin:
        act, _, rest = line.strip().partition(" ")
        if act == "come":
            book.come(job)
        elif act == "leave":
            book.leave(job)
        elif act == "answer":
            book.append(job, Entry("answer", {"check": "c", "answer": "a"}), int(rest))
        print("done", flush=True)
        if act == "end":
            break
"""


@pytest.fixture
def casebook(store: Store) -> Iterator[Casebook]:
    """Return a casebook that goes by the clock of the machine, as the programs of the other seats do."""
    with Casebook.open(store.where, seat="bench", busy_s=5) as opened:
        yield opened


def seen_by(casebook: Casebook) -> list[str]:
    return [one.seat for one in casebook.presence(casebook.job("1"))]


def test_seats_see_each_other(store: Store, casebook: Casebook, began: Entry, programs: Start) -> None:
    """A program that opens a job is seen by the others from that moment, by seat and time, until it leaves or ends."""
    job = casebook.new_job([began])
    other = programs(SEAT, store.where, "helpline")
    for act, expected in (("come", ["helpline"]), ("leave", []), ("come", ["helpline"]), ("end", [])):
        tell(other, act)
        assert hear(other) == "done"
        if act == "end":
            other.wait(timeout=30)
        assert seen_by(casebook) == expected
    casebook.come(job)
    assert casebook.presence(job) == ()  # nobody is told of himself
    with Casebook.open(store.where, seat="helpline") as helpline:
        assert [one.seat for one in helpline.presence(job)] == ["bench"]


def test_answers_are_known_in_time(store: Store, casebook: Casebook, began: Entry, programs: Start) -> None:
    """From the moment an answer is acknowledged at one seat, another that looks sees it, well within two seconds."""
    job = casebook.new_job([began])
    other, slowest = programs(SEAT, store.where, "helpline"), 0.0
    for no in range(2, 22):
        tell(other, f"answer {no}")
        assert hear(other) == "done"
        begin = time.monotonic()
        news = casebook.news(job, no - 1)
        slowest = max(slowest, time.monotonic() - begin)
        assert [one.no for one in news.newer] == [no]
        assert casebook.news(job, no).newer == ()
        assert [one.no for one in casebook.changed_since(job, 0)] == list(range(1, no + 1))
    assert slowest < WITHIN_S - 1.0  # a screen looks every second


def test_killed_program_is_gone_after_a_while(store: Store, casebook: Casebook, began: Entry, programs: Start) -> None:
    """The sign of a program that was killed counts no more after a while, and is cleared away by who comes next."""
    job = casebook.new_job([began])
    other = programs(SEAT, store.where, "helpline")
    tell(other, "come")
    assert hear(other) == "done"
    other.send_signal(signal.SIGKILL)
    other.wait(timeout=30)
    assert seen_by(casebook) == ["helpline"]
    store.execute("UPDATE presence SET beat_ms = beat_ms - ?", int(ALIVE_S * 1000) + 1)
    assert seen_by(casebook) == []
    casebook.come(job)
    assert store.execute("SELECT seat FROM presence") == [("bench",)]


def test_clock_set_back_leaves_no_ghost(path: Path, began: Entry) -> None:
    """After the clock of the machine was set back, a sign from the future counts no more, one renewed does."""
    now = [datetime(2026, 3, 2, 8, tzinfo=UTC)]
    with (
        Casebook.open(path, clock=lambda: now[0], seat="bench") as bench,
        Casebook.open(path, clock=lambda: now[0], seat="hut") as hut,
    ):
        job = bench.new_job([began])
        hut.come(job)
        assert seen_by(bench) == ["hut"]
        now[0] -= timedelta(hours=1)
        assert seen_by(bench) == []
        hut.come(job)
        assert seen_by(bench) == ["hut"]


def test_sign_is_renewed_while_looking(store: Store, casebook: Casebook, began: Entry) -> None:
    """Who looks for news keeps its sign alive; since when it is there stays as it was; a seat's new name is told."""
    job = casebook.new_job([began])
    casebook.come(job)
    ((since, beat),) = store.execute("SELECT since, beat_ms FROM presence")
    casebook.news(job, 1)
    assert store.execute("SELECT since, beat_ms FROM presence") == [(since, beat)]  # fresh: nothing is written
    casebook._at[job.id] = (since, time.monotonic() - BEAT_S - 1)
    casebook.seat = "slip"
    casebook.news(job, 1)
    ((again, later, seat),) = store.execute("SELECT since, beat_ms, seat FROM presence")
    assert (again, later > beat, seat) == (since, True, "slip")


def test_own_window_is_another_program(store: Store, casebook: Casebook, began: Entry) -> None:
    """A second window of the same seat is shown too: it also can be first at a step."""
    job = casebook.new_job([began])
    with Casebook.open(store.where, seat=casebook.seat) as second:
        second.come(job)
        assert seen_by(casebook) == [casebook.seat]
    assert seen_by(casebook) == []


def test_signs_are_no_part_of_the_record(casebook: Casebook, began: Entry) -> None:
    """Coming and going leaves nothing in the export and is no entry."""
    job = casebook.new_job([began])
    before = list(casebook.export())
    casebook.come(job)
    assert list(casebook.export()) == before
