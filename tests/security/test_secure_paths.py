"""Nothing is written where nobody asked for it: names that lead away, links, devices, files that are there."""

from __future__ import annotations

import os
import sqlite3
import stat
from collections.abc import Callable
from contextlib import closing
from pathlib import Path

import pytest
from security_support import RunVerb, entry, export

from trees.book import check_book
from trees.casebook import Casebook
from trees.casebook.records import NUMBER
from trees.errors import CasebookError
from trees.walk import Entry
from tui.verbs import number

LEADING_AWAY = ["../x", "..", ".", "/tmp/x", "a/b", "a\\b", "x\n", "x\0", "x.yaml", "~", "-x", "ä", "", " x", "CON:"]


@pytest.fixture
def book(tmp_path: Path, run: RunVerb) -> Path:
    """Return a new book."""
    assert run("new", "book", tmp_path / "mine").status == 0
    return tmp_path / "mine"


def everything(folder: Path) -> dict[str, bytes]:
    """Return all files under a folder with what is in them."""
    return {str(path.relative_to(folder)): path.read_bytes() for path in folder.rglob("*") if path.is_file()}


@pytest.mark.parametrize("name", LEADING_AWAY)
@pytest.mark.parametrize("kind", ["tree", "check", "family"])
def test_new_takes_no_name_that_leads_away(tmp_path: Path, book: Path, run: RunVerb, kind: str, name: str) -> None:
    """A tree, check or family has a name of a-z, 0-9 and _; nothing is written for any other."""
    before = everything(tmp_path)
    done = run("new", kind, f"{name}" if not name.startswith("-") else f"./{name}", "--in", book)
    assert done.status == 2
    assert everything(tmp_path) == before


@pytest.mark.parametrize("name", LEADING_AWAY)
def test_no_job_has_a_number_that_leads_away(tmp_path: Path, name: str) -> None:
    """A job's number is fit for the name of a file: it neither leads out of a folder nor hides."""
    with Casebook.open(tmp_path / "a.db") as casebook:
        began = Entry("began", {"words": "x", "tree": None, "place": "bench"})
        if NUMBER.fullmatch(name):
            assert name == "x.yaml"
            return
        with pytest.raises(CasebookError):
            casebook.new_job([began], number=name or " ")


def test_no_job_of_a_strange_casebook_leads_away(tmp_path: Path) -> None:
    """A job of a casebook from elsewhere with a number that we never give can't be opened: no file is named by it."""
    with Casebook.open(tmp_path / "a.db") as casebook:
        casebook.new_job([Entry("began", {"words": "x", "tree": None, "place": "bench"})])
    with closing(sqlite3.connect(tmp_path / "a.db")) as file, file:
        file.execute("UPDATE job SET number = '../../x'")
    with Casebook.open(tmp_path / "a.db") as casebook, pytest.raises(CasebookError, match="no job"):
        casebook.job("../../x")


@pytest.mark.parametrize("name", ["../x", "..", "/tmp/x", "x\0", ".hidden"])
def test_chart_of_no_tree_is_written_nowhere(tmp_path: Path, run: RunVerb, name: str) -> None:
    """The name of a tree becomes the name of a file only where there is such a tree."""
    (tmp_path / "out").mkdir()
    assert run("chart", name, "--out", tmp_path / "out").status == 2
    assert everything(tmp_path) == {}


@pytest.fixture
def store(imported: Callable[[str], Path]) -> Path:
    """Return a casebook with one job."""
    return imported(export(entry("note", text="x")))


WRITERS = [
    ("report", "J-0001", "--format", "md", "--out"),
    ("report", "J-0001", "--format", "html", "--out"),
    ("jobs", "export", "--out"),
    ("jobs", "export", "--format", "csv", "--out"),
    ("chart", "supply_voltage", "--format", "txt", "--out"),
]


@pytest.mark.parametrize("verb", WRITERS)
def test_out_replaces_a_link_and_not_what_it_points_to(
    tmp_path: Path, store: Path, run: RunVerb, verb: tuple[str, ...]
) -> None:
    """Where `--out` names a link, the link gives way to the file; what it pointed to stays as it was."""
    precious = tmp_path / "precious"
    precious.write_text("precious")
    link = tmp_path / "out.txt"
    link.symlink_to(precious)
    assert run("--store", store, *verb, link).status == 0
    assert precious.read_text() == "precious"
    assert not link.is_symlink()
    assert link.stat().st_size > 0


@pytest.mark.parametrize("verb", WRITERS)
def test_out_is_no_device_and_no_folder(tmp_path: Path, store: Path, run: RunVerb, verb: tuple[str, ...]) -> None:
    """A device, a pipe or (but for charts) a folder is refused in a sentence and is what it was afterwards."""
    pipe = tmp_path / "pipe"
    os.mkfifo(pipe)
    assert "no ordinary file" in run("--store", store, *verb, pipe).sentence
    assert stat.S_ISFIFO(pipe.stat().st_mode)
    null = tmp_path / "null"
    null.symlink_to("/dev/null")
    assert "no ordinary file" in run("--store", store, *verb, null).sentence
    assert stat.S_ISCHR(Path("/dev/null").stat().st_mode)
    (tmp_path / "folder").mkdir()
    if verb[0] != "chart":
        run("--store", store, *verb, tmp_path / "folder")
    assert (tmp_path / "folder").is_dir()
    assert list((tmp_path / "folder").iterdir()) == []


@pytest.mark.parametrize("verb", WRITERS)
def test_out_below_a_file_is_a_sentence(tmp_path: Path, store: Path, run: RunVerb, verb: tuple[str, ...]) -> None:
    """Where the folder of `--out` can't be had, one sentence says so and nothing half is left."""
    (tmp_path / "file").write_text("x")
    before = everything(tmp_path)
    assert "can't be written" in run("--store", store, *verb, tmp_path / "file" / "out.txt").sentence
    assert {name for name in everything(tmp_path) if ".part" in name or name.startswith(".out")} == set()
    assert set(before) <= set(everything(tmp_path))


def test_book_with_a_link_out_of_it_is_not_read(tmp_path: Path, book: Path) -> None:
    """A file that is a link out of the book is a problem of the book; not one letter of what it points to is shown."""
    (tmp_path / "secret.yaml").write_text("password_of_the_harbour: @ 4711\n")
    (book / "checks" / "stolen.yaml").symlink_to(tmp_path / "secret.yaml")
    checked = check_book(book)
    assert [(p.code, p.spot.file) for p in checked.problems] == [("unreadable-file", "checks/stolen.yaml")]
    assert "leads out of the book" in checked.problems[0].message
    assert "4711" not in repr(checked)


def test_book_with_a_link_inside_it_is_read(book: Path) -> None:
    """A link that stays inside the book, and a book that is itself reached by a link, are read as files are."""
    (book / "kept").mkdir()
    (book / "checks" / "outside.yaml").rename(book / "kept" / "outside.txt")
    (book / "checks" / "outside.yaml").symlink_to(book / "kept" / "outside.txt")
    other = book.with_name("other")
    other.symlink_to(book)
    assert [p.code for p in check_book(book).problems if p.severity == "error"] == []
    assert [p.code for p in check_book(other).problems if p.severity == "error"] == []


@pytest.mark.parametrize("kind", ["pipe", "device", "folder", "loop"])
def test_book_with_what_is_no_file(book: Path, kind: str) -> None:
    """A pipe, a device, a folder or a link to itself among the files is told; reading never waits and never ends."""
    path = book / "checks" / "odd.yaml"
    if kind == "pipe":
        os.mkfifo(path)
    elif kind == "folder":
        path.mkdir()
    else:
        path.symlink_to("/dev/zero" if kind == "device" else path)
    assert "unreadable-file" in [p.code for p in check_book(book).problems]


@pytest.mark.parametrize("writer", ["number", "family"])
def test_writing_into_a_book_goes_through_no_link(tmp_path: Path, book: Path, run: RunVerb, writer: str) -> None:
    """A book from elsewhere may hold links under names that could be guessed; writing into it touches none of them."""
    precious = tmp_path / "precious"
    precious.write_text("precious")
    tree, families = book / "trees" / "will_not_start.yaml", book / "families.yaml"
    for path in (tree, families):
        for guess in (f".{path.name}.new", f".{path.name}.part", f"{path.name}~"):
            path.with_name(guess).symlink_to(precious)
    if writer == "number":
        tree.write_text(tree.read_text().replace("no: 104, ", ""))
        assert run("number", book).status == 0
    else:
        assert run("new", "family", "coolant_5kw", "--in", book).status == 0
    assert precious.read_text() == "precious"


def test_writing_leaves_nothing_behind_where_it_fails(tmp_path: Path) -> None:
    """Where a file can't be put in its place, nothing half stays beside it."""
    (tmp_path / "folder.yaml" / "x").mkdir(parents=True)
    with pytest.raises(number.BookError, match="can't be written"):
        number.write(tmp_path / "folder.yaml", "text")
    assert [path.name for path in tmp_path.iterdir() if path.suffix] == ["folder.yaml"]


def test_schemas_go_through_no_link(tmp_path: Path, run: RunVerb) -> None:
    """`schema --out` writes over no link that lies in the folder."""
    precious = tmp_path / "precious"
    precious.write_text("precious")
    (tmp_path / "out").mkdir()
    (tmp_path / "out" / "book.json").symlink_to(precious)
    assert "is a link" in run("schema", "--out", tmp_path / "out").errors
    assert precious.read_text() == "precious"


def test_backups_go_through_no_link(tmp_path: Path) -> None:
    """A link under the name of a backup in the making is taken away and not written through."""
    precious = tmp_path / "precious"
    precious.write_text("precious")
    with Casebook.open(tmp_path / "a.db") as casebook:
        job = casebook.new_job([Entry("began", {"words": "x", "tree": None, "place": "bench"})])
        casebook.back_up()
        folder = tmp_path / "a.db.backups"
        for act in (casebook.back_up, lambda: casebook.erase(job)):
            (folder / f"making-{os.getpid()}").symlink_to(precious)
            act()
            assert precious.read_text() == "precious"
            assert not (folder / f"making-{os.getpid()}").is_symlink()


def test_settings_in_a_link_stay_in_a_link(tmp_path: Path) -> None:
    """A settings file that is a link, as people keep them, is written where it points and stays a link."""
    from tui.settings_file import save_settings

    (tmp_path / "kept").mkdir()
    (tmp_path / "settings.toml").symlink_to(tmp_path / "kept" / "real.toml")
    save_settings(tmp_path / "settings.toml", seat="bench one")
    assert (tmp_path / "settings.toml").is_symlink()
    assert 'seat = "bench one"' in (tmp_path / "kept" / "real.toml").read_text()


def test_photo_is_named_and_never_opened_by_a_report(imported: Callable[[str], Path], run: RunVerb) -> None:
    """The path of a photo in an imported job is text: no report reads the file that it names."""
    store = imported(export(entry("photo", path="/etc/passwd", sha256="a" * 64, text="plate")))
    for form in ("md", "html", "json"):
        told = run("--store", store, "report", "J-0001", "--format", form)
        assert told.status == 0
        assert "root:" not in told.told
