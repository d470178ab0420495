"""A report as titled lists and tables, in the words and the order in which every form of it tells them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from graphviz_export.report_customer import CustomerPage
from graphviz_export.report_records import WHENS, EvidenceRow, FigureRow, ReadingRow, Report
from trees.figures.units import format_value
from trees.language import N_, _, ngettext, said


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


@dataclass(frozen=True, slots=True)
class Table:
    """A title over rows of cells; without rows it is left out, or `empty` stands there."""

    title: str
    heads: Sequence[str]
    rows: tuple[tuple[str, ...], ...]
    empty: str = ""


def customer_sections(page: CustomerPage) -> tuple[Section, ...]:
    """Return what the customer's page tells, what to do now last."""
    return (
        Section(_("What was wrong"), page.wrong),
        Section(_("Why"), page.why),
        Section(_("What was done"), page.done),
        Section(_("What to do now"), page.now),
    )


def pairs_table(page: CustomerPage) -> Table:
    """Return the readings before the repair beside those after it."""
    heads = said((N_("reading"), N_("before"), N_("after repair"), N_("band"), N_("verdict")))
    rows = tuple((r.what, r.before, r.after, r.limits, r.verdict) for r in page.readings)
    return Table(_("Readings before and after"), heads, rows)


def record_facts(report: Report) -> tuple[tuple[str, str], ...]:
    """Return what stands at the head of the record."""
    return (
        (_("Complaint"), report.complaint),
        *(((_("Customer"), report.customer),) if report.customer else ()),
        (_("Unit"), report.unit),
        (_("Last taken up"), f"{report.place}, {report.day}"),
        (_("Result"), report.closed),
        (_("Book"), report.book),
    )


def found_sections(report: Report) -> tuple[Section, ...]:
    """Return what was found, the strongest first."""
    nothing = not (report.roots or report.contributing or report.consequences or report.hinted)
    return (
        Section(_("Root"), _causes(report.roots), _("Nothing was found yet.") if nothing else ""),
        Section(_("Contributing (pointed at, not proven)"), _causes(report.contributing)),
        Section(_("Consequence"), _causes(report.consequences)),
        Section(_("Hinted at"), _causes(report.hinted)),
        Section(_("Still open"), report.open_roots),
        Section(_("Contradictions"), report.contradictions),
    )


def _causes(rows: tuple[object, ...]) -> tuple[str, ...]:
    return tuple(_("{name} — by: {by}").format(name=row.name, by=row.by) if row.by else row.name for row in rows)  # type: ignore[attr-defined]


def work_table(report: Report) -> Table:
    """Return the work, each piece in a row."""
    heads = said((N_("work"), N_("state"), N_("who may do it"), N_("where"), N_("parts")))
    rows = tuple((row.do, row.state, row.who, row.place, ", ".join(row.parts)) for row in report.work)
    return Table(_("Work done, and who may do what"), heads, rows, _("No work was done."))


def advice_section(report: Report) -> Section:
    """Return what keeps it away."""
    return Section(_("So that it stays away"), report.advice, _("No advice follows from what was found."))


def readings_table(report: Report) -> Table:
    """Return the readings, each in a row."""
    heads = (N_("reading"), N_("value"), N_("band"), N_("verdict"), N_("instrument and tools"), N_("when and where"))
    rows = tuple(_reading_cells(row) for row in report.readings)
    return Table(_("Readings"), said(heads), rows, _("No reading was taken."))


def figures_table(report: Report) -> Table:
    """Return the figures, each in a row."""
    heads = said((N_("figure"), N_("result"), N_("formula and inputs"), N_("source")))
    return Table(_("Figures"), heads, tuple(_figure_cells(row) for row in report.figures))


def evidence_sections(report: Report) -> tuple[Section, ...]:
    """Return why each cause stands where it stands."""
    return tuple(Section(f"{row.cause} — {row.state}", _evidence_lines(row)) for row in report.evidence)


def late_sections(report: Report) -> tuple[Section, ...]:
    """Return what stands behind the readings."""
    return (
        Section(_("What was asked and seen"), tuple(f"{question} — {answer}" for question, answer in report.observed)),
        Section(_("Ruled out"), _causes(report.ruled_out)),
        Section(_("Not checked"), report.not_checked, _("Everything that was asked could be told.")),
        Section(
            _("Not checked, and would still change the result"), report.would_change, _("Nothing that this book knows.")
        ),
        Section(_("Answers that no longer count"), report.struck),
        Section(_("Cautions"), report.cautions),
        Section(_("Notes"), report.notes),
        Section(_("Photos"), report.photos),
        Section(_("What the numbers rest on"), tuple(f"{n.where} — {n.what}: {n.standing}" for n in report.numbers)),
    )


def _evidence_lines(row: EvidenceRow) -> tuple[str, ...]:
    lines = list(row.proved)
    if row.start:
        lines += [row.start, *row.speaks_for, *row.speaks_against]
        if row.hardly:
            lines.append(
                ngettext("Hardly moved by {n} more answer.", "Hardly moved by {n} more answers.", row.hardly).format(
                    n=row.hardly
                )
            )
        lines.append(row.total)
    return tuple(lines)


def _reading_cells(row: ReadingRow) -> tuple[str, ...]:
    limits = (
        _("{limits} (by {judged_by})").format(limits=row.limits, judged_by=row.judged_by)
        if row.judged_by and row.limits
        else row.limits
    )
    verdict = ". ".join(part for part in (row.verdict, row.close_call) if part)
    where = ", ".join(part for part in (WHENS[row.when], row.place, row.conditions) if part)
    typed = _(" (typed {typed})").format(typed=row.typed) if len(row.typed.split()) > 2 else ""
    value = format_value(row.number, row.unit, row.uncertainty) + typed
    return (row.what, value, limits, verdict, row.instrument, where)


def _figure_cells(row: FigureRow) -> tuple[str, ...]:
    inputs = "; ".join(f"{what} {value}" for what, value in row.inputs)
    how = _("{formula}. From: {inputs}").format(formula=row.formula, inputs=inputs) if inputs else row.formula
    return (row.title, f"{row.value} ({WHENS[row.when]})", how, f"{row.source} ({row.standing}). {row.accuracy}")


NOTE_UNCERTAINTY = N_(
    "Behind ± stands one standard uncertainty, as the book states it for the check. A verdict that is less than 95 % "
    "sure is too close to call (JCGM 106)."
)
NOTE_SUSPECTS = N_(
    "Chances from the answers alone; several causes can be true at once. What a look, a reading or a cure proved "
    "stands above them. dB: 10 times the logarithm of the change of the odds."
)
NOTE_PARTS = N_("Parts are those that the book lists for the work that was done.")
