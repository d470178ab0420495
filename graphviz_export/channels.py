"""Draw the lines between two columns so that none crosses another: who takes which track in the channel.

Rows and what they lead to stand in the same order on both sides. Rows side by side with one goal share a track.
A bundle that only goes down stands right of every later bundle that it meets in height, any other bundle left of them;
bundles that don't meet share a track. So the order of tracks never contradicts itself and no two bundles cross.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import groupby

from graphviz_export.sheets import Line

BEFORE_EM = 0.75
AFTER_EM = 1.25
PITCH_EM = 0.45
_CLEAR_EM = 0.35
_STRAIGHT_EM = 0.01


@dataclass(frozen=True, slots=True)
class Link:
    """One line to draw: from a row of a box at height `leaves` to something at height `arrives`."""

    start: int
    row: int
    target: int
    leaves: float
    arrives: float
    goal: int
    """The same for lines that meet in one arrival."""


@dataclass(slots=True)
class _Bundle:
    """Rows side by side that lead to one goal."""

    links: list[Link]
    top: float
    bottom: float
    track: int = 0

    @property
    def is_straight(self) -> bool:
        return self.bottom - self.top < _STRAIGHT_EM

    @property
    def goes_down(self) -> bool:
        return all(link.leaves < link.arrives for link in self.links)

    def meets(self, other: _Bundle) -> bool:
        return self.top < other.bottom + _CLEAR_EM and other.top < self.bottom + _CLEAR_EM


def channel_lines(links: Sequence[Link], edge: float) -> tuple[float, list[Line]]:
    """Return the width of the channel right of `edge` and its lines; links come in the order of their rows."""
    bundles = [_bundle(list(group)) for _, group in groupby(links, key=lambda link: link.goal)]
    _set_tracks([bundle for bundle in bundles if not bundle.is_straight])
    most = max((bundle.track for bundle in bundles), default=1)
    width = BEFORE_EM + PITCH_EM * (max(most, 1) - 1) + AFTER_EM
    return width, [_line(link, bundle, edge, width) for bundle in bundles for link in bundle.links]


def _bundle(links: list[Link]) -> _Bundle:
    heights = [height for link in links for height in (link.leaves, link.arrives)]
    return _Bundle(links, min(heights), max(heights))


def _set_tracks(bundles: Sequence[_Bundle]) -> None:
    """Give every bundle a track, counted from 1 at the left."""
    order: deque[_Bundle] = deque()
    for bundle in reversed(bundles):
        if bundle.goes_down:
            order.append(bundle)
        else:
            order.appendleft(bundle)
    done: list[_Bundle] = []
    for bundle in order:
        bundle.track = 1 + max((other.track for other in done if bundle.meets(other)), default=0)
        done.append(bundle)


def _line(link: Link, bundle: _Bundle, edge: float, width: float) -> Line:
    end = edge + width
    if abs(link.leaves - link.arrives) < _STRAIGHT_EM:
        points: tuple[tuple[float, float], ...] = ((edge, link.leaves), (end, link.arrives))
    else:
        x = edge + BEFORE_EM + PITCH_EM * (bundle.track - 1)
        points = ((edge, link.leaves), (x, link.leaves), (x, link.arrives), (end, link.arrives))
    return Line(link.start, link.row, link.target, points)
