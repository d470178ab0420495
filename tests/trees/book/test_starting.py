"""What `sootline new` writes is commented, named after what was asked for, and passes the checker at once."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
import yaml
from book_folder import written

from trees.book import Book, check_book, load_book, shipped_book_path
from trees.book.starting import new_book, new_check, new_family, new_tree
from trees.errors import BookError
from trees.walk.replays import replay_all


@pytest.fixture
def begun(tmp_path: Path) -> Path:
    """Return a new book on disk."""
    return written(tmp_path / "b", new_book("my boats", "2026-11-25"))


@pytest.mark.parametrize("name", ["my boats", "x", '"quoted": name\\', "ünd #so"])
def test_new_book_is_clean_and_its_worked_job_ends_where_it_says(tmp_path: Path, name: str) -> None:
    """Not even a warning; the worked job passes; every file is commented and names a schema that is there."""
    folder = written(tmp_path / "b", new_book(name, "2026-11-25"))
    checked = check_book(folder)
    assert checked.problems == ()
    assert checked.book is not None
    assert [job.faults for job in replay_all(checked.book)] == [()]
    for path in folder.rglob("*.yaml"):
        first, second = path.read_text("utf-8").split("\n")[:2]
        assert (path.parent / first.partition("$schema=")[2]).is_file()
        assert second.startswith("# ")


def added(folder: Path, made: tuple[str, str]) -> Book:
    """Add a new piece to a book, a family behind the others; assert that the book stays clean."""
    place, text = made
    path = folder / place
    path.write_text((path.read_text("utf-8") if path.exists() else "") + text, "utf-8")
    assert "#" in text
    checked = check_book(folder)
    assert checked.problems == ()
    assert checked.book is not None
    return checked.book


@pytest.mark.parametrize("source", ["new", "shipped"])
def test_pieces_fit_into_a_book(tmp_path: Path, source: str) -> None:
    """Tree, check and family are clean in a new book and in the one that ships, and bear the name."""
    files = new_book("b", "2026-11-25")
    if source == "shipped":
        shipped = shipped_book_path()
        files = {path.relative_to(shipped).as_posix(): path.read_text("utf-8") for path in shipped.rglob("*.yaml")}
    folder = written(tmp_path / "b", files)
    book = load_book(folder)
    book = added(folder, new_check(book, "smell_of_fuel"))
    book = added(folder, new_family(book, "air_3kw_12v"))
    book = added(folder, new_tree(book, "smokes_black"))
    assert "smell_of_fuel" in book.checks
    assert "air_3kw_12v" in book.families
    assert book.trees["smokes_black"].complaint_words == ("smokes black",)
    assert len({step.no for tree in book.trees.values() for step in tree.steps.values()}) == sum(
        len(tree.steps) for tree in book.trees.values()
    )


def test_numbers_of_a_new_tree_are_above_the_mark(begun: Path) -> None:
    """A hundred of its own, behind every number ever given."""
    with (begun / "book.yaml").open("a") as file:
        file.write("highest_no: 777\n")
    text = new_tree(load_book(begun), "hums")[1]
    assert "no: 801" in text


@pytest.mark.parametrize("name", ["Big Tree", "ä", "", "../x", "a b"])
@pytest.mark.parametrize("make", [new_tree, new_check, new_family])
def test_bad_name_is_told(begun: Path, make: Any, name: str) -> None:
    """Names are of a-z, 0-9 and _, so that none leads out of the folder."""
    with pytest.raises(BookError, match="a-z"):
        make(load_book(begun), name)


@pytest.mark.parametrize(("make", "name"), [(new_tree, "will_not_start"), (new_check, "intake_look")])
def test_taken_name_is_told(begun: Path, make: Any, name: str) -> None:
    """Nothing is written over."""
    with pytest.raises(BookError, match="already"):
        make(load_book(begun), name)


def test_tree_of_a_book_without_checks(begun: Path) -> None:
    """With nothing to ask, a tree is one end."""
    book = load_book(begun)
    text = new_tree(Book(**{**{name: getattr(book, name) for name in Book.__slots__}, "checks": {}}), "hums")[1]
    assert list(yaml.safe_load(text)["steps"]) == ["to_workshop"]
