"""Printed pages, judged by what stands in the PDF and not by the layout's own lists."""

from __future__ import annotations

import io
import math
import re
from collections.abc import Callable
from dataclasses import dataclass, field
from itertools import combinations, pairwise
from typing import Any

import pypdf
import pytest
from pypdf.generic import ContentStream

from graphviz_export.boxes import Box, Chart, chart_of
from graphviz_export.pages import Layout, lay_out_chart, page_bytes
from graphviz_export.paper import paper
from trees.book import load_book, shipped_book_path
from trees.book.model import Book

MakeBook = Callable[..., Book]
MakeChart = Callable[[int, int], Chart]
TREES = ("smoke_on_start", "supply", "commissioning")
SHIPPED = sorted(path.stem for path in (shipped_book_path() / "trees").glob("*.yaml"))
CAP_PER_EM = 1409 / 2048
"""sCapHeight and unitsPerEm of Arimo, read from the OS/2 and head tables of the font file with a font tool."""
PT_PER_MM = 72 / 25.4
Point = tuple[float, float]


@dataclass
class Page:
    """Paths and pieces of text of one page; points from the upper left corner, in pt."""

    text: str
    sizes: dict[str, set[float]] = field(default_factory=dict)
    """Piece of text → type sizes in which it stands."""
    flows: list[list[Point]] = field(default_factory=list)
    frames: list[tuple[float, float, float, float]] = field(default_factory=list)
    """Left, top, right, bottom of every outline that is as wide as a column."""
    circles: list[tuple[float, float, float, float]] = field(default_factory=list)
    bars: list[float] = field(default_factory=list)
    """Widths in mm of outlined bars in the title block."""


def read_pages(data: bytes, em_pt: float, column_pt: float) -> list[Page]:
    """Read paths, type sizes and text of every page."""
    reader = pypdf.PdfReader(io.BytesIO(data))
    return [_read_page(reader, page, em_pt, column_pt) for page in reader.pages]


def _read_page(reader: pypdf.PdfReader, page: Any, em_pt: float, column_pt: float) -> Page:
    sizes: dict[str, set[float]] = {}

    def visit(text: str, cm: list[float], tm: list[float], _font: object, size: float) -> None:
        scale = math.hypot(cm[0], cm[1]) * math.hypot(tm[0], tm[1])
        for word in text.split():
            sizes.setdefault(word, set()).add(round(size * scale, 3))

    found = Page(page.extract_text(visitor_text=visit), sizes)
    for points, curved, width in _strokes(ContentStream(page.get_contents(), reader), float(page.mediabox.height)):
        xs, ys = [x for x, _ in points], [y for _, y in points]
        area = (min(xs), min(ys), max(xs), max(ys))
        if abs(width - 0.11 * em_pt) < 0.01 * em_pt:
            if curved:
                found.circles.append(area)
            else:
                found.flows.append(points)
        elif abs(area[2] - area[0] - column_pt) < 0.01 and width > 0.08 * em_pt:
            found.frames.append(area)
        elif abs(width - 0.4) < 0.001:
            found.bars.append((area[2] - area[0]) / PT_PER_MM)
    return found


def _strokes(content: ContentStream, height: float) -> list[tuple[list[Point], bool, float]]:
    """Return (points, has curves, line width) of everything that is stroked."""
    matrix, width, stack = (1.0, 0.0, 0.0, 1.0, 0.0, 0.0), 1.0, []
    points: list[Point] = []
    curved = False
    done = []
    for operands, operator in content.operations:
        name = operator.decode()
        values = [float(value) for value in operands] if name in ("cm", "w", "m", "l", "c", "re") else []
        if name == "q":
            stack.append((matrix, width))
        elif name == "Q":
            matrix, width = stack.pop()
        elif name == "cm":
            matrix = _times(values, matrix)
        elif name == "w":
            width = values[0]
        elif name in ("m", "l"):
            points.append(_place(matrix, values[0], values[1], height))
        elif name == "c":
            curved = True
            points.append(_place(matrix, values[4], values[5], height))
        elif name == "re":
            x, y, w, h = values
            points += [_place(matrix, x, y, height), _place(matrix, x + w, y + h, height)]
        elif name in ("S", "s", "B", "b", "f", "F", "n", "W", "f*", "B*"):
            if name in ("S", "s", "B", "b", "B*") and points:
                done.append((points, curved, width))
            if name != "W":
                points, curved = [], False
    return done


def _times(m: list[float], n: tuple[float, ...]) -> tuple[float, float, float, float, float, float]:
    return (
        m[0] * n[0] + m[1] * n[2],
        m[0] * n[1] + m[1] * n[3],
        m[2] * n[0] + m[3] * n[2],
        m[2] * n[1] + m[3] * n[3],
        m[4] * n[0] + m[5] * n[2] + n[4],
        m[4] * n[1] + m[5] * n[3] + n[5],
    )


def _place(m: tuple[float, ...], x: float, y: float, height: float) -> Point:
    return m[0] * x + m[2] * y + m[4], height - (m[1] * x + m[3] * y + m[5])


def _letters(text: str) -> str:
    """Return the text without white space and hyphens, which line breaks change."""
    return re.sub(r"[\s\u00ad-]", "", text)


def _words(box: Box) -> list[str]:
    return [str(box.no), box.text, *box.lines, *(row.label for row in box.rows), *(h.word for h in box.hazards)]


def _made(chart: Chart, size: str = "A3", read_from_m: float = 0.7) -> tuple[Layout, bytes, list[Page]]:
    layout = lay_out_chart(chart, paper(size, read_from_m))
    data = page_bytes(layout, "pdf")[0]
    em_pt = layout.paper.em_mm * PT_PER_MM
    return layout, data, read_pages(data, em_pt, layout.column_em * em_pt)


@pytest.mark.parametrize("tree", TREES)
@pytest.mark.parametrize(("size", "read_from_m"), [("A3", 0.7), ("A4", 0.5), ("A2", 1.0)])
def test_every_text_of_a_step_is_found_on_its_one_sheet(
    make_book: MakeBook, tree: str, size: str, read_from_m: float
) -> None:
    """Nothing that the book says at a step is lost on the way to paper."""
    chart = chart_of(make_book(), tree)
    layout, _, pages = _made(chart, size, read_from_m)
    assert len(pages) == len(layout.sheets)
    where = layout.sheet_of()
    assert set(where) == {box.no for box in chart.boxes}
    for box in chart.boxes:
        page = _letters(pages[where[box.no] - 1].text)
        assert [words for words in _words(box) if _letters(words) not in page] == []


@pytest.fixture(scope="module")
def shipped() -> Book:
    """Return the book that ships."""
    return load_book(shipped_book_path())


@pytest.mark.parametrize("tree", SHIPPED)
def test_every_shipped_tree_is_sound_on_paper(shipped: Book, tree: str) -> None:
    """Each tree that ships prints at the default paper and distance: all texts found, lines sound in the file."""
    chart = chart_of(shipped, tree)
    layout, _, pages = _made(chart)
    _sound(chart, layout, pages)
    where = layout.sheet_of()
    for box in chart.boxes:
        page = _letters(pages[where[box.no] - 1].text)
        assert [words for words in _words(box) if _letters(words) not in page] == []


@pytest.mark.parametrize("read_from_m", [0.5, 0.7, 1.0])
def test_capitals_are_as_high_as_the_distance_asks(make_book: MakeBook, read_from_m: float) -> None:
    """Every word in a box stands in the size whose capitals take 16 arc minutes, to 2 per cent; none is shrunk."""
    chart = chart_of(make_book(title="Qwertz"), "smoke_on_start")
    _, _, pages = _made(chart, "A0", read_from_m)
    assert len(pages) == 1  # a list of sheets repeats some words in small type
    asked_mm = 2 * read_from_m * 1000 * math.tan(math.radians(16 / 60) / 2)
    words = {word for box in chart.boxes for text in _words(box)[1:] for word in text.split() if len(word) > 4}
    title = {"reading", "other", "chart,", "back", "chart"}  # these stand in the legend too
    found = {word: size for page in pages for word, size in page.sizes.items() if word in words - title}
    assert len(found) > 30
    for word, sizes in found.items():
        for size in sizes:
            assert size / PT_PER_MM * CAP_PER_EM == pytest.approx(asked_mm, rel=0.02), word


def test_the_distance_sets_the_size_and_not_the_paper(make_book: MakeBook) -> None:
    """3.26 mm at 0.7 m, 4.65 mm at 1 m: 2 d tan(a/2) at 16 arc minutes, worked out by hand."""
    assert paper("A4", 0.7).cap_mm == pytest.approx(3.258, abs=0.001)
    assert paper("A0", 1.0).cap_mm == pytest.approx(4.654, abs=0.001)
    assert paper("A3", 0.7, 20).cap_mm == pytest.approx(4.072, abs=0.001)


@pytest.mark.parametrize("size", ["A4", "A3"])
def test_the_test_bar_measures_100_mm(make_book: MakeBook, size: str) -> None:
    """Whoever prints a chart can see whether the printer shrank it."""
    _, _, pages = _made(chart_of(make_book(), "smoke_on_start"), size)
    for page in pages:
        assert [bar for bar in page.bars if bar == pytest.approx(100.0, abs=0.05)]


def test_the_title_block_says_what_hangs_there(make_book: MakeBook) -> None:
    """Tree, book, edition, review date, fingerprint, sheet, distance, and that the maker's manual comes first."""
    _, _, pages = _made(chart_of(make_book(), "smoke_on_start"), "A4")
    for number, page in enumerate(pages, 1):
        text = _letters(page.text)
        for words in (
            "White or blue smoke when it starts",
            "Heaters of boats and huts",
            "Edition 2026.1",
            "2026-11-25",
            "0123456789ab",
            f"{number} / {len(pages)}",
            "0.7 m",
            "must measure 100 mm",
            "The maker's manual and local rules come first.",
        ):
            assert _letters(words) in text.replace("’", "'")


def test_same_input_gives_the_same_bytes(make_book: MakeBook) -> None:
    """Two people who print one edition hold the same file."""
    one = _made(chart_of(make_book(), "smoke_on_start"))[1]
    other = _made(chart_of(make_book(), "smoke_on_start"))[1]
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
    layout, _, pages = _made(chart_of(make_book(), "smoke_on_start"))
    for sheet, page in zip(layout.sheets, pages, strict=True):
        places = [page.text.index(f"{box.no} ") for box in sheet.boxes]
        assert places == sorted(places)


def _sound(chart: Chart, layout: Layout, pages: list[Page]) -> None:
    """Check lines, boxes and pointers as they stand in the file."""
    ways = sum(len(box.ways()) for box in chart.boxes)
    assert sum(len(page.flows) for page in pages) == ways
    assert len({no for sheet in layout.sheets for no in (box.no for box in sheet.boxes)}) == len(chart.boxes)
    for page in pages:
        areas = [*dict.fromkeys(page.frames), *page.circles]
        for flow in page.flows:
            x, y = flow[0]
            assert any(abs(x - right) < 0.5 and top <= y <= bottom for _, top, right, bottom in page.frames)
            x, y = flow[-1]
            tip = 0.75 * 0.8 * layout.paper.em_mm * PT_PER_MM
            assert any(abs(x + tip - left) < 1.0 and top <= y <= bottom for left, top, _, bottom in areas)
            assert not any(_enters(flow, area) for area in areas)
        for one, other in combinations(page.flows, 2):
            if one[-1] != pytest.approx(other[-1], abs=0.01):
                assert not _cross(one, other)


def _enters(flow: list[Point], area: tuple[float, float, float, float]) -> bool:
    left, top, right, bottom = area
    pairs = list(pairwise(flow))
    return any(
        max(a[0], b[0]) > left + 0.1
        and min(a[0], b[0]) < right - 0.1
        and max(a[1], b[1]) > top + 0.1
        and min(a[1], b[1]) < bottom - 0.1
        for a, b in pairs
    )


def _cross(one: list[Point], other: list[Point]) -> bool:
    for a, b in pairwise(one):
        for c, d in pairwise(other):
            apart_x = max(a[0], b[0]) < min(c[0], d[0]) - 0.01 or max(c[0], d[0]) < min(a[0], b[0]) - 0.01
            apart_y = max(a[1], b[1]) < min(c[1], d[1]) - 0.01 or max(c[1], d[1]) < min(a[1], b[1]) - 0.01
            if not (apart_x or apart_y):
                return True
    return False


@pytest.mark.parametrize("tree", TREES)
def test_lines_in_the_file_join_boxes_and_never_cross(make_book: MakeBook, tree: str) -> None:
    """Each answer has one line that leaves a box and ends at a box or a pointer, crossing nothing."""
    chart = chart_of(make_book(), tree)
    layout, _, pages = _made(chart)
    _sound(chart, layout, pages)


@pytest.mark.parametrize(("seed", "steps"), [(1, 20), (2, 60), (3, 150)])
def test_lines_of_charts_made_by_chance_are_sound_in_the_file(make_chart: MakeChart, seed: int, steps: int) -> None:
    """The same for larger charts with many pointers."""
    chart = make_chart(seed, steps)
    layout, _, pages = _made(chart, "A2")
    _sound(chart, layout, pages)


def test_pointers_in_the_file_name_the_right_sheet(make_chart: MakeChart) -> None:
    """The words beside every circle are the sheet on which that step is drawn."""
    chart = make_chart(5, 60)
    layout, _, pages = _made(chart)
    where = layout.sheet_of()
    assert len(pages) > 1
    seen = 0
    for number, page in enumerate(pages, 1):
        for no, sheet in re.findall(r"\b(\d{3})\s+(?:Released · )?(sheet \d+|this sheet)", page.text):
            seen += 1
            assert sheet == ("this sheet" if where[int(no)] == number else f"sheet {where[int(no)]}")
    assert seen == sum(len(sheet.stubs) for sheet in layout.sheets)


def test_the_first_sheet_lists_all_sheets(make_chart: MakeChart) -> None:
    """Whoever stands before the first sheet knows where the others begin."""
    layout, _, pages = _made(make_chart(5, 60))
    first = _letters(pages[0].text)
    for number, sheet in enumerate(layout.sheets, 1):
        begin = layout.chart.begin if number == 1 else min(box.no for box in sheet.boxes)
        assert f"{number}{begin}:" in first
    assert "Sheetsofthisset" not in _letters(pages[1].text)
