"""One job's way through the trees, as a value: each answer gives a new walk, the old one stays as it was."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any

from trees.book.model import Book
from trees.book.words import END_NAMES, UNKNOWN, Place, in_a_sentence
from trees.errors import ImplausibleError, ReadingError, WalkError
from trees.language import _
from trees.walk.entries import Entry, EntryKind
from trees.walk.findings import Conclusion, Finding, Observation, conclude, gather, observe
from trees.walk.judge import Verdict, judge
from trees.walk.question import Question, ask
from trees.walk.replay import Situation, aside_visit, replay
from trees.walk.trail import TrailItem, trail
from trees.walk.travel import Visit

AFTER_STOP = frozenset({"out_of_service", "not_released", "to_workshop", "to_licensed"})
"""The ends that a job stopped for safety can have."""
_ROOTS_NAMED = 6


@dataclass(frozen=True)
class Walk:
    """
    A book and the entries of a job; everything else follows from them.

    Methods that take an answer return a new walk whose last entry is the answer; they raise WalkError with a
    sentence where the present question does not take it, and ReadingError where a typed reading can't be understood.
    """

    book: Book
    entries: tuple[Entry, ...]

    @classmethod
    def begin(
        cls, book: Book, *, words: str, tree: str | None, place: Place = "bench", family: str | None = None
    ) -> Walk:
        """Begin a job: the complaint in the customer's words, and the tree that fits it (None: suspects alone)."""
        if tree is not None and tree not in book.trees:
            raise WalkError(_("This book has no tree named {tree}.").format(tree=tree))
        if family is not None and family not in book.families:
            raise WalkError(_("This book has no family named {family}.").format(family=family))
        return cls(book, (Entry("began", {"words": words, "tree": tree, "place": place, "family": family}),))

    @classmethod
    def resume(cls, book: Book, entries: Iterable[Entry]) -> Walk:
        """Take a job up again from its entries."""
        return cls(book, tuple(entries))

    # ── what the job stands at ──────────────────────────────────────────────

    @cached_property
    def now(self) -> Situation:
        """All that the entries amount to."""
        return replay(self.book, self.entries)

    @cached_property
    def question(self) -> Question:
        """What is asked now."""
        return ask(self.book, self.now)

    @cached_property
    def trail(self) -> tuple[TrailItem, ...]:
        """The entries as a person reads them."""
        return trail(self.book, self.entries, self.now)

    @cached_property
    def findings(self) -> Mapping[str, Finding]:
        """Cause id → what is known of it by what was really done."""
        return gather(self.book, self.now.givens)

    @cached_property
    def conclusion(self) -> Conclusion:
        """What was found, sorted into root, contributing and consequence."""
        return conclude(self.book, self.findings)

    @cached_property
    def observations(self) -> Mapping[str, Observation]:
        """Sign id → what is observed of it, for the suspects."""
        return observe(self.book, self.now.complaint, self.now.givens)

    def question_at(self, visit: str) -> Question:
        """Return the question of an earlier visit, to change its answer; WalkError if it is not on the way."""
        if visit.startswith("gate"):
            raise WalkError(_("A safety answer is not changed; take it back and answer it again."))
        for passed in (*self.now.travel.passed, *self._asides()):
            if passed.key == visit:
                return ask(self.book, self.now, passed)
        raise WalkError(_("That step is no longer on the way, so its answer can't be changed."))

    def _asides(self) -> Iterable[Visit]:
        for given in self.now.givens:
            if given.visit.startswith("aside:") and given.check is not None:
                yield aside_visit(given.visit, given.check, given)

    # ── answers ─────────────────────────────────────────────────────────────

    def answer(self, answer_id: str, visit: str | None = None) -> Walk:
        """Choose an answer by its id."""
        question = self._open_question(visit)
        if answer_id == UNKNOWN:
            return self.cannot_tell(visit)
        if answer_id not in {option.id for option in question.options} or question.form == "tick":
            raise WalkError(_("That is no answer to the present question."))
        self._refuse_act(question, answer_id)
        if question.kind == "rated":
            return self._rate(question, float(answer_id))
        return self._add("answer", {**_subject(question), "answer": answer_id}, question.visit)

    def cannot_tell(self, visit: str | None = None) -> Walk:
        """Answer "cannot tell, not now" or, of work, "not done now": finds nothing and rules out nothing."""
        question = self._open_question(visit)
        if question.kind == "rated":
            return self._add("rated", {"name": question.rated_name, "unknown": True})
        return self._add("answer", {**_subject(question), "unknown": True}, question.visit)

    def skip(self) -> Walk:
        """Pass the present check over without looking; the gate can't be skipped."""
        question = self._open_question(None)
        if question.kind not in {"check", "work"}:
            raise WalkError(
                _("A safety question can't be skipped.") if question.kind == "gate" else _("Nothing to skip.")
            )
        if question.kind == "work":
            return self.cannot_tell()
        return self._add("skipped", _subject(question), question.visit)

    def reading(self, typed: str, visit: str | None = None, *, sure: bool = False) -> Walk:
        """
        Enter a reading as typed: `11,8 V`, `11800 mV`; several in one line where the check repeats.

        One outside what is plausible is refused unless `sure`: it may lack its unit, and it would find a cause.
        """
        from trees.figures.units import parse_reading

        question = self._open_question(visit)
        if question.form != "reading":
            raise WalkError(_("The present question takes no reading."))
        parsed = parse_reading(typed, question.unit)
        if not all(math.isfinite(value) for value in parsed.values):
            raise ReadingError(_("That is no finite number."))
        if question.kind == "rated":
            return self._rate(question, parsed.value)
        wanted = question.check.repeat if question.check else 1
        if 1 < len(parsed.values) != wanted and wanted == 1:
            raise ReadingError(_("One reading is wanted here; several were typed."))
        verdict = self.judge(parsed.values, question)
        judged = verdict.answer.id if verdict is not None and verdict.answer is not None else ""
        self._refuse_act(question, judged)
        implausible = verdict is not None and verdict.implausible
        if implausible and not sure:
            raise ImplausibleError(_("That is outside what is plausible here: read it again, or type the unit."))
        data: dict[str, Any] = {"value": parsed.value, "unit": question.unit, "typed": typed.strip()}
        if len(parsed.values) > 1:
            data["values"] = list(parsed.values)
        return self._add("answer", {**_subject(question), "reading": data, "answer": judged}, question.visit)

    def judge(self, values: Sequence[float], question: Question | None = None) -> Verdict | None:
        """Judge readings (in the unit of the present question) without entering them; None where nothing judges."""
        question = question or self.question
        if question.check is None or question.kind == "rated" or self.now.known is None or not question.check.bands:
            return None
        return judge(question.check, values, self.now.unit, self.now.known.figure)

    def readings(self, typed: Mapping[str, str], visit: str | None = None) -> Walk:
        """Enter several named readings; one left empty stays unknown, but not all of them."""
        from trees.figures.units import parse_one

        question = self._open_question(visit)
        if question.form != "readings" or question.check is None:
            raise WalkError(_("The present question takes no set of readings."))
        self._refuse_act(question)
        data: dict[str, Any] = {}
        for field in question.check.readings:
            text = typed.get(field.name, "").strip()
            if text:
                try:
                    parsed = parse_one(text, field.unit)
                except ReadingError as error:
                    raise ReadingError(f"{field.label or field.name}: {error}") from error
                data[field.name] = {"value": parsed.value, "unit": field.unit, "typed": text}
        if not data:
            raise WalkError(_("Type at least one of the readings, or answer 0 for cannot tell."))
        return self._add("answer", {**_subject(question), "readings": data}, question.visit)

    def tick(self, ticked: Iterable[str], visit: str | None = None) -> Walk:
        """Confirm a list with what was ticked; an item that stands alone excludes the others."""
        question = self._open_question(visit)
        if question.form != "tick" or question.check is None:
            raise WalkError(_("The present question has nothing to tick."))
        self._refuse_act(question)
        wanted = list(dict.fromkeys(ticked))
        known = {item.id: item for item in question.check.items}
        if any(item not in known for item in wanted):
            raise WalkError(_("That item is not on the list."))
        if len(wanted) > 1 and any(known[item].alone for item in wanted):
            raise WalkError(_("One of the ticked items can't go with others."))
        return self._add("answer", {**_subject(question), "ticked": wanted}, question.visit)

    def take_figure(self, visit: str | None = None) -> Walk:
        """Take over a figure that was worked out from earlier readings."""
        question = self._open_question(visit)
        if question.form != "figure" or question.value is None:
            raise WalkError(_("This figure can't be worked out: a reading that it needs was not taken."))
        verdict = self.judge([question.value], question)
        judged = verdict.answer.id if verdict is not None and verdict.answer is not None else ""
        data = {"value": question.value, "unit": question.unit}
        return self._add("answer", {**_subject(question), "figure": data, "answer": judged}, question.visit)

    def take_over(self) -> Walk:
        """Let the earlier answer to the same check count here too."""
        question = self._open_question(None)
        if question.known is None:
            raise WalkError(_("This check was not answered before in this job."))
        original = self.entries[question.known.no - 1]
        data = {k: v for k, v in original.data.items() if k != "takes_over"}
        return self._add("answer", {**data, "takes_over": question.known.no}, question.visit)

    # ── moving about ────────────────────────────────────────────────────────

    def back(self) -> Walk:
        """Take the last answer that counts back; at the gate only one of this round."""
        givens = self.now.givens
        if self.now.gate_left and not (givens and givens[-1].visit.startswith(f"gate{self.now.gate_round}:")):
            raise WalkError(_("The safety questions come first."))
        if not givens:
            raise WalkError(_("There is no answer to take back."))
        return self.take_back(givens[-1].no)

    def take_back(self, no: int) -> Walk:
        """Take an answer back by the number of its entry; a stop is never taken back."""
        self._refuse_final()
        if no not in {given.no for given in self.now.givens}:
            raise WalkError(_("That answer does not count any more."))
        return self._add("taken_back", {"entry": no})

    def leave_for(self, check_id: str) -> Walk:
        """Leave the tree for a check; the tree waits."""
        self._refuse_final()
        if check_id not in self.book.checks:
            raise WalkError(_("This book has no check named {check_id}.").format(check_id=check_id))
        if self.now.gate_left:
            raise WalkError(_("The safety questions come first."))
        return self._add("left_tree", {"check": check_id})

    def return_to_tree(self) -> Walk:
        """Come back to the tree without making the check."""
        if self.now.aside is None:
            raise WalkError(_("The walk is in its tree."))
        return self._add("returned", {})

    def acknowledge(self, caution_id: str) -> Walk:
        """Record that a DANGER caution was read."""
        self._refuse_final()
        return self._add("acknowledged", {"caution": caution_id})

    def emergency_card(self) -> Walk:
        """Record that the emergency card was opened."""
        return self._add("emergency_card", {})

    def note(self, text: str) -> Walk:
        """Add a note; also after a stop, for what happened then."""
        if not text.strip():
            raise WalkError(_("The note is empty."))
        return self._add("note", {"text": text.strip()})

    def set_place(self, place: Place) -> Walk:
        """Hand the job over to other hands: bench, site or phone."""
        self._refuse_final()
        return self._add("place", {"place": place})

    def set_family(self, family: str | None) -> Walk:
        """Say what class of unit it is, once that is known."""
        self._refuse_final()
        if family is not None and family not in self.book.families:
            raise WalkError(_("This book has no family named {family}.").format(family=family))
        return self._add("family", {"family": family})

    def taken_up(self, seat: str, date: str) -> Walk:
        """Record who took the job up and on which day (ISO date); another seat or day asks the gate again."""
        return self._add("taken_up", {"seat": seat, "date": date})

    def follow_up_of(self, number: str, reason: str) -> Walk:
        """Say that this job goes on after another one that was stopped: its number, and by what role and reason."""
        return self._add("follow_up_of", {"job": number, "reason": reason})

    def work(self, text: str) -> Walk:
        """Record work that was done outside a step of the tree."""
        self._refuse_final()
        return self._add("work", {"text": text.strip()})

    def close(self, end: str, text: str = "") -> Walk:
        """
        Close the job as one of the ends.

        Released only where the walk stands at that end, behind its handover readings; a stopped job only as what
        keeps it off: out of service, not released, to a workshop or a licensed person. A consequence that was found
        without its root closes as solved only with a word on why.
        """
        if self.now.closed is not None:
            raise WalkError(_("This job is closed already."))
        name = next((name for known, name in END_NAMES.items() if known == end), "")
        if not name:
            raise WalkError(_("There is no end named {end}.").format(end=end))
        if self.now.stopped is not None and end not in AFTER_STOP:
            raise WalkError(_("A job that was stopped for safety can't be closed as: {name}.").format(name=name))
        if self.now.stopped is None and self.now.gate_left and end not in AFTER_STOP:
            raise WalkError(_("The safety questions come first."))
        at_release = self.question.kind == "end" and self.question.end == "released"
        if end == "released" and not at_release:
            raise WalkError(
                _("Released stands at the end of the run after repair, behind its readings; this job is not there.")
            )
        if self.asks_root(end) and not text.strip():
            raise WalkError(self._root_missing())
        return self._add("closed", {"end": end, "text": text.strip()})

    def asks_root(self, end: str) -> bool:
        """Tell whether an end calls the job solved although the root of something that was found is not known."""
        return end not in AFTER_STOP and bool(self.conclusion.unexplained)

    def _root_missing(self) -> str:
        consequence, roots = next(iter(self.conclusion.unexplained.items()))
        causes = self.book.causes
        language = self.book.language
        names = ", ".join(in_a_sentence(causes[root].name, language) for root in roots[:_ROOTS_NAMED])
        come_from = _(" It may come from: {names}.").format(names=names) if names else ""
        return _("{name} has no root yet.{come_from} Look for it, or say why the job closes without.").format(
            name=causes[consequence].name, come_from=come_from
        )

    def reopen(self, reason: str) -> Walk:
        """Open a closed job again, with a reason; a stop stays a stop."""
        if not reason.strip():
            raise WalkError(_("Say in a few words why the job is opened again."))
        if self.now.closed is None:
            raise WalkError(_("This job is open."))
        return self._add("reopened", {"reason": reason})

    # ── inside ──────────────────────────────────────────────────────────────

    def _add(self, kind: EntryKind, data: Mapping[str, Any], visit: str = "") -> Walk:
        new = Walk(self.book, (*self.entries, Entry(kind, data, visit)))
        if new.now.stopped is not None and self.now.stopped is None:
            # Written down at once: no later hand-over, other family or other edition of the book undoes a stop.
            return Walk(self.book, (*new.entries, Entry("stopped", {"caution": new.now.stopped})))
        return new

    def _rate(self, question: Question, value: float) -> Walk:
        return self._add("rated", {"name": question.rated_name, "value": value, "unit": question.unit})

    def _refuse_final(self) -> None:
        if self.now.closed is not None:
            raise WalkError(_("This job is closed; reopen it first."))
        if self.now.stopped is not None:
            raise WalkError(_("This job was stopped for safety; nothing leads past that. Open a follow-up job."))

    def _open_question(self, visit: str | None) -> Question:
        self._refuse_final()
        question = self.question if visit is None else self.question_at(visit)
        if question.kind not in {"gate", "check", "work", "rated"}:
            raise WalkError(_("Nothing is asked at present."))
        return question

    def _refuse_act(self, question: Question, answer: str = "") -> None:
        """
        Refuse an answer that would mean the act was done, where it is blocked or its DANGER was not read.

        An answer that stops the job is never refused: somebody may have measured before, and danger told is danger.
        """
        if answer and answer in question.stopping:
            return
        if question.blocked:
            raise WalkError(_("{blocked} Answer 0 for cannot tell.").format(blocked=question.blocked))
        if question.unread:
            words = ", ".join(c.word for c in question.unread)
            raise WalkError(_("Read and acknowledge the caution first: {words}.").format(words=words))


def _subject(question: Question) -> dict[str, str]:
    if question.gate is not None:
        return {"gate": question.gate.id}
    if question.fix is not None:
        return {"fix": question.fix.id}
    if question.check is None:
        raise WalkError(_("Nothing is asked at present."))
    return {"check": question.check.id}
