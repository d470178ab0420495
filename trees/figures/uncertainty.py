"""How the uncertainty of readings travels into a figure, and the figure worked out in full."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass

from trees.errors import FigureError
from trees.figures.registry import Detail, FigureInfo, checked_inputs, figure_info
from trees.language import _


@dataclass(frozen=True, slots=True)
class Contribution:
    """What one input adds to the uncertainty of a result."""

    name: str
    uncertainty: float
    """|c|·u in the result's unit."""


@dataclass(frozen=True, slots=True)
class Worked:
    """A figure worked out: the number, how uncertain it is and what else there is to say."""

    info: FigureInfo
    values: Mapping[str, float]
    """All inputs in their declared units, defaults included."""
    value: float
    uncertainty: float
    """Standard uncertainty in the result's unit; 0 where no input has one."""
    contributions: tuple[Contribution, ...]
    """Largest first."""
    details: tuple[Detail, ...]
    remarks: tuple[str, ...]

    @property
    def text(self) -> str:
        """The result with its unit and, where known, its uncertainty."""
        from trees.figures.units import format_value

        return format_value(self.value, self.info.result.unit, self.uncertainty or None)


def contributions(
    function: Callable[..., float],
    values: Mapping[str, float],
    uncertainties: Mapping[str, float],
    ranges: Mapping[str, tuple[float, float]] | None = None,
) -> tuple[Contribution, ...]:
    """Return each input's part of the standard uncertainty: c·u = ½·(f(x + u) − f(x − u)), JCGM 100 §5.1.3 note 2.

    The step of the central difference is the standard uncertainty itself, so a curve within it is seen. Where
    x ± u leaves the range of the formula, the one-sided difference is taken. Inputs are taken as independent.
    """
    found = []
    for name, u in uncertainties.items():
        if u < 0 or not math.isfinite(u):
            raise FigureError(_("The uncertainty of {name} is a finite number, not below 0.").format(name=name))
        if u == 0:
            continue
        low, high = (ranges or {}).get(name, (-math.inf, math.inf))
        above, below = min(values[name] + u, high), max(values[name] - u, low)
        width = above - below
        rise = function(**{**values, name: above}) - function(**{**values, name: below})
        found.append(Contribution(name, abs(rise) / width * u if width else 0.0))
    return tuple(sorted(found, key=lambda part: -part.uncertainty))


def combined(parts: tuple[Contribution, ...]) -> float:
    """Combine independent contributions: u = √Σ(c·u)² (JCGM 100 §5.1.2)."""
    return math.sqrt(sum(part.uncertainty**2 for part in parts))


def work_out_in_full(
    name: str, values: Mapping[str, float], uncertainties: Mapping[str, float] | None = None
) -> Worked:
    """Work out a figure with uncertainty, details and remarks; inputs and standard uncertainties in the declared units.

    Raises FigureError for an unknown name or missing input, OutOfRangeError outside the formula's range.
    """
    info = figure_info(name)
    inputs = checked_inputs(info, values)
    for unknown in set(uncertainties or {}) - set(info.inputs):
        raise FigureError(_("{title} has no input {unknown!r}.").format(title=info.title, unknown=unknown))
    result = info.function(**inputs)
    ranges = {key: field.range for key, field in info.inputs.items()}
    parts = contributions(info.function, inputs, uncertainties or {}, ranges)
    details = info.details(inputs) if info.details else None
    return Worked(
        info=info,
        values=inputs,
        value=result,
        uncertainty=combined(parts),
        contributions=parts,
        details=details.values if details else (),
        remarks=details.remarks if details else (),
    )
