"""A report as Markdown; every text of the job is escaped, so that it reads as it was written."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence

from graphviz_export.report import FIRST_WORDS, CauseRow, Report
from trees.text import printable

_SPECIAL = re.compile(r"([\\`*_{}\[\]<>#|~&])")


def escape(text: str) -> str:
    """Return a text that Markdown shows as it is, in one line."""
    flat = printable(" ".join(text.split()))
    escaped = _SPECIAL.sub(r"\\\1", flat)
    return re.sub(r"^(\d*)([-+.)])(?=\s)", r"\1\\\2", escaped)


def markdown(report: Report) -> str:
    """Return the report as Markdown text."""
    out = [f"# Report {escape(report.number)}", ""]
    if report.invented:
        out += ["**Invented job, for demonstration only.**", ""]
    out += [
        f"- Complaint: {escape(report.complaint)}",
        f"- Unit: {escape(report.unit)}",
        f"- Done: {report.place}, {report.day}",
    ]
    out += [f"- Closed: {escape(report.closed)}", ""]
    if report.stop:
        out += [f"> **STOPPED FOR SAFETY: {escape(report.stop)}**", ""]
        out += [f"{n}. {escape(line)}" for n, line in enumerate(report.stop_lines, start=1)] + [""]
    out += ["## What was found", ""]
    out += _causes("Root", report.roots) + _causes("Contributing (pointed at, not proven)", report.contributing)
    out += _causes("Consequence", report.consequences) + _causes("Hinted at", report.hinted)
    out += [f"- **Open:** {escape(line)}" for line in report.open_roots]
    if not (report.roots or report.consequences or report.hinted or report.contributing):
        out += ["Nothing was found yet."]
    out += _section("Work done", map(escape, report.work), "No work was done.")
    out += _section("So that it stays away", map(escape, report.advice), "No advice follows from what was found.")
    out += ["", "## Readings", ""]
    if report.readings:
        out += ["| reading | value | band | verdict | when |", "|---|---|---|---|---|"]
        out += [
            f"| {escape(r.what)} | {escape(r.value)} | {escape(r.limits)} | {escape(r.verdict)} | {r.when} |"
            for r in report.readings
        ]
    else:
        out += ["No reading was taken."]
    out += _section("What was asked and seen", [f"{escape(q)} **{escape(a)}**" for q, a in report.observed])
    out += _section("Ruled out", [f"{escape(row.name)} — {escape(row.by)}" for row in report.ruled_out])
    out += _section("Cautions", map(escape, report.cautions))
    out += _section("Not checked", map(escape, report.not_checked), "Everything that was asked could be told.")
    out += _section("Notes", map(escape, report.notes))
    out += ["", f"{FIRST_WORDS} {escape(report.book)}.", ""]
    return "\n".join(out)


def _causes(title: str, rows: Sequence[CauseRow]) -> list[str]:
    return [f"- **{title}:** {escape(row.name)} — {escape(row.by)}" for row in rows]


def _section(title: str, rows: Iterable[str], empty: str = "") -> list[str]:
    lines = [f"- {row}" for row in rows]
    if not lines and not empty:
        return []
    return ["", f"## {title}", "", *(lines or [empty])]
