"""What may befall a casebook's file: locked, read-only, full, moved, damaged; a sentence each, and nothing is lost."""

from __future__ import annotations

import sqlite3
from collections.abc import Callable
from pathlib import Path

import pytest

from trees.casebook import Casebook
from trees.errors import CasebookError
from trees.walk import Entry

RunChild = Callable[..., str]


# ── locked ──────────────────────────────────────────────────────────────────


def test_locked_while_open(path: Path, file_casebook: Casebook, began: Entry) -> None:
    """An answer that meets a lock for longer than we wait is refused in a sentence and goes in once it is off."""
    job = file_casebook.new_job([began])
    other = sqlite3.connect(path, isolation_level=None)
    try:
        other.execute("BEGIN IMMEDIATE")
        with pytest.raises(CasebookError) as caught:
            file_casebook.append(job, Entry("note", {"text": "x"}), 2)
        assert str(caught.value) == (
            f"The casebook {path} is locked by another program and stayed so for 0.05 s; close that program, "
            "then try again. What was acknowledged before is safe."
        )
        assert len(file_casebook.entries(job)) == 1  # reading goes on meanwhile
        other.execute("ROLLBACK")
        assert file_casebook.append(job, Entry("note", {"text": "x"}), 2).no == 2
    finally:
        other.close()


def test_locked_when_opened(path: Path, file_casebook: Casebook) -> None:
    """A casebook that another program writes to, or has for itself alone, is said to be locked when it is opened."""
    file_casebook.close()
    for lock in ("BEGIN IMMEDIATE", "PRAGMA locking_mode = EXCLUSIVE"):
        other = sqlite3.connect(path, isolation_level=None)
        try:
            other.execute(lock)
            other.execute("UPDATE store_info SET value = value")
            with pytest.raises(CasebookError, match=r"is locked by another program and stayed so for 0\.02 s"):
                Casebook.open(path, busy_s=0.02)
        finally:
            other.close()
    Casebook.open(path).close()


# ── read-only, unreadable, moved, full ──────────────────────────────────────


def test_read_only_file(common_folder: Path, child: RunChild) -> None:
    """A casebook that may be read but not written is said to be read-only, not found out at the first answer."""
    path = common_folder / "casebook.sqlite3"
    Casebook.open(path).close()
    path.chmod(0o444)
    said = child("told(lambda: Casebook.open(sys.argv[1]))", path)
    assert said == (
        f"UnwritableError: The casebook {path} is read-only; make it writable, or copy it and open the copy with "
        "--store. `sootline jobs list`, `show`, `export` and `sootline report` read it as it is."
    )


def test_read_only_folder(common_folder: Path, child: RunChild) -> None:
    """A casebook in a folder that can't be written is refused with the folder's name; none is made in one."""
    path = common_folder / "casebook.sqlite3"
    Casebook.open(path).close()
    path.chmod(0o666)
    common_folder.chmod(0o555)
    said = child("told(lambda: Casebook.open(sys.argv[1]))", path)
    assert said.startswith(f"UnwritableError: The folder {common_folder} is read-only, and the casebook in it needs")
    said = child("told(lambda: Casebook.open(sys.argv[1]))", common_folder / "new.sqlite3")
    assert said.startswith(f"CasebookError: The casebook {common_folder / 'new.sqlite3'} can't be opened: ")
    assert "Permission denied" in said


def test_unreadable_file(common_folder: Path, child: RunChild) -> None:
    """A casebook of somebody else is said to be so."""
    path = common_folder / "casebook.sqlite3"
    Casebook.open(path).close()
    path.chmod(0o000)
    said = child("told(lambda: Casebook.open(sys.argv[1]))", path)
    assert said.startswith(f"CasebookError: The casebook {path} can't be read by you;")


def test_read_only_disk(tmp_path: Path, child: RunChild, private_mounts: tuple[str, ...]) -> None:
    """On a disk that is mounted read-only the casebook is said to be read-only, to root too, and none can be made."""
    disk, path = tmp_path / "disk", tmp_path / "disk" / "casebook.sqlite3"
    disk.mkdir()
    Casebook.open(path).close()
    mount = f"mount --bind {disk} {disk} && mount -o remount,bind,ro {disk}"
    before = (*private_mounts, "sh", "-c", f'{mount} && SOOTLINE_STAYS_ROOT=1 exec "$@"', "sh")
    script = """
        told(lambda: Casebook.open(sys.argv[1]))
        told(lambda: Casebook.open(sys.argv[1] + ".new"))
    """
    there, new = child(script, path, before=before).splitlines()
    assert there.startswith(f"UnwritableError: The casebook {path} is read-only; make it writable")
    assert new.startswith(f"CasebookError: The casebook {path}.new can't be opened: ")
    assert "Read-only file system" in new


def test_becomes_read_only_while_open(common_folder: Path, child: RunChild) -> None:
    """A casebook that is made read-only under the program is said so at the next answer that meets it."""
    script = """
        path = Path(sys.argv[1])
        with Casebook.open(path) as book:
            job = book.new_job([began])
            path.chmod(0o444)
            with book._engine.connect():  # another thread is reading, so the answer needs a connection of its own
                told(lambda: book.append(job, Entry("note", {"text": "x"}), 2))
            path.chmod(0o600)
            print(len(book.entries(job)))
    """
    said, kept = child(script, common_folder / "casebook.sqlite3").splitlines()
    assert said.startswith(
        f"UnwritableError: The casebook {common_folder / 'casebook.sqlite3'} can't be written: it is"
    )
    assert kept == "1"


FILL_DISK = """
path = Path(sys.argv[1]) / "casebook.sqlite3"
with Casebook.open(path) as book:
    job, no = book.new_job([began]), 2
    try:
        while True:
            book.append(job, Entry("note", {"text": "x" * 2000}), no)
            no += 1
    except CasebookError as error:
        print(type(error).__name__ + ":", error)
    stored = book.entries(job)
    print(no - 1, len(stored), {len(one.entry.data["text"]) for one in stored[1:]})
    (path.parent / "filler").unlink()
    print(book.append(job, Entry("note", {"text": "x"}), no).no == no)
with Casebook.open(path) as book:
    print(len(book.entries(book.job("J-0001"))) == no)
"""


def test_disk_is_full(tmp_path: Path, child: RunChild, private_mounts: tuple[str, ...]) -> None:
    """On a full disk the answer is refused in a sentence, what was acknowledged stands, and room makes it go on."""
    folder = tmp_path / "disk"
    folder.mkdir()
    mount = f"mount -t tmpfs -o size=1m none {folder} && head -c 400000 /dev/zero > {folder}/filler"
    before = (*private_mounts, "sh", "-c", f'{mount} && SOOTLINE_STAYS_ROOT=1 exec "$@"', "sh")
    said, counts, *later = child(FILL_DISK, folder, before=before).splitlines()
    assert said.startswith(f"UnwritableError: The disk of the casebook {folder / 'casebook.sqlite3'} is full")
    kept, found, lengths = counts.split(maxsplit=2)
    assert int(kept) > 10
    assert (found, lengths) == (kept, "{2000}")
    assert later == ["True", "True"]


LIMITED = """
path = Path(sys.argv[1])
with Casebook.open(path) as book:
    job, no = book.new_job([began]), 2
    resource.setrlimit(resource.RLIMIT_FSIZE, (300_000, resource.RLIM_INFINITY))
    try:
        while True:
            book.append(job, Entry("note", {"text": "x" * 2000}), no)
            no += 1
    except CasebookError as error:
        print(type(error).__name__ + ":", error)
    resource.setrlimit(resource.RLIMIT_FSIZE, (resource.RLIM_INFINITY, resource.RLIM_INFINITY))
    print(no - 1, len(book.entries(job)))
    print(book.append(job, Entry("note", {"text": "x"}), no).no == no)
"""


def test_file_may_not_grow(common_folder: Path, child: RunChild) -> None:
    """Where the file may not grow further, the answer is refused in a sentence and what was acknowledged stands."""
    said, counts, went_on = child(LIMITED, common_folder / "casebook.sqlite3").splitlines()
    assert said.startswith("UnwritableError: The disk of the casebook ")
    assert "is full or fails" in said
    kept, found = counts.split()
    assert int(kept) > 3
    assert (found, went_on) == (kept, "True")


def test_file_taken_away_while_open(path: Path, file_casebook: Casebook, began: Entry) -> None:
    """An answer is never acknowledged into a file that was deleted, moved or replaced under the program."""
    job = file_casebook.new_job([began])
    moved = path.with_name("moved.sqlite3")
    path.rename(moved)
    with pytest.raises(CasebookError, match="was moved, deleted or replaced while it was open"):
        file_casebook.append(job, Entry("note", {"text": "x"}), 2)
    path.write_bytes(b"")
    with pytest.raises(CasebookError, match="was moved, deleted or replaced while it was open"):
        file_casebook.append(job, Entry("note", {"text": "x"}), 2)
    moved.replace(path)
    assert file_casebook.append(job, Entry("note", {"text": "x"}), 2).no == 2


def test_damaged_page(path: Path, file_casebook: Casebook, began: Entry) -> None:
    """A page that the disk has spoilt is called damage, and points to the backup."""
    for _ in range(40):
        job = file_casebook.new_job([began, Entry("note", {"text": "x" * 500})])
    file_casebook.close()
    size = 4096
    content = bytearray(path.read_bytes())
    for page in range(1, len(content) // size):
        content[page * size : page * size + 64] = b"\xaa" * 64
    path.write_bytes(content)
    with pytest.raises(CasebookError, match="is damaged") as caught, Casebook.open(path) as again:
        again.entries(job)
    assert "backup" in str(caught.value)
