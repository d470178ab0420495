"""Regions of a tree: what hangs on one step, large enough for a set of sheets of its own, small enough to hang up."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from graphviz_export.cutter import Cutter, Steps

MANY_SHEETS = 12
"""Above that nobody hangs a chart up as one set."""
_USUAL_FILL = 0.4
"""Area of the boxes by the area of the sheet, mean of the charts measured."""
_LEAST_SHEETS, _LEAST_SETS = 2.0, 3


def regions(cutter: Cutter) -> list[Steps]:
    """Return the regions, that of the begin first: each about twelve sheets at most, a third of a smaller chart."""
    sheets = _sheets_of(cutter)
    twigs = _twigs(cutter)
    weight = {no: sum(sheets[one] for one in steps) for no, steps in twigs.items()}
    most = min(float(MANY_SHEETS), max(_LEAST_SHEETS, sum(sheets.values()) / _LEAST_SETS))
    above = cutter.dominators()
    heads = [no for no in cutter.nodes if above[no] is None]
    entry: set[int] = set()
    while large := [no for no in heads if weight[no] > most or no == cutter.chart.begin]:
        for no in large:  # its own step joins the entry, what hangs on it becomes regions
            entry.add(no)
            heads.remove(no)
            heads += [one for one in cutter.nodes if above[one] == no]
    return _joined([frozenset(entry), *(twigs[no] for no in sorted(heads))], sheets, most)


def _joined(parts: Sequence[Steps], sheets: Mapping[int, float], most: float) -> list[Steps]:
    """Join parts that stand next to each other as long as they stay small enough."""
    done: list[Steps] = []
    for part in parts:
        if done and sum(sheets[no] for no in done[-1] | part) <= most:
            done[-1] |= part
        else:
            done.append(part)
    return done


def _sheets_of(cutter: Cutter) -> dict[int, float]:
    """Return about how much of a sheet each step takes, its ends beside it."""
    room = cutter.room
    area = {no: tall.box * room.column_em / (room.width * room.height * _USUAL_FILL) for no, tall in room.tall.items()}
    taken = {no: area[no] for no in cutter.nodes}
    for end, home in room.homes.items():
        taken[home] += area[end]
    return taken


def _twigs(cutter: Cutter) -> dict[int, Steps]:
    """Return for each step all that is reached only through it, itself included."""
    above = cutter.dominators()
    twigs: dict[int, Steps] = {no: frozenset({no}) for no in cutter.nodes}
    for no in reversed(cutter.nodes):
        parent = above[no]
        if parent is not None:
            twigs[parent] |= twigs[no]
    return twigs
