"""How much fuel a burner gets, and how much heat is in it."""

from __future__ import annotations

import math

from trees.errors import OutOfRangeError
from trees.figures.combustion import DIESEL_LHV_MJ_KG, FuelSplit
from trees.figures.registry import Input, Output, figure
from trees.language import _

DIESEL_DENSITY_KG_M3 = 832.0
"""Middle of EN 590's 820 to 845 kg/m³ at 15 °C."""
FAME_DENSITY_KG_M3 = 890.0
FAME_LHV_MJ_KG = 37.2
"""UK DESNZ 2025 factors (secondary copy); 33 MJ/l in BAnz AT 07.05.2020 B5."""

DENSITY = Input("kg/m³", "Density of the fuel as delivered", (750.0, 950.0))
DOSE = Input("ml", "Fuel delivered in 100 s", (0.1, 80.0))
LHV = Input("MJ/kg", "Lower heating value of the fuel", (30.0, 47.0))


@figure(
    name="dose_expected",
    title="Fuel dose to expect",
    meaning="What should come in 100 s for an output, where the unit's own value is not known",
    inputs={
        "output_kw": Input("kW", "Heat output of the step that is measured", (0.3, 20.0)),
        "efficiency": Input("1", "Share of the fuel's heat that becomes useful", (0.5, 1.0)),
        "density_kg_m3": DENSITY,
        "lhv_mj_kg": LHV,
    },
    result=Output("ml", "Fuel delivered in 100 s"),
    formula="V = 100 s·P/(η·ρ·LHV)",
    source="energy balance; density EN 590 (820 to 845 kg/m³ at 15 °C); heating value and efficiency 0.85 from memory",
    status="memory",
    accuracy="±15 %: a fallback only, the efficiency is assumed; the unit's own value always comes first",
    example={"output_kw": 2},
    curve="output_kw",
)
def dose_expected(
    output_kw: float,
    efficiency: float = 0.85,
    density_kg_m3: float = DIESEL_DENSITY_KG_M3,
    lhv_mj_kg: float = DIESEL_LHV_MJ_KG,
) -> float:
    """Dose to expect in ml per 100 s: V = 100·P/(η·ρ·LHV), P kW, ρ kg/m³, LHV MJ/kg.

    Energy balance; 0.3 to 20 kW; ±15 % because the efficiency is assumed.
    """
    return 100.0 * output_kw / efficiency / (density_kg_m3 * lhv_mj_kg * 1e-3)


@figure(
    name="thermal_input",
    title="Heat in the measured dose",
    meaning="What the burner is given, before any loss",
    inputs={"dose_ml": DOSE, "density_kg_m3": DENSITY, "lhv_mj_kg": LHV},
    result=Output("kW", "Thermal input"),
    formula="P = V·ρ·LHV/100 s",
    source="definition; density EN 590, heating value from memory",
    status="library",
    accuracy="±2 % for the fuel and the cylinder's error: ±0.2 ml of 10 ml is another ±2 %",
    example={"dose_ml": 6.5},
)
def thermal_input(
    dose_ml: float, density_kg_m3: float = DIESEL_DENSITY_KG_M3, lhv_mj_kg: float = DIESEL_LHV_MJ_KG
) -> float:
    """Thermal input in kW: P = V·ρ·LHV/100 s, V ml in 100 s, ρ kg/m³, LHV MJ/kg; ±2 % for the fuel."""
    return dose_ml * density_kg_m3 * lhv_mj_kg * 1e-3 / 100.0


@figure(
    name="dose_from_strokes",
    title="Dose from counted strokes",
    meaning="What comes in 100 s where strokes were counted instead of seconds",
    inputs={
        "volume_ml": Input("ml", "Fuel caught", (0.1, 200.0)),
        "strokes": Input("1", "Strokes counted while it was caught", (1.0, 10_000.0)),
        "frequency_hz": Input("Hz", "Strokes each second at the output step in question", (0.2, 15.0)),
    },
    result=Output("ml", "Fuel delivered in 100 s"),
    formula="V = (V_caught/n)·f·100 s",
    source="definition",
    status="library",
    accuracy="as good as cylinder and count; 100 strokes or more",
    example={"volume_ml": 6, "strokes": 200, "frequency_hz": 2},
)
def dose_from_strokes(volume_ml: float, strokes: float, frequency_hz: float) -> float:
    """Dose in ml per 100 s from counted strokes: V = (V/n)·f·100 s, V ml, f Hz (definition)."""
    stroke_ml = volume_ml / strokes
    if stroke_ml > 0.2:
        raise OutOfRangeError(_("More than 0.2 ml a stroke: no dosing pump of this kind delivers that; count again."))
    return stroke_ml * frequency_hz * 100.0


@figure(
    name="dose_deviation",
    title="Dose against the rated dose",
    meaning="How far the measured delivery is off",
    inputs={"dose_ml": DOSE, "rated_ml": Input("ml", "Rated delivery of the unit in 100 s", (0.1, 80.0))},
    result=Output("%", "Deviation; negative is too little"),
    formula="x = (V/V_rated − 1)·100 %",
    source="definition",
    status="library",
    accuracy="as good as the cylinder: ±0.2 ml of 10 ml is ±2 %",
    example={"dose_ml": 5.6, "rated_ml": 6.6},
)
def dose_deviation(dose_ml: float, rated_ml: float) -> float:
    """Deviation of a measured dose in %: (V/V_rated − 1)·100, both ml in 100 s (definition)."""
    return (dose_ml / rated_ml - 1.0) * 100.0


@figure(
    name="fuel_density",
    title="Density of the fuel at its temperature",
    meaning="Cold fuel is denser: a pump that meters volume then delivers more mass",
    inputs={
        "temperature_c": Input("°C", "Temperature of the fuel", (-40.0, 80.0)),
        "density_15_kg_m3": Input("kg/m³", "Density at 15 °C; EN 590 diesel 820 to 845", (787.5, 950.0)),
    },
    result=Output("kg/m³", "Density"),
    formula="ρ = ρ15·exp(−α·Δt·(1 + 0.8·α·Δt)), α = K0/ρ15² + K1/ρ15",
    source="ASTM D1250 / API MPMS 11.1, form of Table 54B (constants from memory)",
    status="memory",
    accuracy="±0.1 % for diesel; the density at 15 °C itself is known to ±1.5 %",
    example={"temperature_c": -20},
    curve="temperature_c",
)
def fuel_density(temperature_c: float, density_15_kg_m3: float = DIESEL_DENSITY_KG_M3) -> float:
    """Density in kg/m³ at t °C: ρ15·exp(−α·Δt·(1 + 0.8·α·Δt)), Δt = t − 15 °C; −40 to 80 °C (Table 54B form)."""
    expansion = expansion_coefficient_per_k(density_15_kg_m3) * (temperature_c - 15.0)
    return density_15_kg_m3 * math.exp(-expansion * (1.0 + 0.8 * expansion))


def expansion_coefficient_per_k(density_15_kg_m3: float) -> float:
    """Thermal expansion at 15 °C in 1/K: α = K0/ρ² + K1/ρ; K0 594.5418 to 838.3 kg/m³, above 186.9696 and K1 0.4862."""
    if density_15_kg_m3 <= 838.3:
        return 594.5418 / density_15_kg_m3**2
    return 186.9696 / density_15_kg_m3**2 + 0.4862 / density_15_kg_m3


@figure(
    name="fame_heat_share",
    title="Heat in a litre of a FAME blend",
    meaning="A litre with biodiesel carries less heat than a litre of diesel",
    inputs={"fame_pct": Input("%", "FAME by volume: 7 for B7, 100 for pure", (0.0, 100.0))},
    result=Output("1", "Heat per litre over that of diesel without FAME"),
    formula="h = (1 − x) + x·(890·37.2)/(832·43.1)",
    source="volume mixing rule; FAME 890 kg/m³, 37.2 MJ/kg (DESNZ 2025); diesel 43.1 MJ/kg (JEC, memory)",
    status="library",
    accuracy="±1 %",
    example={"fame_pct": 35},
    curve="fame_pct",
)
def fame_heat_share(fame_pct: float) -> float:
    """Heat per litre of a blend over B0: (1 − x) + x·(890·37.2)/(832·43.1), x FAME vol %; ±1 %."""
    share = fame_pct / 100.0
    return 1.0 - share + share * (FAME_DENSITY_KG_M3 * FAME_LHV_MJ_KG) / (DIESEL_DENSITY_KG_M3 * 43.1)


def lower_heating_value_mj_kg(fuel: FuelSplit) -> float:
    """Lower heating value in MJ/kg from the elements by Boie, less 2.442 MJ/kg for the water formed; ±2 %.

    HHV = 35.160·C + 116.225·H − 11.090·O + 10.465·S (mass fractions), LHV = HHV − 2.442·8.936·H.
    """
    higher = 35.160 * fuel.carbon + 116.225 * fuel.hydrogen - 11.090 * fuel.oxygen + 10.465 * fuel.sulphur
    return higher - 2.442 * 8.936 * fuel.hydrogen
