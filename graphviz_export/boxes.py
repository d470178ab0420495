"""What stands in a chart: a tree of the book turned into boxes. The one place where book words become chart words."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal

from graphviz_export.icons import TOOL, tool_icons
from graphviz_export.limits import band_limits, spread_limit, unit_words
from trees.book.model import Answer, Book, Check, Fix
from trees.book.tree import Instead, Step, Tree
from trees.book.words import END_NAMES, PLACES, PLACES_SHORT, UNKNOWN, Place
from trees.errors import PaperError
from trees.language import N_, Said, _, listed_or

BoxKind = Literal["decision", "reading", "action", "run", "over_to", "end", "stop", "return"]
RowKind = Literal["answer", "ask", "stop", "through"]

CANNOT_TELL = N_("Cannot tell, not now")
NOT_FOR_UNIT = "not for this unit"
"""Stands among the answers of the row for units that the step is not for."""
_AFTER_FIX = Said(
    {
        "cured": N_("Done, trouble gone"),
        "still": N_("Done, still there"),
        "not_tried": N_("Not tried out, or not done"),
    }
)
_SHAPE: dict[str, BoxKind] = {"ask": "decision", "look": "decision", "tick": "decision"}


@dataclass(frozen=True, slots=True)
class Hazard:
    """What may hurt at a box: grade and the hazard's word."""

    grade: str
    word: str


@dataclass(frozen=True, slots=True)
class Row:
    """One way out of a box, or a line between the ways."""

    label: str
    """Empty for the one way on of a box without answers."""
    target: int | None
    """Number of the step that follows; None where the job stops or nothing follows."""
    kind: RowKind = "answer"
    """`ask` heads the answers of another place, `stop` ends the job, `through` is an unlabelled way on."""
    answers: tuple[str, ...] = ()
    """Ids of the answers that go this way; none for the one way on, whatever the answer is."""
    place: Place | None = None
    """The place at which alone this row counts."""
    share: str = ""
    """How many of the closed jobs went this way, as `32 %`; empty where too few passed."""
    count: int = 0
    """The same as a number of jobs."""
    taken: bool = False
    """The job whose way is drawn into the chart went this way."""

    @property
    def told(self) -> str:
        """The label with the share before it, where nothing else shows it."""
        return f"{self.share}: {self.label}" if self.share else self.label


@dataclass(frozen=True, slots=True, kw_only=True)
class Box:
    """One step as it is drawn; every text is cleaned of control characters."""

    no: int
    kind: BoxKind
    text: str
    lines: tuple[str, ...] = ()
    """Further lines below the text: what to tick, what to bring, what to do at a stop."""
    short: str = ""
    """A few words that stand where this box is only pointed at."""
    rows: tuple[Row, ...] = ()
    hazards: tuple[Hazard, ...] = ()
    tools: tuple[str, ...] = ()
    icons: tuple[str, ...] = ()
    """The small drawing of each tool."""
    places: tuple[Place, ...] = PLACES
    minutes: float | None = None
    inside: bool = False
    starts: bool = False
    sources: tuple[str, ...] = ()
    """Where the numbers of this step come from; filled on request only."""
    taken: bool = False
    """The job whose way is drawn into the chart came through here."""

    def ways(self) -> tuple[tuple[int, int], ...]:
        """Return (row index, number of the next step) for every row that leads on."""
        return tuple((index, row.target) for index, row in enumerate(self.rows) if row.target is not None)

    def marks(self) -> tuple[str, ...]:
        """Return the short marks: tools, minutes, places, opening, start."""
        return tuple(words for _other, words in self.drawn_marks())

    def drawn_marks(self) -> tuple[tuple[tuple[str, ...], str], ...]:
        """Return (small drawings, words) of each mark."""
        icons = self.icons or (TOOL,) * len(self.tools)
        marks: list[tuple[tuple[str, ...], str]] = [
            ((icon,), tool) for icon, tool in zip(icons, self.tools, strict=True)
        ]
        if self.minutes is not None:
            marks.append((("clock",), f"{self.minutes:.10g}\N{NO-BREAK SPACE}min"))
        if set(self.places) != set(PLACES):
            marks.append((tuple(self.places), listed_or(PLACES_SHORT[place] for place in self.places)))
        if self.inside:
            marks.append((("open",), _("unit open")))
        if self.starts:
            marks.append((("start",), _("uses a start")))
        return tuple(marks)


@dataclass(frozen=True, slots=True, kw_only=True)
class Chart:
    """A tree ready to be drawn: boxes in the order of their numbers."""

    tree: str
    title: str
    book_title: str
    edition: str
    reviewed: str
    fingerprint: str
    language: str
    begin: int
    phone_exit: int | None
    shared: bool
    boxes: tuple[Box, ...]
    remarks: tuple[str, ...] = ()
    """What is said of this print alone, in the title block: whose way is drawn, how many jobs were counted."""

    def box(self, no: int) -> Box:
        """Return the box of that number; KeyError if there is none."""
        for found in self.boxes:
            if found.no == no:
                return found
        raise KeyError(no)


def chart_of(book: Book, tree_id: str, *, sources: bool = False) -> Chart:
    """Return the chart of one tree; PaperError if the book has no such tree.

    With `sources` each step with numbers says what they rest on.
    """
    tree = book.trees.get(tree_id)
    if tree is None:
        known = ", ".join(sorted(book.trees)) or "none"
        raise PaperError(
            _("The book has no tree “{tree_id}”. It has: {known}.").format(tree_id=plain(tree_id), known=known)
        )
    boxes = sorted((_box(book, tree, step) for step in tree.steps.values()), key=lambda box: box.no)
    if sources:
        checks = {step.no: book.checks[step.refers] for step in tree.steps.values() if step.kind == "check"}
        boxes = [replace(box, sources=source_words(book, checks.get(box.no))) for box in boxes]
    exit_step = tree.steps.get(tree.phone_exit) if tree.phone_exit else None
    return Chart(
        tree=tree.id,
        title=plain(tree.title),
        book_title=plain(book.title),
        edition=plain(book.edition),
        reviewed=plain(book.reviewed),
        fingerprint=plain(book.fingerprint),
        language=plain(book.language),
        begin=tree.steps[tree.begin].no,
        phone_exit=exit_step.no if exit_step else None,
        shared=tree.shared,
        boxes=tuple(boxes),
    )


def plain(text: str) -> str:
    """Return the text on one line, free of control characters and of halves of surrogate pairs."""
    visible = "".join(_safe(character) for character in text)
    return " ".join(visible.split())


def _safe(character: str) -> str:
    code = ord(character)
    if character.isspace() or code < 0x20 or 0x7F <= code < 0xA0:
        return " " if character != "\N{NO-BREAK SPACE}" else character
    if 0xD800 <= code <= 0xDFFF or code & 0xFFFE == 0xFFFE or 0xFDD0 <= code <= 0xFDEF:
        return "\N{REPLACEMENT CHARACTER}"
    return character


def _box(book: Book, tree: Tree, step: Step) -> Box:
    if step.kind == "check":
        return _check_box(book, tree, step)
    if step.kind == "do":
        return _fix_box(book, tree, step)
    if step.kind == "run":
        then = Row("", _number(tree, step.then), "through")
        return Box(no=step.no, kind="run", text=_other_tree(book, step, _("Work through")), rows=(then,))
    if step.kind == "over_to":
        return Box(no=step.no, kind="over_to", text=_other_tree(book, step, _("Go over to")), short=_("Go over"))
    if step.kind == "return":
        return Box(no=step.no, kind="return", text=_("Back to the step that sent you here"), short=_("Back"))
    if step.kind == "stop":
        return _stop_box(book, step)
    return _end_box(step)


def _check_box(book: Book, tree: Tree, step: Step) -> Box:
    check = book.checks[step.refers]
    rows = [*_answer_rows(book, tree, check, step)]
    if step.applies or check.applies:
        only = plain(", ".join(f"{name} {wanted}" for name, wanted in {**check.applies, **step.applies}.items()))
        target = _number(tree, step.unknown or step.then)
        rows.append(Row(_("Not a unit with {only}").format(only=only), target, answers=(NOT_FOR_UNIT,)))
    for place in (place for place in PLACES if place in step.instead):
        rows += _instead_rows(book, tree, place, step.instead[place])
    return Box(
        no=step.no,
        kind=_SHAPE.get(check.form, "reading"),
        text=plain(check.wording),
        lines=_check_lines(check),
        rows=tuple(rows),
        hazards=_hazards(book, check.cautions),
        tools=tuple(plain(book.tools.get(tool, tool)) for tool in check.needs),
        icons=tool_icons(check.needs),
        places=check.place,
        minutes=check.minutes,
        inside=check.inside,
        starts=check.uses_start,
    )


def _check_lines(check: Check) -> tuple[str, ...]:
    lines = [f"□ {plain(item.means)}" for item in check.items]
    if check.repeat > 1:
        lines.append(_("Take {repeat} readings; their mean counts.").format(repeat=check.repeat))
    for reading in check.readings:
        unit = f" ({plain(unit_words(reading.unit))})" if unit_words(reading.unit) else ""
        lines.append(f"– {plain(reading.label or reading.name)}{unit}")
    return tuple(lines)


def _answer_rows(book: Book, tree: Tree, check: Check, step: Step | Instead) -> list[Row]:
    """Return the answers of a check with where each leads, cannot-tell last."""
    then = step.then if isinstance(step, Step) else None
    rows: list[Row] = []
    for answer in check.routes():
        label = _answer_label(check, answer)
        if answer.stop is not None:
            caution = book.cautions.get(answer.stop)
            line = plain(caution.stop_line or caution.text) if caution else plain(answer.stop)
            rows.append(
                Row(_("{label}. STOP: {line}").format(label=label, line=line), None, "stop", answers=(answer.id,))
            )
        else:
            rows.append(Row(label, _number(tree, step.go.get(answer.id, then)), answers=(answer.id,)))
    if not rows and then is not None and step.unknown in (None, then):
        return [Row("", _number(tree, then), "through")]
    if not rows and then is not None:
        rows.append(Row(_("Done"), _number(tree, then)))
    if step.unknown is not None:
        rows.append(Row(_(CANNOT_TELL), _number(tree, step.unknown), answers=(UNKNOWN,)))
    return rows


def source_words(book: Book, check: Check | None) -> tuple[str, ...]:
    """Return what the numbers of a check rest on, those that rest on the same together; nothing without numbers."""
    from trees.book.standing import of_check

    by_words: dict[str, list[str]] = {}
    for standing in of_check(check, book.source) if check is not None else ():
        by_words.setdefault(standing.words, []).append(standing.what)
    if len(by_words) == 1:
        return (_("Numbers: {standing}").format(standing=plain(next(iter(by_words)))),)
    return tuple(f"{plain('; '.join(whats))}: {plain(words)}" for words, whats in by_words.items())


def _answer_label(check: Check, answer: Answer) -> str:
    means = plain(answer.means)
    if answer is check.spread:
        limits = spread_limit(answer)
    elif any(answer is band for band in check.bands):
        limits = band_limits(check, check.bands.index(answer))
    else:
        return means
    return f"{plain(limits)}: {means}" if limits else means


def _instead_rows(book: Book, tree: Tree, place: Place, instead: Instead) -> list[Row]:
    check = book.checks[instead.check]
    where = {"bench": _("At the bench"), "site": _("On site"), "phone": _("By phone")}.get(place, plain(place))
    wording = check.phone if place == "phone" and check.phone else check.wording
    rows = _answer_rows(book, tree, check, instead)
    if len(rows) > 1 and all(row.kind == "answer" and row.target == rows[0].target for row in rows):
        answers = tuple(answer for row in rows for answer in row.answers)
        rows = [Row(" / ".join(row.label for row in rows), rows[0].target, answers=answers)]
    return [Row(f"{where}: {plain(wording)}", None, "ask"), *(replace(row, place=place) for row in rows)]


def _fix_box(book: Book, tree: Tree, step: Step) -> Box:
    fix: Fix = book.fixes[step.refers]
    ways = {**{name: step.then for name in _AFTER_FIX if step.then}, **step.go}
    if len(set(ways.values())) == 1:
        rows: tuple[Row, ...] = (Row("", _number(tree, next(iter(ways.values()))), "through"),)
    else:
        rows = tuple(
            Row(_AFTER_FIX.get(how, plain(how)), _number(tree, target), answers=(how,)) for how, target in ways.items()
        )
    lines = [plain(step.text)] if step.text else []
    if fix.parts:
        lines.append(_("Parts: ") + ", ".join(plain(part) for part in fix.parts))
    if fix.who == "licensed":
        lines.append(_("Only for a licensed person."))
    return Box(
        no=step.no,
        kind="action",
        text=plain(fix.do),
        lines=tuple(lines),
        rows=rows,
        hazards=_hazards(book, fix.cautions),
        tools=tuple(plain(book.tools.get(tool, tool)) for tool in fix.needs),
        icons=tool_icons(fix.needs),
        places=fix.place,
        minutes=fix.minutes,
        starts=fix.uses_start,
    )


def _stop_box(book: Book, step: Step) -> Box:
    caution = book.cautions[step.refers]
    line = plain(caution.stop_line or caution.text)
    numbered = tuple(f"{index}. {plain(text)}" for index, text in enumerate(caution.then, start=1))
    told = (plain(step.text),) if step.text else ()
    return Box(
        no=step.no,
        kind="stop",
        text=line,
        lines=(*numbered, *told),
        short=_("STOP: {word}").format(word=plain(caution.word)),
        hazards=(Hazard(caution.grade, plain(caution.word)),),
    )


def _end_box(step: Step) -> Box:
    name = next((name for kind, name in END_NAMES.items() if kind == step.refers), plain(step.refers))
    lines = [plain(step.text)] if step.text else []
    if step.bring:
        lines.append(_("Bring: ") + ", ".join(plain(thing) for thing in step.bring))
    return Box(no=step.no, kind="end", text=name, lines=tuple(lines), short=name)


def _other_tree(book: Book, step: Step, doing: str) -> str:
    other = book.trees.get(step.refers)
    if other is None:
        return plain(f"{doing}: {step.refers}")
    begin = other.steps.get(other.begin)
    number = _(" (begins at {no})").format(no=begin.no) if begin else ""
    coming = _(", then come back here") if step.kind == "run" else ""
    return f"{doing}: {plain(other.title)}{number}{coming}"


def _hazards(book: Book, cautions: tuple[str, ...]) -> tuple[Hazard, ...]:
    grades = ("DANGER", "WARNING", "CAUTION")
    known = [book.cautions[caution] for caution in cautions if caution in book.cautions]
    return tuple(Hazard(c.grade, plain(c.word)) for c in sorted(known, key=lambda c: grades.index(c.grade)))


def _number(tree: Tree, step_id: str | None) -> int | None:
    return tree.steps[step_id].no if step_id is not None else None
