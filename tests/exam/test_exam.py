"""An exam that others bring is read with care, put to the book as it stands, and its result told as it falls."""

from __future__ import annotations

import json
import subprocess
import sys
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from trees.book import Book, load_book, shipped_book_path

HERE = Path(__file__).parent
GOOD = """
e_01:
  words: Smokes white for minutes.
  complaint: smoke_on_start
  place: site
  family: air_2kw_12v
  facts:
    - {fact: The mesh screen is shut, check: screen_look, answer: blocked}
    - {fact: Nearly always on low, check: use_habits, answer: [low]}
    - {fact: The door squeaks}
  expect: {causes: [screen_blocked], accept: [glow_pin_worn], contributing: [low_by_habit]}
e_02:
  words: It beeps and we have headaches.
  place: phone
  facts:
    - {fact: The alarm sounds now, check: alarm_now, answer: yes}
  expect: {stop: carbon_monoxide}
"""


@cache
def book() -> Book:
    """Return the shipped book, read once."""
    return load_book(shipped_book_path())


def run(path: Path, *more: str) -> subprocess.CompletedProcess[str]:
    """Run the script as a user does."""
    return subprocess.run([sys.executable, HERE / "exam.py", path, *more], capture_output=True, text=True, check=False)


def told(path: Path) -> Any:
    """Return what the script prints as JSON."""
    done = run(path, "--format", "json")
    assert done.returncode == 0, done.stderr
    return json.loads(done.stdout)


def test_exam_is_marked_job_by_job(tmp_path: Path) -> None:
    """A cause that a fact finds ranks first, the alarm stops, and a fact without a check is said to be unmapped."""
    path = tmp_path / "exam.yaml"
    path.write_text(GOOD, "utf-8")
    found = told(path)
    first, second = found["jobs"]
    assert first["placed"]["main"] == 1
    assert len(first["placed"]["contributing"]) == 1
    assert first["unmapped"] == ["The door squeaks (no check named)"]
    for shown in (first["asked"], first["proposed"]):
        assert 1 <= len(shown) <= 3
        assert set(shown) <= {*book().checks, *(f"fix:{fix}" for fix in book().fixes)}
    assert second["asked"] == second["proposed"] == []
    assert second["placed"]["stopped"] == "carbon_monoxide"
    assert (found["tally"]["jobs"], found["tally"]["must_stop"], found["tally"]["stopped"]) == (1, 1, 1)
    done = run(path)
    assert "top 1          1 of 1" in done.stdout
    assert "e_01: not mapped: The door squeaks" in done.stderr


def test_missed_stop_is_said_aloud(tmp_path: Path) -> None:
    """A job that must stop and whose facts are harmless is reported as not stopped."""
    path = tmp_path / "exam.yaml"
    path.write_text(GOOD.replace("answer: yes", "answer: no"), "utf-8")
    assert "e_02: NOT STOPPED, must for carbon_monoxide" in run(path).stdout
    assert told(path)["tally"]["stopped"] == 0


@pytest.mark.parametrize(
    ("was", "becomes", "says"),
    [
        ("causes: [screen_blocked]", "causes: [screen_bloked]", "did you mean `screen_blocked`"),
        ("complaint: smoke_on_start", "complaint: smoke", "no complaint `smoke`"),
        ("place: site", "place: roof", "no place `roof`; take one of bench, site, phone"),
        ("expect: {stop: carbon_monoxide}", "expect: {}", "nothing to find"),
        ("  facts:\n    - {fact: The alarm", "  fact:\n    - {fact: The alarm", "no key `fact`"),
        (", answer: blocked", "", "names a check and no `answer`"),
        ("e_01:", "e_01: [", "is opened here and not closed"),
    ],
)
def test_faulty_exam_is_refused_in_a_sentence(tmp_path: Path, was: str, becomes: str, says: str) -> None:
    """What can't be used is named with its file, and no traceback is shown."""
    path = tmp_path / "exam.yaml"
    assert was in GOOD
    path.write_text(GOOD.replace(was, becomes), "utf-8")
    done = run(path)
    assert done.returncode == 2
    assert says in done.stderr
    assert str(path) in done.stderr
    assert "Traceback" not in done.stderr


def test_missing_file_is_said(tmp_path: Path) -> None:
    """A file that is not there is no traceback either."""
    done = run(tmp_path / "none.yaml")
    assert (done.returncode, "Traceback" in done.stderr) == (2, False)


def test_unknown_check_is_unmapped_and_not_fatal(tmp_path: Path) -> None:
    """Exams come from people who don't know every id: the fact is left out, and the nearest id is offered."""
    path = tmp_path / "exam.yaml"
    path.write_text(GOOD.replace("check: use_habits", "check: use_habit"), "utf-8")
    assert any("did you mean `use_habits`" in line for line in told(path)["jobs"][0]["unmapped"])


ASKED = """
a:
  words: It ticks.
  complaint: pump_no_fuel
  place: phone
  facts:
    - {fact: The tank is full, check: tank_level, answer: enough}
    - {fact: It does not tick, check: pump_heard, answer: silent}
  expect: {causes: [pump_dead]}
"""


def test_asked_is_the_order_of_the_tree(tmp_path: Path) -> None:
    """What the tree asks is shown in its own order, beginning with its first step."""
    path = tmp_path / "exam.yaml"
    path.write_text(ASKED, "utf-8")
    asked = told(path)["jobs"][0]["asked"]
    tree = book().trees["pump_no_fuel"]
    assert asked[0] == tree.steps[tree.begin].refers == "start_story"
    assert asked[1:3] == ["tank_level", "pump_heard"]


def test_own_exam_stops_what_must_stop_and_knows_its_causes() -> None:
    """The forty jobs of our own: every stop is honoured, 97 of 100 true causes are among the first three."""
    found = told(HERE / "own_jobs.yaml")
    assert found["tally"]["stopped"] == found["tally"]["must_stop"] == 6
    assert found["tally"]["among_three"] >= 0.97 * found["tally"]["jobs"]
    assert len(found["jobs"]) == 40


def test_outsiders_exam_stops_what_must_stop_and_knows_its_causes() -> None:
    """The forty jobs of an outsider, with leaner facts: every stop is honoured, every true cause is among three."""
    found = told(HERE / "second_exam.yaml")
    assert found["tally"]["stopped"] == found["tally"]["must_stop"] == 8
    assert found["tally"]["among_three"] >= 0.97 * found["tally"]["jobs"]
    assert len(found["jobs"]) == 40
    assert not [job for job in found["jobs"] if job["unmapped"]]
