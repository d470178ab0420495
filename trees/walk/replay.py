"""A job's state from its entries: the same entries always give the same state, without clock or settings."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any, cast

from trees.book.model import Answer, Book, Check, GateQuestion
from trees.book.tree import Step, Tree
from trees.book.words import UNKNOWN, WORK_ANSWERS, Place
from trees.errors import WalkError
from trees.language import N_, _
from trees.walk.answers import Given, Known, read_answer
from trees.walk.beside import Beside, beside
from trees.walk.entries import Entry, number_of
from trees.walk.travel import Travel, Traveller, Visit
from trees.walk.unit import UnitFacts


@dataclass(frozen=True, slots=True)
class Struck:
    """An answer that no longer counts, and why."""

    no: int
    why: str
    """`taken back`, `changed`, `off the way`, `no longer in the book`."""
    given: Given | None


@dataclass(frozen=True, slots=True)
class Situation:
    """All that a job's entries amount to."""

    words: str = ""
    complaint: str | None = None
    """Tree of the complaint as it was opened."""
    tree: str | None = None
    """Tree that is walked: the complaint's, or the one that the gate opened."""
    place: Place = "bench"
    unit: UnitFacts = field(default_factory=UnitFacts)
    seat: str = ""
    day: str = ""
    """ISO date on which the job was last taken up."""
    gate_round: int = 1
    gate_left: tuple[GateQuestion, ...] = ()
    """Safety questions still to ask, before anything else."""
    travel: Travel = field(default_factory=lambda: Travel((), "nothing", None))
    aside: Visit | None = None
    """The check that the tree was left for."""
    givens: tuple[Given, ...] = ()
    """The answers that count, in order."""
    struck: tuple[Struck, ...] = ()
    known: Known | None = None
    acknowledged: frozenset[str] = frozenset()
    """Cautions read in full since the job was last taken up."""
    stopped: str | None = None
    """Caution id of the stop; final."""
    starts_forbidden: str = ""
    """The answer that forbids starts, in its words; empty where none does."""
    starts_wait_for: tuple[str, ...] = ()
    """Fixes of which one lifts that; empty where nothing does in this job."""
    starts_used: int = 0
    minutes: float = 0.0
    notes: tuple[tuple[int, str], ...] = ()
    closed: str | None = None
    close_text: str = ""
    beside: Beside = field(default_factory=Beside)
    """What the job holds beside its answers: serial number, waiting, remarks, photos, release."""


@dataclass(slots=True)
class _Fold:
    """What is gathered while the entries are read one by one."""

    words: str = ""
    tree: str | None = None
    place: Place = "bench"
    family: str | None = None
    by_hand: dict[str, float] = field(default_factory=dict)
    not_to_be_had: set[str] = field(default_factory=set)
    seat: str = ""
    day: str = ""
    round: int = 1
    live: dict[str, tuple[int, Entry, Place]] = field(default_factory=dict)
    struck: dict[int, str] = field(default_factory=dict)
    answers: dict[int, tuple[Entry, Place]] = field(default_factory=dict)
    acknowledged: set[str] = field(default_factory=set)
    aside: tuple[str, str] | None = None
    stopped: str | None = None
    notes: list[tuple[int, str]] = field(default_factory=list)
    closed: str | None = None
    close_text: str = ""

    def take(self, no: int, entry: Entry) -> None:
        """Read one entry."""
        handler = getattr(self, f"_on_{entry.kind}", None)
        if handler is not None:
            handler(no, entry, entry.data)

    def _on_began(self, _no: int, _entry: Entry, data: Any) -> None:
        self.words = str(data.get("words", ""))
        self.tree = data.get("tree")
        self.place = cast("Place", data.get("place", "bench"))
        self.family = data.get("family")

    def _on_taken_up(self, _no: int, _entry: Entry, data: Any) -> None:
        now = (str(data.get("seat", "")), str(data.get("date", "")))
        if (self.seat, self.day) not in {("", ""), now}:
            self.round += 1
            self.acknowledged.clear()
        self.seat, self.day = now

    def _on_place(self, _no: int, _entry: Entry, data: Any) -> None:
        self.place = cast("Place", data["place"])

    def _on_family(self, _no: int, _entry: Entry, data: Any) -> None:
        self.family = data.get("family")

    def _on_rated(self, _no: int, _entry: Entry, data: Any) -> None:
        if data.get("unknown"):
            self.not_to_be_had.add(str(data["name"]))
        else:
            self.by_hand[str(data["name"])] = number_of(data["value"])

    def _on_answer(self, no: int, entry: Entry, _data: Any) -> None:
        if entry.visit in self.live:
            self.struck[self.live[entry.visit][0]] = "changed"
        self.live[entry.visit] = (no, entry, self.place)
        self.answers[no] = (entry, self.place)
        if self.aside is not None and entry.visit == self.aside[0]:
            self.aside = None

    def _on_fact(self, no: int, entry: Entry, data: Any) -> None:
        self._on_answer(no, Entry("answer", data, entry.visit), data)

    def _on_skipped(self, no: int, entry: Entry, data: Any) -> None:
        self._on_answer(no, Entry("answer", {**data, "unknown": True}, entry.visit), data)

    def _on_taken_back(self, _no: int, _entry: Entry, data: Any) -> None:
        target = int(data["entry"])
        if target in self.answers:
            visit = self.answers[target][0].visit
            if visit in self.live and self.live[visit][0] == target:
                del self.live[visit]
            self.struck[target] = N_("taken back")

    def _on_stopped(self, _no: int, _entry: Entry, data: Any) -> None:
        self.stopped = self.stopped or str(data["caution"])

    def _on_acknowledged(self, _no: int, _entry: Entry, data: Any) -> None:
        self.acknowledged.add(str(data["caution"]))

    def _on_left_tree(self, no: int, _entry: Entry, data: Any) -> None:
        self.aside = (f"aside:{no}", str(data["check"]))

    def _on_returned(self, _no: int, _entry: Entry, _data: Any) -> None:
        self.aside = None

    def _on_note(self, no: int, _entry: Entry, data: Any) -> None:
        self.notes.append((no, str(data.get("text", ""))))

    def _on_closed(self, _no: int, _entry: Entry, data: Any) -> None:
        self.closed = str(data.get("end", ""))
        self.close_text = str(data.get("text", ""))

    def _on_reopened(self, _no: int, _entry: Entry, _data: Any) -> None:
        self.closed, self.close_text = None, ""


_OUTSIDE = ("gate", "aside:", "fact:")
"""How the visits begin that stand in no tree."""


def replay(book: Book, entries: Sequence[Entry]) -> Situation:
    """Return what the entries of a job amount to by this edition of the book; WalkError for what are no entries.

    An import, or a casebook that came from elsewhere, may bring entries of any content.
    """
    try:
        return _replayed(book, entries)
    except (LookupError, TypeError, ValueError, AttributeError, ArithmeticError, RecursionError) as error:
        reason = f"{type(error).__name__}: {error}"
        raise WalkError(_("The entries of this job can't be read ({reason}).").format(reason=reason)) from error


def _replayed(book: Book, entries: Sequence[Entry]) -> Situation:
    fold = _Fold()
    for no, entry in enumerate(entries, start=1):
        fold.take(no, entry)
    family = book.families.get(fold.family or "")
    unit = UnitFacts(family, dict(fold.by_hand), frozenset(fold.not_to_be_had))
    known = Known(book, unit)
    given, lost = _read_live(fold, known)
    # Asked again on another day, a safety question counts by its newest answer.
    gate_givens = list({g.subject: g for g in given.values() if g.visit.startswith("gate")}.values())
    tree = next((a.opens for g in gate_givens for a in g.chosen if a.opens in book.trees), None) or fold.tree
    travel = Traveller(book, unit, fold.place, given, known).go(tree)
    on_the_way = {v.key for v in travel.passed if v.answered is not None}
    counted = [g for g in given.values() if g.visit in on_the_way or g.visit.startswith(_OUTSIDE)]
    counted.sort(key=lambda g: g.no)
    struck = _struck(fold, given, lost, {g.no for g in counted}, known)
    aside = (
        aside_visit(fold.aside[0], book.checks[fold.aside[1]]) if fold.aside and fold.aside[1] in book.checks else None
    )
    still = [*gate_givens, *(g for g in counted if not g.visit.startswith("gate"))]
    stopped = fold.stopped or next((a.stop for g in counted for a in g.chosen if a.stop), None)
    if stopped is None and travel.here == "stop" and travel.visit is not None:
        stopped = travel.visit.step.refers
    # After the repair the chamber was opened and dried: the starts of the handover are counted on their own.
    handover_now = travel.visit is not None and in_handover(book, travel.visit.key)
    locks = _locks(still)
    return Situation(
        words=fold.words,
        complaint=fold.tree,
        tree=tree,
        place=fold.place,
        unit=unit,
        seat=fold.seat,
        day=fold.day,
        gate_round=fold.round,
        gate_left=_gate_left(book, fold, given),
        travel=travel,
        aside=aside,
        givens=tuple(counted),
        struck=struck,
        known=known,
        acknowledged=frozenset(fold.acknowledged),
        stopped=stopped,
        starts_forbidden=locks[0].means if locks else "",
        starts_wait_for=locks[0].no_start_until if locks and not any(lock.forbids_starts for lock in locks) else (),
        notes=tuple(fold.notes),
        closed=fold.closed,
        close_text=fold.close_text,
        starts_used=_starts(book, [g for g in counted if g.after_repair == handover_now]),
        minutes=_minutes(book, counted),
        beside=beside(entries),
    )


_MENDS = WORK_ANSWERS.keys() - {"still"}


def _locks(still: Sequence[Given]) -> list[Answer]:
    """Return the answers that forbid starts; without those for which what they wait for was made."""
    return [
        answer
        for given in still
        for answer in given.chosen
        if answer.forbids_starts or (answer.no_start_until and not _mended(given, answer, still))
    ]


def _mended(given: Given, answer: Answer, still: Sequence[Given]) -> bool:
    """
    Say whether a fix that the answer waits for was made after it, or was seen to be made, or its check tells otherwise.

    Work after which the trouble is still there mended nothing: then the check must tell.
    """
    later = [other for other in still if other.no > given.no]
    made = {other.subject for other in later if other.check is None and other.answer in _MENDS}
    made.update(fix for other in later for chosen in other.chosen for fix in chosen.made)
    again = [other for other in later if other.check is not None and other.subject == given.subject]
    return not made.isdisjoint(answer.no_start_until) or any(
        other.chosen and not any(chosen.no_start_until for chosen in other.chosen) for other in again
    )


def _read_live(fold: _Fold, known: Known) -> tuple[dict[str, Given], list[int]]:
    given: dict[str, Given] = {}
    lost: list[int] = []
    handover = False
    for no, entry, place in sorted(fold.live.values(), key=lambda row: row[0]):
        # A check made aside belongs to the handover once that has begun.
        handover = in_handover(known.book, entry.visit) or (handover and entry.visit.startswith("aside:"))
        one = read_answer(entry, no, place, known, after_repair=handover)
        if one is None:
            lost.append(no)
            continue
        given[entry.visit] = one
        known.add(one)
    return given, lost


def in_handover(book: Book, visit: str) -> bool:
    """Tell whether a visit belongs to a tree that takes the readings after the repair."""
    outer = visit.partition("/")[0].partition(".")[0]
    return outer in book.trees and book.trees[outer].handover


def _reread(fold: _Fold, no: int, known: Known) -> Given | None:
    """Read an answer that no longer counts, only to be able to say what it was."""
    entry, place = fold.answers[no]
    return read_answer(entry, no, place, known, after_repair=False)


def _struck(
    fold: _Fold, given: dict[str, Given], lost: Sequence[int], counted: set[int], known: Known
) -> tuple[Struck, ...]:
    rows = [Struck(no, why, _reread(fold, no, known)) for no, why in fold.struck.items()]
    rows += [Struck(no, N_("no longer in the book"), None) for no in lost]
    rows += [Struck(g.no, N_("off the way"), g) for g in given.values() if g.no not in counted]
    return tuple(sorted(rows, key=lambda row: row.no))


def _gate_left(book: Book, fold: _Fold, given: dict[str, Given]) -> tuple[GateQuestion, ...]:
    """Return the safety questions that this round still asks; pure history is asked once and stays answered."""
    answered = {g.subject for g in given.values() if g.visit.startswith("gate")}
    left = []
    for question in book.gate:
        history = any(answer.opens for answer in question.answers)
        settled = question.id in answered if history else gate_visit(fold.round, question) in given
        if fold.place in question.place and not settled:
            left.append(question)
    return tuple(left)


def gate_visit(round_no: int, question: GateQuestion) -> str:
    """Return the visit of a safety question; each time a job is taken up anew is a round."""
    return f"gate{round_no}:{question.id}"


def aside_visit(key: str, check: Check, answered: Given | None = None) -> Visit:
    """Return the visit of a check made outside any tree: a step of its own, without ways on."""
    step = Step(id="aside", no=0, kind="check", refers=check.id)
    return Visit(key, Tree(id="aside", title="", begin="aside", steps={"aside": step}), step, check, answered)


def _starts(book: Book, givens: Sequence[Given]) -> int:
    """Count the starts that the answers cost; a reading while it runs, or one taken over, costs none of its own."""
    done = [g for g in givens if g.answer != UNKNOWN and not g.taken_over]
    checks = sum(1 for g in done if g.check is not None and g.check.uses_start)
    works = (book.fixes[g.subject] for g in done if g.check is None and g.subject in book.fixes)
    return checks + sum(1 for fix in works if fix.uses_start)


def _minutes(book: Book, givens: Sequence[Given]) -> float:
    """Add up the minutes of what was done, each once; opening the unit is charged once."""
    done = [g for g in givens if g.answer != UNKNOWN]
    checks = {g.check.id: g.check for g in done if g.check is not None}
    fixes = {g.subject for g in done if g.check is None and g.subject in book.fixes}
    total = sum(check.minutes for check in checks.values()) + sum(book.fixes[fix].minutes for fix in fixes)
    return total + (book.opening_minutes if any(check.inside for check in checks.values()) else 0.0)
