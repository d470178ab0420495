"""The question: the largest thing on the job screen. Its widgets stay mounted, their contents are updated."""

from __future__ import annotations

from collections.abc import Sequence
from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding
from textual.containers import Horizontal, VerticalScroll
from textual.content import Content
from textual.events import DescendantFocus
from textual.message import Message
from textual.widgets import Input, Label, Static

from trees.book.words import END_NAMES, rated_name
from trees.errors import ReadingError
from trees.language import _
from trees.walk import Question, Walk
from trees.walk.judge import BandEdges, Verdict, band_edges
from trees.walk.unit import Missing
from tui import draw
from tui.draw import MUTED
from tui.panels import phone
from tui.panels.hints import before_repair, not_taken
from tui.panels.quick_text import QuickText
from tui.panels.together import together
from tui.settings import Instrument

FIELDS = 8
"""Readings that one check may take; the fields are mounted once."""


class ReadingField(Input):
    """A field for a reading; Esc or Tab leaves it, so that digits choose answers again."""

    BINDINGS: ClassVar[list[Binding]] = [  # type: ignore[assignment]
        Binding("enter", "submit", "Take", key_display="Enter"),
        Binding("escape", "leave_field", "Leave the field", key_display="Esc"),
        Binding("down", "move(1)", "Next field", show=False),
        Binding("up", "move(-1)", "Field before", show=False),
    ]

    class Moved(Message):
        """Another field of the set is to have the keys."""

        def __init__(self, by: int) -> None:
            super().__init__()
            self.by = by

    class Left(Message):
        """The field was left without a reading."""

    def action_leave_field(self) -> None:
        """Give the keys back to the screen."""
        self.post_message(self.Left())

    def action_move(self, by: int) -> None:
        """Go to another field of the set."""
        self.post_message(self.Moved(by))


class QuestionPanel(VerticalScroll, can_focus=True):
    """Step, question, how, cautions, answers or fields, and what is typed judged live."""

    class FieldEntered(Message):
        """A field that had been left has the keys again."""

    def __init__(self, **kwargs: str) -> None:
        super().__init__(**kwargs)  # type: ignore[arg-type]
        self.question: Question | None = None
        self.walk: Walk | None = None
        self.instrument: Instrument | None = None
        """What the reading that is asked is taken with."""
        self.page = 0
        """Which answers are shown."""
        self.answers = Content("")
        """The numbered answers, in lines that are not broken yet."""
        self.second = False
        """A second key is waited for."""
        self.left = False
        """The field of this question was left by Esc, and stays left until Tab or another question."""
        self.whom_to_call = ""
        """The sentence with the emergency number, for a stop."""

    def compose(self) -> ComposeResult:
        """Lay out everything that a question may need; how it is done stands under the answers, which must be seen."""
        yield QuickText(id="q-head")
        yield QuickText(id="q-wording")
        yield QuickText(id="q-patient")
        yield QuickText(id="q-blocked")
        yield QuickText(id="q-cautions")
        for index in range(FIELDS):
            with Horizontal(id=f"q-row-{index}", classes="q-row"):
                yield Label(id=f"q-label-{index}", classes="q-label")
                yield ReadingField(id=f"q-field-{index}", classes="q-field", select_on_focus=False)
        yield QuickText(id="q-judged")
        yield QuickText(id="q-options")
        yield QuickText(id="q-text")
        yield QuickText(id="q-hint")

    def watch_has_focus(self, _has_focus: bool) -> None:
        """Look the same with the keys as without: the library would style all that is in here anew for nothing."""

    # ── showing ─────────────────────────────────────────────────────────────

    def show(
        self,
        walk: Walk,
        question: Question,
        *,
        chosen: int | None,
        ticked: frozenset[str],
        page: int,
        hint: str,
        patient: bool = False,
        second: bool = False,
    ) -> None:
        """
        Show a question. Fields are emptied only when the question is another one than before.

        `second`: a second key is waited for, so what says so must be seen, however long the question is.
        """
        another = not self.shows(question)
        self.left = self.left and not another
        self.question, self.walk = question, walk
        aloud = phone.is_read_aloud(walk, question)
        self.set_class(aloud, "aloud")
        head = draw.heading(question, field=self.types_into(question))
        self._put("q-head", Content.assemble(head, (phone.gate_progress(walk, question), MUTED)))
        self._put("q-wording", phone.read_aloud(question) if aloud else draw.say(self._wording(question)))
        self._put("q-patient", phone.patient_hint(question) if patient else Content(""))
        self._put("q-cautions", self._cautions(question, brief=patient))
        self._put("q-blocked", self._why_blocked(question))
        self._show_fields(question, another)
        # An answer would be refused before the DANGER is read, so the caution has the room until then.
        field = self.types_into(question) and not second
        shown = draw.options(question, chosen, ticked, page=page, field=field, turns=not second)
        self.answers = Content("") if question.unread else shown
        self._put_answers(0 if another else self.scrollbar_size_vertical)
        told = draw.say("\n".join(t for t in (question.text, question.how) if t), MUTED)
        seen = Content("") if patient else phone.what_they_see(question)
        self._put("q-text", seen if aloud else told)
        self._put("q-hint", draw.say(hint))
        self.judge_typed()
        if another or (second, page) != (self.second, self.page):
            self.second, self.page = second, page
            self.call_after_refresh(self.scroll_to_what_counts)

    def scroll_to_what_counts(self) -> None:
        """Show the question from its beginning, its field where that would lie too low, or what waits for a key."""
        self._put_answers(self.scrollbar_size_vertical)  # where they don't fit, the bar beside them takes a column
        self.scroll_home(animate=False, immediate=True)
        if self.second:
            self.query_one("#q-hint").scroll_visible(animate=False, immediate=True)
        elif self.wants_typing():
            self.field(0).scroll_visible(animate=False, immediate=True)

    def _put_answers(self, bar: int) -> None:
        """Show the answers beside a bar of so many columns; one that is broken goes on under its words."""
        room = self.content_size.width - bar
        self._put("q-options", draw.hung(self.answers, room) if room > 0 else self.answers)

    def _put(self, widget_id: str, content: Content) -> None:
        widget = self.query_one(f"#{widget_id}", Static)
        widget.update(content)
        widget.display = bool(content.plain)

    @staticmethod
    def _wording(question: Question) -> str:
        if question.kind == "end":
            return f"{END_NAMES[question.end]}"  # type: ignore[index]
        if question.kind == "closed":
            return _("Closed: {name}").format(name=END_NAMES.get(question.end, question.end))  # type: ignore[call-overload]
        return question.wording

    @staticmethod
    def _why_blocked(question: Question) -> Content:
        if not question.blocked:
            return Content("")
        still = " " + _("Only a dangerous reading is taken here.") if question.only_danger else ""
        return draw.say(f" ✕ {question.blocked}{still}", "bold $warning")

    def _cautions(self, question: Question, *, brief: bool) -> Content:
        if question.kind == "stop":
            return self._what_to_do(question)
        if question.kind == "end":
            name = [draw.say(self._wording(question), "bold")] if self.has_class("aloud") else []
            return draw.lines([*name, *(draw.say(_("Bring: {thing}").format(thing=thing)) for thing in question.bring)])
        if self.walk is None:
            return Content("")
        now = self.walk.now
        seen = {c for g in now.givens if g.check is not None for c in g.check.cautions} | now.acknowledged
        if brief:  # they stood in full until the caller could not tell
            seen |= {caution.id for caution in question.cautions}
        return draw.cautions(question, frozenset(seen), phone=now.place == "phone")

    def _what_to_do(self, question: Question) -> Content:
        """Return what a stop asks for, in numbered lines; to a caller they are read one at a time."""
        rows = [draw.say(f" {n} {line}") for c in question.cautions for n, line in enumerate(c.then, start=1)]
        head = draw.say(_(" ▲ STOP — this job is stopped for safety "), "bold $text on $error")
        whom = [draw.say(f" {self.whom_to_call}", "bold")] if self.whom_to_call else []
        if self.walk is not None and self.walk.now.place == "phone" and rows:
            rows.insert(0, draw.say(" " + _("Read aloud, and wait after each line:"), MUTED))
        # A column stays free: where the lines don't fit, the bar beside them must not break them once more.
        return draw.hung(draw.lines([head, *whom, *rows]), max(30, self.content_size.width - 1))

    def on_resize(self) -> None:
        """Break the answers and the lines of a stop anew; they are hung at a width."""
        self._put_answers(self.scrollbar_size_vertical)
        if self.question is not None and self.question.kind == "stop":
            self._put("q-cautions", self._what_to_do(self.question))

    def _show_fields(self, question: Question, another: bool) -> None:
        wanted = self.labels(question)
        before = self.answered_before(question)
        for index in range(FIELDS):
            label, field = self.query_one(f"#q-label-{index}", Label), self.field(index)
            shown = index < len(wanted)
            label.display = shown and len(wanted) > 1
            field.display = shown
            self.query_one(f"#q-row-{index}").display = shown
            if shown:
                label.update(Content(draw.plain(wanted[index][0])))
                field.placeholder = wanted[index][1]
            if another:
                with self.prevent(Input.Changed):
                    field.value = draw.plain(before[index]) if index < len(before) else ""

    @staticmethod
    def labels(question: Question) -> Sequence[tuple[str, str]]:
        """Return label and placeholder of each field that the question wants now."""
        if (question.blocked and not question.only_danger) or question.unread:
            return ()
        if question.form == "reading":
            repeat = question.check.repeat if question.check and question.kind == "check" else 1
            times = _(", {repeat} readings parted by spaces").format(repeat=repeat) if repeat > 1 else ""
            unit = draw.unit_shown(question.unit)
            wanted = _("in {unit}, or any other unit{times}") if unit else _("a plain number{times}")
            return ((question.wording, wanted.format(unit=unit, times=times)),)
        if question.form == "readings" and question.check is not None:
            return tuple(
                (f.label or f.name, _("in {unit}").format(unit=unit) if unit else _("a plain number"))
                for f, unit in ((f, draw.unit_shown(f.unit)) for f in question.check.readings)
            )
        return ()

    def answered_before(self, question: Question) -> Sequence[str]:
        """Return what was typed at this step before, where an earlier answer is being changed."""
        walk = self.walk
        given = next((g for g in walk.now.givens if g.visit == question.visit), None) if walk else None
        if walk is None or given is None or question.check is None:
            return ()
        data = walk.entries[given.no - 1].data
        if "readings" in data:
            return [str(data["readings"].get(f.name, {}).get("typed", "")) for f in question.check.readings]
        return [given.typed]

    def field(self, index: int) -> ReadingField:
        """Return one of the fields."""
        return self.query_one(f"#q-field-{index}", ReadingField)

    def wants_typing(self) -> bool:
        """Tell whether the question is answered in a field that was not left."""
        return self.question is not None and self.types_into(self.question)

    def shows(self, question: Question) -> bool:
        """Tell whether it is this question that is shown."""
        shown = self.question
        return shown is not None and (shown.visit, shown.rated_name) == (question.visit, question.rated_name)

    def types_into(self, question: Question) -> bool:
        """Tell whether keys are typed into a field while this question is shown."""
        return bool(self.labels(question)) and not (self.left and self.shows(question))

    def on_descendant_focus(self, event: DescendantFocus) -> None:
        """Tell that a field is entered again, so that what the keys do is told anew."""
        if self.left and isinstance(event.widget, ReadingField):
            self.left = False
            self.post_message(self.FieldEntered())

    # ── what is typed ───────────────────────────────────────────────────────

    def typed(self) -> str:
        """Return the text of the single reading."""
        return self.field(0).value

    def verdict(self) -> Verdict | None:
        """Return what the typed reading means, or None where it is none or nothing judges it."""
        from trees.figures.units import parse_reading

        if self.walk is None or self.question is None:
            return None
        try:
            return self.walk.judge(parse_reading(self.typed(), self.question.unit).values, self.question)
        except ReadingError:
            return None

    def typed_by_name(self) -> dict[str, str]:
        """Return the texts of a set of readings."""
        check = self.question.check if self.question else None
        return {f.name: self.field(i).value for i, f in enumerate(check.readings)} if check else {}

    def on_reading_field_moved(self, event: ReadingField.Moved) -> None:
        """Give the keys to another field; after the last comes the first."""
        event.stop()
        fields = [field for field in self.query(ReadingField) if field.display]
        here = next((at for at, field in enumerate(fields) if field.has_focus), 0)
        if fields:
            fields[(here + event.by) % len(fields)].focus()

    def on_input_changed(self, _event: Input.Changed) -> None:
        """Judge while it is typed."""
        self.judge_typed()

    def judge_typed(self) -> None:
        """Show which band the typed or worked-out value falls into, in words and drawn."""
        question, walk = self.question, self.walk
        shut = question is not None and question.blocked and not question.only_danger
        if question is None or walk is None or shut or question.unread:
            self._put("q-judged", Content(""))
            return
        if question.form == "readings" and question.check is not None:
            self._put("q-judged", together(question.check, self.typed_by_name()))
            return
        if question.form not in {"reading", "figure"}:
            self._put("q-judged", Content(""))
            return
        self._put("q-judged", draw.lines([row for row in self._judgement(question, walk) if row.plain]))

    def _judgement(self, question: Question, walk: Walk) -> list[Content]:
        from trees.figures.units import format_value, parse_reading

        edges = self._edges(question, walk)
        width = max(20, min(44, self.size.width - 14))
        values: Sequence[float] = ()
        said = [draw.say(before_repair(question), MUTED)] if question.form == "reading" else []
        if self.instrument is not None and question.form == "reading" and question.kind == "check":
            told = _("With {name}, ± {uncertainty:g} {unit}").format(
                name=self.instrument.name, uncertainty=self.instrument.uncertainty, unit=self.instrument.unit
            )
            said.append(draw.say(told, MUTED))
        if question.form == "figure":
            if question.value is None:
                return [draw.say(not_taken(question, walk), "$warning")]
            values = [question.value]
            said.append(
                draw.say(_("Worked out: {value}").format(value=format_value(question.value, question.unit)), "bold")
            )
        elif self.typed().strip():
            try:
                values = parse_reading(self.typed(), question.unit).values
            except ReadingError as error:
                said.append(draw.say(str(error), "$warning"))
        verdict = walk.judge(values, question) if values else None
        value = verdict.value if verdict else (sum(values) / len(values) if values else None)
        if values and question.form == "reading" and value is not None:
            said.append(draw.say(f"= {format_value(value, question.unit)}", "bold"))
        if verdict is not None and verdict.implausible:
            said.append(
                draw.say(_("Outside what is plausible here: read it again, or type the unit."), "bold $warning")
            )
        if (
            verdict is not None
            and verdict.answer is not None
            and question.check
            and verdict.answer is question.check.spread
        ):
            said.append(
                draw.say(
                    _("▶ {means} ({spread:.0f} % apart)").format(
                        means=verdict.answer.means, spread=100 * verdict.relative_spread
                    ),
                    "bold",
                )
            )
        if edges is None:
            return said
        current = verdict.answer.id if verdict is not None and verdict.answer is not None else ""
        if edges.base_name:
            base = format_value(edges.base, question.unit)
            hand = _(" entered by hand") if walk.now.unit.is_by_hand(edges.base_name.partition(".")[2]) else ""
            said.append(
                draw.say(
                    _("Judged by {value} {base}{hand}").format(
                        value=rated_name(edges.base_name.partition(".")[2]), base=base, hand=hand
                    ),
                    MUTED,
                )
            )
        room = self.scrollable_content_region.width
        bands = draw.band_list(edges, question.unit, current, room)
        return [*said, bands, draw.ruler(edges, value, question.unit, width)]

    @staticmethod
    def _edges(question: Question, walk: Walk) -> BandEdges | None:
        if question.check is None or not question.check.bands or question.kind == "rated" or walk.now.known is None:
            return None
        edges = band_edges(question.check, walk.now.unit, walk.now.known.figure)
        return None if isinstance(edges, Missing) else edges
