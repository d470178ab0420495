"""How much heat a space wants, and how a unit of a given size will run in it."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

from trees.errors import OutOfRangeError
from trees.figures.registry import Detail, Details, Input, Output, figure
from trees.language import _

SURFACE_OUT = 0.04
"""External surface resistance in m²·K/W (ISO 6946); smaller on a moving vehicle."""
SURFACE_IN = {"up": 0.10, "horizontal": 0.13, "down": 0.17}
"""Internal surface resistance in m²·K/W by direction of the heat flow: roof, wall, floor (ISO 6946:2007 Table 1)."""
CONDUCTIVITY_W_MK = {
    "steel": 50.0, "stainless steel": 17.0, "aluminium alloy": 160.0, "softwood": 0.13, "hardwood": 0.18,
    "glass-fibre polyester": 0.40, "glass": 1.0, "acrylic": 0.18, "polycarbonate": 0.20, "rigid PVC": 0.17,
    "rubber": 0.17, "polyurethane foam": 0.028, "mineral wool or foam": 0.035,
}  # fmt: skip
"""ISO 10456, ISO 10077-2 and CIBSE tables; the last is typical, from memory."""
AIR_HEAT_WH_M3K = 0.34
"""Heat capacity of air by volume at about 17 °C; 0.39 at −20 °C."""

LOSS = Input(
    "W/K", "Heat loss of the space for each kelvin: surfaces and air change together", (0.5, 2000.0), label="heat loss"
)
INSIDE = Input("°C", "Wanted temperature inside", (-10.0, 40.0))
OUTSIDE = Input("°C", "Temperature outside", (-50.0, 40.0))
LOWEST = Input("W", "Output of the lowest step", (100.0, 20_000.0), label="lowest output")
FULL = Input("W", "Full output", (300.0, 30_000.0), label="full output")
LOAD = Input("W", "Heat load of the space", (0.0, 50_000.0), label="heat load")


def layer_resistance_m2k_w(layers: Sequence[tuple[float, float]]) -> float:
    """Resistance of layers in m²·K/W: Σ d/λ; each layer thickness m and conductivity W/(m·K)."""
    return sum(thickness / conductivity for thickness, conductivity in layers)


def u_value_of_layers(
    layers: Sequence[tuple[float, float]],
    surface_in: float = SURFACE_IN["horizontal"],
    surface_out: float = SURFACE_OUT,
) -> float:
    """U-value in W/(m²·K): 1/(Rsi + Σ d/λ + Rse); layers of (m, W/(m·K)), surfaces m²·K/W (ISO 6946)."""
    return 1.0 / (surface_in + layer_resistance_m2k_w(layers) + surface_out)


@figure(
    name="u_value",
    title="U-value of a wall",
    meaning="Heat through a square metre of wall for each kelvin; the skins of a thin wall count for nothing",
    inputs={
        "thickness_mm": Input("mm", "Thickness of the insulation; of the wall where there is none", (0.5, 500.0)),
        "conductivity_w_mk": Input(
            "W/(m·K)", "Foam 0.03 to 0.04, wood 0.13, glass fibre 0.4, steel 50", (0.015, 400.0), "conductivity"
        ),
        "surface_in_m2k_w": Input("m²·K/W", "Wall 0.13, roof 0.10, floor 0.17", (0.05, 0.3), "inner surface"),
        "surface_out_m2k_w": Input("m²·K/W", "0.04 at rest, less on the road", (0.0, 0.2), "outer surface"),
    },
    result=Output("W/(m²·K)", "U-value"),
    formula="U = 1/(Rsi + d/λ + Rse)",
    source="ISO 6946; conductivities ISO 10456 and ISO 10077-2",
    accuracy="±10 %; metal ribs through the insulation can double it",
    example={"thickness_mm": 30, "conductivity_w_mk": 0.035},
    curve="thickness_mm",
)  # fmt: skip
def u_value(
    thickness_mm: float,
    conductivity_w_mk: float,
    surface_in_m2k_w: float = 0.13,
    surface_out_m2k_w: float = SURFACE_OUT,
) -> float:
    """U-value in W/(m²·K) of one layer: 1/(Rsi + d/λ + Rse); mm, W/(m·K), m²·K/W (ISO 6946); ±10 %."""
    return u_value_of_layers(((thickness_mm / 1000.0, conductivity_w_mk),), surface_in_m2k_w, surface_out_m2k_w)


_AREA = (0.0, 400.0)
_U = (0.0, 12.0)


@figure(
    name="space_heat_loss",
    title="Heat loss of a space",
    meaning="Watts for each kelvin between inside and outside",
    inputs={
        "shell_m2": Input("m²", "Walls, roof and floor without windows", _AREA),
        "shell_u": Input("W/(m²·K)", "Mean U-value of them: 1 insulated with 30 mm, 2 poorly, 5.5 bare skin", _U),
        "window_m2": Input("m²", "Windows and hatches", _AREA),
        "window_u": Input("W/(m²·K)", "Single pane 5.7, double acrylic 2.8", _U),
        "volume_m3": Input("m³", "Volume of the air inside", (0.5, 500.0)),
        "air_changes_per_h": Input(
            "1/h", "Air changes: tight boat 0.5, van 1 to 2, leaky hut 3, open vent 5", (0.0, 20.0)
        ),
    },
    result=Output("W/K", "Heat loss for each kelvin"),
    formula="H = Σ(U·A) + 0.34·n·V",
    source="EN 12831 form; 0.34 Wh/(m³·K) for air at 17 °C",
    accuracy="±25 %: U-values and air change are estimates",
    example={"shell_m2": 30, "shell_u": 0.94, "window_m2": 3, "window_u": 5.7, "volume_m3": 14, "air_changes_per_h": 2},
)
def space_heat_loss(
    *, shell_m2: float, shell_u: float, window_m2: float, window_u: float, volume_m3: float, air_changes_per_h: float
) -> float:
    """Heat loss in W/K: Σ(U·A) + 0.34·n·V; m², W/(m²·K), m³, 1/h (EN 12831 form); ±25 %."""
    transmission = shell_m2 * shell_u + window_m2 * window_u
    return transmission + ventilation_loss_w_k(volume_m3, air_changes_per_h)


def ventilation_loss_w_k(volume_m3: float, air_changes_per_h: float) -> float:
    """Heat loss by air change in W/K: 0.34·n·V; m³, 1/h."""
    return AIR_HEAT_WH_M3K * air_changes_per_h * volume_m3


@figure(
    name="heat_load",
    title="Heat load of a space",
    meaning="What the unit has to give to hold the temperature",
    inputs={"loss_w_k": LOSS, "inside_c": INSIDE, "outside_c": OUTSIDE},
    result=Output("W", "Heat load; nothing where it is as warm outside"),
    formula="Φ = H·(t_i − t_e)",
    source="EN 12831 form",
    accuracy="as good as the heat loss: ±25 %; sun, people and cooking are not counted",
    example={"loss_w_k": 55, "inside_c": 20, "outside_c": -10},
    curve="outside_c",
)
def heat_load(loss_w_k: float, inside_c: float, outside_c: float) -> float:
    """Heat load in W: H·(t_i − t_e), never below 0; W/K, °C; ±25 %."""
    return max(0.0, loss_w_k * (inside_c - outside_c))


def run_verdict(load_w: float, lowest_w: float, full_w: float) -> str:
    """Say how a unit carries a load: `cycling` below its lowest output, `modulating`, `insufficient` above full."""
    if lowest_w >= full_w:
        raise OutOfRangeError(_("The lowest output is not below full output."))
    if load_w < lowest_w:
        return "cycling"
    return "insufficient" if load_w > full_w else "modulating"


@figure(
    name="idle_share",
    title="Share of time that a unit idles",
    meaning="Below its lowest output a unit has to stop and start again; each start and stop leaves residue",
    inputs={"load_w": LOAD, "lowest_w": LOWEST},
    result=Output("1", "Share of the time without a flame, 0 to 1"),
    formula="s = 1 − Φ/P_min, 0 where Φ is above P_min",
    source="energy balance (definition)",
    status="library",
    accuracy="as good as the heat load: ±25 %",
    example={"load_w": 550, "lowest_w": 900},
    curve="load_w",
)
def idle_share(load_w: float, lowest_w: float) -> float:
    """Share of time without flame: 1 − Φ/P_min, at least 0; W (definition)."""
    return max(0.0, 1.0 - load_w / lowest_w)


@figure(
    name="cycles_above",
    title="Outside temperature above which a unit cycles",
    meaning="When it is warmer than this outside, the space takes less than the lowest output",
    inputs={"loss_w_k": LOSS, "inside_c": INSIDE, "lowest_w": LOWEST},
    result=Output("°C", "Outside temperature"),
    formula="t_e = t_i − P_min/H",
    source="energy balance",
    status="library",
    accuracy="±5 K: the heat loss is an estimate",
    example={"loss_w_k": 55, "inside_c": 20, "lowest_w": 900},
    curve="loss_w_k",
)
def cycles_above(loss_w_k: float, inside_c: float, lowest_w: float) -> float:
    """Outside temperature in °C above which a unit cycles: t_i − P_min/H; W/K, °C, W (energy balance); ±5 K."""
    return inside_c - lowest_w / loss_w_k


@figure(
    name="fails_below",
    title="Outside temperature below which a unit is too small",
    meaning="When it is colder than this outside, full output no longer holds the temperature",
    inputs={"loss_w_k": LOSS, "inside_c": INSIDE, "full_w": FULL},
    result=Output("°C", "Outside temperature"),
    formula="t_e = t_i − P_max/H",
    source="energy balance",
    status="library",
    accuracy="±5 K: the heat loss is an estimate",
    example={"loss_w_k": 55, "inside_c": 20, "full_w": 2000},
)
def fails_below(loss_w_k: float, inside_c: float, full_w: float) -> float:
    """Outside temperature in °C below which full output is not enough: t_i − P_max/H; W/K, °C, W; ±5 K."""
    return inside_c - full_w / loss_w_k


def _size_details(given: Mapping[str, float]) -> Details:
    loss_w_k, inside_c, lowest_w, full_w = (given[key] for key in ("loss_w_k", "inside_c", "lowest_w", "full_w"))
    usual = heat_load(loss_w_k, inside_c, given["usual_c"])
    coldest = heat_load(loss_w_k, inside_c, given["coldest_c"])
    return Details(
        (
            Detail(_("Load on a usual day"), usual, "W"),
            Detail(_("Load on the coldest day"), coldest, "W"),
            Detail(_("Cycles when warmer outside than"), cycles_above(loss_w_k, inside_c, lowest_w), "°C"),
            Detail(_("Too small when colder outside than"), fails_below(loss_w_k, inside_c, full_w), "°C"),
            Detail(_("Share of time without flame on a usual day"), idle_share(usual, lowest_w), "1"),
        ),
        size_advice(usual, coldest, lowest_w, full_w),
    )


def size_advice(usual_w: float, coldest_w: float, lowest_w: float, full_w: float) -> tuple[str, ...]:
    """Advise a smaller or a larger unit from the loads of a usual and of the coldest day; W. Sentences for a person."""
    usual, coldest = run_verdict(usual_w, lowest_w, full_w), run_verdict(coldest_w, lowest_w, full_w)
    if usual == "insufficient":
        return (_("Too small even for a usual day: a larger unit, or better insulation."),)
    if coldest == "insufficient":
        small = _("Too small for the coldest day: a larger unit or better insulation.")
        yet = _("Yet on usual days it cycles: insulate first, then look at the size again.")
        return (f"{small} {yet}" if usual == "cycling" else small,)
    if usual != "cycling":
        return (_("The size fits: on a usual day the unit runs between its lowest and its full output."),)
    wanted_w = max(1.2 * coldest_w, 500.0)
    large = _("Too large for a usual day: it cycles.")
    habit = _(
        "Until then: a run at full output each week with the space aired, and switch it off instead of letting it idle."
    )
    if wanted_w > 0.85 * full_w:
        step = _(
            "The coldest day needs this size: a unit with a smaller lowest step would fit better, or more insulation."
        )
        return (f"{large} {step}", habit)
    smaller = _("A smaller unit fits better: about {watts:.0f} W do for the coldest day with a fifth in hand.")
    return (f"{large} {smaller.format(watts=wanted_w)}", habit)


@figure(
    name="unit_size",
    title="Is the unit too large or too small?",
    meaning="Load of a usual day over the lowest output; below 1 the unit cycles and gets dirty",
    inputs={
        "loss_w_k": LOSS,
        "inside_c": INSIDE,
        "usual_c": Input("°C", "Outside temperature of a usual day in use", (-40.0, 35.0)),
        "coldest_c": Input("°C", "Coldest day in use", (-50.0, 30.0)),
        "lowest_w": LOWEST,
        "full_w": FULL,
    },
    result=Output("1", "Usual load over lowest output"),
    formula="r = H·(t_i − t_usual)/P_min",
    source="energy balance; heat loss in the form of EN 12831",
    status="library",
    accuracy="±25 %: between 0.75 and 1.25 look at the run hours instead",
    example={"loss_w_k": 55, "inside_c": 20, "usual_c": 8, "coldest_c": -10, "lowest_w": 900, "full_w": 2000},
    curve="usual_c",
    details=_size_details,
)
def unit_size(
    *, loss_w_k: float, inside_c: float, usual_c: float, coldest_c: float, lowest_w: float, full_w: float
) -> float:
    """Load of a usual day over the lowest output: H·(t_i − t_usual)/P_min; W/K, °C, W; ±25 %."""
    if coldest_c > usual_c or lowest_w >= full_w:
        raise OutOfRangeError(
            _("The coldest day must not be warmer than a usual one, nor the lowest output reach full output.")
        )
    return heat_load(loss_w_k, inside_c, usual_c) / lowest_w


@figure(
    name="warm_up_time",
    title="Time to warm up a space",
    meaning="How long a sound unit takes; much longer is a fault, or a unit too small",
    inputs={
        "capacity_kj_k": Input("kJ/K", "Heat capacity of air, walls and furniture: van 150 to 300, hut 1000 and more",
                               (5.0, 50_000.0), label="heat capacity"),
        "loss_w_k": LOSS,
        "output_w": FULL,
        "start_c": Input("°C", "Temperature at the start", (-50.0, 30.0)),
        "end_c": Input("°C", "Temperature to reach", (-40.0, 40.0)),
        "outside_c": OUTSIDE,
    },
    result=Output("min", "Time at full output"),
    formula="t = (C/H)·ln[(P − H·(t₀ − t_e))/(P − H·(t₁ − t_e))]",
    source="first-order energy balance (agrees with a numerical solution)",
    status="library",
    accuracy="±40 %: the heat capacity is an estimate",
    example={"capacity_kj_k": 200, "loss_w_k": 50, "output_w": 2000, "start_c": -10, "end_c": 20, "outside_c": -10},
    curve="end_c",
)  # fmt: skip
def warm_up_time(
    *, capacity_kj_k: float, loss_w_k: float, output_w: float, start_c: float, end_c: float, outside_c: float
) -> float:
    """Warm-up time in min: (C/H)·ln[(P − H(t₀ − t_e))/(P − H(t₁ − t_e))]; kJ/K, W/K, W, °C.

    OutOfRangeError where the output never reaches the end temperature.
    """
    if end_c < start_c:
        raise OutOfRangeError(_("The temperature to reach lies below the one at the start."))
    left_at_end = output_w - loss_w_k * (end_c - outside_c)
    if left_at_end <= 0:
        raise OutOfRangeError(
            _("The output never reaches this temperature: the losses are as large as the output before.")
        )
    left_at_start = output_w - loss_w_k * (start_c - outside_c)
    return capacity_kj_k * 1000.0 / loss_w_k * math.log(left_at_start / left_at_end) / 60.0
