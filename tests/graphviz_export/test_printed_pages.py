"""Printed pages, judged by what stands in the PDF: sizes, test bar, title block, order of reading, grey print."""

from __future__ import annotations

import io
import math
from collections.abc import Callable
from itertools import combinations
from typing import Any

import numpy as np
import pypdf
import pypdfium2
import pytest
from made_chart import made_chart
from measured import measured
from printed_chart import PT_PER_MM, Area, Page, paper_faults, read_pages, squeezed

from graphviz_export.boxes import Box, Chart, Hazard, Row, chart_of
from graphviz_export.layouts import Layout, lay_out_chart
from graphviz_export.pages import page_bytes
from graphviz_export.paper import paper
from trees.book.model import Book

MakeBook = Callable[..., Book]
MakeChart = Callable[[int, int], Chart]
FLAT_CAPITALS = frozenset("BDEFHIKLMNPRTXZ")
"""Capitals that end on the line and at the height of capitals, without a curve that reaches over."""


def _made(chart: Chart, size: str = "A3", read_from_m: float = 0.7, minutes: float = 16) -> tuple[Layout, bytes]:
    layout = lay_out_chart(chart, paper(size, read_from_m, minutes))
    return layout, page_bytes(layout, "pdf")[0]


def _pages(layout: Layout, data: bytes) -> list[Page]:
    em_pt = layout.paper.em_mm * PT_PER_MM
    return read_pages(data, em_pt, layout.column_em * em_pt)


@pytest.mark.parametrize(("read_from_m", "minutes"), [(0.5, 16), (0.7, 16), (1.0, 16), (0.7, 20)])
def test_capitals_are_as_high_as_the_distance_asks(make_book: MakeBook, read_from_m: float, minutes: float) -> None:
    """The drawn height of every capital in every box is what the angle asks at that distance, to 2 per cent."""
    layout, data = _made(chart_of(make_book(), "smoke_on_start"), "A1", read_from_m, minutes)
    asked_pt = 2 * read_from_m * 1000 * math.tan(math.radians(minutes / 60) / 2) * PT_PER_MM
    heights = [
        bottom - top
        for page in _pages(layout, data)
        for box in page.boxes
        for letter, (left, top, right, bottom) in page.glyphs
        if letter in FLAT_CAPITALS and box.area[0] < left and right < box.area[2] and box.area[1] < top < box.area[3]
    ]
    assert len(heights) > 40
    assert min(heights) == pytest.approx(asked_pt, rel=0.02)
    assert max(heights) == pytest.approx(asked_pt, rel=0.02)
    worst = max(abs(height / asked_pt - 1.0) for height in heights)
    measured("capitals", capitals=len(heights), worst_per_cent=100.0 * worst)


def test_the_distance_sets_the_size_and_not_the_paper() -> None:
    """3.26 mm at 0.7 m, 4.65 mm at 1 m: 2 d tan(a/2) at 16 arc minutes, worked out by hand."""
    assert paper("A4", 0.7).cap_mm == pytest.approx(3.258, abs=0.001)
    assert paper("A0", 1.0).cap_mm == pytest.approx(4.654, abs=0.001)
    assert paper("A3", 0.7, 20).cap_mm == pytest.approx(4.072, abs=0.001)


@pytest.mark.parametrize("size", ["A4", "A3"])
def test_the_test_bar_measures_100_mm(make_book: MakeBook, size: str) -> None:
    """Whoever prints a chart can see whether the printer shrank it."""
    for page in _pages(*_made(chart_of(make_book(), "smoke_on_start"), size)):
        assert [bar for bar in page.bars_mm if bar == pytest.approx(100.0, abs=0.05)]


def test_the_title_block_says_what_hangs_there(make_book: MakeBook) -> None:
    """Tree, book, edition, review date, fingerprint, sheet, distance, legend, and that the maker's manual is first."""
    pages = _pages(*_made(chart_of(make_book(), "smoke_on_start"), "A4"))
    for number, page in enumerate(pages, 1):
        text = squeezed(page.text).replace("’", "'")
        for words in (
            "White or blue smoke when it starts",
            "Heaters of boats and huts",
            "Edition 2026.1",
            "2026-11-25",
            "0123456789ab",
            f"{number} / {len(pages)}",
            "0.7 m",
            "must measure 100 mm",
            "go on at the step of that number",
            "at the bench",
            "The maker's manual and local rules come first.",
        ):
            assert squeezed(words) in text, words


def test_same_input_gives_the_same_bytes(make_book: MakeBook) -> None:
    """Two people who print one edition hold the same file."""
    one, other = (_made(chart_of(make_book(), "smoke_on_start"))[1] for _ in range(2))
    assert one == other


def test_pages_are_tagged_for_screen_readers(make_book: MakeBook) -> None:
    """The file is marked as PDF/UA-1, with title and language."""
    reader = pypdf.PdfReader(io.BytesIO(_made(chart_of(make_book(), "smoke_on_start"))[1]))
    root: Any = reader.trailer["/Root"]
    assert root["/Lang"] == "en"
    assert root["/MarkInfo"]["/Marked"]
    assert b"<pdfuaid:part>1<" in root["/Metadata"].get_data()
    assert reader.metadata is not None
    assert reader.metadata.title == "White or blue smoke when it starts"


def test_steps_are_read_in_the_order_of_their_numbers(make_book: MakeBook) -> None:
    """A screen reader meets the boxes of a sheet as the numbers run."""
    layout, data = _made(chart_of(make_book(), "smoke_on_start"))
    for sheet, page in zip(layout.sheets, pypdf.PdfReader(io.BytesIO(data)).pages, strict=True):
        text = page.extract_text()
        places = [text.index(f"{box.no} ") for box in sheet.boxes]
        assert places == sorted(places)


def test_the_first_sheet_lists_all_sheets(make_chart: MakeChart) -> None:
    """Whoever stands before the first sheet knows where the others begin."""
    layout, data = _made(make_chart(5, 60))
    pages = _pages(layout, data)
    first = squeezed(pages[0].text)
    for page in pages:
        begin = layout.chart.begin if page.no == 1 else min(box.no for box in page.boxes)
        assert f"{page.no}{begin}:" in first
    assert "Sheetsofthisset" in first
    assert "Sheetsofthisset" not in squeezed(pages[1].text)


def test_numbers_say_what_they_rest_on_if_that_is_asked(make_book: MakeBook) -> None:
    """With `sources` a reading says where its limits come from; without, nothing of it is printed."""
    plain, asked = (chart_of(make_book(), "smoke_on_start", sources=sources) for sources in (False, True))
    layout, data = _made(asked)
    (gap,) = (box for page in _pages(layout, data) for box in page.boxes if box.no == 205)
    assert squeezed("Numbers: from memory") in gap.words
    assert paper_faults(_pages(layout, data)) == []
    assert "frommemory" not in "".join(squeezed(page.text) for page in _pages(*_made(plain)))


def _one_of_each() -> Chart:
    """Return a chart whose boxes differ in nothing but their class."""
    kinds = ("decision", "reading", "action", "run", "over_to", "end", "stop", "return")
    boxes = [Box(no=100 + n, kind=kind, text="Same words") for n, kind in enumerate(kinds)]  # type: ignore[arg-type]
    boxes.append(Box(no=108, kind="action", text="Same words", hazards=(Hazard("WARNING", "Same"),)))
    boxes.append(Box(no=109, kind="action", text="Same words", lines=("WARNING: Same",)))
    rows = (Row("Same words", 100), Row("Same words", 101, taken=True), Row("Same words", None, "stop"))
    boxes.append(Box(no=110, kind="decision", text="Which?", rows=rows))
    boxes.append(Box(no=111, kind="action", text="Same words", taken=True))
    return made_chart(*boxes, begin=110)


def test_black_and_white_keeps_every_class_apart() -> None:
    """Printed grey and with all letters painted over, no two classes look alike: 1 dot in 100 differs plainly."""
    layout, data = _made(_one_of_each(), "A2")
    (page,) = _pages(layout, data)
    scale = 100 / 72
    grey = pypdfium2.PdfDocument(data)[0].render(scale=scale, grayscale=True).to_numpy().squeeze().astype(int)
    for _, area in page.glyphs:
        left, top, right, bottom = (round(value * scale) for value in area)
        grey[top - 1 : bottom + 1, left - 1 : right + 1] = 128
    classes = [box for box in page.boxes if box.no != 110]
    assert len(classes) == 11
    for one, other in combinations(classes, 2):
        high = min(box.area[3] - box.area[1] for box in (one, other))
        apart = np.abs(_cut_out(grey, one.area, high, scale) - _cut_out(grey, other.area, high, scale)) > 30
        assert apart.mean() > 0.01, (one.no, other.no)
    question = next(box for box in page.boxes if box.no == 110)
    (answer,) = page.rows
    stop = _cut_out(grey, (answer[0], question.area[3] - 9, *answer[2:]), 6.0, scale)
    taken = _cut_out(grey, (answer[0], answer[3] + 3, *answer[2:]), 6.0, scale)
    for dark in (taken, stop):
        assert np.median(_cut_out(grey, answer, 6.0, scale)) - np.median(dark) > 100


def _cut_out(grey: Any, area: Area, high: float, scale: float) -> Any:
    """Return the dots of a box with a little around it, in the height given."""
    left, top, right, _ = (round(value * scale) for value in area)
    return grey[top : top + round(high * scale), left - 4 : right + 4]
