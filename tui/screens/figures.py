"""The figures: pick one by typing, fill its fields, see the result while typing; from a job, put it into the job."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar

from textual import on
from textual.app import ComposeResult
from textual.binding import Binding
from textual.containers import Horizontal, Vertical
from textual.content import Content
from textual.widgets import Input, OptionList, Static
from textual.widgets.option_list import Option

from trees.errors import ReadingError
from trees.figures import FigureInfo, figure_info, registry
from trees.figures.registry import FIELD_NAMES
from trees.language import N_, _
from tui.commands import FIGURES
from tui.draw import MUTED, plain
from tui.panels.figure import FigureAnswer, FigureForm
from tui.panels.key_line import KeyLine
from tui.panels.question import QuestionPanel
from tui.screens.base import WorkScreen, all_bindings
from tui.screens.parts import move_mark, turn_page
from tui.typed_figure import TypedFigure

if TYPE_CHECKING:
    from trees.walk import Question
    from tui.screens.job import JobScreen


def fitting(part: str) -> tuple[FigureInfo, ...]:
    """Return the figures that hold every typed word; those that hold all of them in name or title come first."""
    words = part.lower().split()

    def holds(text: str) -> bool:
        return all(word in text.lower() for word in words)

    found = [info for info in registry().values() if holds(f"{_called(info)} {info.meaning} {_field(info)}")]
    return tuple(sorted(found, key=lambda info: not holds(_called(info))))


def _called(info: FigureInfo) -> str:
    return f"{info.name} {info.title}"


def _field(info: FigureInfo) -> str:
    return FIELD_NAMES[info.field]


def as_reading(found: TypedFigure, question: Question) -> str | None:
    """Return a result as the text of the reading that is asked for; None where it measures something else."""
    from trees.figures.units import convert, format_value, parse_reading, same_dimension

    if question.kind != "check" or question.form != "reading" or not question.unit:
        return None
    unit = found.info.result.unit
    try:
        if not same_dimension(unit, question.unit):
            return None
        text = format_value(convert(found.worked.value, unit, question.unit), question.unit)
        parse_reading(text, question.unit)
    except ReadingError:
        return None
    return text


class PartField(Input):
    """The field in which a part of a figure's name is typed."""

    BINDINGS: ClassVar[list[Binding]] = [Binding("enter", "submit", "Choose", key_display="Enter")]  # type: ignore[assignment]


class FigureList(OptionList, can_focus=False):
    """The figures that fit; the field over it keeps the keys."""


class FiguresScreen(WorkScreen):
    """Pick a figure, fill it, and, from a job, put the result into the job."""

    KEYS = FIGURES
    TITLE_LINE = N_("figures")
    BINDINGS: ClassVar[list[Binding]] = all_bindings(FIGURES)  # type: ignore[assignment]
    AUTO_FOCUS = "#figure-part"

    def __init__(self, job: JobScreen | None = None) -> None:
        super().__init__()
        self.job = job
        """The job from which the screen was opened, to put results into."""
        self.info: FigureInfo | None = None
        """The figure that was picked."""
        self.found: TypedFigure | None = None
        """The result as it stands on the screen."""

    def compose(self) -> ComposeResult:
        """Lay out the head, the picking, the working out, and the footer."""
        yield Static(id="head")
        with Vertical(id="figure-pick"):
            yield PartField(placeholder=_("type a part of it: drop, density, excess air …"), id="figure-part")
            yield FigureList(id="figure-list", markup=False)
            yield Static(id="figure-meaning")
        with Horizontal(id="figure-work"):
            yield FigureForm(id="figure-form")
            yield FigureAnswer(id="figure-answer")
        yield KeyLine()

    def begin(self) -> None:
        """Show all figures."""
        self.fill("")
        self.show_stage()

    # ── picking ─────────────────────────────────────────────────────────────

    def show_stage(self) -> None:
        """Show either the list or the picked figure, and say so in the head."""
        self.query_one("#figure-pick").display = self.info is None
        self.query_one("#figure-work").display = self.info is not None
        number = self.job.job.record.number if self.job is not None else ""
        self.query_one("#head", Static).update(
            Content.assemble(
                (_(" Figures "), "bold reverse"),
                f" {plain(self.info.title)}" if self.info is not None else "",
                (f"  ·  {_field(self.info)}" if self.info is not None else "", MUTED),
                (
                    _("{part} for job {number}").format(
                        part="  · " if self.info is not None else "", number=plain(number)
                    )
                    if number
                    else "",
                    MUTED,
                ),
            )
        )
        self.refresh_bindings()

    def fill(self, part: str) -> None:
        """List the figures that hold what is typed."""
        figures = fitting(part)
        rows = self.query_one("#figure-list", OptionList)
        rows.set_options([Option(self.line(info), id=info.name) for info in figures])
        rows.highlighted = 0 if figures else None
        if not figures:
            self.query_one("#figure-meaning", Static).update(_("No figure has all of these words."))

    @staticmethod
    def line(info: FigureInfo) -> Content:
        """Return one figure as a line: field, title, meaning."""
        return Content.assemble(
            (f" {_field(info):<15}", MUTED),
            (plain(info.title), "bold"),
            (f"  {plain(info.meaning)}", MUTED),
        )

    def on_option_list_option_highlighted(self, event: OptionList.OptionHighlighted) -> None:
        """Say what the marked figure is for."""
        info = figure_info(event.option_id or "")
        self.query_one("#figure-meaning", Static).update(
            Content.assemble((info.name, "bold"), f"  {plain(info.meaning)}.")
        )

    async def on_option_list_option_selected(self, event: OptionList.OptionSelected) -> None:
        """Pick the figure that was clicked."""
        await self.pick(event.option_id)

    @on(Input.Submitted, "#figure-part")
    async def action_pick(self) -> None:
        """Pick the marked figure with Enter."""
        rows = self.query_one("#figure-list", OptionList)
        if rows.highlighted is not None:
            await self.pick(rows.get_option_at_index(rows.highlighted).id)

    @on(Input.Changed, "#figure-part")
    def list_anew(self, event: Input.Changed) -> None:
        """Shrink the list."""
        self.fill(event.value)

    async def pick(self, name: str | None) -> None:
        """Show the fields of a figure."""
        if name is None:
            return
        self.info, self.found = figure_info(name), None
        self.show_stage()
        await self.query_one(FigureForm).show(self.info)
        self.query_one(FigureAnswer).scroll_home(animate=False)
        self.call_after_refresh(self.show_answer)

    # ── working out ─────────────────────────────────────────────────────────

    def show_answer(self) -> None:
        """Work out what is typed and show it."""
        if self.info is not None:
            self.found = self.query_one(FigureAnswer).show(self.info, self.query_one(FigureForm).typed())

    @on(Input.Changed, ".figure-field")
    def typed_on(self) -> None:
        """Work it out anew with every key."""
        self.show_answer()

    @on(Input.Submitted, ".figure-field")
    def go_on(self) -> None:
        """Go to the next field."""
        self.query_one(FigureForm).move(1)

    def on_resize(self) -> None:
        """Draw the plot anew for the new width."""
        self.call_after_refresh(self.show_answer)

    # ── keys ────────────────────────────────────────────────────────────────

    def action_move(self, by: int) -> None:
        """Move the mark in the list, or go to another field."""
        if self.info is not None:
            self.query_one(FigureForm).move(by)
            return
        move_mark(self.query_one("#figure-list", OptionList), by)

    def action_page(self, by: int) -> None:
        """Turn the page of the list or of the answer."""
        turn_page(self.query_one("#figure-answer" if self.info is not None else "#figure-list"), by)

    def action_to_list(self) -> None:
        """Go back to the list of figures, and from there to where the screen was opened."""
        if self.info is None:
            self.app.pop_screen()
            return
        self.info = self.found = None
        self.show_stage()
        self.set_focus(self.query_one("#figure-part"))

    async def action_into_job(self) -> None:
        """Put the result into the job: as the typed reading that is asked for, or as a note."""
        job, found = self.job, self.found
        if job is None:
            return
        if found is None:
            self.tell(_("There is no result yet to put into the job."), wrong=True)
            return
        text = as_reading(found, job.question)
        panel = job.query_one(QuestionPanel)
        if text is not None and panel.wants_typing():
            panel.field(0).value = text
            self.app.pop_screen()
            self.tell(_("{text} stands in the field; Enter takes it.").format(text=text))
            return
        before = job.walk
        await job.take(lambda: job.walk.note(found.sentence))
        # Another seat may have been first: then the walk is a newer one without this note, and that was told.
        if job.walk is not before and job.walk.now.notes and job.walk.now.notes[-1][1] == found.sentence:
            self.app.pop_screen()
            self.tell(_("Kept as a note in the job."))

    def check_action(
        self,
        action: str,
        parameters: tuple[object, ...],  # noqa: ARG002 - Textual's signature
    ) -> bool | None:
        """Offer the way into the job only where there is one."""
        return self.job is not None and self.info is not None if action == "into_job" else True
