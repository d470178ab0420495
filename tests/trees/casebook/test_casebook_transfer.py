"""A casebook as JSON lines and back: equal, whole or not at all, and no cell of the CSV is a formula."""

from __future__ import annotations

import csv
import json
from collections.abc import Callable
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from stores import Store

from trees.casebook import Casebook
from trees.casebook.book_text import fingerprint_of
from trees.casebook.spreadsheet import csv_lines, harmless
from trees.errors import CasebookError, NewerCasebookError
from trees.walk import KINDS, Entry

FILES = {"book.yaml": b"title: Invented\n", "trees/a.yaml": "words: Möwe ☠\n".encode()}


@pytest.fixture
def full(casebook: Casebook, began: Entry) -> Casebook:
    """Return a casebook with every kind of entry, odd texts, a customer, an erased job and a kept book."""
    data = {
        "typed": "11,8 V ±",
        "values": [11.8, 1e-9, 3, 2**70],
        "none": None,
        "yes": True,
        "text": "Möwe\n\t\x1b ☠ 𝄞",
    }
    job = casebook.new_job([began], fingerprint="aaa")
    for no, kind in enumerate(KINDS, start=2):
        casebook.append(job, Entry(kind, {**data, "place": "site"}, f"visit/{no}"), no, fingerprint="bbb")
    casebook.keep_customer(job, {"phone": "0 12"})
    casebook.new_job([began], number="HUT-3", invented=True)
    gone = casebook.new_job([began, Entry("taken_up", {"seat": "hut", "date": "2026-03-02"})])
    casebook.erase(gone)
    casebook.keep_book_text(fingerprint_of(FILES), FILES)
    return casebook


def test_comes_back_equal(full: Casebook, store: Store, tmp_path: Path, began: Entry) -> None:
    """An export read into an empty casebook gives an equal one: rows, entries, books, and the same export again."""
    lines = list(full.export())
    with Casebook.open(tmp_path / "other.sqlite3") as other:
        brought = other.import_from(lines)
        assert (brought.jobs, brought.known, brought.books) == (3, 0, 1)
        assert list(other.export()) == lines
        assert other.jobs() == full.jobs()
        for row in full.jobs():
            assert other.entries(other.job(row.number)) == full.entries(full.job(row.number))
        assert other.book_text(fingerprint_of(FILES)) == FILES
        mirror = Store(str(other.path), "sqlite")
        for table in ("job", "entry", "personal", "book_text"):
            columns = (
                "*"
                if table != "job"
                else "number, counter, invented, opened_at, last_no, last_at, seat, tree, "
                "place, family, unit, closed_as, closed_at, serial, waiting, due"
            )
            mine, its = (sorted(map(repr, one.execute(f"SELECT {columns} FROM {table}"))) for one in (store, mirror))
            assert [row.replace("True", "1").replace("False", "0") for row in mine] == [
                row.replace("True", "1").replace("False", "0") for row in its
            ]
        words = "SELECT number, words FROM job_search JOIN job ON job.id = job_search.job_id ORDER BY number"
        assert store.execute(words) == mirror.execute(words)
        assert other.new_job([began]).number == full.new_job([began]).number == "J-0003"


def test_every_line_is_a_json_object(full: Casebook) -> None:
    """The export is JSON lines: one object per line, head first, end last with the counts."""
    lines = [json.loads(line) for line in full.export()]
    assert lines[0] == {"line": "casebook", "format": 2}
    assert lines[-1] == {"line": "end", "books": 1, "jobs": 3, "customers": 1, "entries": len(KINDS) + 4}


def test_known_jobs_are_not_doubled(full: Casebook) -> None:
    """What is there already, entry for entry, is left as it is; reading an export twice changes nothing."""
    lines = list(full.export())
    brought = full.import_from(lines)
    assert (brought.jobs, brought.known, brought.books) == (0, 3, 0)
    assert list(full.export()) == lines


def test_other_job_of_that_number(full: Casebook, tmp_path: Path, began: Entry) -> None:
    """Where a number is taken by another job, nothing at all is imported."""
    with Casebook.open(tmp_path / "other.sqlite3") as other:
        other.new_job([began], number="HUT-3")
        before = list(other.export())
        with pytest.raises(CasebookError, match=r"^Job HUT-3 is in .* already and is another one"):
            other.import_from(list(full.export()))
        assert list(other.export()) == before


def test_cut_anywhere_is_refused(full: Casebook, tmp_path: Path) -> None:
    """An export that was cut off after any line, or in the middle of one, or lacks one, brings nothing."""
    lines = list(full.export())
    with Casebook.open(tmp_path / "other.sqlite3") as other:
        for at in range(len(lines)):
            for cut in (lines[:at], [*lines[:at], lines[at][:-3]], [*lines[:at], *lines[at + 1 :]]):
                with pytest.raises(CasebookError, match=r"[Nn]othing was imported"):
                    other.import_from(cut)
        assert other.jobs() == ()


def change(name: str, value: object) -> Callable[[dict[str, object]], object]:
    return lambda line: line.update({name: value})


@pytest.mark.parametrize(
    ("at", "harm"),
    [
        ("job", change("number", "../x")),
        ("job", change("number", 7)),
        ("job", change("invented", 1)),
        ("job", change("opened_at", "yesterday")),
        ("job", change("opened_at", "2026-13-02T08:00:02.000Z")),
        ("entry", change("kind", "deleted")),
        ("entry", change("no", True)),
        ("entry", change("no", 2)),
        ("entry", change("data", [])),
        ("entry", change("data", {"text": ["a"]})),
        ("entry", change("job", "J-7777")),
        ("entry", change("seat", None)),
        ("entry", change("at", "2026-03-02")),
        ("book", change("files", {"book.yaml": "title: Other\n"})),
        ("book", change("files", {"book.yaml": 7})),
        ("book", change("line", "tide")),
        ("end", change("jobs", 99)),
    ],
)
def test_line_that_is_not_as_the_form_says(
    file_casebook: Casebook, began: Entry, at: str, harm: Callable[[dict[str, object]], object]
) -> None:
    """A line that is not as the form says is named by its number, and nothing is imported."""
    file_casebook.new_job([began])
    file_casebook.keep_book_text(fingerprint_of(FILES), FILES)
    lines = [json.loads(line) for line in file_casebook.export()]
    no = next(n for n, line in enumerate(lines) if line["line"] == at)
    harm(lines[no])
    with pytest.raises(CasebookError, match=rf"^Line {no + 1} of the export can't be read: .*Nothing was imported\.$"):
        file_casebook.import_from(map(json.dumps, lines))


@pytest.mark.parametrize("text", ["", "x", "[]", "7", "[" * 100_000, '{"line": "casebook", "format": NaN}', "9" * 5000])
def test_line_that_is_no_object(file_casebook: Casebook, text: str) -> None:
    """Whatever stands in the first line, it is refused in a sentence."""
    with pytest.raises(CasebookError, match=r"^Line 1 of the export can't be read"):
        file_casebook.import_from([text])


def test_export_of_a_newer_form(file_casebook: Casebook) -> None:
    """A later form is not guessed at."""
    with pytest.raises(NewerCasebookError, match="is of form 3; this program reads up to form 2"):
        file_casebook.import_from(['{"line": "casebook", "format": 3}'])


def test_export_of_form_1(full: Casebook, tmp_path: Path) -> None:
    """An export of the first form, which only had fewer kinds of entry, is read as before."""
    first, *rest = full.export()
    with Casebook.open(tmp_path / "other.sqlite3") as other:
        other.import_from([first.replace('"format": 2', '"format": 1'), *rest])
        assert other.jobs() == full.jobs()


@pytest.mark.parametrize("begin", ["=", "+", "-", "@", "\t=", "\r=", "\n=", " =", "＝", "＋"])
def test_cell_is_no_formula(file_casebook: Casebook, begin: str) -> None:
    """A complaint that would be a formula in a spreadsheet is text there: it begins with an apostrophe."""
    file_casebook.new_job([Entry("began", {"words": f'{begin}1+1;"quoted", x', "tree": "smoke"})])
    head, row = csv.reader(csv_lines(file_casebook.jobs()))
    cell = dict(zip(head, row, strict=True))["words"]
    assert cell[0] == "'"
    assert cell.endswith('1+1;"quoted", x')


@given(st.text(max_size=12))
def test_cell_keeps_other_text(text: str) -> None:
    """No cell begins as a formula does, blank before it or not; a text that is none stays."""
    cell = harmless(text)
    assert not cell.lstrip().startswith(("=", "+", "-", "@"))
    if text.isascii() and text.isalnum():
        assert cell == text
