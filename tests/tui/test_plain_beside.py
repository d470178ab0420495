"""What the screens do beside the question, plain mode does too: each word against the same casebook."""

from __future__ import annotations

import re
from dataclasses import replace
from io import StringIO
from pathlib import Path

import pytest

from trees.casebook import Casebook
from tui.commands import CONCLUSION, DAY_LIST, JOB, Command
from tui.plain import Dialogue
from tui.plain_job import PlainJob
from tui.plain_talk import Talk
from tui.settings import Instrument, Settings
from tui.workshop import OpenJob, Workshop

PAST_GATE = ("new smokes", "1", "1", "yes", "1", "yes")
SIGNS = {
    "plus": "+",
    "equals_sign": "=",
    "exclamation_mark": "!",
    "number_sign": "#",
    "at": "@",
    "ampersand": "&",
    "slash": "/",
}
"""Textual's names of keys that are signs."""
OTHERWISE = {
    "answer": "a digit, and Enter after it",
    "cannot_tell": "the word cannot, or 0",
    "confirm": "Enter ends each line; what needs a second key needs the word yes",
    "page": "all answers are printed",
    "map": "the trail and `sootline chart --format txt` tell it in lines",
    "call_back": "the word callback: q quits",
    "day_list": "the word list",
    "to_job": "again repeats the question",
    "open": "the number of the job",
    "book": "the author's verbs: sootline check, weigh, recount",
    "settings": "its file",
    "read_caution": "",
}
"""Commands of the screens that plain mode has in another form, and which."""


async def told_by(workshop: Workshop, *lines: str) -> str:
    """Talk in this process and return what was printed."""
    told = StringIO()
    await Dialogue(workshop, Talk(StringIO("\n".join(lines) + "\n"), told)).run()
    return told.getvalue()


def kinds(casebook: Casebook) -> list[str]:
    """Return the kinds of the entries of the first job."""
    return [stored.entry.kind for stored in casebook.entries(casebook.job("1"))]


def key_of(command: Command) -> str:
    """Return the key of a command as plain mode would take it."""
    first = command.keys.partition(",")[0]
    return SIGNS.get(first, first)


async def test_every_command_of_the_job_and_its_conclusion_has_a_word(workshop: Workshop) -> None:
    """The letter of a screen is a word of plain mode, or this test says what stands for it."""
    walk = (await workshop.new_job("smokes", "smoke_on_start", "bench")).walk
    dialogue = Dialogue(workshop, Talk(StringIO(), StringIO()))
    at_list = dialogue.commands()
    record = workshop.casebook.job("1")
    dialogue.open = PlainJob(dialogue.talk, OpenJob(workshop, record, walk))
    in_job = dialogue.commands()
    missing = [c.id for c in DAY_LIST if key_of(c) not in at_list and c.id not in OTHERWISE]
    missing += [
        c.id for c in (*JOB, *CONCLUSION) if key_of(c) not in in_job and c.id.partition("(")[0] not in OTHERWISE
    ]
    assert missing == []
    assert {"r", "b", "callback", "list"} <= set(in_job)


async def test_the_emergency_card_comes_in_the_middle_of_a_question(workshop: Workshop, casebook: Casebook) -> None:
    """Asked for a second word, the card is printed first, then the same question; the answer counts, both are kept."""
    told = await told_by(workshop, "new smokes", "1", "1", "emergency", "yes")
    before, _, after = told.partition("EMERGENCY")
    assert before.count("You chose: No. Type yes") == 1
    assert after.count("You chose: No. Type yes") == 1
    assert "Taken: No" in after
    assert kinds(casebook)[-2:] == ["answer", "emergency_card"]


async def test_an_earlier_answer_is_changed_by_its_number_in_the_trail(workshop: Workshop, casebook: Casebook) -> None:
    """`trail` numbers its lines; `change` asks one of them again, `back` leaves it or takes a line back."""
    told = await told_by(workshop, *PAST_GATE, "read", "2", "yes", "trail", "change 4", "back", "change 4", "1", "yes")
    assert told.count("Changing an earlier answer") == 2
    answered = [e.entry.data for e in casebook.entries(casebook.job("1")) if e.entry.kind == "answer"]
    assert [data["answer"] for data in answered if "check" in data] == ["stays", "short"]
    told = await told_by(workshop, "1", "trail", "back 99", "change x", "change 1", "back 5")
    assert "Not taken: '99' is no number of the trail." in told
    assert "Type change and a number of the trail." in told
    assert "that line of the trail is no answer" in told
    assert kinds(casebook)[-1] == "taken_back"


async def test_a_check_of_ones_own_choice_while_the_tree_waits(workshop: Workshop, casebook: Casebook) -> None:
    """`check` lists what can be made here, words choose among it, a number makes it; tree goes back."""
    told = await told_by(workshop, *PAST_GATE, "read", "check hours")
    (row,) = [line for line in told.splitlines() if line.endswith(": Run hours at each step")]
    told = await told_by(workshop, "1", f"check {row.partition(':')[0]}", "tree")
    assert "aside; the tree waits" in told
    assert kinds(casebook)[-2:] == ["left_tree", "returned"]


async def test_serial_remark_work_and_call_back_are_kept(workshop: Workshop, casebook: Casebook) -> None:
    """What stands beside the answers is an entry like on the screen; without a text each word says what it wants."""
    words = ("serial AB 1", "remark unclear", "work swept it", "callback 16:30 the part", "callback reached")
    told = await told_by(workshop, *PAST_GATE, *words)
    assert {"unit", "remark", "work", "waiting", "call_back"} <= set(kinds(casebook))
    assert "Serial number: AB 1" in told
    told = await told_by(workshop, "new smokes too", "1", "serial AB 1", "remark", "work", "callback")
    assert "1 earlier job of this unit." in told
    assert "J-0001: smokes" in told.partition("1 earlier job")[2]
    assert all(f"Type {word}" in told for word in ("remark", "work", "callback"))


async def test_a_timer_is_kept_and_tells_its_end(workshop: Workshop, casebook: Casebook) -> None:
    """Typed again it stops and its seconds are kept; what is over is told at the next line, dropped is forgotten."""
    now = [0.0]
    workshop.timers.clock = lambda: now[0]

    class Hours(StringIO):
        def readline(self, *_: object) -> str:  # type: ignore[override]
            now[0] += 400.0
            return super().readline()

    told = StringIO()
    lines = [*PAST_GATE, "timer 1", "timer 3", "timer", "timer", "timer 1", "timer drop 3", "quit"]
    talk = Talk(Hours("\n".join(lines) + "\n"), told)
    await Dialogue(workshop, talk).run()
    text = told.getvalue()
    assert "Timer Ten minutes stable of job J-0001: 10:00 are over." in text
    assert "Ten minutes stable: forgotten." in text
    (kept,) = [e.entry.data for e in casebook.entries(casebook.job("1")) if e.entry.kind == "figure"]
    assert (kept["what"], kept["value"], kept["unit"]) == ("timer_smoke", 1600.0, "s")
    assert text.endswith("Left. Every answer is saved.\n")


async def test_what_would_be_lost_is_told_before_the_end(workshop: Workshop) -> None:
    """A running timer and a held call end with the program, so quit asks once more; a held call is on the list."""
    told = await told_by(workshop, *PAST_GATE, "timer 1", "hold", "quit", "no", "1", "quit", "yes")
    assert "On the line: J-0001, waits 0:0" in told
    assert "1 timer runs, 1 call is held. That ends with the program." in told
    assert "1 timer runs. That ends with the program." in told  # the caller is spoken with again
    assert told.endswith("Left. Every answer is saved.\n")


async def test_facts_of_the_intake_are_asked_one_after_the_other(workshop: Workshop, casebook: Casebook) -> None:
    """`intake` lists what is known; several numbers are asked in turn, then the tree goes on where it stood."""
    assert "no facts that can be told here" in await told_by(workshop, *PAST_GATE, "read", "intake")
    facts = {name: replace(workshop.book.checks[name], intake=True) for name in ("rested", "blown")}
    workshop.book = replace(workshop.book, checks={**workshop.book.checks, **facts})
    told = await told_by(workshop, "1", "intake", "intake 1 2", "cannot", "cannot", "0", "intake")
    assert told.count(": not told") == 4
    left = [e.entry.data["check"] for e in casebook.entries(casebook.job("1")) if e.entry.kind == "left_tree"]
    assert sorted(left) == ["blown", "rested"]
    assert told.rpartition("Question: ")[2].startswith("How long does it smoke?")


async def test_a_reading_keeps_the_instrument_of_the_day(
    workshop: Workshop, casebook: Casebook, settings_file: Path
) -> None:
    """`instruments` and a number chooses; the reading then bears it and its uncertainty."""
    settings_file.write_text('[[instruments]]\nname = "meter"\nunit = "V"\nuncertainty = 0.05\n')
    workshop.settings = Settings(instruments=(Instrument("meter", "V", 0.05),))
    told = await told_by(workshop, *PAST_GATE, "instruments 1", "read", "2", "yes", "1", "12.1")
    assert "1: meter, ± 0.05 V, used today" in told
    (reading,) = [e.entry.data["reading"] for e in casebook.entries(casebook.job("1")) if "reading" in e.entry.data]
    assert (reading["instrument"], reading["uncertainty"]) == ("meter", pytest.approx(0.05))


async def test_a_job_is_closed_found_and_opened_again(workshop: Workshop, casebook: Casebook) -> None:
    """Ends that can't be are said with the reason; a closed job stands in `all` and `find`, and opens with a reason."""
    told = await told_by(workshop, *PAST_GATE, "conclusion", "close 4", "yes", "list", "jobs", "all", "find smok")
    assert "1: Released, not now: " in told
    assert "2: Not released\n" in told
    assert "0 open jobs." in told
    assert told.count("J-0001: to the workshop, smokes") == 2
    told = await told_by(workshop, "1", "reopen", "reopen it came back", "conclusion")
    assert "Not taken: Say in a few words why" in told
    assert "Close as: " in told
    assert kinds(casebook).count("reopened") == 1


async def test_what_closed_jobs_teach_is_read_row_by_row(workshop: Workshop, twelve: Casebook) -> None:
    """`lessons` prints each page with its numbers and none of its drawings."""
    told = await told_by(workshop, "lessons")
    assert "12 closed jobs." in told
    assert re.search(r"^Insert coked, \d+, \d+, \d+ to \d+, \d+ %$", told, re.MULTILINE)
    assert not set(told) & set("█▓─┤●")


async def test_the_report_is_read_and_written(workshop: Workshop) -> None:
    """`preview` prints it, `report` numbers its forms and writes those that are typed."""
    told = await told_by(workshop, *PAST_GATE, "preview", "report", "report 3")
    assert "Report J-0001" in told
    assert "3: Markdown, plain text" in told
    assert (workshop.report_folder / "J-0001.md").read_text("utf-8").startswith("# ")


async def test_a_figure_becomes_the_reading_or_a_note(workshop: Workshop, casebook: Casebook) -> None:
    """Without inputs a figure says what it wants; worked out it is offered to the job, as a note after yes."""
    worked = "figure supply_drop source_v=12.4 load_v=10.9"
    told = await told_by(workshop, "figure supply", "figure supply_drop", *PAST_GATE, worked, "no", worked, "yes")
    assert "supply_drop: Voltage lost on the way to the unit" in told
    assert "load_v: Voltage at the unit's plug at the same moment (0 to 60 V)" in told
    assert told.count("It can be kept as a note in the job. Type yes") == 2
    assert kinds(casebook).count("note") == 1


async def test_nothing_is_printed_that_only_an_eye_can_read(workshop: Workshop) -> None:
    """No bar, box, arrow, tick box or run of spaces in conclusion, preview, reasons, trail and lists."""
    words = ("read", "1", "yes", "6.6 6.5 6.7", "suspects", "why 1", "next", "conclusion", "preview", "trail", "check")
    told = await told_by(workshop, *PAST_GATE, *words, "intake", "timer", "job", "help", "report")
    for first, last in (("─", "◿"), ("←", "⇿"), ("☀", "➿")):
        assert [char for char in told if first <= char <= last] == []
    assert [line for line in told.splitlines() if "   " in line.strip()] == []


async def test_suspects_say_what_is_only_a_consequence(workshop: Workshop) -> None:
    """What the screen keeps in two lists is told behind the name; a root has nothing there."""
    told = await told_by(workshop, *PAST_GATE, "suspects")
    kinds_of = {cause.name: cause.kind for cause in workshop.book.causes.values()}
    rows = re.findall(r"^\d: ([^,]+), \d+ %(, a consequence of another cause)?$", told, re.MULTILINE)
    assert {bool(mark) for _name, mark in rows} == {True, False}
    assert all((kinds_of[name] == "consequence") == bool(mark) for name, mark in rows)


async def test_a_caller_who_cannot_tell_is_helped_first(workshop: Workshop, casebook: Casebook) -> None:
    """By phone the question is read aloud; the first cannot-tell says how to help, the second is the answer."""
    told = await told_by(workshop, "place phone", *PAST_GATE, "read", "0", "trail", "0")
    assert "New jobs begin here: phone." in told
    assert "Read aloud: " in told
    helped, _, after = told.partition("No hurry. Say:")
    assert "Taken: Cannot tell" not in helped
    assert "Taken: Cannot tell" in after
    assert [e.entry.data.get("unknown") for e in casebook.entries(casebook.job("1"))][-1] is True
