"""Where in its trees does a job stand? The map of each tree on the way, with what was answered and where it stands."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Literal

from graphviz_export.boxes import chart_of
from trees.book.words import UNKNOWN
from trees.language import _
from trees.walk import Walk
from trees.walk.travel import Visit
from tui.tree_map import MapStep, tree_map

GUTTER = {"here": "▶", "answered": "✓", "passed": "·", "ahead": " "}
"""What stands before a step: the one that is asked, answered, passed over, not reached."""

State = Literal["here", "answered", "passed", "ahead"]


@dataclass(frozen=True, slots=True)
class MapRow:
    """One step of a map; its first line is the step, then one line for each way out."""

    tree: str
    """Title, on the first step of a tree; else empty."""
    no: int
    state: State
    visit: str
    """The visit whose answer Enter changes; empty where there is none."""
    lines: tuple[str, ...]
    taken: int | None = None
    """Index of the line of the way that was taken."""
    told: str = ""
    """What was answered here."""


def trail_map(walk: Walk, width: int) -> tuple[MapRow, ...]:
    """Return the trees that the way led through, in its order, each step once, every line at most `width` cells."""
    rows: list[MapRow] = []
    for tree_id in _on_the_way(walk):
        steps = tree_map(chart_of(walk.book, tree_id), width - 2)
        title = walk.book.trees[tree_id].title
        rows += [_row(walk, tree_id, step, title if at == 0 else "") for at, step in enumerate(steps)]
    return tuple(rows)


def _on_the_way(walk: Walk) -> tuple[str, ...]:
    travel = walk.now.travel
    visits = [*travel.passed, *([travel.visit] if travel.visit is not None else [])]
    met: dict[str, None] = {}
    for visit in visits:
        # A shared tree stands behind the one that runs it.
        for part in visit.key.partition("<")[0].split("/"):
            met.setdefault(part.rpartition(".")[0])
    return tuple(tree for tree in met if tree in walk.book.trees)


def _row(walk: Walk, tree_id: str, step: MapStep, title: str) -> MapRow:
    travel = walk.now.travel
    number = {s.no: s.id for s in walk.book.trees[tree_id].steps.values()}
    step_id = number.get(step.no, "")
    here = travel.visit is not None and (travel.visit.tree.id, travel.visit.step.id) == (tree_id, step_id)
    at = [v for v in travel.passed if (v.tree.id, v.step.id) == (tree_id, step_id) and "<" not in v.key]
    if not at:
        # Only what asks is passed; a shared tree that was run through left its own steps behind.
        run = any(f"{tree_id}.{step_id}/" in v.key for v in travel.passed)
        state: State = "here" if here else "passed" if run else "ahead"
        return MapRow(title, step.no, state, "", step.lines)
    visit = at[-1]
    given = visit.answered
    told = ": ".join(part for part in (given.told, given.means) if part) if given is not None else _(visit.passed)
    state = "here" if here else "answered" if given is not None else "passed"
    taken = _taken(visit, given.answer, step) if given is not None else None
    change = visit.key if given is not None else ""
    return MapRow(title, step.no, state, change, step.lines, taken, told or _("Cannot tell"))


def _taken(visit: Visit, answer: str, step: MapStep) -> int | None:
    """Return the line of the way that an answer took; None where the map shows none for it."""
    own = visit.step
    instead = next((i for i in own.instead.values() if visit.check is not None and i.check == visit.check.id), None)
    go, then, unknown = (instead.go, None, instead.unknown) if instead else (own.go, own.then, own.unknown)
    target = (unknown or then or go.get("not_tried")) if answer == UNKNOWN else go.get(answer, then)
    if target is None or target not in visit.tree.steps:
        return None
    arrow = re.compile(rf"→ {visit.tree.steps[target].no}(?!\d)")
    lines = [at for at, line in enumerate(step.lines) if at and arrow.search(line)]
    return lines[0] if len(lines) == 1 else None
