"""Cut a tree into sheets: how many, what the first must keep free, and what is said if a step is too large."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from graphviz_export.boxes import Chart
from graphviz_export.columns import Room, lay_out
from graphviz_export.cutter import Cutter
from graphviz_export.paper import NEAREST_M, SIZES_MM, Paper
from graphviz_export.regions import regions
from graphviz_export.sheets import Sheet
from trees.errors import PaperError
from trees.language import _

LIST_PT = 9.0
LIST_COLUMNS = 3


@dataclass(frozen=True, slots=True)
class Cut:
    """The sheets of a chart, the one with its begin first."""

    sheets: tuple[Sheet, ...]
    sets: tuple[int, ...]
    """How many sheets each region has; one number where the chart is one set."""


def split(chart: Chart, room: Room, sheet: Paper, *, by_region: bool = False) -> Cut:
    """Return the sheets of a chart; PaperError if one step alone doesn't fit.

    With `by_region` no sheet holds steps of two regions.
    """
    count = 1
    cutter: Cutter | None = None
    while True:
        reserve = list_height_em(count, sheet)
        roomy = _roomy(chart, room, sheet, reserve)
        if cutter is None or roomy is not cutter.room:
            cutter = Cutter(chart, roomy)
        cutter.keep_free(reserve)
        sets = [cutter.best(region) for region in (regions(cutter) if by_region else [frozenset(cutter.nodes)])]
        needed = sum(len(one) for one in sets)
        if needed <= count:
            break
        count = needed
    laid = (lay_out(steps, cutter.room, cutter.height(steps)) for one in sets for steps in one)
    return Cut(tuple(done for done in laid if done is not None), tuple(len(one) for one in sets))


def list_height_em(count: int, sheet: Paper) -> float:
    """Return the room that the list of sheets takes on the first sheet."""
    if count < 2:
        return 0.0
    points = (1 + math.ceil(count / LIST_COLUMNS)) * LIST_PT * 1.4
    return (points * 25.4 / 72 + 3.0) / sheet.em_mm


def _roomy(chart: Chart, room: Room, sheet: Paper, reserve: float) -> Room:
    """Return the room in which every step fits alone; ends that make their step too tall get a place of their own."""
    for box in chart.boxes:
        if box.no in room.homes:
            continue
        height = room.height - (reserve if box.no == chart.begin else 0.0)
        if lay_out([box.no], room, height) is None:
            own = {end: home for end, home in room.homes.items() if home != box.no}
            room = replace(room, homes=own)
            if lay_out([box.no], room, height) is None:
                raise _too_large(box.no, room, sheet, reserve if box.no == chart.begin else 0.0)
    for end in (box.no for box in chart.boxes if not box.ways() and box.no not in room.homes):
        if lay_out([end], room, room.height) is None:
            raise _too_large(end, room, sheet, 0.0)
    return room


def _too_large(no: int, room: Room, sheet: Paper, reserve: float) -> PaperError:
    """Return the error that says which step is too large and which paper or distance would do."""
    alone = lay_out([no], replace(room, width=80.0, height=math.inf), math.inf)
    if alone is None:
        return PaperError(_("Step {no} can't be laid out on any paper.").format(no=no))
    high = alone.height + reserve
    cures = []
    for name in SIZES_MM:
        larger = replace(sheet, name=name, width_mm=SIZES_MM[name][0], height_mm=SIZES_MM[name][1])
        if high <= larger.height_em and alone.width <= larger.width_em:
            cures.append(_("paper {name}").format(name=name))
            break
    share = min(room.height / high, room.width / alone.width)
    nearer = math.floor(sheet.read_from_m * share * 20) / 20
    if nearer >= NEAREST_M:
        cures.append(_("a reading distance of {nearer:g} m").format(nearer=nearer))
    cures.append(_("a shorter text or fewer answers"))
    needs = _("{width:.0f} x {high:.0f} mm").format(width=alone.width * sheet.em_mm, high=high * sheet.em_mm)
    return PaperError(
        _(
            "Step {no} is too large for {name} at {read_from_m:g} m: it needs {needs} with its answers. "
            "What would do: {listed}."
        ).format(no=no, name=sheet.name, read_from_m=sheet.read_from_m, needs=needs, listed=", or ".join(cures))
    )
