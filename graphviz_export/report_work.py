"""The work of a job: what was done with which parts, what is still to do, who may do it, and what may hurt."""

from __future__ import annotations

from collections.abc import Iterator

from graphviz_export.report_records import IF_TRUE, WorkRow
from trees.book.model import Fix
from trees.book.words import GRADES, UNKNOWN
from trees.language import N_, Said, _, listed_or
from trees.walk import Walk
from trees.walk.question import PLACE_NAMES

WHO = Said({"caller": N_("the user"), "technician": N_("a technician"), "licensed": N_("a licensed person")})
DONE = Said({"cured": N_("done, cured"), "still": N_("done, the trouble was still there"), "not_tried": N_("done")})
TO_DO = N_("to do")


def work_rows(walk: Walk) -> tuple[WorkRow, ...]:
    """Return what was done, then what the causes that were found still ask for."""
    done = dict(_done(walk))
    free = [
        WorkRow(do=text, state=_("done"), done=True, who="", place="", minutes=None, parts=())
        for text in dict.fromkeys(str(e.data.get("text", "")) for e in walk.entries if e.kind == "work")
        if text
    ]
    return (*done.values(), *free, *_to_do(walk, set(done)))


def _done(walk: Walk) -> Iterator[tuple[str, WorkRow]]:
    for given in walk.now.givens:
        fix = walk.book.fixes.get(given.subject) if given.check is None else None
        if fix is not None and given.answer in DONE:
            yield fix.id, _row(fix, DONE[given.answer], done=True)


def _to_do(walk: Walk, done: set[str]) -> Iterator[WorkRow]:
    """Yield the work for each found cause that no work was done for."""
    result = walk.conclusion
    told: set[str] = set()
    for cause in (*result.roots, *result.consequences, *result.contributing):
        fixes = walk.book.causes[cause].fixes
        if done & {f.id for f in walk.book.fixes.values() if cause in f.cures} or done & set(fixes):
            continue
        for name in fixes:
            if name in walk.book.fixes and name not in told:
                told.add(name)
                maybe = _(IF_TRUE) if cause in result.contributing else ""
                yield _row(walk.book.fixes[name], f"{_(TO_DO)}{maybe}: {walk.book.causes[cause].name}", done=False)


def _row(fix: Fix, state: str, *, done: bool) -> WorkRow:
    places = listed_or(PLACE_NAMES[place] for place in fix.place)
    return WorkRow(
        do=fix.do, state=state, done=done, who=WHO[fix.who], place=places, minutes=fix.minutes, parts=fix.parts
    )


def parts_used(rows: tuple[WorkRow, ...]) -> tuple[str, ...]:
    """Return the parts of the work that was done, each once."""
    return tuple(dict.fromkeys(part for row in rows if row.done for part in row.parts))


def caution_lines(walk: Walk) -> tuple[str, ...]:
    """Return every caution that stood before what was asked or done, each once."""
    shown = [c for given in walk.now.givens if given.check is not None for c in given.check.cautions]
    for given in walk.now.givens:
        fix = walk.book.fixes.get(given.subject) if given.check is None else None
        shown += fix.cautions if fix is not None else ()
    known = [walk.book.cautions[c] for c in dict.fromkeys(shown) if c in walk.book.cautions]
    return tuple(f"{GRADES[c.grade]} — {c.word}: {c.text}" for c in known)


def not_checked(walk: Walk) -> tuple[str, ...]:
    """Return what could not be told, was passed over, or was never seen: not measured is never good."""
    from graphviz_export.report_readings import TEST_PLACE

    givens = walk.now.givens
    rows = [
        _("{wording} (could not be told{part})").format(
            wording=given.check.wording, part=_(", after the repair") if given.after_repair else ""
        )
        for given in givens
        if given.check is not None and given.answer == UNKNOWN and not given.values
    ]
    rows += [f"{v.check.wording} ({_(v.passed)})" for v in walk.now.travel.passed if v.passed and v.check is not None]
    if "site" not in {given.place for given in givens}:
        rows.append(_("The installation was not seen where it works."))
    if any(g.values for g in givens) and not any(g.subject == TEST_PLACE and g.values for g in givens):
        rows.append(_("Altitude and weather of the test place were not noted."))
    return tuple(dict.fromkeys(rows))
