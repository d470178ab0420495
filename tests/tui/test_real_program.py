"""The real program in a pseudo-terminal: killed in the middle of a job, it stands where it stood."""

from __future__ import annotations

import os
import random
from pathlib import Path

import pytest
from real_program import RealProgram

from trees.casebook import Casebook


def start(store: Path, **size: int) -> RealProgram:
    """Start the screen on a casebook."""
    return RealProgram(["--store", str(store), "--seat", "bench one"], **size)


def begin_job(program: RealProgram) -> None:
    """Begin a job and pass the safety questions."""
    program.until("No job is open")
    program.keys("n")
    program.until("What does the customer say?")
    program.keys("smokes white when it starts\r")
    program.until("Safety first")
    for _ in range(20):
        if "Safety first" not in program.text():
            break
        before = program.text()
        program.keys("1\r")
        program.until(lambda text, before=before: text != before and "▶" not in text)
    program.until("201")


def test_killed_in_the_middle_of_a_job_it_stands_where_it_stood(tmp_path: Path) -> None:
    """Signal 9 after an answer: started again, the job asks the very next question, with the answer in its trail."""
    store = tmp_path / "casebook.db"
    program = start(store)
    begin_job(program)
    program.keys("r")
    program.until("0  Cannot tell")
    program.keys("1")
    program.until("205")  # the step after it stands on the screen, so the answer is on disk
    program.kill()

    again = start(store)
    again.until("J-0001")
    again.keys("\r")
    text = again.until("205")
    assert "White or blue smoke" in text
    again.keys("\x11")
    assert again.finish() == 0
    with Casebook.open(store, seat="reader") as casebook:
        entries = casebook.entries(casebook.job("1"))
    assert [e.no for e in entries] == list(range(1, len(entries) + 1))
    assert entries[-1].entry.data == {"check": "raw_fuel_look", "answer": "dry"}


@pytest.mark.parametrize("seed", range(3))
def test_killed_at_a_random_moment_nothing_shown_is_lost(tmp_path: Path, seed: int) -> None:
    """Whatever the screen had moved on from is on disk, however the moment of the kill falls."""
    moment = random.Random(seed)
    store = tmp_path / "casebook.db"
    program = start(store)
    program.until("No job is open")
    program.keys("n")
    program.until("What does the customer say?")
    program.keys("smokes white\r")
    program.until("Safety first")
    shown = 0
    for step in range(1, 2 + moment.randrange(5)):
        program.keys("1\r")
        program.until(lambda text, step=step: f" {step} " not in text.split("\n")[2] and "▶" not in text)
        shown = step
    program.keys("1\r")  # and one more, cut off at any point of its way
    program.read(moment.random() * 0.02)
    program.kill()
    with Casebook.open(store, seat="reader") as casebook:
        answers = [e.entry for e in casebook.entries(casebook.job("1")) if e.entry.kind == "answer"]
    assert len(answers) in {shown, shown + 1}


def test_terminal_that_goes_without_a_signal_ends_the_program(tmp_path: Path) -> None:
    """A window closed in the middle of a job: the program ends in good order, what was answered is on disk."""
    program = RealProgram(["--store", str(tmp_path / "casebook.db"), "--seat", "one"], home=tmp_path / "home")
    begin_job(program)
    program.keys("r")
    program.until("0  Cannot tell")
    program.keys("1")
    program.until("205")
    assert program.hang_up() == 0
    with Casebook.open(tmp_path / "casebook.db", seat="reader") as casebook:
        assert casebook.entries(casebook.job("1"))[-1].entry.data == {"check": "raw_fuel_look", "answer": "dry"}
    assert not list(Path(os.environ["HOME"]).parent.rglob("fault-*"))


def test_plain_mode_ends_with_its_terminal(tmp_path: Path) -> None:
    """Line by line the same: no fault is written down where only the terminal went away."""
    program = RealProgram(["--plain", "--store", str(tmp_path / "casebook.db"), "--seat", "one"])
    program.until("0 open jobs")
    program.keys("new smokes white\r\r")
    program.until("J-0001 begun")
    program.hang_up()
    with Casebook.open(tmp_path / "casebook.db", seat="reader") as casebook:
        assert casebook.job("1").number == "J-0001"
    assert not list(tmp_path.rglob("fault-*"))


def test_demo_opens_twelve_invented_jobs(tmp_path: Path) -> None:
    """`sootline demo` shows the open ones, `l` all twelve, each marked invented; nothing is left in the data folder."""
    program = RealProgram(["demo"], columns=120, rows=40, home=tmp_path / "home")
    program.until("D-12")
    program.keys("l")
    text = program.until("D-01")
    assert sum(f"D-{n:02d}" in text for n in range(1, 13)) == 12
    assert "Invented workshop" in text
    program.keys("\x11")
    assert program.finish() == 0
    left = [path.name for path in (tmp_path / "home").rglob("*") if path.is_file() and ".cache" not in path.parts]
    assert left == []


def test_small_terminal_gets_one_sentence(tmp_path: Path) -> None:
    """Below 60 by 20 the screen is not opened: one sentence, status 2, no casebook made."""
    program = start(tmp_path / "casebook.db", columns=50, rows=15)
    status = program.finish()
    assert status == 2
    assert "This terminal is 50 by 15" in " ".join(program.text().split())
    assert not (tmp_path / "casebook.db").exists()


def test_fault_of_the_program_is_one_sentence(tmp_path: Path) -> None:
    """No traceback reaches a user: the screen ends with a sentence, the details are kept in a file."""
    broken = "import tui.screens.day_list as d\nd.DayList.action_new = lambda self: 1 / 0"
    home = tmp_path / "home"
    program = RealProgram(["--store", str(tmp_path / "c.db"), "--seat", "one"], home=home, before=broken)
    program.until("No job is open")
    program.keys("n")
    status = program.finish()
    told = " ".join(program.text().split())
    assert status == 2
    assert "The program has a fault" in told
    assert "Traceback" not in told
    (kept,) = Path(os.environ["HOME"]).parent.rglob("fault-*.txt")
    assert "ZeroDivisionError" in kept.read_text()
