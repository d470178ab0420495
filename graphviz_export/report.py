"""What a report says: a job's walk gathered into plain rows; `report_markdown` and `report_pages` draw them."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from trees.book.model import END_NAMES, UNKNOWN, Check
from trees.figures.units import format_value
from trees.walk import Walk
from trees.walk.answers import Given
from trees.walk.judge import BandEdges
from trees.walk.question import PLACE_NAMES

FIRST_WORDS = "Local rules, the maker's manual and licensed trades come first."


@dataclass(frozen=True, slots=True)
class ReadingRow:
    """One reading with its limits and what it means."""

    what: str
    value: str
    limits: str
    verdict: str
    when: str
    """`before`, `after repair`."""


@dataclass(frozen=True, slots=True)
class CauseRow:
    """One cause and by what it is known."""

    name: str
    by: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Report:
    """Everything that a report says, in reading order."""

    number: str
    complaint: str
    unit: str
    place: str
    day: str
    """ISO date on which the job was last taken up."""
    language: str
    invented: bool
    book: str
    closed: str
    stop: str
    stop_lines: tuple[str, ...]
    roots: tuple[CauseRow, ...]
    contributing: tuple[CauseRow, ...]
    consequences: tuple[CauseRow, ...]
    hinted: tuple[CauseRow, ...]
    open_roots: tuple[str, ...]
    """Consequences without a root, as sentences."""
    ruled_out: tuple[CauseRow, ...]
    readings: tuple[ReadingRow, ...]
    observed: tuple[tuple[str, str], ...]
    """Question and answer of everything that was asked or looked at."""
    work: tuple[str, ...]
    advice: tuple[str, ...]
    cautions: tuple[str, ...]
    not_checked: tuple[str, ...]
    notes: tuple[str, ...]


def gather_report(walk: Walk, number: str, *, invented: bool = False) -> Report:
    """Gather what a job's report says."""
    book, now, result = walk.book, walk.now, walk.conclusion
    stop = book.cautions.get(now.stopped or "")
    hinted = [c for c, f in walk.findings.items() if f.state == "hinted" and c not in result.contributing]
    advised = (*result.roots, *result.contributing)
    return Report(
        number=number,
        complaint=now.words,
        unit=now.unit.family.name if now.unit.family else "Class of unit not known",
        place=PLACE_NAMES[now.place],
        day=now.day,
        language=book.language,
        invented=invented,
        book=f"{book.title}, edition {book.edition}, reviewed {book.reviewed}, fingerprint {book.fingerprint}",
        closed=_closed(now.closed, now.close_text),
        stop=(stop.stop_line or stop.text) if stop else "",
        stop_lines=stop.then if stop else (),
        roots=tuple(_cause(walk, c) for c in result.roots),
        contributing=tuple(_cause(walk, c) for c in result.contributing),
        consequences=tuple(_cause(walk, c) for c in result.consequences),
        hinted=tuple(_cause(walk, c) for c in hinted),
        open_roots=tuple(
            f"{book.causes[c].name}: its reason was not found. Possible: "
            f"{', '.join(book.causes[p].name.lower() for p in roots) or 'none in this book'}."
            for c, roots in result.unexplained.items()
        )
        + tuple(
            f"{book.causes[c].name}: found and ruled out. Which was wrong? "
            + "; ".join(f"{r.sentence} ({r.state.replace('_', ' ')})" for r in f.reasons)
            for c, f in walk.findings.items()
            if f.contradicted
        ),
        ruled_out=tuple(_cause(walk, c) for c, f in walk.findings.items() if f.state == "ruled_out"),
        readings=_readings(walk),
        observed=_observed(walk),
        work=_work(walk),
        advice=tuple(dict.fromkeys(book.causes[c].prevent for c in advised if book.causes[c].prevent)),
        cautions=_cautions(walk),
        not_checked=_not_checked(walk),
        notes=tuple(text for _, text in now.notes),
    )


def _closed(end: str | None, text: str) -> str:
    if end is None:
        return "Open"
    return ". ".join(part for part in (END_NAMES.get(end, end), text) if part)  # type: ignore[call-overload]


def _cause(walk: Walk, cause_id: str) -> CauseRow:
    finding = walk.findings[cause_id]
    by = dict.fromkeys(r.sentence for r in finding.reasons if r.state == finding.state)
    return CauseRow(walk.book.causes[cause_id].name, "; ".join(by))


def _readings(walk: Walk) -> tuple[ReadingRow, ...]:
    rows: list[ReadingRow] = []
    for given in walk.now.givens:
        check = given.check
        if check is None or not given.values or given.taken_over:
            continue
        when = "after repair" if given.after_repair else "before"
        if check.readings:
            fields = {f.name: f for f in check.readings}
            for name, value in given.values.items():
                field = fields.get(name)
                label = f"{check.wording}: {(field.label or name) if field else name}"
                rows.append(ReadingRow(label, format_value(value, field.unit if field else ""), "", "", when))
            continue
        rows.append(_reading(walk, check, given, when))
    return tuple(rows)


def _reading(walk: Walk, check: Check, given: Given, when: str) -> ReadingRow:
    verdict = given.verdict
    edges = verdict.edges if verdict else None
    if verdict is None or (verdict.answer is None and check.bands):
        means = "not judged: no rated value for this unit"
    else:
        means = verdict.answer.means if verdict.answer else ""
        if verdict.implausible:
            means += " (outside what is plausible)"
        if verdict.relative_spread:
            means += f" (readings {verdict.relative_spread:.0%} apart)"
    what = f"{check.wording} (worked out)" if check.form == "figure" else check.wording
    return ReadingRow(what, format_value(given.values[""], check.unit), _limits(walk, edges, given, check), means, when)


def _limits(walk: Walk, edges: BandEdges | None, given: Given, check: Check) -> str:
    """Return the band that the reading fell into as numbers, and what it was judged by."""
    if edges is None:
        return ""
    for band, low, high in edges.bands:
        if band.id == given.answer:
            parts = [
                f"above {format_value(low, check.unit)}" if low is not None else "",
                f"up to {format_value(high, check.unit)}" if high is not None else "",
            ]
            text = ", ".join(part for part in parts if part)
            name = edges.base_name.partition(".")[2]
            if not name:
                return text
            hand = ", entered by hand" if walk.now.unit.is_by_hand(name) else ""
            return f"{text} (by {name.replace('_', ' ')} {format_value(edges.base, check.unit)}{hand})"
    return ""


def _observed(walk: Walk) -> tuple[tuple[str, str], ...]:
    return tuple(
        (given.check.wording, given.means or "none of these")
        for given in walk.now.givens
        if given.check is not None
        and given.check.form in {"ask", "look", "tick"}
        and given.answer != UNKNOWN
        and not given.taken_over
    )


def _work(walk: Walk) -> tuple[str, ...]:
    told = {"cured": "done, cured", "still": "done, the trouble was still there", "not_tried": "done"}
    rows = []
    for given in walk.now.givens:
        fix = walk.book.fixes.get(given.subject) if given.check is None else None
        if fix is not None and given.answer in told:
            parts = f" Parts: {', '.join(fix.parts)}." if fix.parts else ""
            rows.append(f"{fix.do} ({told[given.answer]}).{parts}")
    rows += [str(e.data.get("text", "")) for e in walk.entries if e.kind == "work"]
    return tuple(dict.fromkeys(rows))


def _cautions(walk: Walk) -> tuple[str, ...]:
    shown = [c for given in walk.now.givens if given.check is not None for c in given.check.cautions]
    shown += [
        c for g in walk.now.givens if g.check is None for c in getattr(walk.book.fixes.get(g.subject), "cautions", ())
    ]
    known = [walk.book.cautions[c] for c in dict.fromkeys(shown) if c in walk.book.cautions]
    return tuple(f"{c.grade} — {c.word}: {c.text}" for c in known)


def _not_checked(walk: Walk) -> tuple[str, ...]:
    rows = [
        f"{given.check.wording} (could not be told)"
        for given in walk.now.givens
        if given.check is not None and given.answer == UNKNOWN and not given.values
    ]
    rows += [f"{v.check.wording} ({v.passed})" for v in walk.now.travel.passed if v.passed and v.check is not None]
    places = {given.place for given in walk.now.givens}
    if "site" not in places:
        rows.append("The installation was not seen where it works.")
    return tuple(dict.fromkeys(rows))


def as_json(report: Report) -> dict[str, Any]:
    """Return the report as plain JSON values."""
    from dataclasses import asdict

    return asdict(report)
