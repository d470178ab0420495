"""What is typed or named is never SQL: words to search for, numbers of jobs, serial numbers, names of stores."""

from __future__ import annotations

from pathlib import Path

import pytest

from trees.casebook import Casebook
from trees.casebook.search import asked, words_of
from trees.errors import CasebookError
from trees.walk import Entry

SQL = [
    "'; DROP TABLE job; --",
    '" OR 1=1 --',
    "x' UNION SELECT sql FROM sqlite_master --",
    "%",
    "_",
    "*",
    '"*',
    "words:x",
    "NEAR(a b)",
    "a AND NOT b",
    "a* ^b",
    "-x",
    "':*",
    "\\' | !x & y",
    "x\0y",
    "\ud800",
    "(" * 5000,
    "a " * 5000,
]
BEGAN = Entry("began", {"words": "smokes white", "tree": None, "place": "bench"})


@pytest.mark.parametrize("typed", SQL)
def test_search_words_are_no_sql(tmp_path: Path, typed: str) -> None:
    """Whatever is typed to find a job, it finds what begins so or nothing, and every job is still there."""
    with Casebook.open(tmp_path / "a.db") as casebook:
        casebook.new_job([BEGAN])
        for row in casebook.find(typed):
            assert row.number == "J-0001"
        assert len(casebook.jobs()) == 1


@pytest.mark.parametrize("typed", SQL)
def test_number_of_a_job_is_no_sql(tmp_path: Path, typed: str) -> None:
    """Whatever is asked for as a job's number, it is a job's number or there is no such job."""
    with Casebook.open(tmp_path / "a.db") as casebook:
        casebook.new_job([BEGAN, Entry("unit", {"serial": typed, "text": typed})])
        with pytest.raises(CasebookError, match="no job"):
            casebook.job(typed)
        assert len(casebook.jobs()) == 1


@pytest.mark.parametrize("typed", SQL)
def test_question_to_either_engine_holds_only_words(typed: str) -> None:
    """The question that reaches a database is made of letters and figures between our own signs, on both engines."""
    words = words_of(typed)
    assert all(word.isalnum() for word in words)
    assert asked("sqlite", words) == " ".join(f'"{word}"*' for word in words)
    assert asked("postgresql", words) == " & ".join(f"'{word}':*" for word in words)


@pytest.mark.parametrize(
    "name",
    [
        "a?mode=memory",
        "file:a.db?mode=memory",
        ":memory:",
        "a'; DROP TABLE job; --",
        "a%20b",
        "a#b",
        "a;b",
        "--x",
        "a b\n",
    ],
)
def test_name_of_a_store_is_a_name(tmp_path: Path, name: str) -> None:
    """A casebook lies in the file that was named, whatever its name could mean to a database; backups work too."""
    path = tmp_path / name
    with Casebook.open(path) as casebook:
        casebook.new_job([BEGAN])
        made = casebook.back_up()
    assert path.is_file()
    assert made.path.parent == tmp_path / f"{name}.backups"
    with Casebook.open(path, create=False) as casebook:
        assert [row.words for row in casebook.jobs()] == ["smokes white"]
