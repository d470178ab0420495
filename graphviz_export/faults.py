"""What is wrong with a laid-out sheet: boxes over boxes, lines across lines or through boxes, rows without a line."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations

from graphviz_export.boxes import Chart
from graphviz_export.sheets import Line, Sheet

_HAIR = 1e-6


@dataclass(frozen=True, slots=True)
class _Area:
    name: str
    left: float
    top: float
    right: float
    bottom: float


def sheet_faults(sheet: Sheet) -> tuple[str, ...]:
    """Return every fault of one sheet as a sentence; nothing if it is sound."""
    areas = [_Area(f"box {b.no}", b.x, b.y - b.mark_height, b.x + b.width, b.y + b.height) for b in sheet.boxes] + [
        _Area(f"pointer to {s.no}", s.x, s.y, s.x + s.width, s.y + s.height) for s in sheet.stubs
    ]
    return (*_overlaps(areas), *_crossings(sheet.lines), *_through(sheet.lines, areas))


def chart_faults(chart: Chart, sheets: Sequence[Sheet]) -> tuple[str, ...]:
    """Return every fault of a whole set: those of its sheets, steps missing or doubled, rows without just one line."""
    found = [f"sheet {index}: {fault}" for index, sheet in enumerate(sheets, 1) for fault in sheet_faults(sheet)]
    drawn = [box.no for sheet in sheets for box in sheet.boxes]
    lines = [(line.start, line.row, line.target) for sheet in sheets for line in sheet.lines]
    for box in chart.boxes:
        if drawn.count(box.no) != 1:
            found.append(f"step {box.no} is drawn {drawn.count(box.no)} times")
        for row, target in box.ways():
            if lines.count((box.no, row, target)) != 1:
                found.append(f"row {row} of step {box.no} has {lines.count((box.no, row, target))} lines")
    return tuple(found)


def _overlaps(areas: Sequence[_Area]) -> Iterator[str]:
    for one, other in combinations(areas, 2):
        apart_x = one.right <= other.left + _HAIR or other.right <= one.left + _HAIR
        apart_y = one.bottom <= other.top + _HAIR or other.bottom <= one.top + _HAIR
        if not (apart_x or apart_y):
            yield f"{one.name} lies over {other.name}"
    for area in areas:
        if area.left < -_HAIR or area.top < -_HAIR:
            yield f"{area.name} hangs over the edge"


def _crossings(lines: Sequence[Line]) -> Iterator[str]:
    """Lines to one goal may join; all others may not touch."""
    for one, other in combinations(lines, 2):
        if one.points[-1] == other.points[-1]:
            continue
        if any(_touch(a, b) for a in _pieces(one) for b in _pieces(other)):
            yield f"the line {one.start}.{one.row} meets the line {other.start}.{other.row}"


def _through(lines: Sequence[Line], areas: Sequence[_Area]) -> Iterator[str]:
    for line in lines:
        for left, top, right, bottom in _pieces(line):
            for area in areas:
                inside_x = left < area.right - _HAIR and right > area.left + _HAIR
                if inside_x and top < area.bottom - _HAIR and bottom > area.top + _HAIR:
                    yield f"the line {line.start}.{line.row} runs through {area.name}"


def _pieces(line: Line) -> list[tuple[float, float, float, float]]:
    """Return left, top, right, bottom of every straight piece."""
    pairs = zip(line.points, line.points[1:], strict=False)
    return [(min(a[0], b[0]), min(a[1], b[1]), max(a[0], b[0]), max(a[1], b[1])) for a, b in pairs]


def _touch(one: tuple[float, float, float, float], other: tuple[float, float, float, float]) -> bool:
    return (
        one[0] <= other[2] + _HAIR
        and other[0] <= one[2] + _HAIR
        and one[1] <= other[3] + _HAIR
        and other[1] <= one[3] + _HAIR
    )
