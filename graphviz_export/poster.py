"""A whole tree as one poster made of printer sheets: the poster is a multiple of what a sheet shows."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Any

from graphviz_export.boxes import Chart
from graphviz_export.columns import lay_out
from graphviz_export.layouts import Layout, fonts_for, room_of, sound
from graphviz_export.measures import COLUMNS_EM, TEMPLATE
from graphviz_export.pages import page_data
from graphviz_export.paper import FOOT_MM, MARGIN_MM, Paper
from graphviz_export.sheets import Placed, Stub
from graphviz_export.typst_run import draw
from trees.errors import PaperError
from trees.language import _, ngettext

OVERLAP_MM = 12.0
"""So much of its neighbour each tile shows, to glue it on."""
MOST_TILES = 60
_LONGEST = 3.0
"""A poster is at most so many times as wide as high, or as high as wide."""
Area = tuple[float, float, float, float]
"""Left, top, right, bottom."""


@dataclass(frozen=True, slots=True)
class Poster:
    """A chart on one large sheet, and the grid of tiles it is printed on."""

    layout: Layout
    """One sheet, its paper as large as the poster."""
    tile: Paper
    columns: int
    rows: int
    tiles: tuple[tuple[int, int], ...]
    """(row, column) of every tile with something on it, counted from 0."""

    def note(self) -> str:
        """Return what a person should know before printing."""
        paper = self.layout.paper
        empty = self.columns * self.rows - len(self.tiles)
        left_out = (
            ngettext(
                " {n} of them would be empty and is left out.", " {n} of them would be empty and are left out.", empty
            ).format(n=empty)
            if empty
            else ""
        )
        return _(
            "“{title}” is a poster of {width_mm:.0f} x {height_mm:.0f} mm from {rows} x {columns} sheets "
            "of {name}.{left_out} Print at 100 %."
        ).format(
            title=self.layout.chart.title,
            width_mm=paper.width_mm,
            height_mm=paper.height_mm,
            rows=self.rows,
            columns=self.columns,
            name=self.tile.name,
            left_out=left_out,
        )


def lay_out_poster(chart: Chart, tile: Paper) -> Poster:
    """Return the smallest poster that shows the whole chart on one sheet; PaperError if it takes too many tiles."""
    fonts = fonts_for(chart)
    column_em = COLUMNS_EM[0]
    room = room_of(chart, tile, fonts, column_em)
    inner = [box.no for box in chart.boxes if box.no not in room.homes]
    for columns, rows in _grids(tile):
        large = poster_paper(tile, columns, rows)
        sized = replace(room, width=large.width_em, height=large.height_em)
        sheet = lay_out(inner, sized, sized.height)
        if sheet is not None:
            layout = sound(Layout(chart, large, fonts, column_em, (sheet,), (1,)))
            return Poster(layout, tile, columns, rows, tuple(_filled(layout, tile, columns, rows)))
    raise PaperError(
        _(
            "“{title}” takes more than {MOST_TILES} sheets of {name} as a poster for {read_from_m:g} m. "
            "Take larger paper, a shorter reading distance, or single sheets."
        ).format(title=chart.title, MOST_TILES=MOST_TILES, name=tile.name, read_from_m=tile.read_from_m)
    )


def pitch_mm(tile: Paper) -> tuple[float, float]:
    """Return how far the poster goes on from tile to tile."""
    return tile.width_mm - 2 * MARGIN_MM - OVERLAP_MM, tile.height_mm - 2 * MARGIN_MM - OVERLAP_MM


def poster_paper(tile: Paper, columns: int, rows: int) -> Paper:
    """Return the poster as a sheet of its own: a whole number of tiles in both ways."""
    across, down = pitch_mm(tile)
    size = {"width_mm": columns * across + OVERLAP_MM, "height_mm": rows * down + OVERLAP_MM}
    return replace(
        tile, name=_("poster {rows} x {columns} {paper}").format(rows=rows, columns=columns, paper=tile.name), **size
    )


def tile_bytes(poster: Poster) -> bytes:
    """Return the tiles as one PDF, row by row; each says where it belongs and carries the test bar."""
    layout = poster.layout
    data = page_data(layout)
    (whole,) = data["sheets"]
    seen: set[int] = set()
    sheets = [_tile_data(poster, whole, row, column, seen) for row, column in poster.tiles]
    data |= {"sheets": sheets, "page_mm": (poster.tile.width_mm, poster.tile.height_mm)}
    return draw(TEMPLATE, data, "pdf", layout.fonts, layout.chart.reviewed)[0]


def _tile_data(poster: Poster, whole: Mapping[str, Any], row: int, column: int, seen: set[int]) -> dict[str, Any]:
    """Return what stands on one tile; `seen` gathers the boxes that an earlier tile shows."""
    across, down = pitch_mm(poster.tile)
    area = _tile_area(poster.tile, row, column)
    sheet, em = poster.layout.sheets[0], poster.layout.paper.em_mm
    boxes = []
    for place, box in zip(whole["boxes"], sheet.boxes, strict=True):
        if _meets(area, _box_area(box), em):
            boxes.append({**place, "first": box.no not in seen})
            seen.add(box.no)
    last_column, last_row = column + 1 == poster.columns, row + 1 == poster.rows
    return {
        **whole,
        "lines": [line for line in whole["lines"] if any(_meets(area, a, em) for a in _line_areas(line["points"]))],
        "boxes": boxes,
        "stubs": [s for s, one in zip(whole["stubs"], sheet.stubs, strict=True) if _meets(area, _stub_area(one), em)],
        "block": _shows_block(poster.layout.paper, area),
        "tile": {
            "x": column * across,
            "y": row * down,
            "name": f"{chr(65 + row)}{column + 1}",
            "words": _("row {row}, column {column} of {rows}{columns}").format(
                row=chr(65 + row), column=column + 1, rows=chr(64 + poster.rows), columns=poster.columns
            ),
            "right": None if last_column else across,
            "low": None if last_row else down,
        },
    }


def _grids(tile: Paper) -> Iterator[tuple[int, int]]:
    """Return (columns, rows) from few tiles to many, the squarest of equals first."""
    across, down = pitch_mm(tile)
    grids = [(c, r) for c in range(1, MOST_TILES + 1) for r in range(1, MOST_TILES // c + 1) if r <= 26]
    shape = {grid: max(grid[0] * across / (grid[1] * down), grid[1] * down / (grid[0] * across)) for grid in grids}
    yield from sorted((g for g in grids if shape[g] <= _LONGEST), key=lambda grid: (grid[0] * grid[1], shape[grid]))


def _filled(layout: Layout, tile: Paper, columns: int, rows: int) -> Iterator[tuple[int, int]]:
    """Yield every tile on which something stands."""
    (sheet,), em = layout.sheets, layout.paper.em_mm
    things = [*map(_box_area, sheet.boxes), *map(_stub_area, sheet.stubs)]
    things += [area for line in sheet.lines for area in _line_areas(line.points)]
    for row in range(rows):
        for column in range(columns):
            area = _tile_area(tile, row, column)
            if _shows_block(layout.paper, area) or any(_meets(area, thing, em) for thing in things):
                yield row, column


def _tile_area(tile: Paper, row: int, column: int) -> Area:
    """Return what a tile shows of the poster, in mm."""
    across, down = pitch_mm(tile)
    left, top = column * across, row * down
    return left, top, left + across + OVERLAP_MM, top + down + OVERLAP_MM


def _shows_block(poster: Paper, area: Area) -> bool:
    return area[3] > poster.height_mm - MARGIN_MM - FOOT_MM


def _box_area(box: Placed) -> Area:
    return box.x, box.y - box.mark_height, box.x + box.width, box.y + box.height


def _stub_area(stub: Stub) -> Area:
    return stub.x, stub.y, stub.x + stub.width, stub.y + stub.height


def _line_areas(points: Sequence[tuple[float, float]]) -> list[Area]:
    return [(min(a[0], b[0]), min(a[1], b[1]), max(a[0], b[0]), max(a[1], b[1])) for a, b in pairwise(points)]


def _meets(tile: Area, thing: Area, em: float) -> bool:
    """Say whether something, in em from the poster's margin, shows on a tile; lines and arrows reach a little wider."""
    left, top, right, bottom = (value * em + MARGIN_MM for value in thing)
    return left - em < tile[2] and top - em < tile[3] and right + em > tile[0] and bottom + em > tile[1]
