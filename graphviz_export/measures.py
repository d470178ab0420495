"""How tall every part of every box is, in em, as the template that draws it says; and the lengths both sides share."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from itertools import accumulate
from typing import Any

from graphviz_export.boxes import Box, Chart
from graphviz_export.paper import MARGIN_MM, Paper
from graphviz_export.typst_run import FontChoice, date_of, language_of, measure
from trees.book.words import GRADES
from trees.language import _

TEMPLATE = "chart.typ"
COLUMNS_EM = (13.5, 12.0, 16.0, 20.0)
"""Widths of a column: the first is the calmest, the others may save sheets or carry long texts lower."""
CIRCLE_EM = 2.3
BESIDE_EM = 5.6
"""Width of the words beside a circle."""
BADGE_HEIGHT_EM = 2.4
ARRIVAL_EM = 1.7
"""Where a line meets a box, below its top: the middle of the number."""
LINE_EM = 0.11
ELSEWHERE = "sheet 000"
"""The widest words that say on which sheet a step is drawn; measured in their place."""


@dataclass(frozen=True)
class Tall:
    """Heights of one box and of the pointer to it, in em."""

    head: float
    listed: float
    hazard: float
    marks: float
    sources: float
    rows: tuple[float, ...]
    from_mark: float
    stub: float

    @cached_property
    def box(self) -> float:
        """Height of the whole box."""
        return self.above_rows + sum(self.rows)

    @cached_property
    def above_rows(self) -> float:
        """Height of all that stands above the rows."""
        return self.head + self.listed + self.hazard + self.marks + self.sources

    @cached_property
    def row_middles(self) -> tuple[float, ...]:
        """Where the line of each row leaves, below the top of the box."""
        tops = accumulate(self.rows, initial=self.above_rows)
        return tuple(top + row / 2 if row else ARRIVAL_EM for top, row in zip(tops, self.rows, strict=False))


def measured(chart: Chart, sheet: Paper, fonts: FontChoice, column_em: float) -> dict[int, Tall]:
    """Return the heights of every box by its number."""
    heights = measure(TEMPLATE, {**frame_data(chart, sheet, fonts, column_em), "mode": "measure"}, "measured", fonts)
    return {
        one["no"]: Tall(
            one["head"],
            one["list"],
            one["hazard"],
            one["marks"],
            one["sources"],
            tuple(one["rows"]),
            one["from_mark"],
            max(one["stub"], CIRCLE_EM),
        )
        for one in heights
    }


def frame_data(chart: Chart, sheet: Paper, fonts: FontChoice, column_em: float) -> dict[str, Any]:
    """Return what the template needs for measuring and drawing alike."""
    arrivals = arrivals_of(chart)
    digits = _digits(chart)
    language, region = language_of(chart.language)
    return {
        "title": chart.title or chart.tree,
        "book_title": chart.book_title,
        "date": date_of(chart.reviewed),
        "lang": language,
        "region": region,
        "em_mm": sheet.em_mm,
        "col_em": column_em,
        "badge_em": max(2.4, 0.56 * digits + 1.05),
        "badge_h_em": BADGE_HEIGHT_EM,
        "circle_em": CIRCLE_EM,
        "circle_wide_em": circle_wide_em(chart),
        "beside_em": BESIDE_EM,
        "line_em": LINE_EM,
        "fonts": fonts.families,
        "margin_mm": MARGIN_MM,
        "width_mm": sheet.width_mm,
        "height_mm": sheet.height_mm,
        "boxes": [_box_data(chart, box, arrivals[box.no]) for box in chart.boxes],
    }


def circle_wide_em(chart: Chart) -> float:
    """Return how wide a circle must be for the longest number; above three digits it is an ellipse."""
    return max(CIRCLE_EM, 0.56 * _digits(chart) + 0.85)


def _digits(chart: Chart) -> int:
    return max(len(str(box.no)) for box in chart.boxes)


def arrivals_of(chart: Chart) -> dict[int, tuple[int, ...]]:
    """Return, by number, the steps that lead to each box, in ascending order."""
    found: dict[int, list[int]] = {box.no: [] for box in chart.boxes}
    for box in chart.boxes:
        for target in dict.fromkeys(target for _other, target in box.ways()):
            found[target].append(box.no)
    return {no: tuple(sorted(steps)) for no, steps in found.items()}


def from_words(chart: Chart, no: int, steps: tuple[int, ...]) -> str:
    """Return the words above a box that lines reach by number: where one comes from."""
    parts = []
    if no == chart.begin:
        parts.append(_("begin here"))
    if no == chart.phone_exit:
        parts.append(_("by phone, if a step can't be done"))
    if steps:
        shown = ", ".join(str(step) for step in steps[:6])
        parts.append(_("from {shown}{part}").format(shown=shown, part=" …" if len(steps) > 6 else ""))
    return " · ".join(parts)


def stub_words(box: Box, where: str) -> str:
    """Return the words beside a pointer: the sheet, and in a few words the end that is meant."""
    return f"{box.short} · {where}" if box.short else where


def _box_data(chart: Chart, box: Box, arrivals: tuple[int, ...]) -> Mapping[str, Any]:
    grades = dict.fromkeys(hazard.grade for hazard in box.hazards)
    return {
        "no": box.no,
        "kind": box.kind,
        "text": box.text,
        "lines": box.lines,
        "hazards": [(GRADES[grade], ", ".join(h.word for h in box.hazards if h.grade == grade)) for grade in grades],
        "list": box.kind in ("decision", "reading") and len(box.lines) > 1,
        "marks": box.drawn_marks(),
        "sources": box.sources,
        "taken": box.taken,
        "rows": [{"kind": row.kind, "label": row.label, "share": row.share, "taken": row.taken} for row in box.rows],
        "from": from_words(chart, box.no, arrivals),
        "stub": stub_words(box, ELSEWHERE),
    }
