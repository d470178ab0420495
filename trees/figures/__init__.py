"""The trade's calculations: pure functions that register themselves, and units at the edge.

Light on purpose: no figure is loaded before `registry` or `work_out` is called, and pint only for a typed unit that
differs from the expected one. Typed readings live in `trees.figures.units`, uncertainty in `trees.figures.uncertainty`.
"""

from __future__ import annotations

from trees.figures.registry import (
    FIELDS,
    FigureInfo,
    Input,
    figure_info,
    registry,
    work_out,
)
from trees.figures.uncertainty import Worked, work_out_in_full

__all__ = [
    "FIELDS",
    "FigureInfo",
    "Input",
    "Worked",
    "figure_info",
    "registry",
    "work_out",
    "work_out_in_full",
]
