"""Writing a chart to a file: which form, what is said when it can't be done, and that nothing half-written is left."""

from __future__ import annotations

import xml.etree.ElementTree as ET
from collections.abc import Callable
from pathlib import Path

import pypdf
import pytest

from graphviz_export import FORMATS, write_chart
from graphviz_export.boxes import Chart
from graphviz_export.pages import lay_out_chart, notes_of
from graphviz_export.paper import paper
from trees.book.model import Book
from trees.errors import PaperError

MakeBook = Callable[..., Book]
NASTY = (
    "#let x = 1; $x$ *bold* _it_ @here <label> \\ // comment /* a */",
    "]] #panic() `raw`",
    "quotes \" ' “ and &amp;",
    "עברית ועוד מילים",
    "温度を測る",
    "hot \U0001f525 part",
    "w" * 200,
)


@pytest.mark.parametrize("suffix", sorted(FORMATS))
def test_the_ending_of_the_name_tells_the_form(make_book: MakeBook, tmp_path: Path, suffix: str) -> None:
    """Each ending gives a file of that kind, and no other file."""
    folder = tmp_path / "out"
    (written,) = write_chart(make_book(), "commissioning", folder / f"chart{suffix}")
    assert [path.name for path in folder.iterdir()] == [f"chart{suffix}"]
    begin = {
        "pdf": b"%PDF-",
        "svg": b"<?xml",
        "png": b"\x89PNG",
        "dot": b"digraph",
        "mermaid": b"%% ",
        "txt": b"Commissioning",
    }
    assert written.read_bytes().startswith(begin[FORMATS[suffix]])


def test_a_named_format_goes_before_the_ending(make_book: MakeBook, tmp_path: Path) -> None:
    """`--format` decides where both are given."""
    (written,) = write_chart(make_book(), "commissioning", tmp_path / "chart.out", format="svg")
    assert ET.fromstring(written.read_bytes()).tag.endswith("svg")


def test_a_png_has_one_file_a_sheet(make_book: MakeBook, tmp_path: Path) -> None:
    """Pictures can't hold pages, so each sheet is a file with its number."""
    written = write_chart(make_book(), "smoke_on_start", tmp_path / "smoke.png", paper="A4")
    assert [path.name for path in written] == ["smoke-1.png", "smoke-2.png", "smoke-3.png"]


@pytest.mark.parametrize("text", NASTY)
def test_no_text_can_break_the_pages(make_book: MakeBook, tmp_path: Path, text: str) -> None:
    """Syntax of the typesetter is data, and letters that no font has don't stop the print."""
    (written,) = write_chart(make_book(title=text, wording=text), "smoke_on_start", tmp_path / "a.pdf", paper="A2")
    found = "".join(page.extract_text() for page in pypdf.PdfReader(written).pages)
    wanted = "".join(text.split())
    if text.isascii():
        assert wanted in "".join(found.split())
    assert "Everybody" in found


def test_letters_that_the_font_lacks_are_said(make_book: MakeBook, tmp_path: Path) -> None:
    """A page with letters from elsewhere, or with gaps, is not passed off as the real thing."""
    notes: list[str] = []
    write_chart(make_book(wording="温度"), "smoke_on_start", tmp_path / "a.pdf", paper="A2", note=notes.append)
    assert len(notes) == 1
    assert "letter" in notes[0]
    write_chart(make_book(), "smoke_on_start", tmp_path / "b.pdf", note=notes.append)
    assert len(notes) == 1


def test_many_sheets_are_said(make_chart: Callable[[int, int], Chart]) -> None:
    """Above twelve sheets the numbered list is offered; up to twelve nothing is said."""
    many = lay_out_chart(make_chart(1, 102), paper("A3", 1.1))
    few = lay_out_chart(make_chart(1, 20), paper("A3", 0.7))
    assert len(many.sheets) > 12 >= len(few.sheets)
    assert "numbered list" in notes_of(many)[0]
    assert notes_of(few) == ()


@pytest.mark.parametrize(
    ("change", "sentence"),
    [
        ({"paper": "A7"}, r"“A7” is no paper.*A4, A3, A2, A1, A0"),
        ({"read_from_m": 0.0}, "0 m makes no sense.*from 0.2 m to 10 m"),
        ({"read_from_m": float("nan")}, "makes no sense"),
        ({"paper": "A4", "read_from_m": 4.0}, r"Step \d+ is too large for A4 at 4 m.*What would do"),
        ({"format": "jpeg"}, "“jpeg” is no form of a chart"),
        ({"format": "svg", "dot": "no_such_dot"}, "“no_such_dot” is not there"),
    ],
)
def test_what_cannot_be_drawn_is_one_sentence_and_no_file(
    make_book: MakeBook, tmp_path: Path, change: dict[str, object], sentence: str
) -> None:
    """The sentence says what is wrong and what would do; an older file stays as it was."""
    out = tmp_path / "chart.pdf"
    out.write_text("older")
    with pytest.raises(PaperError, match=sentence):
        write_chart(make_book(), "smoke_on_start", out, **change)  # type: ignore[arg-type]
    assert out.read_text() == "older"
    assert {path.name for path in tmp_path.iterdir()} <= {"chart.pdf", "home", "work"}


def test_a_text_of_5000_characters_is_refused_by_its_step(make_book: MakeBook, tmp_path: Path) -> None:
    """A box larger than the paper is named; the picture for the screen still takes it."""
    book = make_book(wording="why " * 1250)
    with pytest.raises(PaperError, match=r"Step 201 is too large for A3"):
        write_chart(book, "smoke_on_start", tmp_path / "a.pdf")
    assert write_chart(book, "smoke_on_start", tmp_path / "a.svg")


def test_a_name_without_a_known_ending_is_refused(make_book: MakeBook, tmp_path: Path) -> None:
    """The endings that are understood are listed."""
    with pytest.raises(PaperError, match=r"“chart.doc” doesn't tell.*\.pdf"):
        write_chart(make_book(), "smoke_on_start", tmp_path / "chart.doc")


def test_a_path_that_cannot_be_written_is_named(make_book: MakeBook, tmp_path: Path) -> None:
    """A file where a folder should be, and a folder where a file should be."""
    (tmp_path / "file").write_text("x")
    with pytest.raises(PaperError, match="can't be written"):
        write_chart(make_book(), "smoke_on_start", tmp_path / "file" / "chart.svg")
    (tmp_path / "folder.svg").mkdir()
    with pytest.raises(PaperError, match="is a folder"):
        write_chart(make_book(), "smoke_on_start", tmp_path / "folder.svg")
    assert list((tmp_path / "folder.svg").iterdir()) == []
