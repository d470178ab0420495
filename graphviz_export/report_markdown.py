"""A report as Markdown; every text of the job is escaped, so that it reads as it was written."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence

from graphviz_export.letterhead import Letterhead
from graphviz_export.report_customer import CustomerPage, customer_pages
from graphviz_export.report_records import FIRST_WORDS, INVENTED, Bar, Report
from graphviz_export.report_sections import (
    FIGURE_HEADS,
    NOTE_PARTS,
    NOTE_SUSPECTS,
    NOTE_UNCERTAINTY,
    PAIR_HEADS,
    READING_HEADS,
    WORK_HEADS,
    Section,
    evidence_lines,
    figure_cells,
    found_sections,
    late_sections,
    reading_cells,
    record_facts,
    work_cells,
)
from trees.language import _, said
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
    out = [
        f"- {_('Complaint')}: {escape(page.complaint)}",
        f"- {_('Unit')}: {escape(page.unit)}",
        f"- {_('Done')}: {escape(page.where)}",
        f"- {_('Result')}: {escape(page.closed)}",
        "",
    ]
    if page.stop:
        out += [f"> **{_('STOPPED FOR SAFETY: {stop}').format(stop=escape(page.stop))}**", ""]
        out += [f"{n}. {escape(line)}" for n, line in enumerate(page.stop_lines, start=1)] + [""]
    for title, lines in (
        (_("What was wrong"), page.wrong),
        (_("Why"), page.why),
        (_("What was done"), page.done),
        (_("What to do now"), page.now),
    ):
        out += _section(Section(title, lines))
    if page.readings:
        rows = [(r.what, r.before, r.after, r.limits, r.verdict) for r in page.readings]
        out += _table(_("Readings before and after"), said(PAIR_HEADS), rows)
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
    out = [*(f"- {name}: {escape(text)}" for name, text in record_facts(report)), ""]
    if report.starts_forbidden:
        out += [
            f"- {_('Starts were forbidden:')} {escape(report.starts_forbidden)}",
            "",
        ]
    out += [f"## {_('What was found')}", ""]
    out += [
        f"- **{escape(section.title)}:** {escape(line)}"
        for section in found_sections(report)
        for line in (section.lines or ((section.empty,) if section.empty else ()))
    ]
    out += _table(
        _("Work done, and who may do what"), said(WORK_HEADS), map(work_cells, report.work), _("No work was done.")
    )
    if report.parts:
        out += [
            "",
            f"{_('Parts used: {parts}.').format(parts=escape(', '.join(report.parts)))} {_(NOTE_PARTS)}",
        ]
    out += _section(Section(_("So that it stays away"), report.advice, _("No advice follows from what was found.")))
    out += _table(_("Readings"), said(READING_HEADS), map(reading_cells, report.readings), _("No reading was taken."))
    out += ["", _(NOTE_UNCERTAINTY)] if report.readings else []
    if report.figures:
        out += _table(_("Figures"), said(FIGURE_HEADS), map(figure_cells, report.figures))
    out += _bars(_("Causes by the answers"), report.suspects)
    out += ["", _(NOTE_SUSPECTS)] if report.suspects else []
    out += ["", escape(report.suspects_trouble)] if report.suspects_trouble else []
    out += ["", f"## {_('Evidence for each cause')}"] if report.evidence else []
    for row in report.evidence:
        out += ["", f"### {escape(row.cause)} — {escape(row.state)}", ""]
        out += [f"- {escape(line)}" for line in evidence_lines(row)]
    for section in late_sections(report):
        out += _section(section)
    return out


def _section(section: Section) -> list[str]:
    if not section.told:
        return []
    return ["", f"## {section.title}", "", *([f"- {escape(line)}" for line in section.lines] or [section.empty])]


def _table(title: str, heads: Sequence[str], rows: Iterable[Sequence[str]], empty: str = "") -> list[str]:
    lines = ["| " + " | ".join(escape(cell) for cell in row) + " |" for row in rows]
    out = ["", f"## {title}", ""]
    if not lines:
        return [*out, empty] if empty else []
    return [*out, f"| {' | '.join(heads)} |", "|" + "---|" * len(heads), *lines]


def _bars(title: str, bars: Sequence[Bar]) -> list[str]:
    """Draw bars of text: a full block for every twentieth."""
    rows = []
    for bar in bars:
        drawn = ("█" * round(bar.share * _BAR_CELLS)).ljust(_BAR_CELLS, "·")
        rows.append(f"| {escape(bar.label)} | `{drawn}` | {escape(bar.told)} |")
    return ["", f"## {title}", "", "| | | |", "|---|---|---|", *rows] if rows else []
