"""Which stretch of a figure's curve is worth a plot, and its points."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from trees.errors import FigureError
from trees.figures import FigureInfo
from tui.plot import Point, plot

_POINTS = 61
_ROUNDS = 10
_FLAT = 0.01
"""Part of the whole rise that still counts as level ground."""
_WORTH_CUTTING = 0.3
"""Level ground is cut off only where it takes more than this part of the picture."""


@dataclass(frozen=True, slots=True)
class Curve:
    """Points of a figure along one input, and where the present result lies."""

    points: tuple[Point, ...]
    here: tuple[float, float]
    x_name: str
    y_name: str

    def drawn(self, width: int, height: int) -> tuple[str, ...]:
        """Return the plot as lines of text."""
        return plot(self.points, self.here, width=width, height=height, x_name=self.x_name, y_name=self.y_name)


def curve_of(info: FigureInfo, values: Mapping[str, float]) -> Curve | None:
    """Return the curve of a figure around complete inputs that it can be worked out from; None if it has none."""
    if not info.curve:
        return None
    x = values[info.curve]

    def height(at: float) -> float | None:
        try:
            return info.function(**{**values, info.curve: at})
        except FigureError:
            return None

    here = height(x)
    if here is None:
        return None
    low, high = _around(x, *info.inputs[info.curve].range, info.inputs[info.curve].unit)
    points = _sampled(height, low, high)
    for _ in range(_ROUNDS):
        narrower = _without_level_ends(points, x)
        if narrower is None:
            break
        points = _sampled(height, *narrower)
    field, result = info.inputs[info.curve], info.result
    return Curve(
        points,
        (x, here),
        _with_unit(field.label, field.unit),
        _with_unit(result.meaning.partition(";")[0], result.unit),
    )


def _with_unit(name: str, unit: str) -> str:
    return name if unit == "1" else f"{name}, {unit}"


def _around(x: float, low: float, high: float, unit: str) -> tuple[float, float]:
    """Choose a stretch: the whole range of a scale with negatives or of per cent, else a third to three times."""
    if low < 0 or unit == "%" or x <= 0:
        return low, high
    return (max(low, x / 3) if low > 0 else 0.0), min(high, x * 3)


def _sampled(height: Callable[[float], float | None], low: float, high: float) -> tuple[Point, ...]:
    step = (high - low) / (_POINTS - 1)
    return tuple((x, height(x)) for x in (min(high, low + i * step) for i in range(_POINTS)))


def _without_level_ends(points: tuple[Point, ...], x: float) -> tuple[float, float] | None:
    """Return the stretch in which the curve moves, with a margin and with x; None where nothing is worth cutting."""
    heights = [(i, y) for i, (_, y) in enumerate(points) if y is not None]
    if len(heights) < 2:
        return None
    rise = max(y for _, y in heights) - min(y for _, y in heights)
    if not rise:
        return None
    start, stop = heights[0][1], heights[-1][1]
    first = next((i for i, y in heights if abs(y - start) > _FLAT * rise), heights[0][0]) - 1
    last = next((i for i, y in reversed(heights) if abs(y - stop) > _FLAT * rise), heights[-1][0]) + 1
    whole = points[-1][0] - points[0][0]
    low, high = points[max(0, first)][0], points[min(len(points) - 1, last)][0]
    low, high = min(low, x), max(high, x)
    margin = 0.1 * (high - low)
    low, high = max(points[0][0], low - margin), min(points[-1][0], high + margin)
    return (low, high) if whole - (high - low) > _WORTH_CUTTING * whole else None
