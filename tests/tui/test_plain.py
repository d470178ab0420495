"""Plain mode as a real process with pipes: the same walk and casebook as the screen, one line at a time."""

from __future__ import annotations

import os
import re
import signal
import subprocess
import sys
from io import StringIO
from pathlib import Path

import pytest
from shell import sootline
from shipped_book import shipped

from trees.casebook import Casebook
from trees.walk import Walk
from tui.plain import Dialogue
from tui.plain_job import PlainJob
from tui.plain_talk import Talk
from tui.workshop import OpenJob, Workshop

START = ["new smokes white when it starts", "1"]


@pytest.fixture
def store(tmp_path: Path) -> Path:
    """Return where the casebook of a run lies."""
    return tmp_path / "casebook.sqlite3"


def talk(store: Path, *lines: str, seat: str = "one") -> str:
    """Run plain mode on these lines and return what it printed."""
    run = sootline("--store", store, "--seat", seat, "--plain", typed="\n".join(lines) + "\n")
    assert run.returncode == 0, run.stderr
    assert run.stderr == ""
    return run.stdout


def kinds(store: Path, number: str = "1") -> list[str]:
    """Return the kinds of the entries of a job."""
    with Casebook.open(store, create=False, seat="reader") as casebook:
        return [stored.entry.kind for stored in casebook.entries(casebook.job(number))]


def answers(store: Path, number: str = "1") -> list[dict[str, object]]:
    """Return what was answered at checks, in order."""
    with Casebook.open(store, create=False, seat="reader") as casebook:
        entries = [stored.entry for stored in casebook.entries(casebook.job(number))]
    return [dict(e.data) for e in entries if e.kind == "answer" and "check" in e.data]


@pytest.fixture(scope="module")
def begun() -> list[str]:
    """Return the lines to the first question of the tree: the safety questions of the shipped book, one by one."""
    walk = Walk.begin(shipped(), words="smokes", tree="smoke_on_start", place="bench")
    return [*START, *["1", "yes"] * len(walk.now.gate_left)]


async def on_small_book(workshop: Workshop, *lines: str) -> str:
    """Talk in this process, on the small book: past its gate, then these lines."""
    told = StringIO()
    typed = StringIO("\n".join(["new smokes", "1", "1", "yes", "1", "yes", *lines]) + "\n")
    await Dialogue(workshop, Talk(typed, told)).run()
    return told.getvalue()


def test_a_job_is_walked_and_the_end_of_input_leaves_it_open(store: Path, begun: list[str]) -> None:
    """Words, tree, gate, caution, answer: each is on disk; then nothing more comes and the job stays open."""
    told = talk(store, *begun, "read", "1", "yes")
    assert "Step 201" in told
    assert "Taken: " in told
    assert told.rstrip().endswith("End of input. Job J-0001 stays as it is.")
    assert kinds(store)[0] == "began"
    assert len(answers(store)) == 1
    again = talk(store, "1", "trail")
    assert "1 open job." in again
    assert "J-0001: smokes white when it starts" in again
    assert "Step 205" in again  # it stands where it stood
    assert "step 201: " in again


def test_caution_is_read_before_the_act(store: Path, begun: list[str]) -> None:
    """DANGER stands before the question, its answers are held back, and none counts until it was read."""
    told = talk(store, *begun, "1", "read")
    first, _, after = told.rpartition("Step 201, ")[0].rpartition("Step 201, ")
    danger, question = after.find("DANGER"), after.find("Question:")
    assert 0 <= danger < question
    assert "Type read once you have read it" in after
    assert "1: " not in after.partition("Not taken")[0]
    assert "Not taken: Read and acknowledge the caution first" in told
    assert first
    assert answers(store) == []
    assert "acknowledged" in kinds(store)


def test_a_stop_takes_a_second_word_and_is_final(store: Path) -> None:
    """The stopping answer waits for yes; after it nothing goes on, and the job closes only as what keeps it off."""
    told = talk(store, *START, "2", "no", "2", "2", "2", "yes", "back", "1", "conclusion", "close 1", "yes")
    assert told.count("This stops the job. Type yes") == 3
    assert told.count("Left open.") == 2  # `no`, and the digit again
    assert "STOP. This job is stopped for safety." in told
    assert told.count("Not taken: ") == 2
    assert "Released\n" not in told.rpartition("Close as")[2].replace("Not released", "")
    assert kinds(store).count("stopped") == 1
    assert kinds(store)[-1] == "closed"


def test_end_of_input_in_the_middle_of_a_second_question_takes_nothing(store: Path) -> None:
    """A pipe that breaks off before yes has not answered."""
    talk(store, *START, "2")
    assert "stopped" not in kinds(store)
    assert "answer" not in kinds(store)


def test_cannot_tell_at_the_gate_is_the_most_dangerous_answer(store: Path) -> None:
    """0 says what it counts as and waits for yes."""
    told = talk(store, *START, "0", "yes")
    assert "Cannot tell counts as: Yes" in told
    assert "stopped" in kinds(store)


def test_answers_are_taken_back_and_cannot_tell_is_an_answer(store: Path, begun: list[str]) -> None:
    """`back` takes the last answer back, 0 says cannot tell; both stay in the trail."""
    told = talk(store, *begun, "read", "1", "yes", "back", "0", "trail")
    assert [a.get("unknown", False) for a in answers(store)] == [False, True]
    assert "no longer counts: taken back" in told
    assert "Cannot tell" in told


async def test_readings_in_any_unit_and_implausible_ones_ask_again(workshop: Workshop, casebook: Casebook) -> None:
    """A number with a unit is a reading; one outside what is plausible waits for yes, nonsense is refused."""
    told = await on_small_book(workshop, "read", "2", "yes", "1", "11800", "no", "5 mm", "12100 mV")
    assert "outside what is plausible here. Type yes" in told
    assert "Left open." in told
    assert "Not taken: " in told
    entries = [stored.entry for stored in casebook.entries(casebook.job("1"))]
    (reading,) = [e.data["reading"] for e in entries if "reading" in e.data]
    assert (reading["value"], reading["typed"]) == (pytest.approx(12.1), "12100 mV")


async def test_whole_job_on_the_small_book(workshop: Workshop, casebook: Casebook) -> None:
    """Start, readings that repeat, choices, a list, work, handover, conclusion: every form of question is answered."""
    lines = ["family 1", "read", "1", "yes", "6.6 6.5 6.7", "1", "none", "no", "1", "2", "1", "12.1"]
    told = await on_small_book(workshop, *lines, "conclusion", "close 1 root not looked for", "yes")
    assert "Nothing of the list is true. Type yes" in told
    assert "End: Released" in told
    assert "Insert coked" in told
    assert casebook.jobs()[0].closed == "released"
    assert [e.entry.kind for e in casebook.entries(casebook.job("1"))][-2:] == ["release", "closed"]


async def test_readings_of_a_set_are_asked_one_by_one(workshop: Workshop, casebook: Casebook) -> None:
    """An empty line leaves one out; `take` takes the figure that follows from them."""
    book = workshop.book
    check = next(c for c in book.checks.values() if c.readings)
    told = StringIO()
    dialogue = Dialogue(workshop, Talk(StringIO("\n".join(["12 h", *[""] * 9])), told))
    walk = Walk.begin(book, words="x", tree=None, place="bench").taken_up("bench one", workshop.today())
    while walk.question.kind == "gate":
        walk = walk.answer(walk.question.options[0].id)
    walk = walk.leave_for(check.id)
    record = casebook.new_job(walk.entries)
    dialogue.open = PlainJob(dialogue.talk, OpenJob(workshop, record, walk))
    await dialogue.open.answer("enter")
    stored = casebook.entries(record)[-1].entry
    assert {name: value["value"] for name, value in stored.data["readings"].items()} == {check.readings[0].name: 12.0}
    assert check.readings[0].name in told.getvalue() or check.readings[0].label in told.getvalue()


def test_facts_note_place_and_emergency_are_kept(
    store: Path, begun: list[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Family, note, place and the opened card are entries like on the screen; the card has the local number."""
    path = store.parent / "settings.toml"
    path.write_text('emergency_number = "1414"\n')
    monkeypatch.setenv("SOOTLINE_SETTINGS", str(path))
    told = talk(store, *begun, "emergency", "family 1", "note came in a carton", "place site", "suspects", "next")
    assert "Emergency number: 1414" in told
    assert re.search(r"^1\. Everybody out into fresh air now", told, re.MULTILINE)
    assert {"emergency_card", "family", "note", "place"} <= set(kinds(store))
    assert re.search(r"^1: .+, \d+ %", told, re.MULTILINE)


def test_conclusion_and_close_with_a_second_word(store: Path, begun: list[str]) -> None:
    """The ends are numbered; closing waits for yes."""
    told = talk(store, *begun, "conclusion", "close 2", "no", "close 2", "yes")
    assert "Close as: type close, a number" in told
    assert told.count("Closes the job as: Not released.") == 2
    assert kinds(store).count("closed") == 1
    assert "0 open jobs." in talk(store)


def test_what_is_refused_is_told_and_changes_nothing(store: Path, begun: list[str]) -> None:
    """Nonsense, unknown jobs and numbers get a sentence; the program goes on."""
    told = talk(store, "J-77", *begun, "read", "hello", "99", "close 99", "why 99", "family x", "place moon", "tree")
    assert "Not taken: There is no job J-77" in told
    assert "Not taken. Type the number of a job to take it up, or: new and" in talk(store, "it only hums")
    assert "You chose: No. Type yes to take it" in talk(store, *START, "1")
    assert told.count("Not taken:") >= 5
    assert answers(store) == []


def test_no_colour_no_cursor_and_foreign_text_steers_nothing(store: Path) -> None:
    """Nothing but printable characters and line ends leaves the program, whatever is typed into it."""
    nasty = "new smokes \x1b[31mred\x1b[0m \u202e[/] white"
    told = talk(store, nasty, "1", "help", "emergency", "suspects", "trail", "conclusion")
    assert "[/] white" in told
    assert all(char == "\n" or char.isprintable() for char in told), sorted({c for c in told if not c.isprintable()})


@pytest.mark.parametrize("coding", ["latin-1", "ascii", "utf-8"])
def test_what_a_terminal_can_not_show_is_no_fault(store: Path, monkeypatch: pytest.MonkeyPatch, coding: str) -> None:
    """A pipe in another coding gets signs for what it has not, and bytes that are no text are taken as such."""
    monkeypatch.setenv("PYTHONIOENCODING", f"{coding}:strict")
    command = [
        sys.executable,
        "-c",
        "from tui.command_line import main\nraise SystemExit(main())",
        "--store",
        str(store),
    ]
    typed = b"new smokes \xff\xfe\n1\nemergency\ntrail\n"
    run = subprocess.run([*command, "--plain"], input=typed, capture_output=True, check=False, env=os.environ)
    assert (run.returncode, run.stderr) == (0, b"")
    assert run.stdout.decode(coding).endswith("End of input. Job J-0001 stays as it is.\n")


def test_help_lists_every_word_that_works(store: Path) -> None:
    """Each word has its sentence, with and without an open job."""
    told = talk(store, "help", *START, "help", "quit")
    for word in ("new", "jobs", "emergency", "read", "back", "skip", "note", "next", "conclusion", "close", "list"):
        assert re.search(rf"^(.*, )?{word}(,.*)?: [A-Z]", told, re.MULTILINE), word
    assert told.rstrip().endswith("Left. Every answer is saved.")


def test_a_slow_person_sees_each_answer_before_typing_the_next(store: Path) -> None:
    """Lines come out at once, not at the end: a conversation over pipes."""
    command = ["--store", str(store), "--seat", "one", "--plain"]
    code = "from tui.command_line import main\nraise SystemExit(main())"
    with subprocess.Popen(
        [sys.executable, "-c", code, *command], stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True, env=os.environ
    ) as program:
        assert program.stdin is not None
        assert program.stdout is not None

        def until(wanted: str) -> None:
            assert program.stdout is not None
            for line in program.stdout:
                if wanted in line:
                    return
            raise AssertionError(wanted)

        until("help lists all words")
        print("new smokes white", file=program.stdin, flush=True)
        until("Which tree?")
        print("", file=program.stdin, flush=True)
        until("0: cannot tell")
        print("quit", file=program.stdin, flush=True)
        until("Every answer is saved")
    assert program.returncode == 0


def test_one_interrupt_ends_it_while_a_line_is_waited_for(store: Path) -> None:
    """Ctrl+C is heard at once: a sentence, status 2, and the job stands as it is on disk."""
    code = "from tui.command_line import main\nraise SystemExit(main())"
    command = [sys.executable, "-c", code, "--store", str(store), "--seat", "one", "--plain"]
    pipe = subprocess.PIPE
    with subprocess.Popen(command, stdin=pipe, stdout=pipe, stderr=pipe, text=True, env=os.environ) as program:
        assert program.stdin is not None
        assert program.stdout is not None
        print("new smokes white\n1", file=program.stdin, flush=True)
        assert any("0: cannot tell" in line for line in program.stdout)
        program.send_signal(signal.SIGINT)
        told = program.communicate()[1]
    assert program.returncode == 2
    assert told == "sootline: stopped by the keyboard; what was answered is saved.\n"
    assert kinds(store)[0] == "began"
