"""The author's screen by keys alone: problems, the editor and back, the map, the preview."""

from __future__ import annotations

import os
import shlex
import subprocess
import sys
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path
from typing import Any

import pytest
from book_folder import new_boats
from textual.widgets import OptionList, Static

from trees.book import check_book, load_book
from trees.casebook import Casebook
from tui.editor import NONE_SET, EditorError, editor_command
from tui.screens.book import NO_FOLDER, BookScreen
from tui.screens.day_list import DayList
from tui.screens.preview import PreviewCard
from tui.workshop import Workshop

Open = Callable[..., Any]
TREE = "trees/will_not_start.yaml"
RIGHT, WRONG = "shut: clear}", "shut: claer}"


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """Return a new sound book on disk, as `sootline new book` writes it."""
    return new_boats(tmp_path)


@pytest.fixture
def authors(casebook: Casebook, folder: Path, tmp_path: Path) -> Workshop:
    """Return a seat with that book."""
    book = load_book(folder)
    return Workshop(book, casebook, casebook.seat, report_folder=tmp_path / "reports", book_folder=folder)


@pytest.fixture
def no_editor() -> Iterator[None]:
    """Take the editor of whoever runs the tests out of the environment, and put it back."""
    kept = {name: os.environ.pop(name, None) for name in ("VISUAL", "EDITOR")}
    yield
    for name, value in kept.items():
        os.environ.pop(name, None)
        if value is not None:
            os.environ[name] = value


pytestmark = pytest.mark.usefixtures("no_editor")


def spoil(folder: Path) -> int:
    """Let one answer lead nowhere; return its line."""
    text = (folder / TREE).read_text("utf-8")
    assert text.count(RIGHT) == 1
    (folder / TREE).write_text(text.replace(RIGHT, WRONG), "utf-8")
    return text[: text.index(RIGHT)].count("\n") + 1


def repairing_editor(tmp_path: Path, *, status: int = 0) -> Path:
    """Write a small program that takes `+LINE FILE` like an editor, writes down its arguments, repairs that line."""
    path = tmp_path / "bin" / "vi"
    path.parent.mkdir(exist_ok=True)
    path.write_text(
        f"#!{sys.executable}\n"
        "import pathlib, sys\n"
        "line, file = int(sys.argv[-2].removeprefix('+')), pathlib.Path(sys.argv[-1])\n"
        f"pathlib.Path({str(tmp_path / 'called')!r}).write_text('\\n'.join(sys.argv[1:]))\n"
        "lines = file.read_text('utf-8').split('\\n')\n"
        f"lines[line - 1] = lines[line - 1].replace({WRONG!r}, {RIGHT!r})\n"
        "file.write_text('\\n'.join(lines), 'utf-8')\n"
        f"sys.exit({status})\n"
    )
    path.chmod(0o755)
    return path


def really(_app: Any, command: Sequence[str]) -> int:
    """Run the editor for real, without a terminal to step back from."""
    return subprocess.run(command, check=False).returncode


async def open_book(screen: Any, run_editor: Any = really) -> BookScreen:
    """Open the book screen with its own editor runner and wait for the first check."""
    await screen.app.push_screen(BookScreen(run_editor))
    book = screen.app.screen
    assert isinstance(book, BookScreen)
    await checked(screen, book)
    return book


async def checked(screen: Any, book: BookScreen) -> None:
    """Wait until the check is done and shown."""
    await screen.until(lambda: book.checked is not None and "Checking" not in counts(book))
    await screen.settle()


def counts(book: BookScreen) -> str:
    """Return the line over the problems."""
    return str(book.query_one("#problem-counts", Static).content)


def told(screen: Any) -> list[str]:
    """Return the sentences that were shown."""
    return [notification.message for notification in screen.app._notifications]


async def test_one_key_from_the_day_list_and_back(open_screen: Open, authors: Workshop) -> None:
    """`o` opens the book, says that it is sound, and Esc returns; the footer names the key."""
    async with open_screen(authors) as screen:
        assert "o Book" in screen.text()
        await screen.press("o")
        book = screen.app.screen
        assert isinstance(book, BookScreen)
        await checked(screen, book)
        assert counts(book).startswith("No problems.")
        size = check_book(authors.book_folder or Path()).counts
        assert f"trees {size['trees']} · steps {size['steps']}" in counts(book)
        await screen.press("enter")
        assert "There is no problem to open." in told(screen)
        await screen.press("escape")
        assert isinstance(screen.app.screen, DayList)


@pytest.mark.parametrize("size", [(60, 20), (80, 24), (120, 40)])
async def test_problems_stand_beside_the_map(open_screen: Open, authors: Workshop, size: tuple[int, int]) -> None:
    """Counts, severity in word and sign, file and line, message, help; the map is of the edition before."""
    async with open_screen(authors, size=size) as screen:
        line = spoil(authors.book_folder or Path())
        book = await open_book(screen)
        text = " ".join(screen.text().split())
        assert "1 error" in counts(book)
        assert "✖ error" in text
        assert f"{TREE}:{line}" in text
        assert "claer" in text
        assert "did you mean `clear`?" in text
        assert "as it was before the errors" in text
        assert "◇" in text
        assert all(len(row) <= size[0] for row in screen.text().split("\n"))


async def test_enter_opens_the_file_at_the_line_and_the_repair_is_seen(
    open_screen: Open, authors: Workshop, tmp_path: Path
) -> None:
    """The editor gets +LINE and the file; when it has ended the book is checked again and the problem is gone."""
    os.environ["EDITOR"] = shlex.quote(str(repairing_editor(tmp_path)))
    async with open_screen(authors) as screen:
        folder = authors.book_folder or Path()
        line = spoil(folder)
        book = await open_book(screen)
        assert "1 error" in counts(book)
        await screen.press("enter")
        await checked(screen, book)
        assert (tmp_path / "called").read_text().split("\n") == [f"+{line}", str(folder / TREE)]
        assert counts(book).startswith("No problems.")
        assert "as it was before" not in screen.text()
        assert "did you mean" not in screen.text()
        assert check_book(folder).problems == ()
        assert told(screen) == []


async def test_editor_that_ends_badly_is_told_and_the_book_is_checked(
    open_screen: Open, authors: Workshop, tmp_path: Path
) -> None:
    """An exit status other than 0 is a sentence; what was saved counts all the same."""
    os.environ["VISUAL"] = f"{shlex.quote(str(repairing_editor(tmp_path, status=3)))} -x"
    os.environ["EDITOR"] = "/nowhere/never"
    async with open_screen(authors) as screen:
        spoil(authors.book_folder or Path())
        book = await open_book(screen)
        await screen.press("enter")
        await checked(screen, book)
        assert (tmp_path / "called").read_text().split("\n")[0] == "-x"
        assert any("ended with status 3" in sentence for sentence in told(screen))
        assert counts(book).startswith("No problems.")


@pytest.mark.parametrize(
    ("editor", "sentence"),
    [
        ("", NONE_SET),
        ("   ", NONE_SET),
        ("/nowhere/never", "can't be started: No such file"),
        ('"open', "a quotation mark is left open"),
    ],
)
async def test_without_a_usable_editor_one_sentence(
    open_screen: Open, authors: Workshop, editor: str, sentence: str
) -> None:
    """Nothing is opened, nothing breaks, and the sentence says what to do or what is wrong."""
    os.environ["EDITOR"] = editor
    async with open_screen(authors) as screen:
        spoil(authors.book_folder or Path())
        book = await open_book(screen)
        await screen.press("enter")
        assert len(told(screen)) == 1
        assert sentence in told(screen)[0]
        assert screen.app.screen is book


async def test_terminal_that_cannot_be_lent_is_told(open_screen: Open, authors: Workshop, tmp_path: Path) -> None:
    """The real way to an editor suspends the screen; where that is not possible it says how to go on."""
    os.environ["EDITOR"] = str(repairing_editor(tmp_path))
    async with open_screen(authors) as screen:
        spoil(authors.book_folder or Path())
        await screen.press("o")
        await checked(screen, screen.app.screen)
        await screen.press("enter")
        assert told(screen) == ["An editor can't have this terminal; open the file beside it, then press F5."]
        assert not (tmp_path / "called").exists()


async def test_k_checks_again_and_says_that_it_works(open_screen: Open, authors: Workshop) -> None:
    """What was saved beside the program is seen with `k`; while it checks the first line says so."""
    async with open_screen(authors) as screen:
        book = await open_book(screen)
        assert counts(book).startswith("No problems.")
        spoil(authors.book_folder or Path())
        book.action_recheck()
        assert counts(book) == "Checking …"
        await checked(screen, book)
        assert "1 error" in counts(book)
        text = (authors.book_folder or Path()) / TREE
        text.write_text(text.read_text("utf-8").replace(WRONG, RIGHT), "utf-8")
        await screen.press("f5")
        await checked(screen, book)
        assert counts(book).startswith("No problems.")


async def test_folder_that_is_gone_is_a_sentence(open_screen: Open, authors: Workshop) -> None:
    """A book taken away while the program runs is told where the counts stand; the map stays."""
    async with open_screen(authors) as screen:
        book = await open_book(screen)
        folder = authors.book_folder or Path()
        folder.rename(folder.with_name("elsewhere"))
        await screen.press("f5")
        await checked(screen, book)
        assert "boats" in counts(book)
        assert counts(book).endswith(".")
        assert book.query_one("#map", OptionList).option_count > 0


async def test_book_without_a_folder_is_a_sentence(open_screen: Open, workshop: Workshop) -> None:
    """A book that was not read from files can be looked at but not checked or opened."""
    async with open_screen(workshop) as screen:
        await screen.press("o")
        book = screen.app.screen
        await screen.settle()
        assert counts(book) == NO_FOLDER
        await screen.press("f5")
        assert counts(book) == NO_FOLDER
        assert "201" in screen.text()
        await screen.press("tab", "i")
        assert isinstance(screen.app.screen, PreviewCard)


async def test_edited_book_does_not_end_the_program(open_screen: Open, authors: Workshop) -> None:
    """Files that were edited between loading and the first day list are a sentence there, not a fault."""
    spoil(authors.book_folder or Path())
    async with open_screen(authors) as screen:
        await screen.until(lambda: bool(told(screen)))
        assert "changed on disk" in told(screen)[0]
        await screen.press("o")
        await checked(screen, screen.app.screen)
        assert "jobs use it after the next start" in screen.text()


async def test_tree_is_chosen_by_typing(open_screen: Open, workshop: Workshop) -> None:
    """`t` lists the trees; the chosen one is drawn from its beginning and has the keys."""
    async with open_screen(workshop) as screen:
        await screen.press("o", "f3")
        await screen.type("supply")
        await screen.press("enter")
        book = screen.app.screen
        assert isinstance(book, BookScreen)
        assert (book.tree_id, book.marked_no()) == ("supply_voltage", 301)
        assert book.query_one("#map", OptionList).has_focus
        assert "Supply under load" in screen.text()
        await screen.press("f3", "escape")
        assert book.tree_id == "supply_voltage"


async def test_preview_of_the_marked_step(open_screen: Open, workshop: Workshop) -> None:
    """Tab goes to the map, arrows mark a step, `p` or Enter shows it at all three places side by side."""
    async with open_screen(workshop, size=(120, 40)) as screen:
        await screen.press("o", "tab", "down", "down")
        book = screen.app.screen
        assert book.marked_no() == 203
        for key in ("i", "enter"):
            await screen.press(key)
            assert isinstance(screen.app.screen, PreviewCard)
            (row,) = [line for line in screen.text().split("\n") if "at the bench" in line]
            assert "where it is fitted" in row
            assert "by phone" in row
            assert "Is a fuse blown?" in screen.text()
            await screen.press("escape")
            assert screen.app.screen is book
        await screen.press("tab")
        assert book.query_one("#problems", OptionList).has_focus


async def test_map_goes_to_the_tree_of_the_problem(open_screen: Open, authors: Workshop) -> None:
    """A problem inside a tree turns the map to it and marks the step in which the line stands."""
    async with open_screen(authors) as screen:
        line = spoil(authors.book_folder or Path())
        book = await open_book(screen)
        step = book.marked_step()
        assert step is not None
        assert step.spot is not None
        later = [s.spot.line for s in book.chosen_tree().steps.values() if s.spot and s.spot.line > step.spot.line]  # type: ignore[union-attr]
        assert step.spot.line <= line < min(later, default=line + 1)


def test_editors_that_take_a_line_get_it(tmp_path: Path) -> None:
    """`+LINE` goes before the file for editors that read it; any other gets the file only; VISUAL comes first."""
    file = tmp_path / "a b.yaml"
    assert editor_command({"EDITOR": "nano"}, file, 7) == ("nano", "+7", str(file))
    assert editor_command({"EDITOR": "/usr/bin/vim -n"}, file, 7) == ("/usr/bin/vim", "-n", "+7", str(file))
    assert editor_command({"EDITOR": "notes --wait"}, file, 7) == ("notes", "--wait", str(file))
    assert editor_command({"EDITOR": "vi", "VISUAL": "nano"}, file, 1)[0] == "nano"
    with pytest.raises(EditorError, match="VISUAL or EDITOR"):
        editor_command({}, file, 1)


def test_screen_loads_no_yaml_and_no_graphs() -> None:
    """What only the check needs is imported by the check, in a fresh interpreter none of it is there."""
    code = "import sys, tui.screens.book; print([m for m in ('yaml', 'networkx', 'sqlalchemy') if m in sys.modules])"
    run = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert run.stdout.strip() == "[]"


async def test_why_a_tree_is_slower_stands_under_its_title(open_screen: Open, authors: Workshop, folder: Path) -> None:
    """The author's note on the order is seen where the tree is."""
    tree = folder / TREE
    note = "slower: {per_cent: 27, because: It looks before it opens.}"
    tree.write_text(tree.read_text("utf-8").replace("begin: intake\n", f"begin: intake\n{note}\n"), "utf-8")
    async with open_screen(authors) as screen:
        await screen.press("o")
        await checked(screen, screen.app.screen)
        title = screen.app.screen.query_one("#map-title", Static)
        assert "27 % slower: It looks before it opens." in str(title.content)
