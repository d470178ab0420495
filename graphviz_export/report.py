"""What a report says: a job's walk gathered into one plain record, which the other `report_*` files draw."""

from __future__ import annotations

from graphviz_export.report_evidence import (
    cause_row,
    contradictions,
    evidence_rows,
    hinted_ids,
    open_roots,
    suspect_bars,
    would_change,
)
from graphviz_export.report_readings import figure_rows, number_rows, reading_rows, run_hour_bars
from graphviz_export.report_records import FIRST_WORDS, INVENTED, CauseRow, ReadingRow, Report
from graphviz_export.report_work import caution_lines, not_checked, parts_used, work_rows
from trees.book.words import END_NAMES, UNKNOWN
from trees.language import _, pgettext
from trees.walk import Walk
from trees.walk.beside import Photo
from trees.walk.question import PLACE_NAMES
from trees.walk.ranking import rank

__all__ = ["FIRST_WORDS", "INVENTED", "CauseRow", "ReadingRow", "Report", "gather_report"]


def gather_report(
    walk: Walk, number: str, *, invented: bool = False, sources: bool = False, customer: str = ""
) -> Report:
    """Gather what a job's report says, for the customer told in one line; with `sources` also what numbers rest on."""
    book, now, result = walk.book, walk.now, walk.conclusion
    stop = book.cautions.get(now.stopped or "")
    suspects, trouble = rank(walk)
    advised = (*result.roots, *result.contributing)
    end = now.travel.visit.step if now.travel.here == "end" and now.travel.visit is not None else None
    work = work_rows(walk)
    return Report(
        number=number,
        complaint=now.words,
        customer=customer,
        unit=_unit(walk),
        place=PLACE_NAMES[now.place],
        day=now.day,
        language=book.language,
        invented=invented,
        book=_("{title}, edition {edition}, reviewed {reviewed}, fingerprint {fingerprint}").format(
            title=book.title, edition=book.edition, reviewed=book.reviewed, fingerprint=book.fingerprint
        ),
        fingerprint=book.fingerprint,
        closed=_closed(now.closed, now.close_text),
        end_words=end.text if end is not None and now.closed in {None, end.refers} and now.stopped is None else "",
        bring=end.bring if end is not None and now.stopped is None else (),
        stop=(stop.stop_line or stop.text) if stop else (now.stopped or ""),
        stop_lines=stop.then if stop else (),
        starts_forbidden=now.starts_forbidden,
        roots=tuple(cause_row(walk, c) for c in result.roots),
        contributing=tuple(cause_row(walk, c) for c in result.contributing),
        consequences=tuple(cause_row(walk, c) for c in result.consequences),
        hinted=tuple(cause_row(walk, c) for c in hinted_ids(walk)),
        open_roots=open_roots(walk),
        contradictions=contradictions(walk),
        ruled_out=tuple(cause_row(walk, c) for c, f in walk.findings.items() if f.state == "ruled_out"),
        readings=reading_rows(walk),
        figures=figure_rows(walk),
        run_hours=run_hour_bars(walk),
        suspects=suspect_bars(suspects),
        suspects_trouble=trouble,
        evidence=evidence_rows(walk, suspects, weighed=not trouble),
        observed=_observed(walk),
        work=work,
        parts=parts_used(work),
        advice=tuple(dict.fromkeys(book.causes[c].prevent for c in advised if book.causes[c].prevent)),
        cautions=caution_lines(walk),
        not_checked=not_checked(walk),
        would_change=would_change(walk, suspects, weighed=not trouble),
        notes=tuple(text for _other, text in now.notes),
        photos=tuple(_photo(photo) for photo in now.beside.photos),
        struck=tuple(f"{item.asked}: {item.answered} ({item.struck})" for item in walk.trail if item.struck),
        numbers=number_rows(walk) if sources else (),
    )


def _unit(walk: Walk) -> str:
    family, serial = walk.now.unit.family, walk.now.beside.serial
    name = family.name if family else _("Class of unit not known")
    return _("{name}, serial number {serial}").format(name=name, serial=serial) if serial else name


def _photo(photo: Photo) -> str:
    shows = ": ".join(part for part in (photo.text, photo.path) if part)
    return _("{shows} (SHA-256 {digest})").format(shows=shows, digest=photo.sha256).strip()


def _closed(end: str | None, text: str) -> str:
    if end is None:
        return pgettext("job", "Open")
    return ". ".join(part for part in (END_NAMES.get(end, end), text) if part)  # type: ignore[call-overload]


def _observed(walk: Walk) -> tuple[tuple[str, str], ...]:
    return tuple(
        (given.check.wording, given.means or _("none of these"))
        for given in walk.now.givens
        if given.check is not None
        and given.check.form in {"ask", "look", "tick"}
        and given.answer != UNKNOWN
        and not given.taken_over
    )
