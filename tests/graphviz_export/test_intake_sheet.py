"""The blank intake sheet: facts to tick in the bench's order, packing cautions, two pages at most."""

from __future__ import annotations

from dataclasses import replace
from io import BytesIO
from pathlib import Path

import pypdf
import pytest
from shipped_book import shipped
from small_book import small_book

from graphviz_export.intake_sheet import PAGES_AT_MOST, intake_pdf, intake_sheet, write_intake_sheet
from graphviz_export.letterhead import Letterhead
from trees import Book
from trees.book.model import Answer, Check
from trees.errors import PaperError
from trees.walk import Walk

HEAD = Letterhead("Workshop at the pier (invented)", ("Pier 3",), None, "112")


def begun(book: Book, words: str = "smokes white") -> Walk:
    """Return a job that was only begun."""
    return Walk.begin(book, words=words, tree="smoke_on_start").taken_up("one", "2026-01-05")


def pages_of(data: bytes) -> list[str]:
    """Return the text of each page, white space folded, quotes straight."""
    pages = pypdf.PdfReader(BytesIO(data)).pages
    return [" ".join(page.extract_text().split()).replace("’", "'") for page in pages]


def facts(count: int, text: str = "What is it like") -> dict[str, Check]:
    """Return so many intake facts, a few with lines to write on."""
    rows = {}
    for n in range(count):
        answers = tuple(Answer(id=f"a{i}", means=f"Answer {i} of {n}") for i in range(3))
        shown = n % 5 == 4
        rows[f"fact_{n}"] = Check(
            id=f"fact_{n}",
            form="measure" if shown else "ask",
            wording=f"{text} {n}?",
            proof="reading" if shown else "words",
            intake=True,
            unit="V" if shown else "",
            answers=() if shown else answers,
            acts=("read_display",) if shown else ("tell",),
        )
    return rows


def test_shipped_sheet_asks_every_fact_once() -> None:
    """All intake facts of the shipped book stand on at most two pages with the job's number on each."""
    book = shipped()
    pages = pages_of(intake_pdf(intake_sheet(begun(book), "J-0007"), HEAD))
    assert len(pages) <= PAGES_AT_MOST
    assert all("J-0007" in page for page in pages)
    whole = " ".join(pages)
    for check in book.checks.values():
        if check.intake:
            assert check.wording in whole, check.wording
            for answer in (*check.answers, *check.items):
                assert answer.means.replace('"', "") in whole, answer.means
    assert "Invented" not in whole.replace("(invented)", "")


def test_what_the_bench_sees_comes_first() -> None:
    """Facts that the unit shows stand before those that only the user can tell."""
    sheet = intake_sheet(begun(small_book(checks={**small_book().checks, **facts(10)})), "J-1")
    assert [check.id for check in sheet.seen] == ["fact_4", "fact_9"]
    text = " ".join(pages_of(intake_pdf(sheet)))
    assert text.index("What the unit shows") < text.index("like 9?") < text.index("What only you can tell")
    assert text.index("What only you can tell") < text.index("like 0?")


def test_packing_is_warned_of_before_anything_is_asked() -> None:
    """Drain, air, do not clean, ask the carrier: the cautions stand on the first page above the questions."""
    first = pages_of(intake_pdf(intake_sheet(begun(small_book()), "J-1"), HEAD))[0]
    for wanted in (
        "Before you pack",
        "Drain it in the open air",
        "Ask the carrier first",
        "call 112",
        "with its tubes",
    ):
        assert wanted in first, wanted
    assert first.index("Before you pack") < first.index("in your own words")


def test_sheet_is_blank() -> None:
    """Nothing that the job already knows of its customer stands on the sheet."""
    text = " ".join(pages_of(intake_pdf(intake_sheet(begun(small_book(), "SECRET WORDS"), "J-1"))))
    assert "SECRET" not in text


def test_too_many_facts_are_left_to_the_telephone() -> None:
    """A book with more facts than two pages hold says how many are asked on the telephone, and loses none silently."""
    sheet = intake_sheet(begun(small_book(checks={**small_book().checks, **facts(150)})), "J-1")
    pages = pages_of(intake_pdf(sheet))
    assert len(pages) == PAGES_AT_MOST
    whole = " ".join(pages)
    shown = sum(f"like {n}?" in whole for n in range(150))
    assert f"{150 - shown} more are asked on the telephone." in whole
    assert 30 < shown < 150


def test_hostile_texts_are_text() -> None:
    """Typst code in a fact's wording is printed, not run."""
    nasty = "#panic() #{1} $x$ <l> @r [b] *s*"
    book = small_book(checks={**small_book().checks, **facts(3, nasty)})
    text = " ".join(pages_of(intake_pdf(intake_sheet(begun(book), "J-1"))))
    assert f"{nasty} 0?" in text


def test_same_sheet_same_bytes() -> None:
    """The sheet depends on book and number alone."""
    sheet = intake_sheet(begun(small_book()), "J-1")
    assert intake_pdf(sheet) == intake_pdf(replace(sheet))


def test_invented_jobs_are_marked() -> None:
    """A demo job's sheet says that it is invented."""
    assert "Invented job" in pages_of(intake_pdf(intake_sheet(begun(small_book()), "D-01", invented=True)))[0]


def test_only_pdf(tmp_path: Path) -> None:
    """Another ending is refused in a sentence and nothing is written."""
    with pytest.raises(PaperError, match=r"\.pdf"):
        write_intake_sheet(intake_sheet(begun(small_book()), "J-1"), tmp_path / "sheet.html")
    assert not list(tmp_path.glob("sheet*"))
