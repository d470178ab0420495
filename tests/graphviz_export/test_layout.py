"""Cutting and layout on charts made by chance: sound always, and damage is seen."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace

import pytest
from made_chart import made_chart

from graphviz_export.boxes import Box, Chart, Row
from graphviz_export.columns import Room
from graphviz_export.faults import chart_faults, sheet_faults
from graphviz_export.measures import BESIDE_EM, COLUMNS_EM, Tall, arrivals_of, circle_wide_em
from graphviz_export.paper import Paper, paper
from graphviz_export.sheets import Sheet
from graphviz_export.split import split
from trees.errors import PaperError

MakeChart = Callable[[int, int], Chart]


def _cut(chart: Chart, sheet: Paper) -> list[Sheet]:
    """Cut with heights by rule of thumb: this is about places, measuring is tried elsewhere."""
    tall = {box.no: _tall(box) for box in chart.boxes}
    homes = {target: box.no for box in chart.boxes for _, target in box.ways() if not chart.box(target).ways()}
    return list(split(chart, _room(chart, tall, homes, sheet), sheet).sheets)


def _tall(box: Box) -> Tall:
    rows = tuple(0.0 if row.kind == "through" else 1.4 * (1 + len(row.label) // 26) for row in box.rows)
    hazard = 1.6 * len(box.hazards)
    return Tall(1.0 + 1.15 * max(2, 1 + len(box.text) // 19), 0.0, hazard, 1.3, 0.0, rows, 1.2, 2.4)


def _room(chart: Chart, tall: dict[int, Tall], homes: dict[int, int], sheet: Paper) -> Room:
    return Room(
        boxes={box.no: box for box in chart.boxes},
        tall=tall,
        ways={box.no: box.ways() for box in chart.boxes},
        arrivals=arrivals_of(chart),
        homes=homes,
        begin=chart.begin,
        marked=frozenset({chart.begin}),
        column_em=COLUMNS_EM[0],
        stub_em=circle_wide_em(chart) + BESIDE_EM,
        width=sheet.width_em,
        height=sheet.height_em,
    )


@pytest.mark.parametrize("size", ["A4", "A3", "A1"])
@pytest.mark.parametrize("steps", [12, 40, 90])
def test_charts_made_by_chance_come_out_sound(make_chart: MakeChart, steps: int, size: str) -> None:
    """No overlap, no crossing, no line through a box, each step on one sheet, one line a row, all inside the sheet."""
    sheet = paper(size, 0.5)
    for seed in range(6):
        chart = make_chart(seed, steps)
        cut = _cut(chart, sheet)
        assert chart_faults(chart, cut) == ()
        for one in cut:
            right = [thing.x + thing.width for thing in (*one.boxes, *one.stubs)]
            low = [thing.y + thing.height for thing in (*one.boxes, *one.stubs)]
            assert max(right) <= sheet.width_em + 1e-6
            assert max(low) <= sheet.height_em + 1e-6
        assert chart.begin in {box.no for box in cut[0].boxes}


def test_a_larger_sheet_never_needs_more_of_them(make_chart: MakeChart) -> None:
    """Paper that is larger in both ways carries at least as much."""
    for seed in range(4):
        chart = make_chart(seed, 40)
        counts = [len(_cut(chart, paper(size, 0.7))) for size in ("A3", "A2", "A1", "A0")]
        assert counts == sorted(counts, reverse=True)


def test_what_fits_on_one_sheet_is_not_cut(make_chart: MakeChart) -> None:
    """A small tree is one picture."""
    assert len(_cut(make_chart(1, 8), paper("A1", 0.5))) == 1


def _chain(count: int) -> Chart:
    boxes = [Box(no=n, kind="action", text="go on", rows=(Row("", n + 1, "through"),)) for n in range(100, 100 + count)]
    end = Box(no=100 + count, kind="end", text="Released", short="Released")
    return made_chart(*boxes, end)


def test_a_chain_longer_than_the_sheet_is_wide_goes_on_below() -> None:
    """Twenty steps in a row stand on one sheet of six columns: the chain is folded by a pointer, not by a sheet."""
    chart = _chain(20)
    cut = _cut(chart, paper("A3", 0.7))
    assert len(cut) == 1
    assert chart_faults(chart, cut) == ()
    assert cut[0].stubs


def test_a_very_long_chain_is_many_sheets_and_no_crash() -> None:
    """A hundred and twenty steps in a row are cut like any other tree."""
    chart = _chain(120)
    assert chart_faults(chart, _cut(chart, paper("A4", 0.5))) == ()


def test_a_step_larger_than_the_paper_is_named_with_what_would_do() -> None:
    """Nothing is shrunk: the step is named, and the paper or the distance on which it fits."""
    rows = tuple(Row(f"answer {index}", 200) for index in range(35))
    chart = _chain(2)
    chart = replace(chart, boxes=(*chart.boxes, Box(no=150, kind="decision", text="Many?", rows=rows), *_ends(200)))
    with pytest.raises(PaperError, match=r"^Step 150 is too large for A3 at 0.7 m: it needs \d+ x \d+ mm") as refused:
        _cut(chart, paper("A3", 0.7))
    offered = re.search(r"paper (A\d), or a reading distance of ([\d.]+) m", str(refused.value))
    assert offered is not None
    assert _cut(chart, paper(offered[1], 0.7))
    assert _cut(chart, paper("A3", float(offered[2])))


def _ends(*numbers: int) -> list[Box]:
    return [Box(no=no, kind="end", text="Released", short="Released") for no in numbers]


def test_a_damaged_layout_is_reported_as_damaged(make_chart: MakeChart) -> None:
    """Positive control: each kind of damage is seen for what it is."""
    chart = make_chart(3, 40)
    cut = _cut(chart, paper("A1", 0.7))
    sheet = cut[0]
    boxes = sorted(sheet.boxes, key=lambda box: (box.x, box.y))
    first, second = boxes[0], boxes[1]
    over = replace(second, x=first.x, y=first.y)
    moved = replace(sheet, boxes=tuple(over if box is second else box for box in sheet.boxes))
    assert any("lies over" in fault for fault in sheet_faults(moved))

    line = next(line for line in sheet.lines if len(line.points) == 4)
    start = line.points[0]
    through = replace(line, points=(start, (start[0] - COLUMNS_EM[0] / 2, start[1]), *line.points[1:]))
    bent = replace(sheet, lines=tuple(through if one is line else one for one in sheet.lines))
    assert any("runs through" in fault for fault in sheet_faults(bent))

    low = max(point[1] for one in sheet.lines for point in one.points) + 1
    x = line.points[1][0]
    across = replace(line, row=99, points=((x - 1, line.points[1][1]), (x + 1, low)))
    assert any("meets the line" in fault for fault in sheet_faults(replace(sheet, lines=(*sheet.lines, across))))

    lost = replace(sheet, boxes=tuple(box for box in sheet.boxes if box is not first), lines=sheet.lines[1:])
    found = chart_faults(chart, [lost, *cut[1:]])
    assert any(f"step {first.no} is drawn 0 times" in fault for fault in found)
    assert any("has 0 lines" in fault for fault in found)
    assert any("is drawn 2 times" in fault for fault in chart_faults(chart, [*cut, sheet]))

    left = replace(sheet, boxes=(replace(first, x=-1.0), *(box for box in sheet.boxes if box is not first)))
    assert any("hangs over the edge" in fault for fault in sheet_faults(left))
