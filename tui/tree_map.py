"""What does a tree look like at a glance? Its steps in reading order, each answer with the number it leads to."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from graphviz_export.boxes import Box, BoxKind, Chart, Row
from trees.book.problems import cells
from trees.language import _

SIGNS: dict[BoxKind, str] = {
    "decision": "◇",
    "reading": "◈",
    "action": "□",
    "run": "↻",
    "over_to": "⇥",
    "return": "↩",
    "end": "●",
    "stop": "■",
}
"""Sign of each kind of step: asked, measured, done, run through, gone over to, back, end, stop."""
NARROWEST = 18
_SHORTEST_WORDING = 10
_LEAST_LABEL = 4
_LEGIBLE = 8
"""So many cells tell what an answer says, where all lead to one step and nothing else would be lost."""


@dataclass(frozen=True, slots=True)
class MapStep:
    """One step of the map: its own line first, then one line for each way out."""

    no: int
    lines: tuple[str, ...]


@dataclass(slots=True)
class _Way:
    """Answers of one place that lead to one step."""

    labels: list[str]
    target: int | None
    kind: str


def tree_map(chart: Chart, width: int) -> tuple[MapStep, ...]:
    """
    Return the steps of a chart in reading order, every line at most `width` cells (at least 18).

    An answer names the step it leads to where nobody has arrived there yet and it doesn't stand directly below;
    the second arrival has only the number.
    """
    width = max(width, NARROWEST)
    order = reading_order(chart)
    arrived = {chart.begin}
    steps = []
    for place, no in enumerate(order):
        box = chart.box(no)
        below = order[place + 1] if place + 1 < len(order) else None
        ways = tuple(_ways(box))
        rows = [_head(box, width)]
        for index, way in enumerate(ways):
            last = index + 1 == len(ways) or ways[index + 1].kind == "ask"
            named = "" if way.target is None or way.target in arrived else _short(chart.box(way.target))
            alone = last and (index == 0 or ways[index - 1].kind == "ask")
            rows.append(_way_line(way, "" if way.target == below else named, width, last=last, alone=alone))
            if way.target is not None:
                arrived.add(way.target)
        steps.append(MapStep(no, tuple(rows)))
    return tuple(steps)


def reading_order(chart: Chart) -> tuple[int, ...]:
    """Return the numbers so that every way leads downwards, the first answer's step next; unreached steps come last."""
    after = {box.no: [target for _other, target in box.ways()] for box in chart.boxes}
    led_to = {target for targets in after.values() for target in targets}
    alone = [no for no in after if no not in led_to and no != chart.begin]
    # As if the begin led to them, but after all else: so what they lead to stands below them too.
    after[chart.begin] = [*after[chart.begin], *sorted(alone, key=lambda no: no != chart.phone_exit)]
    seen = {chart.begin}
    left: list[int] = []
    stack = [(chart.begin, iter(reversed(after[chart.begin])))]
    while stack:
        no, targets = stack[-1]
        step = next((target for target in targets if target not in seen), None)
        if step is None:
            left.append(no)
            stack.pop()
        else:
            seen.add(step)
            stack.append((step, iter(reversed(after[step]))))
    return tuple(reversed(left))


def cut(text: str, width: int) -> str:
    """Return as much of a text as `width` terminal cells hold, with … where something is left out."""
    if cells(text) <= width:
        return text
    kept = ""
    for char in text:
        if cells(kept + char) > width - 1:
            break
        kept += char
    return f"{kept.rstrip()}…" if width > 0 else ""


def _head(box: Box, width: int) -> str:
    danger = "▲ " if any(hazard.grade == "DANGER" for hazard in box.hazards) and box.kind != "stop" else ""
    return cut(f"{box.no:>4} {SIGNS[box.kind]} {danger}{_short(box)}", width)


def _short(box: Box) -> str:
    return box.text if box.kind in {"run", "over_to", "return"} else box.short or box.text


def _ways(box: Box) -> Iterator[_Way]:
    """Yield the ways out; answers of one place that lead to the same step are one way."""
    section: list[_Way] = []
    for row in box.rows:
        if row.kind == "ask":
            yield from section
            section = [_Way([row.label], None, "ask")]
        else:
            _join(section, row)
    yield from section


def _join(section: list[_Way], row: Row) -> None:
    same = next((w for w in section if w.kind == row.kind == "answer" and w.target == row.target), None)
    if same is not None:
        same.labels.append(row.label)
    else:
        section.append(_Way([row.label or _("then")], row.target, row.kind))


def _way_line(way: _Way, wording: str, width: int, *, last: bool, alone: bool) -> str:
    if way.kind == "ask":
        return cut(f"     ┊ {way.labels[0]}", width)
    rail = f"     {'└' if last else '├'} "
    arrow = " ■" if way.kind == "stop" else f" → {way.target}" if way.target is not None else ""
    line = rail + _side_by_side(way.labels, width - cells(rail) - cells(arrow), alone=alone) + arrow
    room = width - cells(line) - 1
    return f"{line} {cut(wording, room)}" if wording and room >= _SHORTEST_WORDING else line


def _side_by_side(labels: list[str], room: int, *, alone: bool) -> str:
    """
    Return the labels between strokes; where they don't fit, the longest give way first, then all but one.

    `alone`: there is no other way on, so what can't be read any more is told as any answer.
    """
    left, share = room - 3 * (len(labels) - 1), {}
    for done, label in enumerate(sorted(set(labels), key=cells)):
        share[label] = max(0, left) // (len(set(labels)) - done)
        left -= min(cells(label), share[label])
    if alone and any(kept < min(_LEGIBLE, cells(label)) for label, kept in share.items()):
        return cut(_("any answer"), room)
    if min(share.values()) < min(_LEAST_LABEL, *(cells(label) for label in labels)):
        more = f" +{len(labels) - 1}"
        return cut(labels[0], room - cells(more)) + more if len(labels) > 1 else cut(labels[0], room)
    return cut(" / ".join(cut(label, share[label]) for label in labels), room)
