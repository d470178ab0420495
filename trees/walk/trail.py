"""The trail: the entries of a job as a person reads them, also those that no longer count."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from trees.book.model import Book
from trees.book.words import END_NAMES, NOT_DONE, PLACES_SHORT, UNKNOWN, WORK_ANSWERS, rated_name
from trees.language import _
from trees.walk import beside
from trees.walk.answers import Given
from trees.walk.entries import Entry
from trees.walk.replay import Situation


@dataclass(frozen=True, slots=True)
class TrailItem:
    """One line of the trail."""

    no: int
    """Number of the entry in the job."""
    kind: str
    visit: str
    step_no: int | None
    asked: str
    answered: str
    struck: str = ""
    """Why it no longer counts; empty while it does."""
    given: Given | None = None
    reads_otherwise: bool = False
    """This edition of the book puts the reading into another band than when it was given."""


def trail(book: Book, entries: Sequence[Entry], now: Situation) -> tuple[TrailItem, ...]:
    """Return every entry that a person would want to read back, in order."""
    numbers = {v.key: v.step.no for v in now.travel.passed}
    if now.travel.visit is not None:
        numbers.setdefault(now.travel.visit.key, now.travel.visit.step.no)
    givens = {g.no: g for g in now.givens}
    struck = {s.no: s for s in now.struck}
    items = []
    for no, entry in enumerate(entries, start=1):
        given = givens.get(no) or (struck[no].given if no in struck else None)
        item = _item(book, no, entry, given)
        if item is None:
            continue
        step_no = numbers.get(entry.visit.partition("<")[0], _step_no(book, entry.visit))
        why = _(struck[no].why) if no in struck else ""
        otherwise = given is not None and bool(given.was_told)
        items.append(TrailItem(no, entry.kind, entry.visit, step_no, *item, why, given, otherwise))
    return tuple(items)


def _step_no(book: Book, visit: str) -> int | None:
    """Find the number of a step that is no longer on the way, or of a gate question."""
    if visit.startswith("gate"):
        question_id = visit.partition(":")[2]
        return next((q.no for q in book.gate if q.id == question_id), None)
    tree_id, _other, step_id = visit.rpartition("/")[2].partition("<")[0].partition(".")
    tree = book.trees.get(tree_id)
    return tree.steps[step_id].no if tree is not None and step_id in tree.steps else None


def _item(book: Book, no: int, entry: Entry, given: Given | None) -> tuple[str, str] | None:
    data = entry.data
    if entry.kind in {"answer", "skipped", "fact"}:
        return _asked(book, entry), _answered(entry, given)
    if entry.kind == "began":
        return _("Complaint"), str(data.get("words", ""))
    if entry.kind == "note":
        return _("Note"), str(data.get("text", ""))
    if entry.kind == "place":
        return _("Place"), PLACES_SHORT.get(str(data.get("place", "")), "")
    if entry.kind == "family":
        family = book.families.get(str(data.get("family")))
        return _("Family"), family.name if family else _("not known")
    if entry.kind == "rated":
        told = _("not to be had") if data.get("unknown") else f"{data['value']:g} {data.get('unit', '')}".strip()
        by_hand = _("{told} (entered by hand)")
        return _("From plate or manual: {name}").format(name=rated_name(str(data["name"]))), by_hand.format(told=told)
    if entry.kind == "left_tree":
        check = book.checks.get(str(data.get("check")))
        return _("Left the tree for"), check.wording if check else str(data.get("check"))
    if entry.kind == "work":
        return _("Work done"), str(data.get("text", ""))
    if entry.kind == "closed":
        end = str(data.get("end", ""))
        return _("Closed"), f"{END_NAMES.get(end, end)}. {data.get('text', '')}".strip()  # type: ignore[call-overload]
    if entry.kind == "stopped":
        caution = book.cautions.get(str(data.get("caution")))
        return _("Stopped for safety"), (caution.stop_line or caution.text) if caution else str(data.get("caution"))
    if entry.kind == "follow_up_of":
        return _("Goes on after {job}").format(job=data.get("job", "")), str(data.get("reason", ""))
    if entry.kind == "reopened":
        return _("Reopened"), str(data.get("reason", ""))
    if entry.kind == "taken_up" and no > 2:  # the first one follows "began" and tells nothing new
        return _("Taken up"), f"{data.get('seat', '')}, {data.get('date', '')}"
    return beside.told(entry)


def _asked(book: Book, entry: Entry) -> str:
    data = entry.data
    if "gate" in data:
        question = next((q for q in book.gate if q.id == data["gate"]), None)
        return question.ask if question else str(data["gate"])
    if "fix" in data:
        fix = book.fixes.get(str(data["fix"]))
        return fix.do if fix else str(data["fix"])
    check = book.checks.get(str(data.get("check")))
    return check.wording if check else str(data.get("check", ""))


def _answered(entry: Entry, given: Given | None) -> str:
    data = entry.data
    if entry.kind == "skipped":
        return _("Skipped")
    told = given.told if given is not None else ""
    if given is not None and "fix" in data:
        return WORK_ANSWERS.get(given.answer, _(NOT_DONE))
    if data.get("unknown"):
        return _("Cannot tell ({told})").format(told=told) if told else _("Cannot tell")
    if given is None:
        return told or str(data.get("answer", ""))
    means = _("not judged: no rated value") if given.answer == UNKNOWN and told else given.means
    if given.check is not None and given.check.form == "tick" and not given.chosen:
        means = _("None ticked")
    return ": ".join(part for part in (told, means) if part)
