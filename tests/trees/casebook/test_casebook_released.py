"""A store written by each schema so far opens, reads and goes on. `released/` holds them as they were written then."""

from __future__ import annotations

import gzip
from pathlib import Path

import pytest

from trees.casebook import Casebook
from trees.casebook.schema import SCHEMA_VERSION
from trees.walk import Entry

RELEASED = Path(__file__).with_name("released")


@pytest.mark.parametrize("version", range(1, SCHEMA_VERSION + 1))
def test_store_of_an_earlier_schema(version: int, path: Path) -> None:
    """What was kept then is read as it was meant then, takes new entries, and can be exported and backed up."""
    path.write_bytes(gzip.decompress((RELEASED / f"schema_{version}.sqlite3.gz").read_bytes()))
    with Casebook.open(path, create=False, seat="hut") as casebook:
        assert [(row.number, row.words, row.state, row.entries, row.invented) for row in casebook.jobs()] == [
            ("HUT-3", "Does not start", "open", 1, True),
            ("J-0001", "White smoke at the mooring", "closed", 5, False),
        ]
        job = casebook.job("1")
        stored = casebook.entries(job)
        assert [one.entry.kind for one in stored] == ["began", "taken_up", "answer", "note", "closed"]
        assert stored[2].entry == Entry("answer", {"check": "rest", "typed": "12,4 V", "reading": 12.4}, "smoke/rest")
        assert stored[3].entry.data == {"text": "Möwe ☠"}
        assert (stored[4].seat, stored[4].at[:10]) == ("bench", "2026-03-02")
        kept = casebook.book_text(stored[2].fingerprint)
        assert kept == {"book.yaml": b"title: Invented\n", "trees/a.yaml": "words: Möwe\n".encode()}
        assert casebook.append(job, Entry("reopened", {"reason": "Smokes again"}), 6).no == 6
        assert casebook.new_job([stored[0].entry]).number == "J-0002"
        assert casebook.backup_trouble == ""
        assert len(list(casebook.export())) == 1 + 1 + 3 + 8 + 1
