"""What CO in the air of a room means: units, guidelines, alarms, warning signs."""

from __future__ import annotations

import math
from collections.abc import Mapping

from trees.errors import FigureError
from trees.figures.air import SEA_LEVEL_PRESSURE_PA, ZERO_CELSIUS_K
from trees.figures.registry import Detail, Details, Input, Output, figure
from trees.language import N_, _

CO_KG_PER_KMOL = 28.010
MOLAR_GAS_CONSTANT = 8.314462618

CAUTION = N_(
    "CO where people breathe is an emergency, not a reading: everybody out, open up, switch the unit off from outside "
    "if you can, call for help. No number here says how long it is safe to stay."
)

GUIDELINES_MG_M3 = {15: 100.0, 30: 60.0, 60: 30.0, 480: 10.0}
"""WHO Europe 2000 by averaging time in min (J Occup Med Toxicol 2018 13:30 quoting it)."""
GUIDELINES_PPM_ROUNDED = {15: 90.0, 30: 50.0, 60: 25.0, 480: 10.0}
INDOOR_2010_MG_M3 = {15: 100.0, 60: 35.0, 480: 10.0, 1440: 7.0}
"""WHO indoor air 2010 (memory)."""
DAY_2021_MG_M3 = 4.0
"""WHO AQG 2021, 24 h (memory)."""
EU_8H_MG_M3 = 10.0
"""Directive 2000/69/EC Annex II, 8 h."""

ALARM_THRESHOLDS_MIN: dict[int, tuple[float | None, float | None]] = {
    30: (120.0, None),
    50: (60.0, 90.0),
    100: (10.0, 40.0),
    300: (None, 3.0),
}
"""EN 50291-1: ppm → (must not alarm before, must alarm before), min. An alarm is no meter."""

EFFECTS = (
    (200.0, N_("light headache in 2–3 h")),
    (400.0, N_("headache in the forehead in 1–2 h; one version: life-threatening after 3 h")),
    (800.0, N_("dizziness, nausea, twitching limbs in 45 min; unconscious within 2 h")),
    (1600.0, N_("headache, dizziness, nausea in 20 min; death within 2 h, one version 1 h")),
    (3200.0, N_("the same in 5–10 min; death within 30 min")),
    (6400.0, N_("the same in 1–2 min; death in 10–15 min")),
    (12800.0, N_("death in 1–3 min")),
)
"""Widely reprinted table (five copies, own words), by ppm: a warning, never a table of safe times."""

CO_AIR = Input("ppm", "CO in the air of the room", (0.0, 100_000.0))


@figure(
    name="co_mass_concentration",
    title="CO in mg/m³ from ppm",
    meaning="Guidelines stand in mg/m³, instruments show ppm; the factor needs a temperature",
    inputs={
        "co_ppm": CO_AIR,
        "temperature_c": Input("°C", "Temperature that the rule refers to: 20 or 25", (-40.0, 60.0)),
    },
    result=Output("mg/m³", "CO by mass"),
    formula="c = x·p·M/(R·T); 1.145 mg/m³ for 1 ppm at 25 °C",
    source="ideal gas; 1.145 at 25 °C: Health Canada",
    accuracy="exact at 1013 hPa; at a height less, in step with the pressure",
    example={"co_ppm": 35},
)
def co_mass_concentration(co_ppm: float, temperature_c: float = 25.0) -> float:
    """CO in mg/m³: x·p·M/(R·T) at 1013.25 hPa; ppm, °C (ideal gas; 1.145 per ppm at 25 °C, Health Canada)."""
    kmol_per_m3 = SEA_LEVEL_PRESSURE_PA / (MOLAR_GAS_CONSTANT * 1000.0 * (temperature_c + ZERO_CELSIUS_K))
    return co_ppm * kmol_per_m3 * CO_KG_PER_KMOL


def guideline_mg_m3(averaging_min: float) -> float:
    """Return the WHO Europe 2000 guideline in mg/m³ for a time in min; between two rows the stricter; up to 480 min."""
    for minutes, limit in GUIDELINES_MG_M3.items():
        if averaging_min <= minutes:
            return limit
    raise FigureError(
        _("The guideline of WHO Europe 2000 ends at 8 h; for a day WHO asks for 4 mg/m³ since 2021 (memory).")
    )


def _guideline_details(given: Mapping[str, float]) -> Details:
    effects = [text for level, text in EFFECTS if given["co_ppm"] >= level]
    remarks = [_(CAUTION)]
    if effects:
        remarks.append(_("Widely reprinted warning for such a reading: {effect}.").format(effect=_(effects[-1])))
    return Details(
        (
            Detail(_("CO by mass at 20 °C"), co_mass_concentration(given["co_ppm"], 20.0), "mg/m³"),
            Detail(_("Guideline"), guideline_mg_m3(given["averaging_min"]), "mg/m³"),
        ),
        tuple(remarks),
    )


@figure(
    name="co_share_of_guideline",
    title="CO in the room against the guideline",
    meaning="Above 1 the guideline is broken; any CO from a heater inside is a defect",
    inputs={
        "co_ppm": CO_AIR,
        "averaging_min": Input("min", "Time over which the reading is a mean", (0.1, 480.0), label="averaging time"),
    },
    result=Output("1", "Reading over guideline"),
    formula="s = c(20 °C)/c_guideline(t)",
    source="WHO Air Quality Guidelines for Europe 2000, quoted in J Occup Med Toxicol 2018 13:30",
    accuracy="a cheap sensor ±10 ppm; the guideline protects health, it marks no safe time",
    example={"co_ppm": 12, "averaging_min": 60},
    details=_guideline_details,
)
def co_share_of_guideline(co_ppm: float, averaging_min: float) -> float:
    """CO in a room over the WHO Europe 2000 guideline: ppm as mg/m³ at 20 °C over the limit for the time in min."""
    return co_mass_concentration(co_ppm, 20.0) / guideline_mg_m3(averaging_min)


def _buildup_details(given: Mapping[str, float]) -> Details:
    if given["air_m3_h"] == 0:
        return Details((), (_("Without fresh air it rises for as long as it leaks."), _(CAUTION)))
    steady_ppm = given["co_source_l_h"] / 1000.0 / given["air_m3_h"] * 1e6
    return Details((Detail(_("If it goes on for long"), min(1e6, steady_ppm), "ppm"),), (_(CAUTION),))


@figure(
    name="co_buildup",
    title="CO that builds up in a room",
    meaning="Why a small leak in a small room is deadly; for teaching, not for planning",
    inputs={
        "volume_m3": Input("m³", "Volume of the room", (0.5, 1000.0)),
        "air_m3_h": Input("m³/h", "Fresh air that comes in", (0.0, 5000.0), label="fresh air"),
        "co_source_l_h": Input("l/h", "CO that leaks in", (0.0, 5000.0), label="CO source"),
        "time_min": Input("min", "Time since it began", (0.0, 1440.0)),
    },
    result=Output("ppm", "CO in the room, well mixed"),
    formula="C = (G/Q)·(1 − exp(−Q·t/V)); G·t/V without fresh air",
    source="well-mixed mass balance (agrees with a numerical solution)",
    status="library",
    accuracy="a factor of two: rooms are not well mixed",
    example={"volume_m3": 14, "air_m3_h": 28, "co_source_l_h": 36, "time_min": 10},
    curve="time_min",
    details=_buildup_details,
)
def co_buildup(volume_m3: float, air_m3_h: float, co_source_l_h: float, time_min: float) -> float:
    """CO in a well-mixed room in ppm: (G/Q)(1 − exp(−Qt/V)); m³, m³/h, l/h, min; a factor of two at best."""
    hours = time_min / 60.0
    source_m3_h = co_source_l_h / 1000.0
    if air_m3_h * hours < 1e-9 * volume_m3:
        return min(1e6, source_m3_h * hours / volume_m3 * 1e6)
    share = source_m3_h / air_m3_h * -math.expm1(-air_m3_h * hours / volume_m3)
    return min(1.0, share) * 1e6
