"""Erasing what people typed into a job: gone to the last byte, and the technical record stays."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from pathlib import Path

import pytest
from stores import Store

from trees.casebook import Casebook
from trees.casebook.backups import backup_folder, backups
from trees.walk import Entry

NAME = "Skipper of the Grey Heron, pier 7"


def job_of(name: str) -> list[Entry]:
    answer = Entry("answer", {"check": "smoke", "answer": "stays"}, "smoke/first")
    long = Entry("note", {"text": f"{name} said " * 900})  # spills over many pages
    return [Entry("began", {"words": f"{name} smokes", "tree": "smoke", "place": "bench"}), answer, long]


def files_that_hold(folder: Path, name: str) -> list[str]:
    """Return the files below a folder that hold the bytes of a text, in either encoding of a database."""
    spellings = [name.encode(code) for code in ("utf-8", "utf-16-le")]
    files = [path for path in folder.rglob("*") if path.is_file()]
    return [path.name for path in files if any(one in path.read_bytes() for one in spellings)]


def test_erased_job_keeps_its_technical_record(store: Store, casebook: Casebook) -> None:
    """The texts of that job are gone for every seat; its entries, and the texts of the other jobs, stay."""
    job, other = casebook.new_job(job_of(NAME)), casebook.new_job(job_of("Warden"))
    store.execute("INSERT INTO personal VALUES (?, 0, 'phone', ?)", job.id, NAME)
    before, others = casebook.entries(job), casebook.entries(other)
    done = casebook.erase(job)
    assert (done.texts, done.left, done.freed) == (3, (), True)
    with Casebook.open(store.where) as seat:
        left = seat.entries(job)
        assert [(one.no, one.entry.kind, one.entry.visit, one.at) for one in left] == [
            (one.no, one.entry.kind, one.entry.visit, one.at) for one in before
        ]
        assert left[1] == before[1]
        assert NAME not in str(left)
        assert seat.entries(other) == others
        assert {row.number: row.words for row in seat.jobs()}[job.number] == ""
    assert casebook.erase(job).texts == 0


def test_no_byte_is_left(path: Path, file_casebook: Casebook) -> None:
    """After erasing, neither the file, its log, nor any backup holds a byte of the text; before, all of them do."""
    job = file_casebook.new_job(job_of(NAME))
    with closing(sqlite3.connect(path, isolation_level=None)) as other:
        # Bytes in pages that are free already, as an SQLite leaves them that was built without secure delete.
        other.execute("PRAGMA secure_delete = OFF")
        other.execute("INSERT INTO personal VALUES (?, 0, 'text', ?)", (job.id, f"{NAME} again " * 900))
        other.execute("DELETE FROM personal WHERE no = 0")
    file_casebook.new_job(job_of("Warden"))
    for _ in range(2):
        made = file_casebook.back_up()
    assert len(files_that_hold(path.parent, NAME)) >= 3
    done = file_casebook.erase(job)
    assert (done.backups, done.freed) == (2, True)
    assert files_that_hold(path.parent, NAME) == []
    assert len(files_that_hold(path.parent, "Warden")) == 3
    with closing(sqlite3.connect(made.path)) as copy:
        assert copy.execute("PRAGMA integrity_check").fetchone() == ("ok",)
        assert copy.execute("SELECT count(*) FROM entry").fetchone() == (6,)
    assert [one.name for one in backup_folder(path).iterdir() if "making" in one.name] == []


def test_search_index_holds_no_word_of_it(path: Path, file_casebook: Casebook) -> None:
    """No word of an erased job is left in what jobs are found by, in the file or in a backup, also of schema 1."""
    rare = "Zwyxleben"
    job, other = file_casebook.new_job(job_of(rare)), file_casebook.new_job(job_of("Warden"))
    file_casebook.keep_customer(job, {"name": f"{rare} junior"})
    file_casebook.append(job, Entry("unit", {"serial": "SN-77", "text": rare}), 4)
    file_casebook.back_up()
    with closing(sqlite3.connect(file_casebook.back_up().path)) as old:
        old.executescript(
            "DROP TABLE job_search_index; DROP TABLE job_search; UPDATE store_info SET value = '1' "
            "WHERE name = 'schema_version'"
        )
    assert [row.number for row in file_casebook.find("zwyx")] == [job.number]
    assert holders(path.parent, b"wyxleb") != []
    assert file_casebook.erase(job).backups == 2
    assert file_casebook.find("zwyx") == ()
    assert holders(path.parent, b"wyxleb") == []
    found = [[row.number for row in file_casebook.find(typed)] for typed in ("sn77", job.number, "warden")]
    assert found == [[job.number], [job.number], [other.number]]


def holders(folder: Path, word: bytes) -> list[str]:
    """Return the files that hold a word in letters of any size; an index leaves out how a word begins."""
    return [path.name for path in folder.rglob("*") if path.is_file() and word in path.read_bytes().lower()]


def test_search_of_a_server_forgets(store: Store, casebook: Casebook) -> None:
    """On either engine an erased job is found by its number and serial alone, in the table too."""
    job = casebook.new_job(job_of("Zwyxleben"))
    assert len(casebook.find("zwy")) == 1
    casebook.erase(job)
    assert casebook.find("zwy") == ()
    assert store.execute("SELECT words FROM job_search") == [("0001 1 j j0001",)]


def test_other_job_of_that_number_in_a_backup(path: Path, file_casebook: Casebook, tmp_path: Path) -> None:
    """A backup in which the number belongs to another job keeps that job's texts."""
    file_casebook.new_job(job_of("Warden"))
    kept = file_casebook.back_up()
    with Casebook.open(tmp_path / "other.sqlite3") as other:
        job = other.new_job(job_of(NAME))
        foreign = backup_folder(tmp_path / "other.sqlite3")
        foreign.mkdir()
        (foreign / kept.path.name).write_bytes(kept.path.read_bytes())
        assert other.erase(job).backups == 0
        assert files_that_hold(foreign, "Warden") == [kept.path.name]


def test_backup_that_can_not_be_read(path: Path, file_casebook: Casebook) -> None:
    """A spoilt backup is named, for the text may still be in it; the others are erased all the same."""
    job = file_casebook.new_job(job_of(NAME))
    good, bad = file_casebook.back_up(), file_casebook.back_up()
    bad.path.write_bytes(b"\xaa" * 100 + bad.path.read_bytes()[100:])
    done = file_casebook.erase(job)
    assert (done.backups, done.left) == (1, (bad.path,))
    assert NAME.encode() not in good.path.read_bytes()
    assert [one.path for one in backups(path)] == [bad.path, good.path]


def test_linked_jobs_are_named(casebook: Casebook) -> None:
    """A job that follows another up may hold the same complaint: erasing either one names the other."""
    first, alone = casebook.new_job(job_of(NAME)), casebook.new_job(job_of(NAME))
    second = casebook.new_job([*job_of(NAME), Entry("follow_up_of", {"job": first.number, "reason": NAME})])
    assert [casebook.erase(job).linked for job in (first, second, alone)] == [(second.number,), (first.number,), ()]


@pytest.mark.parametrize("lock", ["BEGIN IMMEDIATE", "BEGIN; SELECT * FROM personal"])
def test_other_program_at_the_file(path: Path, file_casebook: Casebook, lock: str) -> None:
    """While another program holds the store the bytes can't be freed; this is told, and erasing again frees them."""
    job = file_casebook.new_job(job_of(NAME))
    with closing(sqlite3.connect(path, isolation_level=None)) as other:
        if lock == "BEGIN IMMEDIATE":  # taken after the texts were deleted
            from trees.casebook.erase import free_bytes

            other.execute(lock)
            assert free_bytes(file_casebook._engine, path) is False
        else:
            for statement in lock.split(";"):
                other.execute(statement).fetchall()
            assert file_casebook.erase(job).freed is False
            assert files_that_hold(path.parent, NAME) != []
        other.execute("ROLLBACK")
    assert file_casebook.erase(job).freed is True
    assert files_that_hold(path.parent, NAME) == []
