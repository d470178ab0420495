"""From a chart to printed pages: measure, cut into sheets, hand the positions to the template."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from graphviz_export.boxes import Chart
from graphviz_export.columns import Room
from graphviz_export.faults import chart_faults
from graphviz_export.letters import shortened
from graphviz_export.measures import (
    COLUMNS_EM,
    TEMPLATE,
    arrivals_of,
    frame_data,
    from_words,
    measured,
    stub_words,
)
from graphviz_export.paper import FOOT_MM, MARGIN_MM, Paper
from graphviz_export.sheets import Placed, Sheet, Stub
from graphviz_export.split import LIST_COLUMNS, LIST_PT, list_height_em, split
from graphviz_export.typst_run import FontChoice, PageFormat, choose_fonts, draw
from trees.errors import PaperError

MANY_SHEETS = 12
_MANY_BOXES = 100
"""Above that the first width that works is taken: another cut costs a second and saves little."""

_LEGEND = (
    ("decision", "question"),
    ("reading", "reading"),
    ("action", "work"),
    ("run", "other chart, then back"),
    ("over_to", "go over to another chart"),
    ("return", "back to the sender"),
    ("end", "end"),
    ("stop", "STOP"),
)
_WORDS = {
    "edition": "Edition",
    "reviewed": "reviewed",
    "fingerprint": "Fingerprint",
    "bar": "must measure 100 mm",
    "sheet": "sheet",
    "circle": "go on at the step of that number",
    "manual": "The maker's manual and local rules come first.",
    "list": "Sheets of this set",
}


@dataclass(frozen=True, slots=True)
class Layout:
    """A chart cut into sheets, ready to be drawn."""

    chart: Chart
    paper: Paper
    fonts: FontChoice
    column_em: float
    sheets: tuple[Sheet, ...]

    def sheet_of(self) -> dict[int, int]:
        """Return the number of the sheet, counted from 1, on which each step is drawn."""
        return {box.no: index for index, sheet in enumerate(self.sheets, 1) for box in sheet.boxes}


def lay_out_chart(chart: Chart, paper: Paper) -> Layout:
    """Return the sheets of a chart; PaperError if a box is larger than the paper.

    Other columns than the calmest are taken where they save sheets, or where a box is too high without.
    """
    fonts = choose_fonts(_all_texts(chart))
    layouts: list[Layout] = []
    refused: list[PaperError] = []
    for column_em in COLUMNS_EM:
        if layouts and (len(layouts[0].sheets) == 1 or len(chart.boxes) > _MANY_BOXES):
            break
        try:
            layouts.append(_lay_out(chart, paper, fonts, column_em))
        except PaperError as error:
            refused.append(error)
    if not layouts:
        raise refused[0]
    best = min(layouts, key=lambda layout: len(layout.sheets))
    faults = chart_faults(chart, best.sheets)
    if faults:  # paper that lies is worse than none
        raise PaperError(
            f"The layout of “{chart.title}” came out wrong and is not drawn: {faults[0]}. Please report it."
        )
    return best


def _lay_out(chart: Chart, paper: Paper, fonts: FontChoice, column_em: float) -> Layout:
    room = Room(
        boxes={box.no: box for box in chart.boxes},
        tall=measured(chart, paper, fonts, column_em),
        ways={box.no: box.ways() for box in chart.boxes},
        arrivals=arrivals_of(chart),
        homes=_homes(chart),
        begin=chart.begin,
        marked=frozenset(no for no in (chart.begin, chart.phone_exit) if no is not None),
        column_em=column_em,
        width=paper.width_em,
        height=paper.height_em,
    )
    return Layout(chart, paper, fonts, column_em, tuple(split(chart, room, paper)))


def page_bytes(layout: Layout, form: PageFormat) -> list[bytes]:
    """Return the pages: one PDF file, or one picture a page."""
    return draw(TEMPLATE, page_data(layout), form, layout.fonts, layout.chart.reviewed)


def notes_of(layout: Layout) -> tuple[str, ...]:
    """Return what a person should know about these pages."""
    notes = []
    if len(layout.sheets) > MANY_SHEETS:
        notes.append(
            f"“{layout.chart.title}” takes {len(layout.sheets)} sheets of {layout.paper.name}. Consider larger paper, "
            f"a shorter reading distance or the numbered list (--format txt)."
        )
    if not layout.fonts.complete:
        notes.append(
            "No font at hand has every letter of this chart; missing ones are drawn as empty boxes, "
            "and the file is not marked as accessible (PDF/UA)."
        )
    elif layout.fonts.from_system:
        notes.append("Some letters come from fonts of this machine; on another one the pages may differ.")
    return tuple(notes)


def page_data(layout: Layout) -> dict[str, Any]:
    """Return all that the template draws."""
    chart, paper = layout.chart, layout.paper
    distance = f"made for reading from {paper.read_from_m:g} m (capitals {paper.cap_mm:.1f} mm)"
    return {
        **frame_data(chart, paper, layout.fonts, layout.column_em),
        "mode": "draw",
        "edition": chart.edition,
        "reviewed": chart.reviewed,
        "fingerprint": chart.fingerprint,
        "foot_mm": FOOT_MM,
        "list_pt": LIST_PT,
        "list_columns": LIST_COLUMNS,
        "legend": _LEGEND,
        "words": {**_WORDS, "distance": distance},
        "sheets": [_sheet_data(layout, index) for index in range(len(layout.sheets))],
    }


def _sheet_data(layout: Layout, index: int) -> dict[str, Any]:
    sheet = layout.sheets[index]
    where = layout.sheet_of()
    count = len(layout.sheets)
    return {
        "no": index + 1,
        "lines": [line.points for line in sheet.lines],
        "boxes": [_box_place(layout, box) for box in sheet.boxes],
        "stubs": [_stub_place(layout, stub, where[stub.no], index + 1) for stub in sheet.stubs],
        "list": _list(layout) if index == 0 and count > 1 else [],
        "list_em": list_height_em(count, layout.paper),
    }


def _box_place(layout: Layout, box: Placed) -> dict[str, Any]:
    index = next(index for index, one in enumerate(layout.chart.boxes) if one.no == box.no)
    words = from_words(layout.chart, box.no, box.arrivals)
    return {"index": index, "x": box.x, "y": box.y, "height": box.height, "from": words, "from_em": box.mark_height}


def _stub_place(layout: Layout, stub: Stub, drawn_on: int, here: int) -> dict[str, Any]:
    box = layout.chart.box(stub.no)
    where = "this sheet" if drawn_on == here else f"sheet {drawn_on}"
    return {
        "no": stub.no,
        "kind": box.kind,
        "x": stub.x,
        "y": stub.y,
        "height": stub.height,
        "words": stub_words(box, where),
    }


def _list(layout: Layout) -> list[dict[str, Any]]:
    """Return the list of sheets: number, first step, how it begins."""
    rows = []
    width_mm = (layout.paper.width_mm - 2 * MARGIN_MM) / LIST_COLUMNS - 10.0
    room_em = width_mm / (LIST_PT * 25.4 / 72)
    for number, sheet in enumerate(layout.sheets, 1):
        numbers = [box.no for box in sheet.boxes]
        first = layout.chart.begin if number == 1 else min(numbers)
        words = shortened(f"{first}: {layout.chart.box(first).text}", room_em)
        rows.append({"sheet": number, "first": first, "words": words})
    return rows


def _homes(chart: Chart) -> dict[int, int]:
    """Return, for every end, the step beside which it is drawn in full: the one that reaches it by most answers."""
    homes: dict[int, int] = {}
    most: dict[int, int] = {}
    for box in chart.boxes:
        targets: Sequence[int] = [target for _, target in box.ways()]
        for target in dict.fromkeys(targets):
            count = targets.count(target)
            if (
                not chart.box(target).ways()
                and target not in (chart.begin, chart.phone_exit)
                and count > most.get(target, 0)
            ):
                homes[target], most[target] = box.no, count
    return homes


def _all_texts(chart: Chart) -> str:
    texts = [chart.title, chart.book_title, chart.edition, chart.reviewed, chart.fingerprint, *_WORDS.values(), "… ·"]
    for box in chart.boxes:
        texts += [box.text, box.short, *box.lines, *box.marks(), *(row.label for row in box.rows)]
        texts += [hazard.word for hazard in box.hazards]
    return "".join(texts)
