"""Every shipped tree and many made by chance, printed and read back from the PDF: the paper is the tree.

SOOTLINE_CHARTS sets how many charts made by chance are printed (40; the promise is for 300).
"""

from __future__ import annotations

import os
from collections import Counter
from collections.abc import Callable
from dataclasses import replace

import pytest
from printed_chart import PT_PER_MM, Page, paper_faults, read_pages, squeezed, ways_on_paper
from shipped_book import shipped

from graphviz_export.boxes import Chart, chart_of
from graphviz_export.layouts import Layout, lay_out_chart
from graphviz_export.pages import page_bytes
from graphviz_export.paper import paper
from graphviz_export.sheets import Sheet
from trees.book import shipped_book_path

MakeChart = Callable[[int, int], Chart]
COUNT = int(os.environ.get("SOOTLINE_CHARTS", "40"))
BATCH = 10
SHIPPED = sorted(path.stem for path in (shipped_book_path() / "trees").glob("*.yaml"))


def printed(layout: Layout) -> tuple[list[Page], float]:
    """Return the pages of a layout as they stand in the PDF, and the type size in pt."""
    em_pt = layout.paper.em_mm * PT_PER_MM
    return read_pages(page_bytes(layout, "pdf")[0], em_pt, layout.column_em * em_pt), em_pt


def ways_in_the_tree(chart: Chart) -> Counter[tuple[int, str, int]]:
    """Return (step, words of the answer, next step) for every way on."""
    return Counter((box.no, squeezed(box.rows[row].label), target) for box in chart.boxes for row, target in box.ways())


def assert_sound(chart: Chart, layout: Layout) -> None:
    """Hold that the file has the steps, texts and ways of the chart, and no drawing fault."""
    pages, em_pt = printed(layout)
    assert paper_faults(pages) == []
    on_paper = {box.no: (page, box) for page in pages for box in page.boxes}
    assert set(on_paper) == {box.no for box in chart.boxes}
    assert Counter({(a, squeezed(w), b): n for (a, w, b), n in ways_on_paper(pages, em_pt).items()}) == (
        ways_in_the_tree(chart)
    )
    for box in chart.boxes:
        _, drawn = on_paper[box.no]
        words = squeezed(drawn.words)
        texts = [box.text, *box.lines, *(row.label for row in box.rows), *(h.word for h in box.hazards), *box.marks()]
        assert [text for text in texts if squeezed(text) not in words] == [], box.no


@pytest.mark.parametrize("tree", SHIPPED)
@pytest.mark.parametrize(("size", "read_from_m"), [("A3", 0.7), ("A2", 1.0)])
def test_every_shipped_tree_reads_back_as_itself(tree: str, size: str, read_from_m: float) -> None:
    """Steps, texts, answers and where each leads are the same in the file as in the book; nothing crosses."""
    chart = chart_of(shipped(), tree)
    assert_sound(chart, lay_out_chart(chart, paper(size, read_from_m)))


@pytest.mark.parametrize("first", range(0, COUNT, BATCH))
def test_charts_made_by_chance_read_back_as_themselves(make_chart: MakeChart, first: int) -> None:
    """The same for charts of 3 to 60 steps, now and then 150, on all papers."""
    for seed in range(first, min(first + BATCH, COUNT)):
        steps = 150 if seed % 50 == 49 else 3 + seed * 7 % 58
        chart = make_chart(seed, steps)
        size, read_from_m = (("A3", 0.7), ("A4", 0.5), ("A2", 1.0), ("A3", 0.5), ("A1", 0.7))[seed % 5]
        assert_sound(chart, lay_out_chart(chart, paper(size, read_from_m)))


@pytest.mark.parametrize("first", [1, 10, 100, 1000, 10000])
def test_numbers_stay_inside_their_signs(make_chart: MakeChart, first: int) -> None:
    """Whatever the number of digits, all of it stands inside its circle or badge, and the chart reads back."""
    chart = make_chart(6, 30)
    boxes = tuple(
        replace(
            box,
            no=box.no - 100 + first,
            rows=tuple(replace(row, target=row.target - 100 + first) for row in box.rows if row.target is not None),
        )
        for box in chart.boxes
    )
    chart = replace(chart, boxes=boxes, begin=first)
    layout = lay_out_chart(chart, paper("A3", 0.7))
    pages, em_pt = printed(layout)
    circles = [(page, pointer) for page in pages for pointer in page.pointers if "·" not in pointer.words]
    assert circles
    for page, pointer in circles:
        left, top, right, bottom = pointer.area
        letters = [area for _, area in page.glyphs if left < (area[0] + area[2]) / 2 < right and top < area[1] < bottom]
        assert min(area[0] for area in letters) > left + 0.1 * em_pt
        assert max(area[2] for area in letters) < right - 0.1 * em_pt
    assert_sound(chart, layout)


def test_regions_share_no_sheet_and_are_one_chart_together(make_chart: MakeChart) -> None:
    """Set for set, the pages of the regions are those of the whole: same numbers of sheets, every way true."""
    chart = make_chart(8, 90)
    layout = lay_out_chart(chart, paper("A3", 0.7), by_region=True)
    assert len(layout.sets) > 1
    em_pt = layout.paper.em_mm * PT_PER_MM
    pages: list[Page] = []
    for region in range(len(layout.sets)):
        data = page_bytes(layout, "pdf", region)[0]
        pages += _renumbered(read_pages(data, em_pt, layout.column_em * em_pt), len(pages))
    assert len(pages) == len(layout.sheets) == sum(layout.sets)
    assert [squeezed(f"{page.no}/{len(pages)}") in squeezed(page.text) for page in pages] == [True] * len(pages)
    assert paper_faults(pages) == []
    assert ways_on_paper(pages, em_pt).total() == ways_in_the_tree(chart).total()


def _renumbered(pages: list[Page], before: int) -> list[Page]:
    """Return the pages of a later file numbered as their title blocks do; “this sheet” follows."""
    for page in pages:
        for pointer in page.pointers:
            if pointer.words.endswith("thissheet"):
                pointer.sheet = page.no + before
        page.no += before
    return pages


def _damaged(layout: Layout, index: int, sheet: Sheet) -> Layout:
    sheets = list(layout.sheets)
    sheets[index] = sheet
    return replace(layout, sheets=tuple(sheets))


def test_damage_on_paper_is_seen(make_chart: MakeChart) -> None:
    """Positive control: each kind of damage, drawn and read back, is found for what it is."""
    chart = make_chart(5, 60)
    layout = lay_out_chart(chart, paper("A3", 0.7))
    assert paper_faults(printed(layout)[0]) == []
    index = next(i for i, sheet in enumerate(layout.sheets) if len(sheet.boxes) > 2 and len(sheet.lines) > 2)
    sheet = layout.sheets[index]
    first, second = sheet.boxes[0], sheet.boxes[1]

    def faults(changed: Sheet) -> str:
        return "\n".join(paper_faults(printed(_damaged(layout, index, changed))[0]))

    over = replace(second, x=first.x + 1, y=first.y + 1)
    assert "lies over" in faults(replace(sheet, boxes=tuple(over if b is second else b for b in sheet.boxes)))
    assert "lines leave the row" in faults(replace(sheet, lines=sheet.lines[1:]))
    pages, em_pt = printed(_damaged(layout, index, replace(sheet, boxes=sheet.boxes[1:])))
    assert first.no not in {box.no for page in pages for box in page.boxes}
    assert any(-1 in (start, end) for start, _, end in ways_on_paper(pages, em_pt))
    line = next(line for line in sheet.lines if len(line.points) == 4)
    home = next(box for box in sheet.boxes if box.no == line.start)
    (x0, y0), second_point, third, last = line.points
    bent = replace(line, points=((x0 - home.width / 2, y0), second_point, third, last))
    assert "runs through" in faults(replace(sheet, lines=tuple(bent if one is line else one for one in sheet.lines)))
    low = max(y for one in sheet.lines for _, y in one.points) + 1
    across = replace(line, points=((x0, y0 - 0.3), (second_point[0], y0 - 0.3), (second_point[0], low), (last[0], low)))
    assert "two lines meet" in faults(replace(sheet, lines=(*sheet.lines, across)))


def test_a_line_to_the_wrong_step_and_a_pointer_to_the_wrong_sheet_are_seen(make_chart: MakeChart) -> None:
    """Positive control for what the drawing says: the way read back is not the way in the tree."""
    chart = make_chart(5, 60)
    layout = lay_out_chart(chart, paper("A3", 0.7))
    box = next(box for box in chart.boxes if len({target for _, target in box.ways()}) > 1)
    targets = [row.target for row in box.rows]
    rows = [replace(row, target=to) for row, to in zip(box.rows, (*targets[1:], targets[0]), strict=True)]
    turned = replace(box, rows=tuple(rows))
    wrong = replace(chart, boxes=tuple(turned if one is box else one for one in chart.boxes))
    pages, em_pt = printed(layout)
    assert ways_on_paper(pages, em_pt) != ways_in_the_tree(wrong)
    swapped = replace(layout, sheets=(layout.sheets[0], *layout.sheets[:0:-1]))
    lies = paper_faults(_as_numbered(printed(swapped)[0], len(layout.sheets)))
    assert any("names sheet" in fault for fault in lies)


def _as_numbered(pages: list[Page], count: int) -> list[Page]:
    """Hang the sheets up in the order in which they should have been printed."""
    for page in pages[1:]:
        page.no = count + 2 - page.no
    return pages
