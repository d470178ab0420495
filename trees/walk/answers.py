"""An answer as a job knows it: what was answered at which place in the walk, and what it means by this book."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import Any

from trees.book.model import Answer, Book, Check
from trees.book.words import UNKNOWN, Place
from trees.errors import FigureError
from trees.figures import work_out
from trees.language import _
from trees.walk.entries import Entry, number_of
from trees.walk.judge import Verdict, judge
from trees.walk.unit import UnitFacts


@dataclass(frozen=True, slots=True)
class Given:
    """One answer that counts, read by this edition of the book."""

    no: int
    """Number of its entry in the job, from 1."""
    visit: str
    check: Check | None
    """None for a gate question or a fix."""
    subject: str
    """Id of the check, gate question or fix."""
    answer: str
    """Id of the answer; `unknown` for cannot tell."""
    place: Place
    chosen: tuple[Answer, ...] = ()
    """The answer, band or ticked items themselves."""
    unticked: tuple[Answer, ...] = ()
    values: Mapping[str, float] = field(default_factory=dict)
    """Readings in the check's own units; the single reading under ''."""
    typed: str = ""
    verdict: Verdict | None = None
    after_repair: bool = False
    taken_over: bool = False
    """An earlier answer to the same check that counts here too."""
    instrument: str = ""
    """What a reading was taken with; empty where nobody said."""
    uncertainty: float | None = None
    """Of that instrument: one standard uncertainty in the check's unit; None: the check's own holds."""
    was_told: str = ""
    """What the answer was called when it was given, if this edition reads it otherwise."""

    @property
    def means(self) -> str:
        """The answer in the book's words."""
        if self.answer == UNKNOWN:
            return _("Cannot tell")
        return "; ".join(a.means for a in self.chosen)

    @property
    def told(self) -> str:
        """The numbers of the answer with the check's own units; empty where it has none."""
        from trees.figures.units import format_value

        if not self.values or self.check is None:
            return ""
        if "" in self.values:
            return format_value(self.values[""], self.check.unit)
        fields = {f.name: f for f in self.check.readings}
        parts = []
        for name, value in self.values.items():
            field = fields.get(name)
            label = (field.label or name) if field else name
            parts.append(f"{label} {format_value(value, field.unit if field else '')}")
        return ", ".join(parts)


class Known:
    """Answers by check, with the figures that follow from them; grows while a job is replayed."""

    def __init__(self, book: Book, unit: UnitFacts) -> None:
        self.book = book
        self.unit = unit
        self._by_check: dict[str, Given] = {}

    def add(self, given: Given) -> None:
        """Let a later answer to a check stand for the earlier one."""
        if given.check is not None:
            self._by_check[given.check.id] = given

    def of(self, check_id: str) -> Given | None:
        """Return the last answer to a check."""
        return self._by_check.get(check_id)

    def value(self, reference: str) -> float | None:
        """Return `check`, `check.reading` or `family.value` as a number, or None."""
        subject, _other, rest = reference.partition(".")
        if subject == "family":
            return self.unit.value(rest)
        if subject == "figure":
            return self.figure(rest)
        given = self._by_check.get(subject)
        if given is not None:
            return given.values.get(rest)
        check = self.book.checks.get(subject)
        return self.figure(subject) if check is not None and check.form == "figure" else None

    def figure(self, check_id: str) -> float | None:
        """Work out a figure check from what is known, in its unit; None where an input is missing or out of range."""
        check = self.book.checks.get(check_id)
        if check is None or check.form != "figure":
            return None
        inputs = {name: self.value(reference) for name, reference in check.inputs.items()}
        if any(value is None for value in inputs.values()):
            return None
        try:
            return work_out(check.figure, {name: value for name, value in inputs.items() if value is not None})
        except FigureError:
            return None

    def missing_inputs(self, check: Check) -> tuple[str, ...]:
        """Return the checks whose readings a figure still wants, in the author's order."""
        wanted: list[str] = []
        for reference in check.inputs.values():
            subject = reference.partition(".")[0]
            if subject in self.book.checks and subject not in wanted and self.of(subject) is None:
                source = self.book.checks[subject]
                wanted.extend(self.missing_inputs(source) if source.form == "figure" else (subject,))
        return tuple(dict.fromkeys(wanted))


def read_answer(entry: Entry, no: int, place: Place, known: Known, *, after_repair: bool) -> Given | None:
    """Read an `answer` entry by this book; None where the book no longer has what it speaks of."""
    data = entry.data
    answer = UNKNOWN if data.get("unknown") else str(data.get("answer", ""))
    given = Given(no, entry.visit, None, "", answer, place, after_repair=after_repair, taken_over="takes_over" in data)
    if "gate" in data:
        return _read_gate(given, str(data["gate"]), known.book)
    if "fix" in data:
        return replace(given, subject=str(data["fix"])) if data["fix"] in known.book.fixes else None
    check = known.book.checks.get(str(data.get("check", "")))
    if check is None:
        return None
    given = replace(given, check=check, subject=check.id)
    return _with_kept_reading(given, data) if answer == UNKNOWN else _read_check(given, check, data, known)


def _read_gate(given: Given, question_id: str, book: Book) -> Given | None:
    for question in book.gate:
        if question.id == question_id and given.answer in {UNKNOWN, *(a.id for a in question.answers)}:
            return replace(given, subject=question_id, chosen=(question.answer(given.answer),))
    return None


def _with_kept_reading(given: Given, data: Mapping[str, Any]) -> Given:
    reading = data.get("reading")
    if not reading:
        return given
    return replace(given, values={"": number_of(reading["value"])}, typed=str(reading.get("typed", "")))


def _read_check(given: Given, check: Check, data: Mapping[str, Any], known: Known) -> Given | None:
    if "reading" in data or "figure" in data:
        reading = data.get("reading") or data["figure"]
        values = [number_of(v) for v in reading.get("values") or [reading["value"]]]
        verdict = judge(check, values, known.unit, known.figure)
        judged = verdict.answer.id if verdict.answer else (UNKNOWN if check.bands else "")
        return replace(
            given,
            answer=judged,
            chosen=(verdict.answer,) if verdict.answer else (),
            values={"": verdict.value},
            typed=str(reading.get("typed", "")),
            instrument=str(reading.get("instrument", "")),
            uncertainty=number_of(reading["uncertainty"]) if reading.get("uncertainty") else None,
            verdict=verdict,
            was_told=given.answer if given.answer and given.answer != judged else "",
        )
    if "readings" in data:
        values_by_name = {name: number_of(r["value"]) for name, r in data["readings"].items()}
        typed = ", ".join(str(r.get("typed", r["value"])) for r in data["readings"].values())
        return replace(given, answer="", values=values_by_name, typed=typed)
    if "ticked" in data:
        ticked = set(data["ticked"])
        return replace(
            given,
            answer="",
            chosen=tuple(item for item in check.items if item.id in ticked),
            unticked=tuple(item for item in check.items if item.id not in ticked and not item.alone),
        )
    try:
        return replace(given, chosen=(check.answer(given.answer),))
    except KeyError:
        return None
