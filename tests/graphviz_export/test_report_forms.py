"""Every text in a report reads as it was written, in every form; no form can be made to run or load anything."""

from __future__ import annotations

import json
import re
from dataclasses import fields, is_dataclass, replace
from html.parser import HTMLParser
from io import BytesIO
from pathlib import Path
from typing import Any

import jsonschema
import pypdf
import pytest
from small_book import small_book

import graphviz_export
from graphviz_export.letterhead import Letterhead, Logo
from graphviz_export.report import gather_report
from graphviz_export.report_customer import customer_pages
from graphviz_export.report_file import REPORT_FORMATS, drawn
from graphviz_export.report_html import html
from graphviz_export.report_markdown import escape, markdown
from graphviz_export.report_pages import page_that_fits, pdf
from graphviz_export.report_records import Report
from trees.walk import Walk

NASTY = "smokes [white] *now* <b>#1</b> | $x$ \\ `y` #let x = 1 @ref _ ~ & “é”"
ATTACK = (
    "\"'><script>alert(1)</script><img src=x onerror=alert(2)>]]><!--{{7*7}}"
    '#{panic()}#eval("1")$(x)`rm`[a](javascript:x)'
)
VOID = {"meta", "img", "br"}


def job(words: str = "smokes white") -> Walk:
    """Return a job with findings, readings before and after, work, and a note that repeats the words."""
    walk = Walk.begin(small_book(), words=words, tree="smoke_on_start", family="air2").taken_up("one", "2026-01-05")
    walk = walk.answer("no").answer("no").leave_for("hours").readings({"low": "900", "high": "100"})
    walk = walk.acknowledge("gas").answer("stays").reading("12.1").cannot_tell()
    walk = walk.cannot_tell().reading("6.5 6.6 6.4").answer("no").tick(["low"]).answer("coked").answer("cured")
    return walk.reading("12.3").work(f"Cleaned: {words}").note(words)


def stopped() -> Walk:
    """Return a job that the gate stopped."""
    walk = Walk.begin(small_book(), words="alarm", tree="smoke_on_start").taken_up("one", "2026-01-05")
    return walk.answer("yes").close("out_of_service")


def poisoned(value: Any, text: str) -> Any:
    """Return the record with the text in every free text of it: those of the job, and those of the book."""
    if isinstance(value, str):
        return f"{value} {text}"
    if isinstance(value, tuple):
        return tuple(poisoned(item, text) for item in value)
    if is_dataclass(value) and not isinstance(value, type):
        kept = {"when", "day", "language", "fingerprint", "id"}
        changed = {f.name: poisoned(getattr(value, f.name), text) for f in fields(value) if f.name not in kept}
        return replace(value, **changed)
    return value


def attacked(text: str = ATTACK) -> Report:
    """Return a report in which every text is hostile."""
    return poisoned(gather_report(job(), "J-1", invented=True, sources=True), text)  # type: ignore[no-any-return]


def text_of(data: bytes) -> str:
    """Return all text of a PDF, white space folded."""
    pages = pypdf.PdfReader(BytesIO(data)).pages
    return " ".join(" ".join(page.extract_text() for page in pages).split())


class Reader(HTMLParser):
    """Reads a page as a browser would: tags, attributes and text, and whether every tag is closed."""

    def __init__(self, page: str) -> None:
        super().__init__(convert_charrefs=True)
        self.tags: list[str] = []
        self.attributes: list[tuple[str, str, str]] = []
        self.texts: list[str] = []
        self.open: list[str] = []
        self.feed(page)
        self.close()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append(tag)
        self.attributes += [(tag, name, value or "") for name, value in attrs]
        if tag not in VOID:
            self.open.append(tag)

    def handle_endtag(self, tag: str) -> None:
        assert self.open, f"</{tag}> closes nothing"
        assert self.open.pop() == tag

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append(tag)
        self.attributes += [(tag, name, value or "") for name, value in attrs]

    def handle_data(self, data: str) -> None:
        if "style" not in self.open:
            self.texts.append(data)

    @property
    def text(self) -> str:
        """All text, white space folded."""
        return " ".join(" ".join(self.texts).split())


def page_of(report: Report, letterhead: Letterhead | None = None, logo: Logo | None = None) -> Reader:
    """Return the HTML of a report, read back."""
    return Reader(html(report, customer_pages(report)[0], letterhead, logo))


def test_stop_is_the_first_thing_that_is_told() -> None:
    """A stopped job says so with the lines of its caution, in every form."""
    report = gather_report(stopped(), "J-2")
    text = markdown(report)
    assert "STOPPED FOR SAFETY: STOP: carbon monoxide" in text
    assert text.index("STOPPED") < text.index("## What was wrong")
    for told in (text_of(pdf(report)), page_of(report).text):
        assert told.index("STOPPED FOR SAFETY") < told.index("What was wrong")
        assert "Out, air." in told
    assert json.loads(drawn(report, "json", Letterhead()))["stop"] == "STOP: carbon monoxide"


def test_markdown_escapes_what_would_be_markup() -> None:
    """Typed signs of Markdown and HTML are escaped; undoing the escapes gives the text back."""
    escaped = escape(NASTY)
    assert "<b>" not in escaped
    assert re.sub(r"\\(.)", r"\1", escaped) == NASTY
    assert (escape("1. first"), escape("- item"), escape("2) x")) == ("1\\. first", "\\- item", "2\\) x")
    assert (escape("---"), escape("=== x")) == ("\\---", "\\=== x")
    assert escape("see https://x.example") == "see https\\://x.example"
    assert "\n" not in escape("two\nlines")


def test_markdown_of_hostile_texts_has_our_markup_only() -> None:
    """No line of the Markdown holds raw HTML, a link, or a table cell more than its head has."""
    text = markdown(attacked(), Letterhead(ATTACK, (ATTACK,), None, ATTACK))
    bare = re.sub(r"\\.", "", text)
    assert "<" not in bare
    assert "](" not in bare
    assert "@" not in bare
    tables: list[int] = []
    for line in bare.split("\n"):
        if line.startswith("|"):
            tables.append(line.count("|"))
        else:
            assert len(set(tables)) <= 1, "a table has rows of different length"
            tables = []


def test_html_of_hostile_texts_has_our_tags_only() -> None:
    """Script and markup in any text of job, book or letterhead is text on the page, and nothing is loaded."""
    clean = page_of(gather_report(job(), "J-1", invented=True, sources=True))
    foul = page_of(attacked(), Letterhead(ATTACK, (ATTACK,), None, ATTACK))
    assert set(foul.tags) - set(clean.tags) <= {
        "header",
        "br",
        "ol",
    }  # of letterhead and stop, which the clean job lacks
    assert "script" not in foul.tags
    assert not foul.open
    for _, name, value in foul.attributes:
        assert not name.startswith("on")
        assert name not in {"src", "href", "srcset", "action", "style"}, (name, value)
    assert foul.text.count("<script>alert(1)</script>") > 20
    policy = [value for tag, name, value in foul.attributes if tag == "meta" and name == "content"]
    assert any("default-src 'none'" in value for value in policy)


def test_html_loads_nothing_from_outside() -> None:
    """The page names no other file and no other machine; a logo stands inside it."""
    logo = Logo(b"\x89PNG\r\n\x1a\n", ".png")
    page = page_of(gather_report(job(), "J-1"), Letterhead("Harbour workshop", (), None, "112"), logo)
    sources = [value for _, name, value in page.attributes if name in {"src", "href"}]
    assert [value[:22] for value in sources] == ["data:image/png;base64,"]
    raw = html(gather_report(job(), "J-1"), customer_pages(gather_report(job(), "J-1"))[0])
    assert not re.search(r"url\(|@import|https?:", raw)


def test_html_bars_are_drawn_and_told() -> None:
    """Each bar has its label and its number as text beside the picture, and its length is its share."""
    page = page_of(gather_report(job(), "J-1"))
    assert "900 h (90 %)" in page.text
    widths = [value for tag, name, value in page.attributes if tag == "rect" and name == "width"]
    assert "234.0" in widths  # 0.9 of 260


def test_pdf_shows_typed_text_literally() -> None:
    """Signs of typst, Markdown and HTML in a complaint are text on the page."""
    text = text_of(pdf(gather_report(job(NASTY), "J-1", invented=True)))
    for part in ("[white]", "*now*", "<b>#1</b>", "$x$", "#let x = 1", "@ref"):
        assert part in text, part
    for wanted in ("Invented job", "12.1 V", "Battery flat", "900 h", "maker's manual", "0123456789ab"):
        assert wanted.replace("'", "’") in text or wanted in text, wanted


def test_pdf_of_hostile_texts_is_drawn() -> None:
    """Typst code in any text is never run: the pages come out and show it."""
    text = text_of(pdf(attacked(), Letterhead(ATTACK, (ATTACK,), None, "112"))).replace("’", "'").replace(" ", "")
    assert text.count("#{panic()}") > 20


def test_control_signs_and_turned_text_are_shown_as_replaced() -> None:
    """Escape sequences and signs that turn text round reach no page."""
    report = gather_report(job("a\x1b[31mb\u202ec\x00d"), "J-1")
    for form in ("md", "html"):
        told = drawn(report, form, Letterhead()).decode()
        assert not re.search("[\x00-\x08\x0b-\x1f\u202e]", told), form
    assert "\u202e" not in text_of(drawn(report, "pdf", Letterhead()))


def test_json_holds_its_schema() -> None:
    """The JSON keeps the documented form, also with hostile texts, and they come back letter by letter."""
    schema = json.loads((Path(graphviz_export.__file__).parent / "report_schema.json").read_text())
    jsonschema.Draft202012Validator.check_schema(schema)
    for report in (gather_report(job(), "J-1", sources=True), attacked(), gather_report(stopped(), "J-2")):
        told = json.loads(drawn(report, "json", Letterhead("W", ("A",), None, "112")))
        jsonschema.validate(told, schema)
        assert told["complaint"] == report.complaint
        assert [row["number"] for row in told["readings"]] == [row.number for row in report.readings]
    broken = {**told, "readings": [{"what": "x"}]}
    with pytest.raises(jsonschema.ValidationError):
        jsonschema.validate(broken, schema)


def test_json_documents_every_key() -> None:
    """REPORT.md names every key of the form."""
    told = json.loads(drawn(gather_report(job(), "J-1"), "json", Letterhead()))
    text = (Path(graphviz_export.__file__).parent / "REPORT.md").read_text()
    assert [key for key in told if f"`{key}`" not in text] == []


@pytest.mark.parametrize("form", REPORT_FORMATS)
def test_same_job_same_bytes(form: str) -> None:
    """Each form depends on the job alone."""
    once, again = gather_report(job(), "J-1"), gather_report(job(), "J-1")
    assert drawn(once, form, Letterhead()) == drawn(again, form, Letterhead())


def test_customers_page_is_one_page_whatever_the_texts() -> None:
    """With texts of 5,000 letters everywhere the record begins on page 2, holds them whole, and page 1 says so."""
    long = "word " * 1000 + "END"
    report = attacked(long)
    pages = [" ".join(page.extract_text().split()) for page in pypdf.PdfReader(BytesIO(pdf(report))).pages]
    assert "What to do now" in pages[0]
    assert "Shortened here, whole in the record behind:" in pages[0]
    for moved in ("complaint", "what was wrong", "work done", "what to do now", "readings"):
        assert moved in pages[0].partition("Shortened here")[2], moved
    assert "END" not in pages[0]
    assert pages[1].startswith("The record behind report")
    assert sum(page.count("END") for page in pages[1:]) > 20
    assert page_that_fits(report).moved in pages[0].replace("’", "'")


def test_a_word_wider_than_the_page_is_broken() -> None:
    """A text of 5,000 letters without a space stays inside the page, whole."""
    pages = pypdf.PdfReader(BytesIO(pdf(gather_report(job("x" * 5000), "J-1")))).pages
    lines = [line for page in pages for line in page.extract_text().split("\n")]
    assert max(len(line) for line in lines) < 130
    assert sum(line.count("x") for line in lines) > 10_000  # complaint and note, each whole in the record


def test_a_short_page_is_not_shortened() -> None:
    """Nothing is cut where everything fits."""
    report = gather_report(job(), "J-1")
    assert page_that_fits(report) == customer_pages(report)[0]
    assert page_that_fits(report).moved == ""


def test_before_and_after_stand_side_by_side() -> None:
    """A reading that was taken before and after the repair is one row with both numbers."""
    walk = Walk.begin(small_book(), words="x", tree="smoke_on_start", family="air2").taken_up("one", "2026-01-05")
    walk = walk.answer("no").answer("no").leave_for("loaded").reading("10.9").acknowledge("gas").answer("stays")
    walk = walk.reading("12.6").take_figure().reading("6.5 6.6 6.4").answer("no").tick(["low"]).answer("coked")
    page = customer_pages(gather_report(walk.answer("cured").reading("12.3"), "J-1"))[0]
    row = page.readings[0]
    assert (row.what, row.before, row.after, row.verdict) == ("Voltage under glow load", "10.9 V", "12.3 V", "Good")
