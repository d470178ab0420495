"""The readings of a job as rows: value, uncertainty, limits, verdict, instrument, and where they were taken."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import TYPE_CHECKING

from graphviz_export.report_records import Bar, FigureRow, NumberRow, ReadingRow, When
from trees.book.model import Book, Check
from trees.book.words import UNKNOWN, rated_name
from trees.errors import FigureError
from trees.figures.conformity import decide, probability_between
from trees.figures.registry import figure_info
from trees.figures.units import format_value
from trees.language import N_, Said, _
from trees.suspects import percent
from trees.walk import Walk
from trees.walk.answers import Given, Known
from trees.walk.near_edges import likely_bands, standard_uncertainty_of
from trees.walk.question import PLACE_NAMES

if TYPE_CHECKING:
    from trees.walk.judge import BandEdges

TEST_PLACE = "test_place"
"""The check of a book that notes altitude and weather of the place where readings are taken."""
SURE = 0.95
"""A verdict less probable than this is too close to call (JCGM 106: confident both ways)."""
STANDINGS = Said(
    {
        "published": N_("published"),
        "library": N_("a definition, or agreed with an independent library"),
        "memory": N_("from memory"),
        "practice": N_("common practice, no source"),
    }
)


def reading_rows(walk: Walk) -> tuple[ReadingRow, ...]:
    """Return every reading that counts, in the order in which it was taken."""
    return tuple(_rows(walk))


def _rows(walk: Walk) -> Iterator[ReadingRow]:
    for given, known in _with_known(walk):
        check = given.check
        if check is None or check.id == TEST_PLACE or not given.values or given.taken_over:
            continue
        if check.readings:
            yield from _several(walk, check, given)
        else:
            yield _single(walk, check, given, known)


def _with_known(walk: Walk) -> Iterator[tuple[Given, Known]]:
    """Yield each answer with what was known when it was given: a figure rests on the readings before it."""
    known = Known(walk.book, walk.now.unit)
    for given in walk.now.givens:
        known.add(given)
        yield given, known


def _several(walk: Walk, check: Check, given: Given) -> Iterator[ReadingRow]:
    fields = {field.name: field for field in check.readings}
    typed = walk.entries[given.no - 1].data.get("readings", {})
    for name, value in given.values.items():
        field = fields.get(name)
        label = (field.label or name) if field else name
        row = _bare(walk, given, f"{check.wording}: {label}", value, field.unit if field else "")
        yield replace(row, typed=str(typed.get(name, {}).get("typed", "")))


def _single(walk: Walk, check: Check, given: Given, known: Known) -> ReadingRow:
    edges = given.verdict.edges if given.verdict else None
    u = standard_uncertainty_of(walk.book, check, known)
    low, high = _band(edges, given)
    what = _("{wording} (worked out)").format(wording=check.wording) if check.form == "figure" else check.wording
    return replace(
        _bare(walk, given, what, given.values[""], check.unit),
        typed=given.typed,
        uncertainty=u or None,
        uncertain=_uncertain(given.values[""], u, check.unit),
        low=low,
        high=high,
        limits=_limits(low, high, check.unit),
        judged_by=_judged_by(walk, edges, check),
        verdict=_verdict(given, check),
        close_call=_close_call(walk.book, given, known, u),
    )


def _uncertain(value: float, u: float, unit: str) -> str:
    """Return one standard uncertainty with its unit, to as many places as it deserves."""
    if not u:
        return ""
    return f"± {format_value(value, unit, u).partition(' ± ')[2]}"


def _bare(walk: Walk, given: Given, what: str, number: float, unit: str) -> ReadingRow:
    """Return a reading that nothing judges: its number, instrument, time and place."""
    tools = given.check.needs if given.check is not None else ()
    return ReadingRow(
        entry=given.no,
        what=what,
        number=number,
        unit=unit,
        value=format_value(number, unit),
        typed="",
        uncertainty=None,
        uncertain="",
        low=None,
        high=None,
        limits="",
        judged_by="",
        verdict="",
        close_call="",
        instrument=given.instrument or ", ".join(walk.book.tools.get(tool, tool) for tool in tools),
        when=_when(given),
        place=PLACE_NAMES[given.place],
        conditions=conditions(walk, given),
    )


def _when(given: Given) -> When:
    return "after repair" if given.after_repair else "before"


def conditions(walk: Walk, given: Given) -> str:
    """Return altitude and weather as noted at the same place, before the repair or after it; empty if nobody did."""
    noted = [
        g
        for g in walk.now.givens
        if g.subject == TEST_PLACE and g.values and g.place == given.place and g.after_repair == given.after_repair
    ]
    if not noted or noted[-1].check is None:
        return ""
    units = {field.name: field.unit for field in noted[-1].check.readings}
    return ", ".join(format_value(value, units.get(name, "")) for name, value in noted[-1].values.items())


def _band(edges: BandEdges | None, given: Given) -> tuple[float | None, float | None]:
    for band, low, high in edges.bands if edges is not None else ():
        if band.id == given.answer:
            return low, high
    return None, None


def _limits(low: float | None, high: float | None, unit: str) -> str:
    above = _("above {low}").format(low=format_value(low, unit)) if low is not None else ""
    upto = _("up to {high}").format(high=format_value(high, unit)) if high is not None else ""
    return ", ".join(part for part in (above, upto) if part)


def _judged_by(walk: Walk, edges: BandEdges | None, check: Check) -> str:
    if edges is None or not edges.base_name:
        return ""
    kind, _other, name = edges.base_name.partition(".")
    hand = _(", entered by hand") if kind == "family" and walk.now.unit.is_by_hand(name) else ""
    other = walk.book.checks.get(name) if kind == "figure" else None
    what = other.wording if other is not None else rated_name(name)
    return f"{what} {format_value(edges.base, check.unit)}{hand}"


def _verdict(given: Given, check: Check) -> str:
    verdict = given.verdict
    if verdict is None or (verdict.answer is None and check.bands):
        return _("not judged: no rated value for this unit")
    means = verdict.answer.means if verdict.answer else ""
    if verdict.implausible:
        means += _(" (outside what is plausible)")
    if verdict.relative_spread:
        means += _(" (readings {spread:.0f} % apart)").format(spread=100 * verdict.relative_spread)
    return means


def _close_call(book: Book, given: Given, known: Known, u: float) -> str:
    """Say between which bands a reading stands, where its own band is not sure."""
    low, high = _band(given.verdict.edges if given.verdict else None, given)
    if (low is None and high is None) or not u or given.check is None:
        return ""
    value = given.values[""]
    if probability_between(value, u, low, high) >= SURE:
        return ""
    bands = sorted(likely_bands(book, given, known), key=lambda pair: -pair[1])
    told = ", ".join(f"{band.means} {percent(chance)}" for band, chance in bands)
    settle = decide(
        value, u, lower=low, upper=high, unit="" if given.check.unit == "1" else given.check.unit
    ).settled_by
    return " ".join(part for part in (_("Too close to call: {told}.").format(told=told), settle) if part)


# ── figures, run hours, standing ────────────────────────────────────────────


def figure_rows(walk: Walk) -> tuple[FigureRow, ...]:
    """Return every figure that was worked out or that a reading was judged by, with formula and source."""
    rows: dict[tuple[str, str], FigureRow] = {}
    for given, known in _with_known(walk):
        check = given.check
        if check is None or not given.values or given.taken_over:
            continue
        edges = given.verdict.edges if given.verdict is not None else None
        of_figure = edges is not None and edges.base_name.startswith("figure.")
        base = walk.book.checks.get(edges.base_name.removeprefix("figure.")) if edges and of_figure else None
        for one in (check, base):
            if one is not None and one.form == "figure":
                row = _figure(walk, one, given, known)
                if row is not None:
                    rows.setdefault((one.id, row.value + row.when), row)
    return tuple(rows.values())


def _figure(walk: Walk, check: Check, given: Given, known: Known) -> FigureRow | None:
    try:
        info = figure_info(check.figure)
    except FigureError:
        return None
    own = check is given.check
    value = given.values[""] if own else known.figure(check.id)
    if value is None:
        return None
    inputs = []
    for name, reference in check.inputs.items():
        number, field = known.value(reference), info.inputs[name]
        inputs.append((_input_label(walk, reference), format_value(number, field.unit) if number is not None else "?"))
    u = standard_uncertainty_of(walk.book, check, known)
    return FigureRow(
        title=f"{check.wording} ({info.title})" if check.wording and check.wording != info.title else info.title,
        value=format_value(value, info.result.unit, u or None),
        formula=info.formula,
        inputs=tuple(inputs),
        source=info.source,
        standing=STANDINGS[info.status],
        accuracy=info.accuracy,
        when=_when(given),
    )


def _input_label(walk: Walk, reference: str) -> str:
    subject, _other, name = reference.partition(".")
    check = walk.book.checks.get(name if subject == "figure" else subject)
    if check is None:
        return _("{name} of the unit").format(name=rated_name(name))
    field = next((f for f in check.readings if f.name == name), None)
    return f"{check.wording}: {field.label or name}" if field else check.wording


def run_hour_bars(walk: Walk) -> tuple[Bar, ...]:
    """Return the hours at each output step as bars, from the newest readings that hold several hours."""
    for given in reversed(walk.now.givens):
        hours = [f for f in given.check.readings if f.unit == "h"] if given.check is not None else []
        told = [(f.label or f.name, given.values[f.name]) for f in hours if f.name in given.values]
        total = sum(value for _other, value in told)
        if len(told) > 1 and total > 0:
            return tuple(
                Bar(label, f"{format_value(value, 'h')} ({value / total:.0%})".replace("%", " %"), value / total)
                for label, value in told
            )
    return ()


def number_rows(walk: Walk) -> tuple[NumberRow, ...]:
    """Return the standing of every number that a reading of this job was judged by."""
    from trees.book.standing import of_check, of_family

    book = walk.book
    rows: dict[NumberRow, None] = {}
    for given in walk.now.givens:
        if given.check is not None and given.values and given.answer != UNKNOWN:
            for one in of_check(given.check, book.source):
                rows[NumberRow(given.check.wording, one.what, one.words)] = None
    family = walk.now.unit.family
    for one in of_family(family, book.source) if family is not None else ():
        rows[NumberRow(family.name if family else "", one.what, one.words)] = None
    for name, value in walk.now.unit.by_hand.items():
        rows[NumberRow(_("This unit"), f"{name.replace('_', ' ')} {value:g}", _("entered by hand in this job"))] = None
    return tuple(rows)
