"""A report as PDF pages; texts reach typst as data, so nothing in them can be markup."""

from __future__ import annotations

import json
import re
from typing import Any

from graphviz_export.letterhead import Letterhead, Logo
from graphviz_export.report_customer import CustomerPage, customer_pages
from graphviz_export.report_records import FIRST_WORDS, INVENTED, Bar, Report
from graphviz_export.report_sections import (
    NOTE_PARTS,
    NOTE_SUSPECTS,
    NOTE_UNCERTAINTY,
    Section,
    advice_section,
    customer_sections,
    evidence_sections,
    figures_table,
    found_sections,
    late_sections,
    pairs_table,
    readings_table,
    record_facts,
    work_table,
)
from graphviz_export.typst_run import FontChoice, choose_fonts, date_of, draw, language_of, measure
from trees.language import N_, _
from trees.text import printable

_TEMPLATE = "report.typ"
_LONG_WORD = re.compile(r"\S{24}(?=\S)")
"""Typst breaks no word without a hyphen; a longer one may be broken here."""
_WORDS = {
    "emergency": N_("Emergency: {number}."),
    "stopped": N_("STOPPED FOR SAFETY: {stop}"),
    "pairs": N_("Readings before and after"),
    "hours": N_("Run hours at each output step"),
    "call": N_("Fire, alarm or feeling unwell: out into the air, then call {number}."),
    "local_number": N_("your local emergency number"),
    "record": N_("The record behind report {number}"),
    "forbidden": N_("Starts were forbidden:"),
    "found": N_("What was found"),
    "work": N_("Work done, and who may do what"),
    "no_work": N_("No work was done."),
    "parts": N_("Parts used: {parts}."),
    "readings": N_("Readings"),
    "no_reading": N_("No reading was taken."),
    "figures": N_("Figures"),
    "causes": N_("Causes by the answers"),
    "evidence": N_("Evidence for each cause"),
}
"""What the template itself says; the words in braces are filled in there."""
_NUMBER_LETTERS = 40
_FOOT_LETTERS = 200
"""What the foot of a page holds in its margin; the record has the book's whole line."""


def pdf(report: Report, letterhead: Letterhead | None = None, logo: Logo | None = None) -> bytes:
    """Return the report as a PDF file; the same report gives the same bytes."""
    data, fonts = _prepared(report, letterhead or Letterhead(), logo)
    return draw(_TEMPLATE, data, "pdf", fonts, report.day)[0]


def page_that_fits(report: Report, letterhead: Letterhead | None = None, logo: Logo | None = None) -> CustomerPage:
    """Return the roomiest customer's page that one sheet holds, as the PDF has it."""
    data, fonts = _prepared(report, letterhead or Letterhead(), logo)
    return customer_pages(report)[int(measure(_TEMPLATE, data, "level", fonts))]


def _prepared(report: Report, letterhead: Letterhead, logo: Logo | None) -> tuple[dict[str, Any], FontChoice]:
    data = printable_data(_data(report))
    data["head"] = printable_data(head_data(letterhead))
    fonts = choose_fonts(json.dumps(data, ensure_ascii=False))
    data["fonts"] = list(fonts.families)
    data["logo"] = logo_data(letterhead, logo)
    return data, fonts


def printable_data(value: Any) -> Any:
    """Return the data with nothing in any text that a page could not show, and no word wider than a line."""
    if isinstance(value, str):
        return _LONG_WORD.sub(lambda part: f"{part[0]}\N{ZERO WIDTH SPACE}", printable(value))
    if isinstance(value, list | tuple):
        return [printable_data(item) for item in value]
    return {key: printable_data(item) for key, item in value.items()} if isinstance(value, dict) else value


def said_words() -> dict[str, str]:
    """Return what the template itself says, in the language that is spoken."""
    return {key: _(text) for key, text in _WORDS.items()}


def head_data(letterhead: Letterhead) -> dict[str, Any]:
    """Return the letterhead for a template, each line short enough for a head."""
    return {
        "workshop": letterhead.workshop[:80],
        "address": [line[:80] for line in letterhead.address[:6]],
        "emergency_number": letterhead.emergency_number[:40],
    }


def logo_data(letterhead: Letterhead, logo: Logo | None) -> dict[str, Any] | None:
    """Return a logo for a template: an SVG as text, a PNG as a list of bytes."""
    if logo is None:
        return None
    svg = logo.ending == ".svg"
    data: Any = logo.data.decode("utf-8", "replace") if svg else list(logo.data)
    return {"data": data, "format": logo.ending.removeprefix("."), "alt": letterhead.workshop or "Logo"}


def _data(report: Report) -> dict[str, Any]:
    language, region = language_of(report.language)
    number = report.number if len(report.number) <= _NUMBER_LETTERS else f"{report.number[:_NUMBER_LETTERS]}…"
    return {
        "title": _("Report {number}").format(number=number),
        "number": report.number,
        "short_number": number,
        "book": f"{report.book[:_FOOT_LETTERS]}…" if len(report.book) > _FOOT_LETTERS else report.book,
        "book_title": report.book.partition(",")[0][:_FOOT_LETTERS],
        "date": list(date_of(report.day)),
        "lang": language,
        "region": region,
        "words": said_words(),
        "first_words": _(FIRST_WORDS),
        "invented": report.invented,
        "invented_words": _(INVENTED),
        "customer": [_customer(page) for page in customer_pages(report)],
        **_record(report),
    }


def _customer(page: CustomerPage) -> dict[str, Any]:
    *before, now = customer_sections(page)
    pairs = pairs_table(page)
    return {
        "facts": page.facts,
        "stop": page.stop,
        "stop_lines": list(page.stop_lines),
        "sections": [*([each.title, each.lines, ""] for each in before), [now.title, now.lines, _("Nothing.")]],
        "pair_heads": pairs.heads,
        "readings": pairs.rows,
        "run_hours": [_bar(bar) for bar in page.run_hours],
        "moved": page.moved,
    }


def _record(report: Report) -> dict[str, Any]:
    work, readings, figures = work_table(report), readings_table(report), figures_table(report)
    return {
        "record_facts": record_facts(report),
        "stop": report.stop,
        "stop_lines": report.stop_lines,
        "starts_forbidden": report.starts_forbidden,
        "found": _told(found_sections(report)),
        "work_heads": work.heads,
        "work": work.rows,
        "parts": ", ".join(report.parts),
        "note_parts": _(NOTE_PARTS),
        "advice": _told((advice_section(report),)),
        "reading_heads": readings.heads,
        "readings": readings.rows,
        "note_uncertainty": _(NOTE_UNCERTAINTY),
        "figure_heads": figures.heads,
        "figures": figures.rows,
        "suspects": [_bar(bar) for bar in report.suspects],
        "note_suspects": _(NOTE_SUSPECTS),
        "suspects_trouble": report.suspects_trouble,
        "evidence": _told(evidence_sections(report)),
        "late": _told(late_sections(report)),
    }


def _bar(bar: Bar) -> dict[str, Any]:
    return {"label": bar.label, "told": bar.told, "share": bar.share}


def _told(sections: tuple[Section, ...]) -> list[list[Any]]:
    return [[section.title, section.lines, section.empty] for section in sections if section.told]
