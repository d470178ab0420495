"""What supply, cable and glow element do to voltage, current and resistance."""

from __future__ import annotations

import math
from collections.abc import Mapping

from trees.errors import OutOfRangeError
from trees.figures.registry import Detail, Details, Input, Output, figure
from trees.language import _

COPPER_CONDUCTIVITY_M_PER_OHM_MM2 = 58.0
"""Annealed copper at 20 °C: 1/58 Ω·mm²/m (IEC 60028:1925)."""
COPPER_TEMPERATURE_COEFFICIENT_PER_K = 0.00393
"""α₂₀ of annealed copper (IEC 60028:1925)."""

LARGEST_RESISTANCE_OHM_KM = {
    0.5: 39.0, 0.75: 26.0, 1.0: 19.5, 1.5: 13.3, 2.5: 7.98, 4.0: 4.95, 6.0: 3.30, 10.0: 1.91, 16.0: 1.21,
}  # fmt: skip
"""IEC 60228 class 5, 20 °C (four copies): mm² → Ω/km."""
VEHICLE_CABLE_OHM_KM = {
    0.5: 37.1, 0.75: 24.7, 1.0: 18.5, 1.5: 12.7, 2.5: 7.60, 4.0: 4.71, 6.0: 3.14, 10.0: 1.82, 16.0: 1.16,
}  # fmt: skip
"""ISO 6722-1, 20 °C (memory): mm² → Ω/km."""
CUT_OUT_V = {12: (10.0, 10.5), 24: (20.0, 21.0)}
"""Under-voltage cut-out of units, after about 20 s: common practice, no source."""

_VOLTS = (0.0, 60.0)


@figure(
    name="supply_drop",
    title="Voltage lost on the way to the unit",
    meaning="Volts that stay in cable, fuse, terminals and earth while current flows",
    inputs={
        "source_v": Input("V", "Voltage at the battery posts while the glow element is on", _VOLTS),
        "load_v": Input("V", "Voltage at the unit's plug at the same moment", _VOLTS),
    },
    result=Output("V", "Voltage lost between battery and unit"),
    formula="U_drop = U_source − U_load",
    source="definition (Kirchhoff)",
    status="library",
    accuracy="two readings of one meter: about √2 of its repeatability; both at the same moment of the glow phase",
    example={"source_v": 12.4, "load_v": 10.3},
)
def supply_drop(source_v: float, load_v: float) -> float:
    """Volts lost on the way: U_source − U_load, V (Kirchhoff).

    A difference slightly below zero is meter noise and returned; more than 0.5 V below zero raises OutOfRangeError.
    """
    drop_v = source_v - load_v
    if drop_v < -0.5:
        raise OutOfRangeError(
            _(
                "The voltage at the unit is higher than at the battery: the two readings are swapped, "
                "or were taken at different moments."
            )
        )
    return drop_v


def _cable_details(given: Mapping[str, float]) -> Details:
    drop_v, area_mm2 = cable_drop(**given), given["area_mm2"]
    values = [
        Detail(_("Share of {system:.0f} V").format(system=system), drop_v / system, "1") for system in (12.0, 24.0)
    ]
    if (largest := largest_resistance_ohm_km(area_mm2)) is not None:
        factor = largest / 1000.0 * COPPER_CONDUCTIVITY_M_PER_OHM_MM2 * area_mm2
        values.insert(0, Detail(_("With a cable that just meets IEC 60228 class 5"), drop_v * factor, "V"))
    return Details(
        tuple(values), (_("Allowed on boats: 3 % in vital circuits (ISO 10133), 10 % in others (practice)."),)
    )


@figure(
    name="cable_drop",
    title="Voltage drop that the cable alone explains",
    meaning="What an ideal copper cable of this length and area loses; a larger measured drop sits in joints and fuse",
    inputs={
        "length_m": Input("m", "Length of the cable, one way; the return is added here", (0.01, 50.0)),
        "current_a": Input("A", "Current, usually under glow load", (0.0, 100.0)),
        "area_mm2": Input("mm²", "Copper area of one conductor", (0.35, 50.0)),
        "temperature_c": Input("°C", "Temperature of the conductor", (-40.0, 105.0)),
    },
    result=Output("V", "Drop over both conductors"),
    formula="U = 2·L·I/(58·A)·(1 + 0.00393·(t − 20 °C))",
    source="IEC 60028:1925 resistivity and temperature coefficient of annealed copper",
    accuracy="ideal copper; a cable that just meets IEC 60228 class 5 loses 11 to 16 % more",
    example={"length_m": 5, "current_a": 10.5, "area_mm2": 2.5},
    curve="area_mm2",
    details=_cable_details,
)
def cable_drop(length_m: float, current_a: float, area_mm2: float, temperature_c: float = 20.0) -> float:
    """Drop of a two-wire copper cable in V: U = 2·L·I/(58·A)·(1 + 0.00393·(t − 20)).

    L m one way, I A, A mm², t °C (IEC 60028:1925). 0.35 to 50 mm²; real class 5 cable loses 11 to 16 % more.
    """
    return 2.0 * conductor_resistance_ohm(length_m, area_mm2, temperature_c) * current_a


def conductor_resistance_ohm(length_m: float, area_mm2: float, temperature_c: float = 20.0) -> float:
    """Resistance of one copper conductor in Ω: R = L/(58·A)·(1 + 0.00393·(t − 20)), L m, A mm², t °C (IEC 60028)."""
    cold = length_m / (COPPER_CONDUCTIVITY_M_PER_OHM_MM2 * area_mm2)
    return cold * (1.0 + COPPER_TEMPERATURE_COEFFICIENT_PER_K * (temperature_c - 20.0))


def largest_resistance_ohm_km(area_mm2: float) -> float | None:
    """Largest resistance of a class 5 conductor in Ω/km at 20 °C (IEC 60228); None for an area that is not standard."""
    return next((r for area, r in LARGEST_RESISTANCE_OHM_KM.items() if abs(area - area_mm2) < 0.01), None)


@figure(
    name="cable_area_needed",
    title="Cable area for a drop",
    meaning="The copper area that keeps the loss within what is allowed; take the next larger cable",
    inputs={
        "length_m": Input("m", "Length of the cable, one way", (0.01, 50.0)),
        "current_a": Input("A", "Current, usually under glow load", (0.01, 100.0)),
        "drop_v": Input("V", "Allowed drop: 3 % of 12 V is 0.36 V", (0.02, 10.0)),
    },
    result=Output("mm²", "Copper area of one conductor"),
    formula="A = 2·L·I/(58·U)",
    source="IEC 60028:1925",
    accuracy="ideal copper at 20 °C; boat wiring tables ask about 4 % more",
    example={"length_m": 3.2, "current_a": 10, "drop_v": 0.36},
    curve="length_m",
)
def cable_area_needed(length_m: float, current_a: float, drop_v: float) -> float:
    """Copper area in mm² for an allowed drop: A = 2·L·I/(58·U); m one way, A, V; 20 °C (IEC 60028)."""
    return 2.0 * length_m * current_a / (COPPER_CONDUCTIVITY_M_PER_OHM_MM2 * drop_v)


def circular_mils(current_a: float, total_length_ft: float, drop_v: float) -> float:
    """Conductor area in circular mils as boat wiring tables have it: 10.75·I·L/E, L ft there and back."""
    return 10.75 * current_a * total_length_ft / drop_v


def area_of_circular_mils_mm2(mils: float) -> float:
    """Area in mm² of so many circular mils (circles of 0.001 in)."""
    return mils * round_area_mm2(0.0254)


def awg_diameter_mm(awg: float) -> float:
    """Diameter in mm of American wire gauge n: d = 0.127·92^((36 − n)/39) (ASTM B258); 2/0 is −1, 4/0 is −3."""
    if not -3 <= awg <= 40:
        raise OutOfRangeError(_("Wire sizes run from 4/0 (typed 4/0) to 40 AWG."))
    return float(0.127 * 92.0 ** ((36.0 - awg) / 39.0))


def round_area_mm2(diameter_mm: float) -> float:
    """Area in mm² of a round conductor: A = π·d²/4, d mm."""
    return math.pi * diameter_mm**2 / 4.0
