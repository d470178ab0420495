"""A store that can't be written is read all the same: as it lies, or as a copy where it can't be read there."""

from __future__ import annotations

import gzip
import os
import shutil
import subprocess
import sys
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from stores import server_store

from trees.casebook import Casebook, UnwritableError
from trees.walk import Entry

RunChild = Callable[..., str]

READING = """
with Casebook.open(sys.argv[1], create=False, reading=True) as book:
    job = book.job("J-0001")
    print(len(book.jobs()), len(book.entries(job)), len(list(book.export())), [row.number for row in book.find("moor")])
    print(bool(book.read_only), sorted(os.listdir(os.path.dirname(sys.argv[1]))))
    told(lambda: book.append(job, Entry("note", {"text": "x"}), 3))
    told(lambda: book.new_job([began]))
    told(lambda: book.come(job))
    told(lambda: book.erase(job))
"""


@pytest.fixture
def kept(common_folder: Path, began: Entry) -> Iterator[Path]:
    """Return a casebook with one job in a folder that others can enter."""
    path = common_folder / "casebook.sqlite3"
    with Casebook.open(path) as casebook:
        casebook.append(casebook.new_job([began]), Entry("note", {"text": "Wet"}), 2)
    yield path
    common_folder.chmod(0o777)


def read(child: RunChild, path: Path) -> tuple[str, str]:
    """Read a casebook as a user whom rights bind; returns what was found, and what lies in the folder."""
    found, where, *refused = child(READING, path).splitlines()
    assert len(refused) == 4
    assert all(line.startswith("UnwritableError: The ") for line in refused)
    return found, where


def test_read_only_file_is_read(kept: Path, child: RunChild) -> None:
    """A file that may only be read is read as it lies, and nothing appears beside it that could lock its owner out."""
    kept.chmod(0o444)
    there = sorted(one.name for one in kept.parent.iterdir())
    assert read(child, kept) == ("1 2 5 ['J-0001']", f"True {there}")


def test_read_only_folder_is_read(kept: Path, child: RunChild) -> None:
    """A file in a folder that may only be read is read as it lies."""
    kept.chmod(0o666)
    kept.parent.chmod(0o555)
    assert read(child, kept)[0] == "1 2 5 ['J-0001']"


def test_read_only_store_with_a_log(kept: Path, child: RunChild) -> None:
    """The last entries, that only the log of a program cut off holds, are read too; the log stays where it is."""
    cut = kept.with_name("cut.sqlite3")
    with Casebook.open(kept) as casebook:
        casebook.append(casebook.job("1"), Entry("note", {"text": "Last"}), 3)
        for beside in ("", "-wal"):
            shutil.copy(f"{kept}{beside}", f"{cut}{beside}")
            Path(f"{cut}{beside}").chmod(0o444)
    log = Path(f"{cut}-wal").read_bytes()
    assert log
    kept.parent.chmod(0o555)
    assert read(child, cut)[0] == "1 3 6 ['J-0001']"
    assert Path(f"{cut}-wal").read_bytes() == log


def on_read_only_disk(folder: Path, private_mounts: tuple[str, ...]) -> list[str]:
    """Return the command before a command that sees the folder as a disk that is mounted read-only."""
    mount = f"mount --bind {folder} {folder} && mount -o remount,bind,ro {folder}"
    return [*private_mounts, "sh", "-c", f'{mount} && SOOTLINE_STAYS_ROOT=1 exec "$@"', "sh"]


def test_read_only_store_of_an_earlier_version(
    common_folder: Path, child: RunChild, private_mounts: tuple[str, ...]
) -> None:
    """A store of the first schema that can't be written is read too, and stays of that schema."""
    packed = Path(__file__).with_name("released") / "schema_1.sqlite3.gz"
    path = common_folder / "casebook.sqlite3"
    path.write_bytes(gzip.decompress(packed.read_bytes()))
    before = path.read_bytes()
    found, _, *refused = child(READING, path, before=on_read_only_disk(common_folder, private_mounts)).splitlines()
    assert (found, len(refused)) == ("2 5 11 ['J-0001']", 4)
    assert path.read_bytes() == before


def test_writable_store_is_opened_as_ever(kept: Path) -> None:
    """Where the store can be written, opening it to be read is the same as opening it."""
    with Casebook.open(kept, create=False, reading=True) as casebook:
        assert casebook.read_only == ""
        assert casebook.append(casebook.job("1"), Entry("note", {"text": "x"}), 3).no == 3


def test_nothing_is_made_where_there_is_none(tmp_path: Path) -> None:
    """Reading makes no casebook."""
    with pytest.raises(Exception, match="There is no casebook at"):
        Casebook.open(tmp_path / "none.sqlite3", reading=True)
    assert not (tmp_path / "none.sqlite3").exists()


def test_server_that_takes_no_changes(began: Entry) -> None:
    """A server that only follows another takes no changes: it is refused in a sentence, or read where that is asked."""
    with server_store() as server:
        with Casebook.open(server.where) as casebook:
            job = casebook.new_job([began])
        where = server.where.replace("options=", "options=-cdefault_transaction_read_only%3Don%20")
        with pytest.raises(UnwritableError):
            Casebook.open(where)
        with Casebook.open(where, create=False, reading=True) as reader:
            assert len(reader.entries(job)) == 1
            assert reader.read_only
            with pytest.raises(UnwritableError):
                reader.append(job, Entry("note", {"text": "x"}), 2)


VERBS = (
    ("jobs", "list"),
    ("jobs", "show", "1"),
    ("jobs", "export"),
    ("jobs", "export", "--format", "csv"),
    ("report", "1", "--out", "{out}"),
)


@pytest.mark.parametrize("verb", VERBS, ids=" ".join)
def test_verbs_that_read(verb: tuple[str, ...], kept: Path, tmp_path: Path, private_mounts: tuple[str, ...]) -> None:
    """The real program lists, shows, exports and reports from a disk that is mounted read-only, also as root."""
    command = on_read_only_disk(kept.parent, private_mounts)
    command += [sys.executable, "-W", "error", "-m", "tui.command_line", "--store", str(kept)]
    command += [part.format(out=tmp_path / "report.md") for part in verb]
    environment = {**os.environ, "HOME": str(tmp_path)}
    done = subprocess.run(command, capture_output=True, text=True, check=False, timeout=60, env=environment)
    assert (done.returncode, done.stderr) == (0, "")
    assert done.stdout
