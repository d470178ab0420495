"""An import, or a casebook from elsewhere, is taken whole or refused in a sentence; it never brings us down."""

from __future__ import annotations

import json
import sqlite3
import zlib
from collections.abc import Callable
from contextlib import closing
from pathlib import Path
from typing import Any

import pytest
from security_support import RunVerb, entry, export
from small_book import small_book

from trees.casebook import Casebook, write_book_files
from trees.casebook.book_text import fingerprint_of, unpack
from trees.errors import CasebookError, WalkError
from trees.walk import Entry, Walk
from tui.verbs import jobs_kept


@pytest.mark.parametrize(
    "value", ["NaN", "Infinity", "-Infinity", "1e999", "-1e999", "9" * 5000, "[" * 100_000, '"' + "\\ud800" * 3]
)
def test_number_that_is_none(tmp_path: Path, run: RunVerb, value: str) -> None:
    """Not-a-number, infinity, a number of 5,000 digits, a bottomless list: one sentence, and nothing is imported."""
    text = export(entry("rated", name="dose", value="HERE", unit="ml")).replace('"HERE"', value)
    (tmp_path / "export.jsonl").write_text(text, encoding="utf-8")
    done = run("--store", tmp_path / "new.db", "jobs", "import", tmp_path / "export.jsonl")
    assert "Nothing was imported" in done.sentence
    assert run("--store", tmp_path / "new.db", "jobs").told == ""


@pytest.mark.parametrize("kind", ["began", "place"])
def test_place_that_there_is_not(tmp_path: Path, run: RunVerb, kind: str) -> None:
    """A place decides what may be asked, so an import can't bring one of its own."""
    odd = entry(kind, words="x", place="roof")
    (tmp_path / "export.jsonl").write_text(export(odd), encoding="utf-8")
    done = run("--store", tmp_path / "new.db", "jobs", "import", tmp_path / "export.jsonl")
    assert "names a place that there is not" in done.sentence


def test_line_without_an_end(tmp_path: Path, run: RunVerb, monkeypatch: pytest.MonkeyPatch) -> None:
    """A line longer than any of ours is refused before it fills the memory, here with the limit set low."""
    monkeypatch.setattr(jobs_kept, "_LONGEST_LINE", 1000)
    (tmp_path / "export.jsonl").write_text('{"line": "casebook", "format": 2}\n' + "x" * 5000, encoding="utf-8")
    assert "is longer than" in run("--store", tmp_path / "new.db", "jobs", "import", tmp_path / "export.jsonl").sentence


HOSTILE: list[tuple[str, dict[str, Any]]] = [
    ("rated", {}),
    ("rated", {"name": "dose", "value": "many"}),
    ("rated", {"name": "dose", "value": "nan"}),
    ("rated", {"name": "dose", "value": [1]}),
    ("rated", {"name": "dose", "value": 10**400}),
    ("taken_back", {}),
    ("taken_back", {"entry": "one"}),
    ("taken_back", {"entry": {}}),
    ("left_tree", {}),
    ("stopped", {}),
    ("acknowledged", {}),
    ("tools", {"missing": 7}),
    ("figure", {"what": "x"}),
    ("figure", {"what": "x", "value": 1, "inputs": 7}),
    ("handover", {"what": "x", "value": None}),
    ("answer", {"check": "loaded", "reading": 7}),
    ("answer", {"check": "loaded", "reading": {"values": ["x"]}}),
    ("answer", {"check": "loaded", "reading": {"values": ["inf"]}}),
    ("answer", {"check": "dose", "reading": {"values": [10**400]}}),
    ("answer", {"check": "hours", "readings": []}),
    ("answer", {"check": "hours", "readings": {"low": 7}}),
    ("answer", {"check": "habits", "ticked": 7}),
    ("answer", {"check": "habits", "ticked": [[]]}),
    ("answer", {"fix": []}),
    ("answer", {"check": "loaded", "figure": None}),
]


@pytest.mark.parametrize(("kind", "data"), HOSTILE, ids=lambda each: json.dumps(each)[:40])
def test_entry_of_any_content_is_a_sentence(kind: Any, data: dict[str, Any]) -> None:
    """An entry that no answer of ours can have made is told in a sentence about the job and is no fault of ours."""
    began = Entry("began", {"words": "x", "tree": None, "place": "bench", "family": None})
    with pytest.raises(WalkError, match=r"^The entries of this job can't be read \("):
        _ = Walk.resume(small_book(), [began, Entry(kind, data, "aside:1")]).now


@pytest.mark.parametrize("verb", [("why",), ("report",), ("jobs", "show"), ("jobs", "erase")])
def test_job_that_can_not_be_read_is_a_sentence(
    imported: Callable[[str], Path], run: RunVerb, verb: tuple[str, ...]
) -> None:
    """Such a job is refused by its number or shown as it was stored; others of the casebook are not touched by it."""
    store = imported(export(entry("rated", name="dose", value="many")))
    done = run("--store", store, *verb, "J-0001")
    assert "The program has a fault" not in done.errors
    assert done.status in {0, 2}
    assert done.errors.count("\n") <= 1
    assert "J-0001" in run("--store", store, "jobs").told


def bomb(store: Path, packed: bytes, edition: str) -> Casebook:
    """Return a casebook into which somebody put an edition of his own by SQL."""
    with Casebook.open(store) as casebook:
        casebook.new_job([Entry("began", {"words": "x", "tree": None, "place": "bench"})])
    with closing(sqlite3.connect(store)) as file, file:
        file.execute("INSERT INTO book_text VALUES (?, ?, ?)", (edition, packed, "2026-03-02T08:00:02.000Z"))
    return Casebook.open(store)


def test_packed_book_that_unpacks_to_very_much(tmp_path: Path) -> None:
    """A kept book of 300 kB that would unpack to 300 MB is refused as damaged and never unpacked whole."""
    packing = zlib.compressobj(9)
    million = b"x" * 1_000_000
    parts = [packing.compress(b'{"book.yaml": "'), *(packing.compress(million) for _ in range(300)), packing.flush()]
    packed = b"".join(parts)
    assert len(packed) < 400_000
    with bomb(tmp_path / "a.db", packed, "aaa") as casebook, pytest.raises(CasebookError, match="is damaged"):
        casebook.book_text("aaa")


@pytest.mark.parametrize("text", [b"[" * 200_000, b"[]", b'{"a": 7}', b'{"a": "\\ud800"}', b"\xff", b"NaN"])
def test_packed_book_that_is_none(text: bytes) -> None:
    """Whatever a kept edition holds, it is a book's text or damaged."""
    with pytest.raises(CasebookError, match="is damaged"):
        unpack(zlib.compress(text), "aaa")


NAMES = ["../x.yaml", "/tmp/x.yaml", "trees/../../x.yaml", "..", "", ".", "a\0b.yaml", "trees/\0"]


@pytest.mark.parametrize("name", NAMES)
def test_kept_book_writes_nothing_outside(tmp_path: Path, name: str) -> None:
    """The text of a kept book is written into its folder only, whatever the names of its files say."""
    folder = tmp_path / "in" / "book"
    folder.mkdir(parents=True)
    files = {name: b"title: x\n"}
    assert fingerprint_of(files)
    with pytest.raises(CasebookError, match="kept book"):
        write_book_files(files, folder)
    assert [path for path in tmp_path.rglob("*") if path.is_file()] == []


def test_import_of_a_book_with_a_way_out(tmp_path: Path, run: RunVerb) -> None:
    """A book that comes with an import, with a name that leads out, leaves no file anywhere when its job is shown."""
    files = {"../../../escaped.yaml": "title: x\n"}
    edition = fingerprint_of({name: text.encode() for name, text in files.items()})
    book = {"line": "book", "fingerprint": edition, "kept_at": "2026-03-02T08:00:02.000Z", "files": files}
    (tmp_path / "export.jsonl").write_text(export(books=[book], edition=edition), encoding="utf-8")
    assert run("--store", tmp_path / "a.db", "jobs", "import", tmp_path / "export.jsonl").status == 0
    done = run("--store", tmp_path / "a.db", "jobs", "show", "J-0001")
    assert done.status == 0
    assert "smokes white" in done.told
    assert not list(tmp_path.parent.rglob("escaped.yaml"))
