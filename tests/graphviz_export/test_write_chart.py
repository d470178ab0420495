"""Writing a chart to a file: which form, what is said when it can't be done, and that nothing half-written is left."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pypdf
import pytest

from graphviz_export import FORMATS, Wish, write_chart
from graphviz_export.boxes import Chart, chart_of
from graphviz_export.layouts import lay_out_chart, notes_of
from graphviz_export.paper import paper
from trees.book.model import Answer, Book
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
    '"]; s1 -> s2 [label=<<TABLE></TABLE>>]; } digraph {',
    "<b>bold</b><script>alert(1)</script>",
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
    (written,) = write_chart(make_book(), "commissioning", tmp_path / "chart.out", Wish(format="svg"))
    assert ET.fromstring(written.read_bytes()).tag.endswith("svg")


def test_a_png_has_one_file_a_sheet(make_book: MakeBook, tmp_path: Path) -> None:
    """Pictures can't hold pages, so each sheet is a file with its number."""
    written = write_chart(make_book(), "smoke_on_start", tmp_path / "smoke.png", Wish(paper="A4"))
    assert [path.name for path in written] == ["smoke-1.png", "smoke-2.png", "smoke-3.png"]


@pytest.mark.parametrize("suffix", [".svg", ".dot", ".mmd", ".txt"])
@pytest.mark.parametrize("text", NASTY)
def test_no_text_can_break_the_other_forms(make_book: MakeBook, tmp_path: Path, text: str, suffix: str) -> None:
    """Every form is written, holds every step, and the picture has as many lines as without such a text."""
    book = make_book(title=text, wording=text)
    (written,) = write_chart(book, "smoke_on_start", tmp_path / f"a{suffix}")
    content = written.read_text()
    assert [no for no in (201, 205, 219) if str(no) not in content] == []
    if suffix == ".svg":
        root = ET.fromstring(content)
        edges = [one for one in root.iter() if one.get("class") == "edge"]
        assert len(edges) == sum(len(box.ways()) for box in chart_of(book, "smoke_on_start").boxes)
        assert not [one for one in root.iter() if one.tag.endswith("script")]


@pytest.mark.parametrize("text", NASTY)
def test_no_text_can_break_the_pages(make_book: MakeBook, tmp_path: Path, text: str) -> None:
    """Syntax of the typesetter is data, and letters that no font has don't stop the print."""
    (written,) = write_chart(
        make_book(title=text, wording=text), "smoke_on_start", tmp_path / "a.pdf", Wish(paper="A2")
    )
    found = "".join(page.extract_text() for page in pypdf.PdfReader(written).pages)
    wanted = "".join(text.split())
    if text.isascii():
        assert wanted in "".join(found.split())
    assert "Everybody" in found


def test_letters_that_the_font_lacks_are_said(make_book: MakeBook, tmp_path: Path) -> None:
    """A page with letters from elsewhere, or with gaps, is not passed off as the real thing."""
    notes: list[str] = []
    write_chart(make_book(wording="温度"), "smoke_on_start", tmp_path / "a.pdf", Wish(paper="A2"), note=notes.append)
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
        write_chart(make_book(), "smoke_on_start", out, Wish(**change))  # type: ignore[arg-type]
    assert out.read_text() == "older"
    assert {path.name for path in tmp_path.iterdir()} <= {"chart.pdf", "home", "work"}


def test_a_text_of_5000_characters_is_refused_by_its_step(make_book: MakeBook, tmp_path: Path) -> None:
    """A box larger than the paper is named; the picture for the screen still takes it."""
    book = make_book(wording="why " * 1250)
    with pytest.raises(PaperError, match=r"Step 201 is too large for A3"):
        write_chart(book, "smoke_on_start", tmp_path / "a.pdf")
    assert write_chart(book, "smoke_on_start", tmp_path / "a.svg")


def test_a_step_with_200_answers_is_refused_by_its_number(make_book: MakeBook, tmp_path: Path) -> None:
    """What would do is said; the picture and the list still take it, and nothing half-written is left."""
    book = make_book()
    answers = tuple(Answer(id=f"a{n}", means=f"Answer number {n}") for n in range(200))
    smoke = replace(book.checks["smoke"], answers=answers)
    step = replace(book.trees["smoke_on_start"].steps["watch"], go={}, then="dose")
    tree = book.trees["smoke_on_start"]
    tree = replace(tree, steps={**tree.steps, "watch": step})
    book = replace(book, checks={**book.checks, "smoke": smoke}, trees={**book.trees, tree.id: tree})
    with pytest.raises(
        PaperError, match=r"Step 201 is too large for A3 at 0.7 m: it needs \d+ x \d+ mm.*fewer answers"
    ):
        write_chart(book, "smoke_on_start", tmp_path / "out" / "a.pdf")
    assert not (tmp_path / "out").exists()
    for suffix in (".svg", ".txt"):
        (written,) = write_chart(book, "smoke_on_start", tmp_path / f"a{suffix}")
        assert "Answer number 199" in written.read_text()


def test_what_would_do_for_a_comfortable_print_is_worked_out_for_it(make_book: MakeBook, tmp_path: Path) -> None:
    """The paper that is offered carries the step at 20 minutes of arc too."""
    book = make_book(wording="why is this so " * 45)
    wish = Wish(paper="A4", arc_minutes=20)
    with pytest.raises(PaperError, match="Step 201 is too large for A4") as refused:
        write_chart(book, "smoke_on_start", tmp_path / "a.pdf", wish)
    offered = re.search(r"paper (A\d), or a reading distance of ([\d.]+) m", str(refused.value))
    assert offered is not None
    for cure in (replace(wish, paper=offered[1]), replace(wish, read_from_m=float(offered[2]))):
        assert write_chart(book, "smoke_on_start", tmp_path / "a.pdf", cure)


@pytest.mark.parametrize(("suffix", "wish"), [("svg", Wish(poster=True)), ("txt", Wish(by_region=True))])
def test_posters_and_regions_are_for_sheets(make_book: MakeBook, tmp_path: Path, suffix: str, wish: Wish) -> None:
    """A picture of the whole tree has neither; nothing is written."""
    with pytest.raises(PaperError, match="for PDF and PNG sheets"):
        write_chart(make_book(), "smoke_on_start", tmp_path / f"a.{suffix}", wish)
    assert not list(tmp_path.glob("a.*"))


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
