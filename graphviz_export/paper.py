"""How large: paper sizes, and the size of type that a reading distance asks for."""

from __future__ import annotations

import math
from dataclasses import dataclass

from trees.errors import PaperError
from trees.language import _

SIZES_MM = {"A4": (297, 210), "A3": (420, 297), "A2": (594, 420), "A1": (841, 594), "A0": (1189, 841)}
"""Width and height of the lying sheet, ISO 216."""

CAP_PER_EM = 0.688
"""Height of capitals of Arimo in em, read from the font's own table (sCapHeight 1409 of 2048)."""

LEAST_ARC_MINUTES = 16.0
COMFORTABLE_ARC_MINUTES = 20.0
NEAREST_M, FARTHEST_M = 0.2, 10.0
MARGIN_MM = 8.0
FOOT_MM = 22.5
"""Height of the title block with the space above it."""


@dataclass(frozen=True, slots=True)
class Paper:
    """A sheet and the type on it; lengths in em are multiples of the type size."""

    name: str
    width_mm: float
    height_mm: float
    read_from_m: float
    cap_mm: float

    @property
    def em_mm(self) -> float:
        """Type size in mm."""
        return self.cap_mm / CAP_PER_EM

    @property
    def width_em(self) -> float:
        """Width that boxes may use, in em."""
        return (self.width_mm - 2 * MARGIN_MM) / self.em_mm

    @property
    def height_em(self) -> float:
        """Height that boxes may use, in em, without a list of sheets."""
        return (self.height_mm - 2 * MARGIN_MM - FOOT_MM) / self.em_mm


def paper(name: str, read_from_m: float, arc_minutes: float = LEAST_ARC_MINUTES) -> Paper:
    """Return the sheet with its type size; PaperError for an unknown sheet or a senseless distance.

    The height of capitals is 2 d tan(a/2): 16 arc minutes at least, 20 comfortable (ISO 9241-303, not opened; the
    values as quoted for ISO 9241-3).
    """
    size = SIZES_MM.get(name.upper())
    if size is None:
        raise PaperError(
            _("“{name}” is no paper that charts are made for. Take one of {listed}.").format(
                name=name, listed=", ".join(SIZES_MM)
            )
        )
    if not NEAREST_M <= read_from_m <= FARTHEST_M:  # also refuses nan
        raise PaperError(
            _(
                "A reading distance of {read_from_m:g} m makes no sense for a chart. Give one from "
                "{NEAREST_M:g} m to {FARTHEST_M:g} m."
            ).format(read_from_m=read_from_m, NEAREST_M=NEAREST_M, FARTHEST_M=FARTHEST_M)
        )
    cap_mm = 2 * read_from_m * 1000 * math.tan(math.radians(arc_minutes / 60) / 2)
    return Paper(name.upper(), *size, read_from_m, cap_mm)
