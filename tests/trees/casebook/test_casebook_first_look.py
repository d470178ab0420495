"""The first look at a casebook's file lists what the casebook itself lists, or leaves it to opening."""

from __future__ import annotations

import gzip
import sqlite3
import subprocess
import sys
from collections.abc import Callable
from contextlib import closing
from datetime import datetime
from pathlib import Path

import pytest

from trees.casebook import Casebook, FirstLook, default_seat, first_look
from trees.casebook.records import SCHEMA_VERSION
from trees.errors import CasebookError
from trees.walk import Entry

RELEASED = Path(__file__).with_name("released")
LIGHT = """
import sys
from trees.casebook import first_look
assert len(first_look(sys.argv[1], "one").open_jobs) == 1
print(*sorted({name.partition(".")[0] for name in sys.modules} & {"sqlalchemy", "networkx", "yaml"}), "nothing more")
"""


def jobs_of_all_kinds(casebook: Casebook) -> None:
    """Keep open, waiting, closed, taken-up, erased and invented jobs, touched in another order than begun."""
    records = []
    for n in range(6):
        data = {"words": f"Geruch {n} [/] 'x' \u202e", "tree": "smell", "place": "phone", "family": None}
        records.append(casebook.new_job([Entry("began", data)], invented=n == 4))
    told = [
        Entry("waiting", {"for": "call_back", "due": "2026-03-03T08:00:00+00:00", "text": ""}),
        Entry("closed", {"end": "released"}),
        Entry("taken_up", {"seat": "other seat", "date": "2026-03-02"}),
        Entry("unit", {"serial": "HX-7", "text": ""}),
        Entry("family", {"family": "air_2_12"}),
    ]
    casebook.erase(records[5])
    for record, one in zip(records, told, strict=False):
        casebook.append(record, one, 2)


def seen(path: Path) -> FirstLook:
    """Return the first look at a file that has one."""
    look = first_look(path, " one \n seat ")
    assert look is not None
    return look


def test_lists_what_the_casebook_lists(path: Path, clock: Callable[[], datetime]) -> None:
    """The same jobs, equal in every field, in the same order, and the same seat, once the casebook was closed."""
    with Casebook.open(path, clock=clock, seat=" one \n seat ") as casebook:
        assert seen(path).open_jobs == ()
        jobs_of_all_kinds(casebook)
        listed, seat = casebook.jobs(open_only=True), casebook.seat
    assert len(listed) == 5
    assert not path.with_name(f"{path.name}-wal").exists()
    assert seen(path) == FirstLook(listed, seat)
    assert {type(row.invented) for row in seen(path).open_jobs} == {bool}
    look = first_look(path)
    assert look is not None
    assert look.seat == default_seat()


def test_entries_that_stand_only_in_the_log_are_listed(path: Path, clock: Callable[[], datetime]) -> None:
    """What another program wrote and nothing has moved into the file yet is seen, also while it writes on."""
    with Casebook.open(path, clock=clock, seat="one") as casebook:
        jobs_of_all_kinds(casebook)
        assert path.with_name(f"{path.name}-wal").stat().st_size
        assert seen(path).open_jobs == casebook.jobs(open_only=True)
        with closing(sqlite3.connect(path, isolation_level=None)) as other:
            other.execute("BEGIN IMMEDIATE")
            other.execute("UPDATE job SET place = 'site'")
            assert seen(path).open_jobs == casebook.jobs(open_only=True)
            other.execute("ROLLBACK")


def test_log_of_a_program_that_was_killed_is_read(path: Path) -> None:
    """A crash leaves the log behind: its last entry is listed, and opening goes on from it afterwards."""
    killed = (
        "import os, sys\nfrom trees.casebook import Casebook\nfrom trees.walk import Entry\n"
        "book = Casebook.open(sys.argv[1], seat='one')\n"
        "data = {'words': 'last words', 'tree': None, 'place': 'bench', 'family': None}\n"
        "book.new_job([Entry('began', data)])\nos._exit(9)\n"
    )
    assert subprocess.run([sys.executable, "-c", killed, path], timeout=60, check=False).returncode == 9
    assert path.with_name(f"{path.name}-wal").stat().st_size
    look = seen(path)
    assert [row.words for row in look.open_jobs] == ["last words"]
    with Casebook.open(path, create=False) as casebook:
        assert casebook.jobs(open_only=True) == look.open_jobs


def test_file_stays_as_it_was(path: Path, clock: Callable[[], datetime]) -> None:
    """To look changes no byte of the casebook, and the files of its log are nobody else's to read."""
    with Casebook.open(path, clock=clock) as casebook:
        jobs_of_all_kinds(casebook)
    before = path.read_bytes()
    seen(path)
    assert path.read_bytes() == before
    assert {file.stat().st_mode & 0o077 for file in path.parent.glob(f"{path.name}*") if file.is_file()} == {0}


def test_no_file_is_made(path: Path) -> None:
    """Where there is no casebook none is made, nor anything beside its place."""
    there = sorted(path.parent.iterdir())
    assert first_look(path) is None
    assert first_look(path.parent / "no folder" / "casebook.db") is None
    assert sorted(path.parent.iterdir()) == there


@pytest.mark.parametrize("version", range(1, SCHEMA_VERSION))
def test_store_of_an_earlier_schema_is_left_to_opening(path: Path, version: int) -> None:
    """It has to be brought to the present schema, with a backup first, before its jobs are listed."""
    path.write_bytes(gzip.decompress((RELEASED / f"schema_{version}.sqlite3.gz").read_bytes()))
    assert first_look(path) is None
    with Casebook.open(path) as casebook:
        assert casebook.migrated
        assert seen(path).open_jobs == casebook.jobs(open_only=True) != ()


def newer(path: Path) -> None:
    """Let a later program have written it."""
    with closing(sqlite3.connect(path)) as other, other:
        other.execute("UPDATE store_info SET value = ? WHERE name = 'schema_version'", [str(SCHEMA_VERSION + 1)])


def text(path: Path) -> None:
    """Put a text where the casebook was."""
    path.write_text("this is no database")


def spoilt(path: Path) -> None:
    """Leave of the casebook only how it begins."""
    path.write_bytes(path.read_bytes()[:100] + b"\xff" * 4000)


def foreign(path: Path) -> None:
    """Put a database of another program there."""
    path.unlink()
    with closing(sqlite3.connect(path)) as other:
        other.execute("CREATE TABLE job (id)")


def folder(path: Path) -> None:
    """Put a folder there."""
    path.unlink()
    path.mkdir()


@pytest.mark.parametrize("befallen", [newer, text, spoilt, foreign, folder], ids=lambda f: f.__name__)
def test_store_in_trouble_is_left_to_opening_which_tells_it(path: Path, befallen: Callable[[Path], None]) -> None:
    """Nothing is listed of a file that is no casebook of ours, and opening it says why in a sentence."""
    Casebook.open(path).close()
    befallen(path)
    assert first_look(path) is None
    with pytest.raises(CasebookError):
        Casebook.open(path)


def test_locked_file_is_left_to_opening(path: Path) -> None:
    """A file that another program has for itself alone is not waited for: opening waits, and tells it."""
    Casebook.open(path).close()
    with closing(sqlite3.connect(path, isolation_level=None)) as other:
        other.execute("PRAGMA locking_mode = EXCLUSIVE")
        other.execute("BEGIN IMMEDIATE")
        assert first_look(path) is None
        with pytest.raises(CasebookError, match="is locked by another program"):
            Casebook.open(path, busy_s=0.02)


def test_file_that_may_not_be_written_is_left_to_opening(child: Callable[..., str], common_folder: Path) -> None:
    """Reading a log makes files beside it, so nothing is read where opening would refuse, and nothing is made."""
    told = child(
        """
        import stat
        from trees.casebook import first_look
        store = Path(sys.argv[1]) / "casebook.db"
        Casebook.open(store).close()
        assert first_look(store) is not None
        for log in (store.with_name(store.name + "-wal"), store.with_name(store.name + "-shm")):
            log.unlink(missing_ok=True)
        store.chmod(0o400)
        print(first_look(store), [file.name for file in store.parent.glob("casebook.db*")])
        """,
        common_folder,
    )
    assert told == "None ['casebook.db']"


@pytest.mark.parametrize("where", ["postgresql://user@nowhere.invalid/x", "mysql://x", "", "a\0b"])
def test_what_is_no_file_is_left_to_opening(where: str) -> None:
    """A server is not asked, and an address that is none is told by opening."""
    assert first_look(where) is None


def test_nothing_heavy_is_loaded_for_it(path: Path, began: Entry) -> None:
    """It is there to come before the database library."""
    with Casebook.open(path) as casebook:
        casebook.new_job([began])
    done = subprocess.run([sys.executable, "-c", LIGHT, path], capture_output=True, text=True, timeout=60, check=True)
    assert done.stdout.strip() == "nothing more"
