"""A figure on screen: its fields, each with label, unit and range, and the answer that they give."""

from __future__ import annotations

from collections.abc import Mapping
from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding
from textual.containers import Horizontal, Vertical, VerticalScroll
from textual.content import Content
from textual.events import DescendantFocus
from textual.widgets import Input, Label, Static

from trees.errors import SootlineError
from trees.figures import FigureInfo
from trees.figures.plain import plain_number
from trees.figures.registry import STATUS_NAMES
from trees.figures.units import format_value
from trees.language import _
from tui import draw
from tui.draw import MUTED
from tui.figure_curve import curve_of
from tui.plot import MARK
from tui.typed_figure import TypedFigure, range_words, read_inputs, work_out_typed

PLOT_LINES = {"low": 9, "tall": 14}


class FigureField(Input):
    """One input of a figure."""

    BINDINGS: ClassVar[list[Binding]] = [Binding("enter", "submit", "Next", key_display="Enter")]  # type: ignore[assignment]

    def __init__(self, name: str, placeholder: str) -> None:
        super().__init__(placeholder=placeholder, id=f"field-{name}", classes="figure-field", select_on_focus=False)
        self.input_name = name


class FigureRows(VerticalScroll, can_focus=False):
    """The fields; more of them than the screen has room for scroll."""


class FigureForm(Vertical):
    """One field for each input; what the present one means, and where the formula holds, stands under them."""

    def __init__(self, **kwargs: str) -> None:
        super().__init__(**kwargs)  # type: ignore[arg-type]
        self.info: FigureInfo | None = None

    def compose(self) -> ComposeResult:
        """Lay out room for the fields and for what the present one means."""
        yield FigureRows(id="figure-rows")
        yield Static(id="field-meaning")

    async def show(self, info: FigureInfo) -> None:
        """Lay out the fields of a figure, empty."""
        rows = self.query_one(FigureRows)
        await rows.remove_children()
        self.info = info
        units = {name: "" if field.unit == "1" else field.unit for name, field in info.inputs.items()}
        label_width = max(len(field.label) for field in info.inputs.values()) + 1
        unit_width = max(map(len, units.values())) + 1
        for name, field in info.inputs.items():
            label, unit = Label(draw.say(field.label), classes="figure-label"), Label(draw.say(units[name]))
            label.styles.width, unit.styles.width = label_width, unit_width
            placeholder = "" if field.default is None else plain_number(field.default)
            await rows.mount(Horizontal(label, FigureField(name, placeholder), unit, classes="figure-row"))
        self.fields()[0].focus()

    def fields(self) -> list[FigureField]:
        """Return the fields in order."""
        return list(self.query(FigureField))

    def typed(self) -> dict[str, str]:
        """Return what is typed, by name of the input."""
        return {field.input_name: field.value for field in self.fields()}

    def move(self, by: int) -> None:
        """Go to another field; after the last comes the first."""
        fields = self.fields()
        here = next((i for i, field in enumerate(fields) if field.has_focus), -1)
        if fields:
            fields[(here + by) % len(fields)].focus()

    def on_descendant_focus(self, event: DescendantFocus) -> None:
        """Say what the field means that has the keys now."""
        if self.info is None or not isinstance(event.widget, FigureField):
            return
        field = self.info.inputs[event.widget.input_name]
        holds = _("Holds for {field}.").format(field=range_words(field))
        if field.default is not None:
            holds += _(" Empty counts as {default}.").format(default=format_value(field.default, field.unit))
        rows = [draw.say(f"{field.meaning}."), draw.say(holds, MUTED)]
        if not self.screen.has_class("-narrow"):
            rows += [Content(""), draw.say(_("Any unit goes: 31 ft, 12,4 V, 68 °F."), MUTED)]
            rows.append(draw.say(_("With uncertainty: 12.4±0.05 or +-."), MUTED))
        self.query_one("#field-meaning", Static).update(draw.lines(rows))


class FigureAnswer(VerticalScroll, can_focus=False):
    """The result while it is typed: number, plot, what else it says, formula, range, source."""

    def compose(self) -> ComposeResult:
        """Lay out one text."""
        yield Static(id="figure-answer-text")

    def show(self, info: FigureInfo, typed: Mapping[str, str]) -> TypedFigure | None:
        """Work the figure out and draw it; None where that can't be done yet."""
        found, trouble = worked_or_trouble(info, typed)
        tall = self.screen.has_class("-tall")
        width = min(72, self.size.width - 2)
        wanted = ", ".join(info.inputs[name].label for name in info.missing(filled(typed)))
        rows = answer(info, found, trouble, wanted, width=width, height=PLOT_LINES["tall" if tall else "low"])
        self.query_one("#figure-answer-text", Static).update(draw.lines(rows))
        return found


def filled(typed: Mapping[str, str]) -> dict[str, str]:
    """Return only the fields in which something stands."""
    return {name: text for name, text in typed.items() if text.strip()}


def worked_or_trouble(info: FigureInfo, typed: Mapping[str, str]) -> tuple[TypedFigure | None, str]:
    """Work a figure out; nothing and a sentence where what is typed is wrong, nothing and "" where some is missing."""
    given = filled(typed)
    try:
        return work_out_typed(info, given), ""
    except SootlineError as error:
        if info.missing(given):
            return None, _trouble_so_far(info, given)
        return None, str(error)


def _trouble_so_far(info: FigureInfo, given: Mapping[str, str]) -> str:
    """Return what is wrong with the fields that are filled already."""
    try:
        read_inputs(info, given)
    except SootlineError as error:
        return str(error)
    return ""


def answer(
    info: FigureInfo, found: TypedFigure | None, trouble: str, wanted: str, *, width: int, height: int
) -> list[Content]:
    """Return the lines of an answer; without one, what is wrong or what is still wanted."""
    rows = [draw.say(info.result.meaning, MUTED)]
    if found is not None:
        rows.append(draw.say(f"= {found.worked.text}", "bold $accent"))
        rows += _beside(found)
        rows += _plotted(found, width, height)
    elif trouble:
        rows.append(draw.say(trouble, "bold $warning"))
    else:
        rows.append(draw.say(_("Still wanted: {wanted}.").format(wanted=wanted), "bold"))
    if found is None:
        rows += [Content(""), draw.say(f"{info.meaning}.")]
    return [*rows, Content(""), *_backing(info)]


def _beside(found: TypedFigure) -> list[Content]:
    worked = found.worked
    rows = [
        Content.assemble((f"{draw.plain(d.label)}: ", MUTED), draw.plain(format_value(d.value, d.unit)))
        for d in worked.details
    ]
    rows += [draw.say(remark, "$warning") for remark in worked.remarks]
    rows += [draw.say(note, MUTED) for note in found.notes]
    if found.shares:
        rows.append(draw.say(_("The uncertainty comes from {shares}.").format(shares=found.shares), MUTED))
    return rows


def _plotted(found: TypedFigure, width: int, height: int) -> list[Content]:
    curve = curve_of(found.info, found.worked.values)
    drawn = curve.drawn(width, height) if curve is not None else ()
    rows: list[Content] = []
    for line in drawn:
        before, mark, after = line.partition(MARK)
        rows.append(Content.assemble(draw.plain(before), (mark, "bold $accent"), draw.plain(after)))
    return [Content(""), *rows] if rows else []


def _backing(info: FigureInfo) -> list[Content]:
    """Return formula, range, accuracy and source."""
    holds = ", ".join(f"{field.label} {range_words(field)}" for field in info.inputs.values())
    parts = (
        (_("Formula"), info.formula),
        (_("Holds for"), holds),
        (_("Accuracy"), info.accuracy),
        (_("Source"), f"{info.source} ({STATUS_NAMES[info.status]})"),
    )
    return [Content.assemble((f"{name}: ", MUTED), draw.plain(text)) for name, text in parts]
