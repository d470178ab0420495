"""A printed chart read back from its PDF: boxes, pointers, rows and lines as they stand on paper, and what is wrong."""

from __future__ import annotations

import io
import re
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field
from itertools import combinations, pairwise

import pypdf
import pypdfium2
import pypdfium2.raw as pdfium

PT_PER_MM = 72 / 25.4
Point = tuple[float, float]
Area = tuple[float, float, float, float]
"""Left, top, right, bottom in pt from the upper left corner."""
_TOKEN = re.compile(rb"\((?:\\.|[^\\()]|\((?:\\.|[^\\()])*\))*\)|<[^>]*>|\[|\]|/[^\s/\[\]<>()]+|[^\s\[\]()<>/]+", re.S)
_NUMBER = re.compile(rb"[-+.\d]")
_GREY = 0xDE / 255
_FLOW_EM, _WAY_EM = 0.11, 0.3
_TIP_EM = 0.75 * 0.8
"""The stroke of a line ends inside its arrow head."""


@dataclass
class Path:
    """One painted path."""

    points: list[Point]
    curved: bool
    width: float
    filled: tuple[float, ...] | None
    stroked: bool

    @property
    def area(self) -> Area:
        xs, ys = [x for x, _ in self.points], [y for _, y in self.points]
        return min(xs), min(ys), max(xs), max(ys)


@dataclass
class Thing:
    """A box or a pointer: where it stands, which step it is, and where a pointer sends."""

    area: Area
    no: int
    words: str
    sheet: int | None = None
    """For a pointer the sheet that it names, or this one."""


@dataclass
class Page:
    """One sheet as it is printed."""

    no: int
    text: str
    glyphs: list[tuple[str, Area]]
    flows: list[list[Point]] = field(default_factory=list)
    rows: list[Area] = field(default_factory=list)
    """Grey answer rows."""
    boxes: list[Thing] = field(default_factory=list)
    pointers: list[Thing] = field(default_factory=list)
    bars_mm: list[float] = field(default_factory=list)

    def words_in(self, area: Area) -> str:
        """Return the letters whose middle lies in an area, white space left out."""
        left, top, right, bottom = area
        return "".join(
            letter
            for letter, (x0, y0, x1, y1) in self.glyphs
            if left <= (x0 + x1) / 2 <= right and top <= (y0 + y1) / 2 <= bottom
        )


def read_pages(data: bytes, em_pt: float, column_pt: float) -> list[Page]:
    """Read every page of a chart that was set in that type size with columns of that width."""
    reader = pypdf.PdfReader(io.BytesIO(data))
    document = pypdfium2.PdfDocument(data)
    pages = []
    for index, page in enumerate(reader.pages):
        text_page = document[index].get_textpage()
        height = float(page.mediabox.height)
        found = Page(index + 1, text_page.get_text_range(), list(_glyphs(text_page, height)))
        contents = page.get_contents()
        assert contents is not None
        _sort(found, list(_paths(contents.get_data(), height)), em_pt, column_pt)
        pages.append(found)
    document.close()
    return pages


def squeezed(text: str) -> str:
    """Return the text without white space and hyphens, which line breaks change."""
    return re.sub("[\\s\x02\u00ad\u2060\ufffe-]", "", text)


def _glyphs(text_page: pypdfium2.PdfTextPage, height: float) -> Iterator[tuple[str, Area]]:
    for index in range(text_page.count_chars()):
        letter = chr(pdfium.FPDFText_GetUnicode(text_page, index))
        if not squeezed(letter) or pdfium.FPDFText_IsGenerated(text_page, index) == 1:
            continue
        left, bottom, right, top = text_page.get_charbox(index)
        yield letter, (left, height - top, right, height - bottom)


def _paths(content: bytes, height: float) -> Iterator[Path]:
    matrix, width, stack = (1.0, 0.0, 0.0, 1.0, 0.0, 0.0), 1.0, []
    fill: tuple[float, ...] = (0.0,)
    points: list[Point] = []
    curved = False
    values: list[float] = []

    def put(x: float, y: float) -> None:
        a, b, c, d, e, f = matrix
        points.append((a * x + c * y + e, height - (b * x + d * y + f)))

    for token in _TOKEN.findall(content):
        if _NUMBER.match(token):
            values.append(float(token))
            continue
        name = token.decode("latin-1")
        if name == "q":
            stack.append((matrix, width, fill))
        elif name == "Q":
            matrix, width, fill = stack.pop()
        elif name == "cm":
            a, b, c, d, e, f = values[-6:]
            m, n, o, p, q, r = matrix
            matrix = (a * m + b * o, a * n + b * p, c * m + d * o, c * n + d * p, e * m + f * o + q, e * n + f * p + r)
        elif name == "w":
            width = values[-1]
        elif name in ("scn", "sc", "g", "rg"):
            fill = tuple(values)
        elif name in ("m", "l"):
            put(values[-2], values[-1])
        elif name == "c":
            curved = True
            put(values[-2], values[-1])
        elif name == "re":
            x, y, w, h = values[-4:]
            put(x, y)
            put(x + w, y + h)
        elif name in ("S", "s", "B", "b", "B*", "b*", "f", "F", "f*", "n"):
            if points and name != "n":
                painted = fill if name[0].lower() in "fb" else None
                yield Path(points, curved, width, painted, name[0].lower() in "sb")
            points, curved = [], False
        values = []


def _sort(page: Page, paths: list[Path], em_pt: float, column_pt: float) -> None:
    """Tell from size, stroke and fill what each path is."""
    frames: list[Area] = []
    for path in paths:
        left, top, right, bottom = path.area
        is_wide = abs(right - left - column_pt) < 0.05
        if path.stroked and not path.filled and not path.curved and _near(path.width, _FLOW_EM, _WAY_EM, em=em_pt):
            if len(path.points) in (2, 4) and not is_wide:
                page.flows.append(path.points)
        elif path.curved and path.filled and path.stroked and _near(path.width, _FLOW_EM, em=em_pt):
            page.pointers.append(_circle(page, path.area, em_pt))
        elif is_wide and path.filled and _near(path.filled[0], _GREY, em=1.0) and not path.stroked:
            page.rows.append(path.area)
        elif is_wide and path.filled and (path.curved or path.stroked) and path.width < 0.3 * em_pt:
            frames.append(path.area)
        elif path.stroked and abs(path.width - 0.4) < 0.001 and bottom - top < 3 * PT_PER_MM:
            page.bars_mm.append((right - left) / PT_PER_MM)
    for area in dict.fromkeys(frames):
        _add_frame(page, area, em_pt)


def _near(value: float, *wanted: float, em: float) -> bool:
    return any(abs(value - one * em) < 0.01 * em for one in wanted)


def _circle(page: Page, area: Area, em_pt: float) -> Thing:
    _, top, right, bottom = area
    words = page.words_in((right, top, right + 5.6 * em_pt, bottom))
    return Thing(area, _number(page.words_in(area)), words, _sheet(words, page.no))


def _add_frame(page: Page, area: Area, em_pt: float) -> None:
    words = page.words_in(area)
    badge = (area[0], area[1], area[0] + 4.4 * em_pt, area[1] + 2.9 * em_pt)
    number = re.match(r"(?:STOP)?(\d+)", page.words_in(badge))
    thing = Thing(area, int(number[1]) if number else -1, words)
    if re.search(r"·(?:thissheet|sheet\d+)$", words):
        thing.sheet = _sheet(words, page.no)
        page.pointers.append(thing)
    else:
        page.boxes.append(thing)


def _number(words: str) -> int:
    return int(words) if words.isdecimal() else -1


def _sheet(words: str, here: int) -> int:
    named = re.search(r"sheet(\d+)$", words)
    return int(named[1]) if named else here if words.endswith("thissheet") else -1


def ways_on_paper(pages: list[Page], em_pt: float) -> Counter[tuple[int, str, int]]:
    """Return every line as (step it leaves, words of its row, step it leads to); -1 where it meets nothing."""
    found: Counter[tuple[int, str, int]] = Counter()
    for page in pages:
        for flow in page.flows:
            x, y = flow[0]
            start = [box for box in page.boxes if abs(box.area[2] - x) < 0.5 and box.area[1] <= y <= box.area[3]]
            row = [r for r in page.rows if abs(r[2] - x) < 0.5 and abs((r[1] + r[3]) / 2 - y) < 0.2 * em_pt]
            x, y = flow[-1][0] + _TIP_EM * em_pt, flow[-1][1]
            ends = [
                thing
                for thing in (*page.boxes, *page.pointers)
                if abs(thing.area[0] - x) < 1.0 and thing.area[1] <= y <= thing.area[3]
            ]
            words = "|".join(page.words_in(r) for r in row)
            found[(start[0].no if len(start) == 1 else -1, words, ends[0].no if len(ends) == 1 else -1)] += 1
    return found


def paper_faults(pages: list[Page]) -> list[str]:
    """Return what is wrong with the drawing itself: crossings, overlaps, lines through boxes, pointers that lie."""
    faults = []
    homes = {box.no: page.no for page in pages for box in page.boxes}
    for no, count in Counter(box.no for page in pages for box in page.boxes).items():
        if count != 1 or no < 0:
            faults.append(f"step {no} is drawn {count} times")
    for page in pages:
        things = [*page.boxes, *page.pointers]
        for one, other in combinations(things, 2):
            if _overlap(one.area, other.area):
                faults.append(f"sheet {page.no}: {one.no} lies over {other.no}")
        for flow in page.flows:
            faults += [
                f"sheet {page.no}: a line runs through {thing.no}"
                for thing in things
                if any(_overlap(piece, thing.area) for piece in _pieces(flow))
            ]
        for one, other in combinations(page.flows, 2):
            apart = abs(one[-1][0] - other[-1][0]) > 0.01 or abs(one[-1][1] - other[-1][1]) > 0.01
            if apart and any(_touch(a, b) for a in _pieces(one) for b in _pieces(other)):
                faults.append(f"sheet {page.no}: two lines meet")
        starts = [flow[0] for flow in page.flows]
        for row in page.rows:
            middle = (row[1] + row[3]) / 2
            lines = sum(abs(x - row[2]) < 0.5 and row[1] < y < row[3] for x, y in starts)
            if lines != 1:
                faults.append(f"sheet {page.no}: {lines} lines leave the row at {middle:.0f} pt")
        faults += [
            f"sheet {page.no}: the pointer to {pointer.no} names sheet {pointer.sheet}"
            for pointer in page.pointers
            if homes.get(pointer.no) != pointer.sheet
        ]
    return faults


def _pieces(flow: list[Point]) -> list[Area]:
    return [(min(a[0], b[0]), min(a[1], b[1]), max(a[0], b[0]), max(a[1], b[1])) for a, b in pairwise(flow)]


def _overlap(one: Area, other: Area) -> bool:
    return one[2] > other[0] + 0.1 and one[0] < other[2] - 0.1 and one[3] > other[1] + 0.1 and one[1] < other[3] - 0.1


def _touch(one: Area, other: Area) -> bool:
    return (
        one[2] >= other[0] - 0.01
        and one[0] <= other[2] + 0.01
        and one[3] >= other[1] - 0.01
        and one[1] <= other[3] + 0.01
    )
