"""What standards ask of diesel and FAME: limits, and the filterability classes of the seasons."""

from __future__ import annotations

from dataclasses import dataclass

from trees.errors import FigureError
from trees.language import _


@dataclass(frozen=True, slots=True)
class FuelLimits:
    """Limits of a fuel standard; None where the standard sets none or it was not retrieved."""

    name: str
    source: str
    density_15_kg_m3: tuple[float | None, float | None]
    viscosity_40_mm2_s: tuple[float, float] | None = None
    flash_min_c: float | None = None
    water_max_mg_kg: float | None = None
    fame_max_pct: float | None = None
    sulphur_max_mg_kg: float | None = None
    t95_max_c: float | None = None


EN_590 = FuelLimits(
    "Road diesel, temperate",
    "EN 590 Table 1 (secondary pages; editions after 2017 may differ)",
    (820.0, 845.0),
    viscosity_40_mm2_s=(2.0, 4.5),
    flash_min_c=55.0,
    water_max_mg_kg=200.0,
)
DIRECTIVE_98_70 = FuelLimits(
    "Diesel, legal limits",
    "Directive 98/70/EC as amended by 2009/30/EC, Annex II",
    (None, 845.0),
    fame_max_pct=7.0,
    sulphur_max_mg_kg=10.0,
    t95_max_c=360.0,
)
EN_14214 = FuelLimits(
    "FAME",
    "EN 14214:2012+A1:2014 (specification sheet)",
    (860.0, 900.0),
    viscosity_40_mm2_s=(3.5, 5.0),
    flash_min_c=101.0,
    water_max_mg_kg=500.0,
)

CFPP_MAX_C = {
    "A": 5.0, "B": 0.0, "C": -5.0, "D": -10.0, "E": -15.0, "F": -20.0,
    "0": -20.0, "1": -26.0, "2": -32.0, "3": -38.0, "4": -44.0,
}  # fmt: skip
"""Cold filter plugging point by class, °C (EN 590 Table 2 and 3, secondary pages).

A fine strainer can block above it (common practice).
"""
CLOUD_POINT_MAX_C = {"0": -10.0, "1": -16.0, "2": -22.0, "3": -28.0, "4": -34.0}
GERMAN_SEASONS = (
    # first day (month, day), CFPP °C; DIN EN 590 national annex (three trade pages)
    ((3, 1), -10.0),
    ((4, 15), 0.0),
    ((10, 1), -10.0),
    ((11, 16), -20.0),
)


def cfpp_max_c(grade: str) -> float:
    """Highest cold filter plugging point of an EN 590 class in °C; FigureError for a class that does not exist."""
    try:
        return CFPP_MAX_C[grade.strip().upper()]
    except KeyError:
        raise FigureError(
            _("There is no class {grade!r}: EN 590 knows A to F, and 0 to 4 for the arctic.").format(grade=grade)
        ) from None


def german_season_cfpp_c(month: int, day: int) -> float:
    """Return the filterability in °C of diesel sold in Germany on a day of the year (DIN EN 590, national annex)."""
    return next((cfpp for start, cfpp in reversed(GERMAN_SEASONS) if (month, day) >= start), -20.0)
