"""From sheets to printed pages: all that the template draws, as data."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import accumulate
from typing import Any

from graphviz_export.layouts import Layout
from graphviz_export.letters import shortened
from graphviz_export.measures import TEMPLATE, frame_data, from_words, stub_words
from graphviz_export.paper import FOOT_MM, MARGIN_MM
from graphviz_export.sheets import Line, Placed, Stub
from graphviz_export.split import LIST_COLUMNS, LIST_PT, list_height_em
from graphviz_export.title_block import LEGEND, MARK_LEGEND, REST_OF_BLOCK_MM, SMALL_MM, WORDS
from graphviz_export.typst_run import PageFormat, draw
from graphviz_export.wall_mark import mark_of
from trees.language import _


def page_bytes(layout: Layout, form: PageFormat, region: int | None = None) -> list[bytes]:
    """Return the pages, of one region only if that is asked for: one PDF file, or one picture a page."""
    return draw(TEMPLATE, page_data(layout, region), form, layout.fonts, layout.chart.reviewed)


def sheets_of_region(layout: Layout, region: int) -> range:
    """Return the places of the sheets of a region, counted from 0."""
    begins = list(accumulate(layout.sets, initial=0))
    return range(begins[region], begins[region + 1])


def page_data(layout: Layout, region: int | None = None) -> dict[str, Any]:
    """Return all that the template draws; of one region only if that is asked for."""
    chart, paper = layout.chart, layout.paper
    shown = range(len(layout.sheets)) if region is None else sheets_of_region(layout, region)
    distance = _("made for reading from {read_from_m:g} m (capitals {cap_mm:.1f} mm)").format(
        read_from_m=paper.read_from_m, cap_mm=paper.cap_mm
    )
    return {
        **frame_data(chart, paper, layout.fonts, layout.column_em),
        "mode": "draw",
        "edition": chart.edition,
        "reviewed": chart.reviewed,
        "fingerprint": chart.fingerprint,
        "foot_mm": FOOT_MM,
        "list_pt": LIST_PT,
        "list_columns": LIST_COLUMNS,
        "legend": [(kind, _(word)) for kind, word in LEGEND],
        "mark_legend": [(mark, _(word)) for mark, word in MARK_LEGEND],
        "mark": mark_of(chart),
        "remark": shortened(" · ".join(chart.remarks), (paper.width_mm - 2 * MARGIN_MM - REST_OF_BLOCK_MM) / SMALL_MM),
        "words": {**WORDS, "distance": distance},
        "count": len(layout.sheets),
        "here": [box.no for index in shown for box in layout.sheets[index].boxes],
        "sheets": [_sheet_data(layout, index) for index in shown],
    }


def _sheet_data(layout: Layout, index: int) -> dict[str, Any]:
    sheet = layout.sheets[index]
    where = layout.sheet_of()
    count = len(layout.sheets)
    return {
        "no": index + 1,
        "lines": [_line_data(layout, line) for line in _taken_last(layout, sheet.lines)],
        "boxes": [_box_place(layout, box) for box in sheet.boxes],
        "stubs": [_stub_place(layout, stub, where[stub.no], index + 1) for stub in sheet.stubs],
        "list": _list(layout) if index == 0 and count > 1 else [],
        "list_em": list_height_em(count, layout.paper),
        "block": True,
    }


def _taken_last(layout: Layout, lines: Sequence[Line]) -> list[Line]:
    """Return the lines with the way of a job last: it lies over lines that it joins."""
    return sorted(lines, key=lambda line: layout.chart.box(line.start).rows[line.row].taken)


def _line_data(layout: Layout, line: Line) -> dict[str, Any]:
    return {"points": line.points, "taken": layout.chart.box(line.start).rows[line.row].taken}


def _box_place(layout: Layout, box: Placed) -> dict[str, Any]:
    index = next(index for index, one in enumerate(layout.chart.boxes) if one.no == box.no)
    words = from_words(layout.chart, box.no, box.arrivals)
    return {
        "index": index,
        "x": box.x,
        "y": box.y,
        "height": box.height,
        "from": words,
        "from_em": box.mark_height,
        "first": True,
    }


def _stub_place(layout: Layout, stub: Stub, drawn_on: int, here: int) -> dict[str, Any]:
    box = layout.chart.box(stub.no)
    where = _("this sheet") if drawn_on == here else _("sheet {drawn_on}").format(drawn_on=drawn_on)
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
