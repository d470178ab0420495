"""The report says what the job knows, and every text in it reads as it was written."""

from __future__ import annotations

from io import BytesIO
from pathlib import Path

import pypdf
import pytest
from small_book import small_book

from graphviz_export.report import gather_report
from graphviz_export.report_file import write_report
from graphviz_export.report_markdown import escape, markdown
from graphviz_export.report_pages import pdf
from trees.errors import PaperError
from trees.walk import Walk

NASTY = "smokes [white] *now* <b>#1</b> | $x$ \\ `y` #let x = 1 @ref _ ~ & “é”"


def job(words: str = "smokes white") -> Walk:
    """Return a job with a root, a consequence, readings before and after, work, notes and something not told."""
    walk = Walk.begin(small_book(), words=words, tree="smoke_on_start", family="air2").taken_up("one", "2026-01-05")
    walk = walk.answer("no").answer("no").acknowledge("gas").answer("stays").reading("12.1").cannot_tell()
    walk = walk.cannot_tell().reading("6.5 6.6 6.4").answer("no").tick(["low"]).answer("coked").answer("cured")
    return walk.reading("12.3").note("call back in spring")


def stopped() -> Walk:
    """Return a job that the gate stopped."""
    walk = Walk.begin(small_book(), words="alarm", tree="smoke_on_start").taken_up("one", "2026-01-05")
    return walk.answer("yes").close("out_of_service")


def text_of(data: bytes) -> str:
    """Return all text of a PDF, white space folded."""
    pages = pypdf.PdfReader(BytesIO(data)).pages
    return " ".join(" ".join(page.extract_text() for page in pages).split())


def test_readings_carry_unit_band_and_verdict() -> None:
    """A reading is told with its unit, the band it fell into, by what it was judged, and when it was taken."""
    rows = {(r.what, r.when): r for r in gather_report(job(), "J-1").readings}
    rested = rows["Rested voltage", "before"]
    assert (rested.value, rested.limits, rested.verdict) == ("12.1 V", "up to 12.2 V", "Battery flat")
    dose = rows["Fuel in 100 seconds", "before"]
    assert "by dose 6.6 ml" in dose.limits
    assert dose.verdict.startswith("Right")
    assert rows["Voltage under glow load", "after repair"].verdict == "Good"


def test_causes_are_three_lists_each_with_its_proof() -> None:
    """Root, contributing and consequence stand apart, each with what it is known by."""
    report = gather_report(job(), "J-1")
    assert [c.name for c in report.roots] == ["Battery flat"]
    assert [c.name for c in report.contributing] == ["Run low by habit"]
    assert [c.name for c in report.consequences] == ["Insert coked"]
    assert "Rested voltage: 12.1 V" in report.roots[0].by
    assert report.advice == ("Charge it.",)


def test_what_was_not_checked_is_told() -> None:
    """Cannot tell, and an installation that nobody saw, are listed and never told as good."""
    report = gather_report(job(), "J-1")
    assert "Voltage under glow load (could not be told)" in report.not_checked
    assert "The installation was not seen where it works." in report.not_checked


def test_stop_is_the_first_thing_that_is_told() -> None:
    """A stopped job says so with the lines of its caution, on paper too."""
    text = markdown(gather_report(stopped(), "J-2"))
    assert "STOPPED FOR SAFETY: STOP: carbon monoxide" in text
    assert text.index("STOPPED") < text.index("## What was found")
    assert "STOPPED FOR SAFETY" in text_of(pdf(gather_report(stopped(), "J-2")))


def test_markdown_escapes_what_would_be_markup() -> None:
    """Typed signs of Markdown and HTML are escaped; undoing the escapes gives the text back."""
    escaped = escape(NASTY)
    assert "<b>" not in escaped
    plain = "".join(c for i, c in enumerate(escaped) if c != "\\" or (i and escaped[i - 1] == "\\"))
    assert plain == NASTY
    assert (escape("1. first"), escape("- item"), escape("2) x")) == ("1\\. first", "\\- item", "2\\) x")
    assert "\n" not in escape("two\nlines")


def test_pdf_shows_typed_text_literally() -> None:
    """Signs of typst, Markdown and HTML in a complaint are text on the page."""
    text = text_of(pdf(gather_report(job(NASTY), "J-1", invented=True)))
    for part in ("[white]", "*now*", "<b>#1</b>", "$x$", "#let x = 1", "@ref"):
        assert part in text, part
    for wanted in ("Invented job", "12.1 V", "Battery flat", "call back in spring", "maker's manual"):
        assert wanted.replace("'", "’") in text or wanted in text, wanted


def test_same_job_same_bytes() -> None:
    """The PDF depends on the job alone."""
    report = gather_report(job(), "J-1")
    assert pdf(report) == pdf(report)


def test_report_file_is_whole_or_not_there(tmp_path: Path) -> None:
    """An ending that is none and a folder that can't be written leave nothing behind."""
    with pytest.raises(PaperError, match="neither"):
        write_report(job(), "J-1", tmp_path / "r.docx")
    with pytest.raises(PaperError):
        write_report(job(), "J-1", Path("/proc/nowhere/r.md"))
    assert {path.name for path in tmp_path.iterdir()} <= {"home", "work"}
    out = write_report(job(), "J-1", tmp_path / "new" / "r.md")
    assert out.read_text().startswith("# Report J-1")
