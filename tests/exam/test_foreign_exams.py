"""A file from outside that is no exam, or that names what this book lacks: told with its place and cure."""

from __future__ import annotations

import json
import random
import sys
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any

import pytest

from trees.book import load_book, shipped_book_path

HERE = Path(__file__).parent
sys.path.insert(0, str(HERE))

import exam  # noqa: E402
from exam_file import ExamJob, read_exam  # noqa: E402

BOOK = load_book(shipped_book_path())
JOB = """\
e_01:
  words: Smokes white for minutes.
  complaint: smoke_on_start
  place: site
  facts:
    - {fact: The mesh screen is shut, check: screen_look, answer: blocked}
    - {fact: Worse in wind, check: start_story, answer: [wind]}
    - {fact: "10.4 V while it glows", check: supply_loaded, answer: 10.4 V}
  expect: {causes: [screen_blocked]}
"""


@pytest.fixture
def path(tmp_path: Path) -> Path:
    """Return where the exam of a test lies."""
    return tmp_path / "exam.yaml"


def run(arguments: Sequence[str]) -> int:
    """Run the script in this process, with the book read once."""
    return exam.main(arguments, load=lambda _path: BOOK)


def refused(path: Path, capsys: pytest.CaptureFixture[str]) -> str:
    """Return what is said of a file that is refused."""
    assert run([str(path)]) == 2
    out, err = capsys.readouterr()
    assert out == ""
    assert "Traceback" not in err
    return err


def read(path: Path, text: str) -> tuple[ExamJob, ...]:
    """Write an exam and read it."""
    path.write_text(text, "utf-8")
    return read_exam(path, BOOK).jobs


def left_out(path: Path, text: str) -> list[str]:
    """Return the facts that are left out, as `line:column: reason`."""
    jobs = read(path, text)
    return [f"{one.at.removeprefix(f'{path}:')}: {one.reason}" for job in jobs for one in job.unmapped]


@pytest.mark.parametrize(
    ("was", "becomes", "says"),
    [
        (
            "causes: [screen_blocked]",
            "causes: [screen_bloked]",
            "9:21: there is no cause `screen_bloked`; did you mean",
        ),
        ("causes: [screen_blocked]", "causes: [nonsense_xyz]", "9:21: there is no cause `nonsense_xyz`; see --list"),
        ("causes: [screen_blocked]", "causes: []", "9:20: `causes` is empty; name the true cause"),
        ("causes: [screen_blocked]", "causes: [[a]]", "9:21: a list stands here; write the id of a cause"),
        (
            "causes: [screen_blocked]",
            "stop: carbon_monoxid",
            "9:18: there is no caution `carbon_monoxid`; did you mean",
        ),
        ("causes: [screen_blocked]", "cause: screen_blocked", "9:12: there is no key `cause`; did you mean `causes`?"),
        ("causes: [screen_blocked]", "accept: [screen_blocked]", "names neither `causes` nor `stop`"),
        ("complaint: smoke_on_start", "complaint: smoke", "3:14: there is no complaint `smoke`"),
        ("complaint: smoke_on_start", "Complaint: smoke_on_start", "3:3: there is no key `Complaint`; did you mean"),
        ("place: site", "place: roof", "4:10: there is no place `roof`; take one of bench, site, phone"),
        ("place: site", "family: air_3kw", "4:11: there is no family `air_3kw`"),
        ("words: Smokes white for minutes.", "word: Smokes", "1:1: job `e_01` lacks `words`; write"),
        ("words: Smokes white for minutes.", "words: [a, b]", "2:10: a list stands at `words`; write text"),
        ("{fact: The mesh screen is shut, check", "{facts: shut, check", "6:8: there is no key `facts`; did you mean"),
        (", answer: blocked", "", "6:46: the fact names a check and no `answer`"),
        (", check: screen_look", "", "6:7: an `answer` without a `check`"),
        ("e_01:\n", "e_01: x\ne_02:\n", "1:7: `x` stands here; job `e_01` is a mapping with the keys words"),
        ("e_01:\n", "e_01:\ne_02:\n", "1:1: nothing stands here; job `e_01` is a mapping"),
        ("    - {fact: Worse", "    - just words\n    - {fact: Worse", "7:7: `just words` stands here; a fact is"),
        ("site\n", "site\n  place: bench\n", "5:3: `place` is given twice"),
        ("[wind]}", "[wind]}\n    - {fact: Open, check: screen_look, answer: open}", "8:7: `screen_look` is answered"),
        ("[wind]", "&a [wind]", "an anchor, which an exam does not take"),
        ("e_01:\n  words", "words", "this is one job without an id; write `e_01:` above it"),
    ],
)
def test_fault_names_place_and_cure(
    path: Path, capsys: pytest.CaptureFixture[str], was: str, becomes: str, says: str
) -> None:
    """Each fault of an exam is told as file:line:column, what is wrong, and what to do."""
    assert JOB.count(was) == 1
    text = JOB.replace(was, becomes)
    path.write_text(text.replace("\n  ", "\n") if becomes == "words" else text, "utf-8")
    said = refused(path, capsys)
    assert says in said
    assert all(line.startswith(f"{path}:") for line in said.splitlines())


@pytest.mark.parametrize(
    ("name", "data", "says"),
    [
        ("exam.yaml", b"", "1:1: the file is empty; write its entries"),
        ("exam.yaml", b"# nothing yet\n", "1:1: the file is empty"),
        ("exam.yaml", JOB.encode() + JOB.encode(), "10:1: `e_01` is given twice"),
        ("exam.csv", b"id,words,complaint\n1,Smokes,smoke_on_start\n", "1:1: this is a table and no exam; write it as"),
        ("exam.yaml", b"id;words;cause\n1;Smokes;x\n2;Howls;y\n", "1:1: this is a table and no exam"),
        ("exam.csv", b'id,"words, said: all"\n1,"a: b"\n', "1:1: this is a table and no exam"),
        ("exam.yaml", b"- words: x\n  facts: []\n", "1:3: an exam holds jobs by their ids; begin each job with an id"),
        ("exam.yaml", b"e_01: [\n", "1:7: the file ends inside brackets; close what is open"),
        ("exam.yaml", b"e_01:\n\twords: x\n", "exam.yaml:2:1: "),
        ("exam.yaml", "e_01:\n  words: Größe".encode("latin-1"), "2:12: byte 0xF6 is no UTF-8"),
        ("exam.yaml", b"\xff\xfee\x00", "1:1: the file is saved as UTF-16; save the file as UTF-8"),
        ("exam.yaml", b"PK\x03\x04\x00\x00", "1:3: the invisible character U+0003 stands here"),
        ("exam.yaml", b"a: " + b"[" * 5000, "exam.yaml:1:"),
        ("exam.yaml", b"a: &a [x]\nb: &b [*a, *a]\nc: [*b, *b]\n", "an alias, which an exam does not take"),
    ],
)
def test_what_is_no_exam_is_refused_in_a_line(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], name: str, data: bytes, says: str
) -> None:
    """Nothing, a table, another encoding, a spoilt or a hostile file: one line with a place each."""
    path = tmp_path / name
    path.write_bytes(data)
    assert says in refused(path, capsys)


def test_every_fault_is_told_at_once(path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Who mends a file sees all its faults, as far as a screen holds them, and how many more there are."""
    bad = JOB.replace("screen_blocked]", "nonsense_xyz]").replace("place: site", "place: roof")
    path.write_text("".join(bad.replace("e_01", f"e_{no}") for no in range(15)), "utf-8")
    said = refused(path, capsys).splitlines()
    assert len(said) == 21
    assert said[-1] == "and 10 more."


@pytest.mark.parametrize(
    ("was", "becomes", "says"),
    [
        ("screen_look", "screen_looks", "6:46: there is no check `screen_looks`; did you mean `screen_look`?"),
        ("screen_look", "color_of_hat", "6:46: there is no check `color_of_hat`; see --list"),
        ("answer: blocked", "answer: bloked", "6:67: `screen_look` has no answer `bloked`; did you mean `blocked`?"),
        ("answer: blocked", "answer: 7", "6:67: `screen_look` has no answer `7`; it takes one of open, blocked, wrong"),
        ("answer: blocked", "answer: [open, blocked]", "it takes one of open, blocked, wrong"),
        ("answer: blocked", "answer: {a: {b: c}}", "the answer is nested too deep"),
        ("answer: blocked", "answer: ", "nothing is written as answer; write one, or `unknown`"),
        ("answer: [wind]", "answer: [wind, wnid]", "`start_story` has no answer `wnid`; did you mean `wind`?"),
        ("answer: [wind]", "answer: {wind: yes}", "`start_story` has no answer `wind: yes`"),
        ("answer: 10.4 V", "answer: low", "8:69: `supply_loaded` takes a reading in V, and no `low`"),
        ("answer: 10.4 V", "answer: 10.4 A", "8:69: `supply_loaded` does not take `10.4 A`: "),
        (
            "check: supply_loaded, answer: 10.4 V",
            "check: run_hours, answer: 12 h",
            "takes readings by name: low, medium",
        ),
        ("check: supply_loaded, answer: 10.4 V", "check: run_hours, answer: {lo: 12 h}", "did you mean `low`?"),
        ("check: supply_loaded, answer: 10.4 V", "check: run_hours, answer: {low: 12 V}", "does not take `12 V`"),
        (", check: screen_look, answer: blocked", "", "6:7: no check named"),
    ],
)
def test_what_the_book_lacks_is_left_out_and_said(path: Path, was: str, becomes: str, says: str) -> None:
    """Other people's exams name checks and answers of their own: the fact is left out, the nearest one is offered."""
    assert JOB.count(was) == 1
    (said,) = left_out(path, JOB.replace(was, becomes))
    assert says in said


def test_place_of_what_is_left_out_is_shown(path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The exam still runs, and standard error names file, line, column, job, fact and cure."""
    path.write_text(JOB.replace("answer: blocked", "answer: bloked"), "utf-8")
    assert run([str(path)]) == 0
    out, err = capsys.readouterr()
    assert f"{path}:6:67: e_01: not mapped: The mesh screen is shut (`screen_look` has no answer `bloked`" in err
    assert "facts unmapped 1" in out


@pytest.mark.parametrize(
    ("written", "taken"),
    [
        ("10.4", "10.4"),
        ("10,4 V", "10,4 V"),
        ("'10.4'", "10.4"),
        ("10400 mV", "10400 mV"),
        ("[10.4 V]", "10.4 V"),
        ("unknown", "unknown"),
    ],
)
def test_readings_are_taken_as_written(path: Path, written: str, taken: str) -> None:
    """A number with or without its unit, in quotes or with a comma, is a reading."""
    (job,) = read(
        path, JOB.replace("answer: 10.4 V", f"answer: {written}" if "," not in written else f"answer: '{written}'")
    )
    assert job.worked.answers["supply_loaded"] == taken
    assert job.unmapped == ()


@pytest.mark.parametrize("change", [lambda text: "\ufeff" + text, lambda text: text.replace("\n", "\r\n")])
def test_files_of_other_editors_are_read(path: Path, change: Callable[[str], str]) -> None:
    """A byte-order mark and line ends of another system don't hurt."""
    path.write_bytes(change(JOB).encode())
    (job,) = read_exam(path, BOOK).jobs
    assert job.unmapped == ()
    assert job.worked.words == "Smokes white for minutes."


def test_text_that_ends_too_early_is_said(path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """` #` begins a comment, which its author may not have meant: the exam runs, the place is told."""
    path.write_text(JOB.replace("Smokes white", "Tank #2 smokes white"), "utf-8")
    assert run([str(path)]) == 0
    assert f"{path}:2:15: the text ends at `Tank`: ` #` begins a comment; put" in capsys.readouterr().err


def test_reading_of_an_unknown_unit_is_said(path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """10.4 V means nothing while nobody knows whether the unit has 12 or 24 V; the plate may be told alone."""
    told = JOB.replace("check: screen_look, answer: blocked", "check: battery_rest, answer: 12.1 V")
    path.write_text(told, "utf-8")
    assert run([str(path)]) == 0
    assert "or of an unknown unit: battery_rest, supply_loaded" in capsys.readouterr().out
    plate = ["voltage, answer: 12 V", "voltage_cutout, answer: 10.5 V", "voltage_min_glow, answer: 11 V"]
    more = "".join(f"    - {{fact: The plate, check: family.{one}}}\n" for one in plate)
    path.write_text(told.replace("  facts:\n", f"  facts:\n{more}"), "utf-8")
    assert run([str(path)]) == 0
    assert "unknown unit" not in capsys.readouterr().out


def test_plate_takes_what_a_plate_says(path: Path) -> None:
    """Other voltages than a unit can have are left out and said."""
    (said,) = left_out(path, JOB.replace("check: screen_look, answer: blocked", "check: family.voltage, answer: 48 V"))
    assert "`family.voltage` has no answer `48`; it takes one of 12, 24, unknown" in said


def test_two_facts_of_one_list_add_up(path: Path) -> None:
    """Facts come one by one: what two of them tick on one list is ticked together."""
    more = "[wind]}\n    - {fact: Worse in frost, check: start_story, answer: frost}"
    more += "\n    - {fact: Three times, check: fuel_dose, answer: [6.6 ml, 6.5 ml, 6.6 ml]}"
    (job,) = read(path, JOB.replace("[wind]}", more))
    assert job.worked.answers["start_story"] == ("wind", "frost")
    assert job.worked.answers["fuel_dose"] == "6.6 ml; 6.5 ml; 6.6 ml"


def test_jobs_in_any_language_and_in_words_alone_run(path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Words stay words in any script, an escape is not sent to the terminal, and a job without answers is marked."""
    words = ["Qualmt weiß", "Ça fume à l'arrêt", "Καπνίζει", "دخان أبيض", "冒白烟", r'"\e[31mred"']
    text = "".join(
        f"j_{no}:\n  words: {said}\n  facts:\n    - fact: {said}\n  expect: {{causes: [screen_blocked]}}\n"
        for no, said in enumerate(words[:5])
    )
    path.write_text(text, "utf-8")
    assert run([str(path)]) == 0
    out, err = capsys.readouterr()
    assert "facts unmapped 5" in out
    assert all(said in err for said in ("weiß", "冒白烟"))
    path.write_text(text.replace(words[4], words[5]), "utf-8")
    assert "\x1b" not in refused(path, capsys)


def test_thousand_jobs_are_read_and_their_ids_kept(path: Path) -> None:
    """The size of an exam has no limit of ours, and no job is lost in it."""
    jobs = read(path, "".join(JOB.replace("e_01", f"e_{no}") for no in range(1000)))
    assert [job.worked.id for job in jobs] == [f"e_{no}" for no in range(1000)]


def test_random_answers_never_end_in_a_traceback(path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Facts that contradict each other are marked like any others: an exam tells what it finds and goes on."""
    source = random.Random(7)
    facts: dict[str, Any] = {}
    for no in range(12):
        chosen = source.sample(sorted(BOOK.checks), 25)
        rows = [
            {"fact": f"fact {name}", "check": name, "answer": source.choice([a.id for a in _choices(name)])}
            for name in chosen
            if _choices(name)
        ]
        place, tree = source.choice(["bench", "site", "phone"]), source.choice(sorted(BOOK.trees))
        cause = source.choice(sorted(BOOK.causes))
        facts[f"r_{no}"] = {"words": "x", "place": place, "complaint": tree, "facts": rows, "expect": {"causes": cause}}
    path.write_text(json.dumps(facts), "utf-8")
    assert run([str(path), "--format", "json"]) == 0
    assert len(json.loads(capsys.readouterr().out)["jobs"]) == 12


def _choices(check: str) -> tuple[Any, ...]:
    one = BOOK.checks[check]
    return () if one.bands else (*one.answers, *one.items)


def test_list_names_every_id_and_no_weight(capsys: pytest.CaptureFixture[str]) -> None:
    """Who writes an exam finds each id that the format takes, without links, signs or shares."""
    assert run(["--list"]) == 0
    shown = capsys.readouterr().out
    for known in (BOOK.causes, BOOK.families, BOOK.fixes, [question.id for question in BOOK.gate]):
        assert all(f"\n  {name}: " in shown for name in known)
    asked = [check for check in BOOK.checks.values() if check.form != "figure"]
    assert all(f"\n  {check.id} (" in shown for check in asked)
    assert all(
        f"    {answer.id}: {answer.means}" in shown for check in asked for answer in (*check.answers, *check.items)
    )
    assert all(f"\n  {cause.id}: {cause.name}\n" in shown for cause in BOOK.causes.values())


def test_file_and_list_exclude_each_other(path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Neither, or both: told how it is used."""
    for arguments in ([], ["--list", str(path)]):
        with pytest.raises(SystemExit) as ended:
            run(arguments)
        assert ended.value.code == 2
        assert "name the file of an exam, or --list alone" in capsys.readouterr().err
