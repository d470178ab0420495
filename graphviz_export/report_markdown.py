"""A report as Markdown; every text of the job is escaped, so that it reads as it was written."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence

from graphviz_export.letterhead import Letterhead
from graphviz_export.report_customer import CustomerPage, customer_pages
from graphviz_export.report_records import FIRST_WORDS, INVENTED, Bar, Report
from graphviz_export.report_sections import (
    NOTE_PARTS,
    NOTE_SUSPECTS,
    NOTE_UNCERTAINTY,
    Section,
    Table,
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
from trees.language import _
from trees.text import printable

_SPECIAL = re.compile(r"([\\`*_{}\[\]<>#|~&$@]|:(?=[/A-Za-z])|(?<=[Ww][Ww][Ww])\.)")
_BAR_CELLS = 20


def escape(text: str) -> str:
    """Return a text that Markdown shows as it is, in one line."""
    flat = printable(" ".join(text.split()))
    escaped = _SPECIAL.sub(r"\\\1", flat)
    return re.sub(r"^(\d*)([-+.)=])(?=\s|=|-|$)", r"\1\\\2", escaped)


def markdown(report: Report, letterhead: Letterhead | None = None) -> str:
    """Return the report as Markdown text: the customer's page, then the record."""
    head = letterhead or Letterhead()
    out = [f"{escape(line)}  " for line in (head.workshop, *head.address) if line]
    out += [""] if out else []
    out += [f"# {_('Report {number}').format(number=escape(report.number))}", ""]
    out += [f"**{_(INVENTED)}**", ""] if report.invented else []
    out += _customer(customer_pages(report)[0], head)
    out += ["", "---", "", f"# {_('The record behind report {number}').format(number=escape(report.number))}", ""]
    out += _record(report)
    out += ["", f"{_(FIRST_WORDS)} {escape(report.book)}.", ""]
    return "\n".join(out)


def _customer(page: CustomerPage, head: Letterhead) -> list[str]:
    out = _facts(page.facts)
    if page.stop:
        out += [f"> **{_('STOPPED FOR SAFETY: {stop}').format(stop=escape(page.stop))}**", ""]
        out += [f"{n}. {escape(line)}" for n, line in enumerate(page.stop_lines, start=1)] + [""]
    for section in customer_sections(page):
        out += _section(section)
    out += _table(pairs_table(page))
    out += _bars(_("Run hours at each output step"), page.run_hours)
    number = head.emergency_number
    out += [
        "",
        _("Fire, alarm or feeling unwell: out into the air, then call {number}.").format(
            number=escape(number or _("your local number"))
        ),
    ]
    return [*out, "", f"_{escape(page.moved)}_"] if page.moved else out


def _record(report: Report) -> list[str]:
    out = _facts(record_facts(report))
    if report.starts_forbidden:
        out += [f"- {_('Starts were forbidden:')} {escape(report.starts_forbidden)}", ""]
    out += [f"## {_('What was found')}", ""]
    out += [
        f"- **{escape(section.title)}:** {escape(line)}"
        for section in found_sections(report)
        for line in (section.lines or ((section.empty,) if section.empty else ()))
    ]
    out += _table(work_table(report))
    if report.parts:
        out += ["", f"{_('Parts used: {parts}.').format(parts=escape(', '.join(report.parts)))} {_(NOTE_PARTS)}"]
    out += _section(advice_section(report))
    out += _table(readings_table(report))
    out += ["", _(NOTE_UNCERTAINTY)] if report.readings else []
    out += _table(figures_table(report))
    out += _bars(_("Causes by the answers"), report.suspects)
    out += ["", _(NOTE_SUSPECTS)] if report.suspects else []
    out += ["", escape(report.suspects_trouble)] if report.suspects_trouble else []
    out += ["", f"## {_('Evidence for each cause')}"] if report.evidence else []
    for section in evidence_sections(report):
        out += ["", f"### {escape(section.title)}", "", *(f"- {escape(line)}" for line in section.lines)]
    for section in late_sections(report):
        out += _section(section)
    return out


def _facts(rows: Iterable[tuple[str, str]]) -> list[str]:
    return [*(f"- {name}: {escape(text)}" for name, text in rows), ""]


def _section(section: Section) -> list[str]:
    if not section.told:
        return []
    return ["", f"## {section.title}", "", *([f"- {escape(line)}" for line in section.lines] or [section.empty])]


def _table(table: Table) -> list[str]:
    lines = ["| " + " | ".join(escape(cell) for cell in row) + " |" for row in table.rows]
    out = ["", f"## {table.title}", ""]
    if not lines:
        return [*out, table.empty] if table.empty else []
    return [*out, f"| {' | '.join(table.heads)} |", "|" + "---|" * len(table.heads), *lines]


def _bars(title: str, bars: Sequence[Bar]) -> list[str]:
    """Draw bars of text: a full block for every twentieth."""
    rows = []
    for bar in bars:
        drawn = ("█" * round(bar.share * _BAR_CELLS)).ljust(_BAR_CELLS, "·")
        rows.append(f"| {escape(bar.label)} | `{drawn}` | {escape(bar.told)} |")
    return ["", f"## {title}", "", "| | | |", "|---|---|---|", *rows] if rows else []
