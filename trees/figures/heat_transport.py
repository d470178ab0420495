"""How coolant and warm air carry the heat away, and how long it takes to heat an engine."""

from __future__ import annotations

from trees.figures.air import dry_air_density, standard_pressure_pa
from trees.figures.registry import Input, Output, figure

GLYCOL_DENSITY_KG_M3 = 1064.93
GLYCOL_HEAT_J_KGK = 3312.04
"""Half-and-half ethylene glycol and water at 20 °C (CoolProp); at 70 °C 1035 kg/m³ and 3500 J/(kg·K) (memory)."""
STEEL_HEAT_J_KGK = 450.0
"""ISO 10456."""
AIR_HEAT_J_KGK = 1005.0

_OUTPUT = Input("kW", "Heat that is carried away", (0.3, 35.0))
_RISE = Input("K", "Outlet less inlet", (0.5, 150.0))


@figure(
    name="coolant_flow",
    title="Coolant flow from its warming",
    meaning="How much coolant passes; too little overheats the unit",
    inputs={"output_kw": _OUTPUT, "rise_k": _RISE},
    result=Output("l/h", "Volume flow of half-and-half glycol and water"),
    formula="V̇ = P/(ρ·c·ΔT)",
    source="energy balance; glycol half-and-half at 20 °C from CoolProp",
    status="library",
    accuracy="±10 %: the output is rarely known better",
    example={"output_kw": 5, "rise_k": 8},
    curve="rise_k",
)
def coolant_flow(output_kw: float, rise_k: float) -> float:
    """Coolant flow in l/h: P/(ρ·c·ΔT), kW, K; half-and-half glycol 1065 kg/m³, 3312 J/(kg·K); ±10 %."""
    return output_kw * 1000.0 / (GLYCOL_DENSITY_KG_M3 * GLYCOL_HEAT_J_KGK * rise_k) * 3600.0 * 1000.0


@figure(
    name="warm_air_flow",
    title="Warm-air flow from its warming",
    meaning="How much air passes; blocked vents make it small and hot",
    inputs={
        "output_kw": _OUTPUT,
        "rise_k": _RISE,
        "inlet_c": Input("°C", "Temperature of the air taken in", (-40.0, 50.0)),
    },
    result=Output("m³/h", "Volume flow at the inlet"),
    formula="V̇ = P/(ρ·cp·ΔT)",
    source="energy balance; cp 1005 J/(kg·K), density of ISO 2533:1975 at sea level",
    status="library",
    accuracy="±10 %: the outlet is not equally warm everywhere",
    example={"output_kw": 2, "rise_k": 64},
    curve="rise_k",
)
def warm_air_flow(output_kw: float, rise_k: float, inlet_c: float = 20.0) -> float:
    """Warm-air flow in m³/h at the inlet: P/(ρ·cp·ΔT); kW, K, °C; sea level; ±10 %."""
    heat_wh = air_heat_wh_m3k(inlet_c)
    return output_kw * 1000.0 / (heat_wh * rise_k)


@figure(
    name="engine_preheat_time",
    title="Time to preheat an engine",
    meaning="The least time that the heat alone takes; losses come on top",
    inputs={
        "output_kw": _OUTPUT,
        "coolant_l": Input("l", "Coolant in the circuit", (0.5, 100.0)),
        "iron_kg": Input("kg", "Iron that warms with it, about the bare engine", (0.0, 3000.0)),
        "rise_k": _RISE,
    },
    result=Output("min", "Time without losses"),
    formula="t = (V·ρ·c + m·c_Fe)·ΔT/P",
    source="energy balance; steel 450 J/(kg·K) (ISO 10456), glycol from CoolProp",
    status="library",
    accuracy="losses add 20 to 50 %",
    example={"output_kw": 5, "coolant_l": 6, "iron_kg": 120, "rise_k": 80},
    curve="rise_k",
)
def engine_preheat_time(output_kw: float, coolant_l: float, iron_kg: float, rise_k: float) -> float:
    """Time in min without losses: (V·ρ·c + m·450)·ΔT/P; kW, l, kg, K; losses add 20 to 50 %."""
    capacity_j_k = coolant_l / 1000.0 * GLYCOL_DENSITY_KG_M3 * GLYCOL_HEAT_J_KGK + iron_kg * STEEL_HEAT_J_KGK
    return capacity_j_k * rise_k / (output_kw * 1000.0) / 60.0


def air_heat_wh_m3k(temperature_c: float) -> float:
    """Heat that a cubic metre of air at sea level carries for each kelvin, Wh/(m³·K): ρ·cp/3600; 0.34 at 17 °C."""
    return dry_air_density(standard_pressure_pa(0.0), temperature_c) * AIR_HEAT_J_KGK / 3600.0
