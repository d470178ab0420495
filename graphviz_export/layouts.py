"""From a chart to sheets: measure every box, cut, and take the column width that saves sheets."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from graphviz_export.boxes import Chart
from graphviz_export.columns import Room
from graphviz_export.faults import chart_faults
from graphviz_export.measures import BESIDE_EM, COLUMNS_EM, arrivals_of, circle_wide_em, measured
from graphviz_export.paper import Paper
from graphviz_export.regions import MANY_SHEETS
from graphviz_export.sheets import Sheet
from graphviz_export.split import split
from graphviz_export.title_block import WORDS
from graphviz_export.typst_run import FontChoice, choose_fonts
from trees.errors import PaperError
from trees.language import _

_MANY_BOXES = 100
"""Above that the first width that works is taken: another cut costs a second and saves little."""


@dataclass(frozen=True, slots=True)
class Layout:
    """A chart cut into sheets, ready to be drawn."""

    chart: Chart
    paper: Paper
    fonts: FontChoice
    column_em: float
    sheets: tuple[Sheet, ...]
    sets: tuple[int, ...]
    """How many sheets each region has; one number where the chart is one set."""

    def sheet_of(self) -> dict[int, int]:
        """Return the number of the sheet, counted from 1, on which each step is drawn."""
        return {box.no: index for index, sheet in enumerate(self.sheets, 1) for box in sheet.boxes}


def lay_out_chart(chart: Chart, paper: Paper, *, by_region: bool = False) -> Layout:
    """Return the sheets of a chart; PaperError if a box is larger than the paper.

    Other columns than the calmest are taken where they save sheets, or where a box is too high without.
    """
    fonts = fonts_for(chart)
    layouts: list[Layout] = []
    refused: list[PaperError] = []
    for column_em in COLUMNS_EM:
        if layouts and (len(layouts[0].sheets) == 1 or len(chart.boxes) > _MANY_BOXES):
            break
        try:
            layouts.append(_lay_out(chart, paper, fonts, column_em, by_region=by_region))
        except PaperError as error:
            refused.append(error)
    if not layouts:
        raise refused[0]
    best = min(layouts, key=lambda layout: len(layout.sheets))
    return sound(best)


def sound(layout: Layout) -> Layout:
    """Return the layout if nothing is wrong with it; PaperError otherwise, for paper that lies is worse than none."""
    faults = chart_faults(layout.chart, layout.sheets)
    if faults:
        raise PaperError(
            _("The layout of “{title}” came out wrong and is not drawn: {faults}. Please report it.").format(
                title=layout.chart.title, faults=faults[0]
            )
        )
    return layout


def _lay_out(chart: Chart, paper: Paper, fonts: FontChoice, column_em: float, *, by_region: bool) -> Layout:
    room = room_of(chart, paper, fonts, column_em)
    cut = split(chart, room, paper, by_region=by_region)
    return Layout(chart, paper, fonts, column_em, cut.sheets, cut.sets)


def room_of(chart: Chart, paper: Paper, fonts: FontChoice, column_em: float) -> Room:
    """Return what the layout must know of a chart on that paper; every box is measured."""
    return Room(
        boxes={box.no: box for box in chart.boxes},
        tall=measured(chart, paper, fonts, column_em),
        ways={box.no: box.ways() for box in chart.boxes},
        arrivals=arrivals_of(chart),
        homes=homes_of(chart),
        begin=chart.begin,
        marked=frozenset(no for no in (chart.begin, chart.phone_exit) if no is not None),
        column_em=column_em,
        stub_em=circle_wide_em(chart) + BESIDE_EM,
        width=paper.width_em,
        height=paper.height_em,
        thorough=len(chart.boxes) <= _MANY_BOXES,
    )


def notes_of(layout: Layout) -> tuple[str, ...]:
    """Return what a person should know about these pages."""
    notes = []
    if len(layout.sheets) > MANY_SHEETS and len(layout.sets) == 1:
        notes.append(
            _(
                "“{title}” takes {n} sheets of {name}, more than anybody hangs up as one. Take the numbered "
                "list (--format txt), a set for each region (--region), larger paper or a shorter reading "
                "distance."
            ).format(title=layout.chart.title, n=len(layout.sheets), name=layout.paper.name)
        )
    if not layout.fonts.complete:
        notes.append(
            _(
                "No font at hand has every letter of this chart; missing ones are drawn as empty boxes, "
                "and the file is not marked as accessible (PDF/UA)."
            )
        )
    elif layout.fonts.from_system:
        notes.append(_("Some letters come from fonts of this machine; on another one the pages may differ."))
    return tuple(notes)


def homes_of(chart: Chart) -> dict[int, int]:
    """Return, for every end, the step beside which it is drawn in full: the one that reaches it by most answers."""
    homes: dict[int, int] = {}
    most: dict[int, int] = {}
    for box in chart.boxes:
        targets: Sequence[int] = [target for _other, target in box.ways()]
        for target in dict.fromkeys(targets):
            count = targets.count(target)
            if (
                not chart.box(target).ways()
                and target not in (chart.begin, chart.phone_exit)
                and count > most.get(target, 0)
            ):
                homes[target], most[target] = box.no, count
    return homes


def fonts_for(chart: Chart) -> FontChoice:
    """Return the fonts that have every letter of a chart, as far as there are any."""
    texts = [chart.title, chart.book_title, chart.edition, chart.reviewed, chart.fingerprint, *chart.remarks]
    texts += [*WORDS.values(), "… ·%"]
    for box in chart.boxes:
        texts += [box.text, box.short, *box.lines, *box.marks(), *box.sources, *(row.label for row in box.rows)]
        texts += [hazard.word for hazard in box.hazards]
    return choose_fonts("".join(texts))
