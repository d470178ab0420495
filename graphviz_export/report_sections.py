"""The record behind the customer's page as titled lists, in the order in which every form of the report tells them."""

from __future__ import annotations

from dataclasses import dataclass

from graphviz_export.report_records import EvidenceRow, FigureRow, ReadingRow, Report, WorkRow
from trees.figures.units import format_value


@dataclass(frozen=True, slots=True)
class Section:
    """A title and its lines; a section without lines and without `empty` is left out."""

    title: str
    lines: tuple[str, ...]
    empty: str = ""

    @property
    def told(self) -> bool:
        """Say whether it stands in the report."""
        return bool(self.lines or self.empty)


READING_HEADS = ("reading", "value", "band", "verdict", "instrument and tools", "when and where")
WORK_HEADS = ("work", "state", "who may do it", "where", "parts")
FIGURE_HEADS = ("figure", "result", "formula and inputs", "source")


def record_facts(report: Report) -> tuple[tuple[str, str], ...]:
    """Return what stands at the head of the record."""
    return (
        ("Complaint", report.complaint),
        ("Unit", report.unit),
        ("Last taken up", f"{report.place}, {report.day}"),
        ("Closed", report.closed),
        ("Book", report.book),
    )


def found_sections(report: Report) -> tuple[Section, ...]:
    """Return what was found, the strongest first."""
    nothing = not (report.roots or report.contributing or report.consequences or report.hinted)
    return (
        Section("Root", _causes(report.roots), "Nothing was found yet." if nothing else ""),
        Section("Contributing (pointed at, not proven)", _causes(report.contributing)),
        Section("Consequence", _causes(report.consequences)),
        Section("Hinted at", _causes(report.hinted)),
        Section("Still open", report.open_roots),
        Section("Contradictions", report.contradictions),
    )


def _causes(rows: tuple[object, ...]) -> tuple[str, ...]:
    return tuple(f"{row.name} — by: {row.by}" if row.by else row.name for row in rows)  # type: ignore[attr-defined]


def late_sections(report: Report) -> tuple[Section, ...]:
    """Return what stands behind the readings."""
    return (
        Section("What was asked and seen", tuple(f"{question} — {answer}" for question, answer in report.observed)),
        Section("Ruled out", _causes(report.ruled_out)),
        Section("Not checked", report.not_checked, "Everything that was asked could be told."),
        Section("Not checked, and would still change the result", report.would_change, "Nothing that this book knows."),
        Section("Answers that no longer count", report.struck),
        Section("Cautions", report.cautions),
        Section("Notes", report.notes),
        Section("What the numbers rest on", tuple(f"{n.where} — {n.what}: {n.standing}" for n in report.numbers)),
    )


def evidence_lines(row: EvidenceRow) -> tuple[str, ...]:
    """Return why one cause stands where it stands, a line each."""
    lines = list(row.proved)
    if row.start:
        lines += [row.start, *row.speaks_for, *row.speaks_against]
        if row.hardly:
            lines.append(f"Hardly moved by {row.hardly} more answer{'s' if row.hardly > 1 else ''}.")
        lines.append(row.total)
    return tuple(lines)


def reading_cells(row: ReadingRow) -> tuple[str, ...]:
    """Return one reading as the cells under `READING_HEADS`."""
    limits = f"{row.limits} (by {row.judged_by})" if row.judged_by and row.limits else row.limits
    verdict = ". ".join(part for part in (row.verdict, row.close_call) if part)
    where = ", ".join(part for part in (row.when, row.place, row.conditions) if part)
    typed = f" (typed {row.typed})" if len(row.typed.split()) > 2 else ""
    value = format_value(row.number, row.unit, row.uncertainty) + typed
    return (row.what, value, limits, verdict, row.instrument, where)


def work_cells(row: WorkRow) -> tuple[str, ...]:
    """Return one piece of work as the cells under `WORK_HEADS`."""
    return (row.do, row.state, row.who, row.place, ", ".join(row.parts))


def figure_cells(row: FigureRow) -> tuple[str, ...]:
    """Return one figure as the cells under `FIGURE_HEADS`."""
    inputs = "; ".join(f"{what} {value}" for what, value in row.inputs)
    how = f"{row.formula}. From: {inputs}" if inputs else row.formula
    return (row.title, f"{row.value} ({row.when})", how, f"{row.source} ({row.standing}). {row.accuracy}")


NOTE_UNCERTAINTY = (
    "Behind ± stands one standard uncertainty, as the book states it for the check. A verdict that is less than 95 % "
    "sure is too close to call (JCGM 106)."
)
NOTE_SUSPECTS = (
    "Chances from the answers alone; several causes can be true at once. What a look, a reading or a cure proved "
    "stands above them. dB: 10 times the logarithm of the change of the odds."
)
NOTE_PARTS = "Parts are those that the book lists for the work that was done."
