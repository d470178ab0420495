"""Where the volts are lost between battery and unit, and what battery and glow element say themselves."""

from __future__ import annotations

import itertools
from collections.abc import Mapping

from trees.errors import OutOfRangeError
from trees.figures.electrical import cable_drop
from trees.figures.registry import Detail, Details, Input, Output, figure
from trees.language import _

_VOLTS = (0.0, 60.0)
BATTERY_TABLE = (
    # state of charge %, rested volts of a flooded 12 V battery near 27 °C, specific gravity, freezing point °C
    (0.0, 11.89, 1.120, -23.3),
    (25.0, 12.06, 1.155, -26.7),
    (50.0, 12.24, 1.190, -36.7),
    (75.0, 12.45, 1.225, -48.3),
    (100.0, 12.65, 1.265, -59.4),
)
BATTERY_SOURCE = "BCI-type table (battery-care page); versions differ by ±0.1 V"
_SYSTEM = Input("V", "Voltage of the system: 12 or 24", (12.0, 24.0))


def _interpolate(x: float, column_x: int, column_y: int) -> float:
    rows = BATTERY_TABLE
    for low, high in itertools.pairwise(rows):
        if x <= high[column_x]:
            share = (x - low[column_x]) / (high[column_x] - low[column_x])
            return low[column_y] + share * (high[column_y] - low[column_y])
    return rows[-1][column_y]


def rested_battery_v(charge_pct: float) -> float:
    """Rested voltage in V of a flooded 12 V battery at a state of charge in % (BCI-type table, ±0.1 V)."""
    return _interpolate(charge_pct, 0, 1)


def acid_freezing_c(charge_pct: float) -> float:
    """Freezing point of the acid in °C at a state of charge in % (BCI-type table)."""
    return _interpolate(charge_pct, 0, 3)


def _charge_details(given: Mapping[str, float]) -> Details:
    return Details(
        (Detail(_("Acid freezes at"), acid_freezing_c(battery_charge(**given)), "°C"),),
        (_("A rested voltage tells the charge, not the health: a worn battery rests high and sags under glow load."),),
    )


@figure(
    name="battery_charge",
    title="State of charge from the rested voltage",
    meaning="How full the battery is, after hours without load and without charging",
    inputs={"rested_v": Input("V", "Voltage after at least 4 h without load or charging", _VOLTS), "system_v": _SYSTEM},
    result=Output("%", "State of charge; a flooded battery near 27 °C"),
    formula="table, straight lines between its rows; 24 V: half the voltage",
    source=BATTERY_SOURCE,
    accuracy="±15 %; other kinds of battery differ; no temperature correction on purpose",
    example={"rested_v": 12.5},
    curve="rested_v",
    details=_charge_details,
)
def battery_charge(rested_v: float, system_v: float = 12.0) -> float:
    """State of charge in % from the rested voltage of a flooded 12 or 24 V battery (BCI-type table); ±15 %."""
    if system_v not in {12.0, 24.0}:
        raise OutOfRangeError(_("A battery system here is 12 or 24 V."))
    cell_v = rested_v * 12.0 / system_v
    if not 6.0 <= cell_v <= 13.2:
        raise OutOfRangeError(
            _(
                "That is no rested battery of this system: it is being charged, has just been charged, "
                "or the system is another."
            )
        )
    return _interpolate(max(BATTERY_TABLE[0][1], min(cell_v, BATTERY_TABLE[-1][1])), 1, 0)


@figure(
    name="battery_sag",
    title="Sag of the battery under glow load",
    meaning="Volts that the battery itself loses; a worn or empty battery sags far",
    inputs={
        "rested_v": Input("V", "Voltage at the posts before the start", _VOLTS),
        "source_v": Input("V", "Voltage at the posts while the glow element is on", _VOLTS),
    },
    result=Output("V", "Sag"),
    formula="U_sag = U_rested − U_loaded",
    source="definition",
    status="library",
    accuracy="two readings of one meter",
    example={"rested_v": 12.75, "source_v": 12.4},
)
def battery_sag(rested_v: float, source_v: float) -> float:
    """Sag of the battery in V under load: rested less loaded (definition); a rise of more than 0.5 V is an error."""
    if source_v - rested_v > 0.5:
        raise OutOfRangeError(_("The battery can't rise under load: it is being charged, or the readings are swapped."))
    return rested_v - source_v


def _joint_details(given: Mapping[str, float]) -> Details:
    source_v, rested_v = given["source_v"], given["rested_v"]
    cable_v = cable_drop(given["length_m"], given["current_a"], given["area_mm2"])
    values = [
        Detail(_("Between battery and unit"), source_v - given["load_v"], "V"),
        Detail(_("In the copper of the cable"), cable_v, "V"),
    ]
    parts = {"the cable itself": cable_v, "joints, fuse and earth": joint_drop(**given)}
    if rested_v > 0:
        parts["the battery"] = battery_sag(rested_v, source_v)
        values.append(Detail(_("In the battery"), parts["the battery"], "V"))
    return Details(tuple(values), (_where(parts),))


def _where(parts: dict[str, float]) -> str:
    place, most = max(parts.items(), key=lambda item: item[1])
    if most < 0.3:
        return _("No part of the supply loses much: the volts are not the trouble, at this current.")
    advice = {
        "the cable itself": _("Most is lost in the cable itself: lay a larger cable, or a shorter one."),
        "joints, fuse and earth": _(
            "Most is lost in joints, fuse and earth: measure across each joint, fuse holder and earth point under "
            "load, and mend the one that shows volts."
        ),
        "the battery": _("Most is lost in the battery: charge it, and test it under load."),
    }
    return advice[place]


@figure(
    name="joint_drop",
    title="Volts lost in joints, fuse and earth",
    meaning="What the copper of the cable does not explain: corroded terminals, fuse holder, earth point",
    inputs={
        "source_v": Input("V", "Voltage at the battery posts while the glow element is on", _VOLTS),
        "load_v": Input("V", "Voltage at the unit's plug at the same moment", _VOLTS),
        "current_a": Input("A", "Current at that moment", (0.0, 100.0)),
        "length_m": Input("m", "Length of the cable, one way", (0.01, 50.0)),
        "area_mm2": Input("mm²", "Copper area of one conductor", (0.35, 50.0)),
        "rested_v": Input("V", "Voltage at the posts before the start; 0 if not measured", _VOLTS),
    },
    result=Output("V", "Drop that the cable does not explain"),
    formula="U_joint = (U_source − U_load) − 2·L·I/(58·A)",
    source="Kirchhoff; IEC 60028:1925",
    accuracy="±0.1 V: meter, true area of the cable (class 5 up to 16 % worse than ideal copper)",
    example={"source_v": 12.4, "load_v": 10.3, "current_a": 10.5, "length_m": 6, "area_mm2": 2.5, "rested_v": 12.75},
    details=_joint_details,
)
def joint_drop(
    *,
    source_v: float,
    load_v: float,
    current_a: float,
    length_m: float,
    area_mm2: float,
    rested_v: float = 0.0,  # noqa: ARG001 - for the sag told beside the result
) -> float:
    """Drop in V that ideal copper does not explain: (U_source − U_load) − 2·L·I/(58·A); ±0.1 V.

    `rested_v` is for the sag that is told beside it. A small negative number is error of area and meter.
    """
    if load_v - source_v > 0.5:
        raise OutOfRangeError(_("The voltage at the unit is higher than at the battery: the two readings are swapped."))
    return source_v - load_v - cable_drop(length_m, current_a, area_mm2)


_POWER = Input("W", "Rated power of the element, hot", (1.0, 500.0))
_RATED_V = Input("V", "Voltage that the power is rated at", (1.0, 60.0))
HOT = "Ohm's law; a metal element is colder at the start and then draws more (common practice)"


@figure(
    name="element_resistance",
    title="Resistance of a glow element when hot",
    meaning="What a sound element has at work; cold, a metal one shows less",
    inputs={"power_w": _POWER, "voltage_v": _RATED_V},
    result=Output("Ω", "Hot resistance"),
    formula="R = U²/P",
    source=HOT,
    status="library",
    accuracy="the unit's own value comes first; cold metal elements have a third to a half of it (practice)",
    example={"power_w": 100, "voltage_v": 12},
)
def element_resistance(power_w: float, voltage_v: float) -> float:
    """Hot resistance of an element in Ω: U²/P; W, V (Ohm). Cold metal elements have less."""
    return voltage_v**2 / power_w


@figure(
    name="element_current",
    title="Current of a glow element",
    meaning="What fuse and cable must carry for the whole glow time",
    inputs={"power_w": _POWER, "voltage_v": _RATED_V},
    result=Output("A", "Current when hot"),
    formula="I = P/U",
    source=HOT,
    status="library",
    accuracy="the first seconds take more",
    example={"power_w": 100, "voltage_v": 12},
)
def element_current(power_w: float, voltage_v: float) -> float:
    """How much a hot element draws in A: P/U; W, V (Ohm)."""
    return power_w / voltage_v


@figure(
    name="element_power",
    title="Power that a glow element really gets",
    meaning="Falls with the square of the voltage: 10 V instead of 12 leaves 69 %",
    inputs={
        "resistance_ohm": Input("Ω", "Hot resistance of the element", (0.05, 200.0)),
        "voltage_v": Input("V", "Voltage at the element", (0.0, 60.0)),
    },
    result=Output("W", "Power"),
    formula="P = U²/R",
    source=HOT,
    status="library",
    accuracy="±5 %: the resistance falls a little when the element stays colder",
    example={"resistance_ohm": 1.44, "voltage_v": 10.3},
    curve="voltage_v",
)
def element_power(resistance_ohm: float, voltage_v: float) -> float:
    """Power of an element in W: U²/R; Ω hot, V (Ohm)."""
    return voltage_v**2 / resistance_ohm
