"""The text of each edition of the book is kept once, exactly, so that an old job can be read for ever."""

from __future__ import annotations

from pathlib import Path

import pytest
from stores import Store

from trees.book import load_book, shipped_book_path
from trees.casebook import Casebook, book_files, write_book_files
from trees.casebook.book_text import fingerprint_of, pack
from trees.errors import CasebookError


def test_kept_edition_loads_as_the_same_book(casebook: Casebook, tmp_path: Path) -> None:
    """The shipped book, kept and written out again, loads as the same edition with the same trees."""
    book = load_book(shipped_book_path())
    casebook.keep_book_text(book.fingerprint, book_files(shipped_book_path()))
    folder = write_book_files(casebook.book_text(book.fingerprint), tmp_path / "old")
    again = load_book(folder)
    assert (again.fingerprint, again.trees) == (book.fingerprint, book.trees)


def test_fingerprint_covers_what_belongs_to_a_book(tmp_path: Path) -> None:
    """The kept files are those that the book's own fingerprint covers: stray and hidden files are not among them."""
    folder = write_book_files(book_files(shipped_book_path()), tmp_path / "copy")
    for stray in ("notes.txt", "notes.yaml", ".hidden/trees/x.yaml", "trees/deeper/x.yaml", "trees/x.yml"):
        (folder / stray).parent.mkdir(parents=True, exist_ok=True)
        (folder / stray).write_text("x: y\n")
    assert fingerprint_of(book_files(folder)) == load_book(shipped_book_path()).fingerprint


def test_edition_is_kept_once(store: Store, casebook: Casebook) -> None:
    """Keeping an edition again, also from another seat, changes nothing."""
    files = {"book.yaml": b"title: Invented\n", "trees/a.yaml": "words: Möwe ☠\n".encode()}
    edition = fingerprint_of(files)
    for _ in range(2):
        casebook.keep_book_text(edition, files)
    with Casebook.open(store.where) as other:
        other.keep_book_text(edition, files)
        assert other.book_text(edition) == files
    assert store.execute("SELECT count(*) FROM book_text") == [(1,)]


def test_other_text_than_the_edition_says(casebook: Casebook) -> None:
    """A book that was edited after it was loaded is not kept under the loaded edition's name."""
    files = {"book.yaml": b"title: Invented\n"}
    edition = fingerprint_of(files)
    with pytest.raises(CasebookError, match=f"has changed on disk since it was loaded as edition {edition}"):
        casebook.keep_book_text(edition, {"book.yaml": b"title: Edited\n"})
    with pytest.raises(CasebookError, match=f"edition {edition} is not kept in"):
        casebook.book_text(edition)


def test_text_that_is_no_utf_8(casebook: Casebook) -> None:
    """Bytes that are no text are refused in a sentence."""
    files = {"book.yaml": b"\xff\xfe"}
    with pytest.raises(CasebookError, match="a file of it is no UTF-8"):
        casebook.keep_book_text(fingerprint_of(files), files)


@pytest.mark.parametrize("damage", [b"", b"x" * 40, pack({"a.yaml": b"x"}, fingerprint_of({"a.yaml": b"x"}))])
def test_damaged_edition(store: Store, casebook: Casebook, damage: bytes) -> None:
    """An edition whose text is not what its fingerprint says is called damaged."""
    store.execute("INSERT INTO book_text VALUES ('abc', ?, '')", damage)
    with pytest.raises(CasebookError, match="edition abc is damaged"):
        casebook.book_text("abc")


@pytest.mark.parametrize("name", ["../out.yaml", "/tmp/out.yaml", "", "trees/../../out.yaml"])
def test_kept_name_can_not_lead_out(tmp_path: Path, name: str) -> None:
    """A file name inside a kept book can't write outside the folder that was given."""
    with pytest.raises(CasebookError, match="leads out of its folder"):
        write_book_files({name: b"x"}, tmp_path / "old")
    assert not (tmp_path / "out.yaml").exists()


def test_folder_that_is_no_book(tmp_path: Path) -> None:
    """A folder without a book has no files to keep."""
    assert book_files(tmp_path) == {}


def test_kept_book_that_can_not_be_written_out(tmp_path: Path) -> None:
    """A folder that can't hold the kept book is named in a sentence."""
    (tmp_path / "file").write_text("x")
    with pytest.raises(CasebookError, match=r"^The kept book can't be written to .*/file/book\.yaml: "):
        write_book_files({"book.yaml": b"x"}, tmp_path / "file")
