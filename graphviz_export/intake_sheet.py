"""The blank sheet that goes with a carton: facts to tick and to write in, and how to pack what held fuel."""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from graphviz_export.letterhead import Letterhead, Logo, read_logo
from graphviz_export.report_pages import head_data, logo_data, printable_data
from graphviz_export.report_records import FIRST_WORDS, INVENTED
from graphviz_export.typst_run import FontChoice, choose_fonts, date_of, draw, language_of, measure
from graphviz_export.write import write_files
from trees.book.model import Book, Check
from trees.errors import PaperError
from trees.language import N_, _, said
from trees.walk import Walk

_TEMPLATE = "intake_sheet.typ"
PAGES_AT_MOST = 2
SIZES_PT = (11.0, 10.5, 10.0, 9.5, 9.0, 8.5, 8.0)
"""Letter sizes from the most readable to the least that is still printed; then facts are left to the telephone."""
MOST_BRING = 8
_WORDS = {
    "before": N_("Before you pack"),
    "carton": N_("Please put in the carton:"),
    "call": N_("Fire, alarm or feeling unwell: out into the air, then call {number}."),
    "since": N_("Since when"),
    "fuel": N_("Fuel, and where from"),
    "name": N_("Name"),
    "telephone": N_("Telephone"),
    "back": N_("Send back to"),
    "date": N_("Date"),
}
"""What the template itself says."""
DO_NOT_KNOW = N_("Don't know")

PACKING = (
    N_(
        "Heater off at its own switch; wait until its fan stands still and everything is cold. Then take its fuse out. "
        "Whoever takes it out must be allowed to do so."
    ),
    N_(
        "Drain it in the open air, away from flames and sparks: unit, pump and line, into a closed and marked can. "
        "Plug the open ends. Coolant units: drain only when cold, the liquid is poisonous."
    ),
    N_(
        "Leave it open to the air until nothing drips or smells, a day at the least. No fuel, no oily rags in the "
        "carton."
    ),
    N_("Do not clean it, do not open it, no starting spray, no further try: soot and deposits tell what happened."),
    N_(
        "Put it in a closed bag with something that soaks up, on soft padding, in a stiff carton. "
        "Ask the carrier first: parcels that held fuel have rules of their own, most of all by air."
    ),
    N_(
        "If an alarm sounded, somebody felt unwell, or it burned: telephone before you send anything. "
        "Leaks at the tank or the engine's fuel line are for a workshop qualified for them."
    ),
)
"""Common practice, no source: the usual cautions; local rules and the carrier's come first."""


@dataclass(frozen=True, slots=True)
class IntakeSheet:
    """What the sheet asks, in the order in which the bench can see it."""

    number: str
    invented: bool
    seen: tuple[Check, ...]
    """Facts that the bench reads off the unit itself, so that a line left blank costs nothing."""
    told: tuple[Check, ...]
    """Facts that only the user can tell."""
    bring: tuple[str, ...]
    book: Book
    day: str


def intake_sheet(walk: Walk, number: str, *, invented: bool = False) -> IntakeSheet:
    """Return the blank sheet of a job: the intake facts of its book that fit the unit."""
    book = walk.book
    facts = [check for check in book.checks.values() if check.intake and walk.now.unit.fits(check.applies)]
    facts.sort(key=lambda check: check.spot is None or "intake" not in check.spot.file)  # what a job begins with
    seen = tuple(check for check in facts if _seen_at_bench(check))
    return IntakeSheet(
        number=number,
        invented=invented,
        seen=seen,
        told=tuple(check for check in facts if check not in seen),
        bring=_bring(walk),
        book=book,
        day=walk.now.day,
    )


def _seen_at_bench(check: Check) -> bool:
    """Tell whether the unit shows it by itself: on its plate, its display or to a look."""
    shows = bool({"look_outside", "read_display"} & set(check.acts)) or (not check.acts and check.proof != "words")
    return "bench" in check.place and shows


def _bring(walk: Walk) -> tuple[str, ...]:
    """Return what the ends `to_workshop` of the job's tree want brought, or those of all trees without one."""
    tree = walk.book.trees.get(walk.now.tree or "")
    wanted = (tree,) if tree is not None else tuple(walk.book.trees.values())
    ends = [
        step for one in wanted for step in one.steps.values() if step.kind == "end" and step.refers == "to_workshop"
    ]
    return tuple(dict.fromkeys(item for step in ends for item in step.bring))[:MOST_BRING]


def write_intake_sheet(sheet: IntakeSheet, out: Path, *, letterhead: Letterhead | None = None) -> Path:
    """Write the sheet as PDF, whole or not at all; PaperError with a sentence."""
    if out.suffix.lower() != ".pdf":
        raise PaperError(_("An intake sheet is written as .pdf; {name} is none.").format(name=out.name))
    write_files((out,), [intake_pdf(sheet, letterhead)], private=True)
    return out


def intake_pdf(sheet: IntakeSheet, letterhead: Letterhead | None = None) -> bytes:
    """Return the sheet as PDF of at most two A4 pages; what does not fit is asked on the telephone, and it says so."""
    head = letterhead or Letterhead()
    logo = read_logo(head)
    facts = len(sheet.seen) + len(sheet.told)
    for size_pt in SIZES_PT:
        data, fonts = _prepared(sheet, head, logo, size_pt, facts)
        if int(measure(_TEMPLATE, data, "pages", fonts)) <= PAGES_AT_MOST:
            return draw(_TEMPLATE, data, "pdf", fonts, sheet.day)[0]
    fits, too_many = 0, facts
    while too_many - fits > 1:
        middle = (fits + too_many) // 2
        data, fonts = _prepared(sheet, head, logo, SIZES_PT[-1], middle)
        if int(measure(_TEMPLATE, data, "pages", fonts)) <= PAGES_AT_MOST:
            fits = middle
        else:
            too_many = middle
    data, fonts = _prepared(sheet, head, logo, SIZES_PT[-1], fits)
    return draw(_TEMPLATE, data, "pdf", fonts, sheet.day)[0]


def _prepared(
    sheet: IntakeSheet, head: Letterhead, logo: Logo | None, size_pt: float, facts: int
) -> tuple[dict[str, Any], FontChoice]:
    data = printable_data(_data(sheet, facts))
    data["head"] = printable_data(head_data(head))
    fonts = choose_fonts(json.dumps(data, ensure_ascii=False))
    return {**data, "fonts": list(fonts.families), "logo": logo_data(head, logo), "size_pt": size_pt}, fonts


def _data(sheet: IntakeSheet, facts: int) -> dict[str, Any]:
    book = sheet.book
    language, region = language_of(book.language)
    seen, told = sheet.seen[:facts], sheet.told[: max(0, facts - len(sheet.seen))]
    left = len(sheet.seen) + len(sheet.told) - facts
    return {
        "title": _("Intake sheet for job {number}").format(number=sheet.number),
        "number": sheet.number,
        "book": _("{title}, edition {edition}, fingerprint {fingerprint}").format(
            title=book.title, edition=book.edition, fingerprint=book.fingerprint
        ),
        "book_title": book.title,
        "lang": language,
        "region": region,
        "date": list(date_of(sheet.day)),
        "invented": _(INVENTED) if sheet.invented else "",
        "first_words": _(FIRST_WORDS),
        "words": {key: _(text) for key, text in _WORDS.items()},
        "left": _("{left} more are asked on the telephone.").format(left=left) if left else "",
        "groups": [
            [_("What the unit shows"), _("Leave blank what you can't see without opening anything."), _facts(seen)],
            [_("What only you can tell"), _("Tick what is true. “Don't know” is a good answer."), _facts(told)],
        ],
        "packing": said(PACKING),
        "bring": list(sheet.bring),
    }


def _facts(checks: Sequence[Check]) -> list[dict[str, Any]]:
    return [_fact(check) for check in checks]


def _fact(check: Check) -> dict[str, Any]:
    """Return one fact: its question as a caller hears it, boxes in groups, or lines with units."""
    boxes: list[list[str]] = []
    if check.form == "tick":
        groups: dict[str, list[str]] = {}
        for item in check.items:
            groups.setdefault(item.group, []).append(item.means)
        boxes = list(groups.values())
    elif check.answers:
        boxes = [[*(answer.means for answer in check.answers), _(DO_NOT_KNOW)]]
    lines = [["", check.unit]] if check.form == "measure" and not check.readings else []
    lines += [[field.label or field.name, "" if field.unit == "1" else field.unit] for field in check.readings]
    return {"asked": check.wording, "boxes": boxes, "lines": lines}
