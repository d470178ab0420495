"""How much air a fuel needs, and what dry flue gas says of the excess air."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from trees.errors import OutOfRangeError
from trees.figures.registry import Detail, Details, Input, Output, figure
from trees.language import _

O2_IN_AIR = 0.20946
MOLAR_MASS_AIR = 28.964
"""kg/kmol of dry air."""
MOLAR_VOLUME_M3N = 22.414
"""m³ per kmol at 0 °C and 101325 Pa."""
CARBON, HYDROGEN_4, SULPHUR, OXYGEN_2 = 12.011, 4.032, 32.06, 31.998
"""kg of each element that one kmol of O2 burns (or, for oxygen, brings)."""


@dataclass(frozen=True, slots=True)
class FuelSplit:
    """Mass fractions of a fuel's elements."""

    carbon: float
    hydrogen: float
    sulphur: float = 0.0
    oxygen: float = 0.0


DIESEL = FuelSplit(0.864, 0.136)
"""Middle of the published splits; CO2max 15.28 %."""
DIESEL_IMO = FuelSplit(0.862, 0.136, sulphur=0.0017)
"""IMO NOx Technical Code, Appendix 6, Table 1."""
RME = FuelSplit(0.772, 0.120, oxygen=0.108)
"""Rape methyl ester, same table."""


@dataclass(frozen=True, slots=True)
class Stoichiometry:
    """What one kilogram of fuel needs and leaves when it burns completely without excess air."""

    o2_kmol: float
    air_kg: float
    air_m3n: float
    dry_flue_m3n: float
    dry_flue_kmol: float
    co2max_pct: float
    dry_flue_over_air: float
    """k = V/L, volumes of dry flue gas and air."""


def stoichiometry(fuel: FuelSplit) -> Stoichiometry:
    """Element balance for 1 kg of fuel: o = C/12.011 + H/4.032 + S/32.06 − O/31.998 kmol, L = o/0.20946.

    V = C/12.011 + S/32.06 + 0.79054·L; CO2max = (C/12.011)/V. Exact up to the split: diesel CO2max 15.3 to 15.5 %.
    """
    co2 = fuel.carbon / CARBON
    o2 = co2 + fuel.hydrogen / HYDROGEN_4 + fuel.sulphur / SULPHUR - fuel.oxygen / OXYGEN_2
    air = o2 / O2_IN_AIR
    dry = co2 + fuel.sulphur / SULPHUR + (1.0 - O2_IN_AIR) * air
    return Stoichiometry(
        o2_kmol=o2,
        air_kg=air * MOLAR_MASS_AIR,
        air_m3n=air * MOLAR_VOLUME_M3N,
        dry_flue_m3n=dry * MOLAR_VOLUME_M3N,
        dry_flue_kmol=dry,
        co2max_pct=100.0 * co2 / dry,
        dry_flue_over_air=dry / air,
    )


def wet_exhaust_density_kg_m3n(fuel: FuelSplit, excess_air: float) -> float:
    """Density of wet exhaust at 0 °C and 101325 Pa in kg/m³: (1 + λ·L)/(V + H2O + (λ − 1)·L), per kg of fuel."""
    need = stoichiometry(fuel)
    water_m3n = fuel.hydrogen / (HYDROGEN_4 / 2.0) * MOLAR_VOLUME_M3N
    volume = need.dry_flue_m3n + water_m3n + (excess_air - 1.0) * need.air_m3n
    return (1.0 + excess_air * need.air_kg) / volume


_DIESEL_NEEDS = stoichiometry(DIESEL)
CO2MAX_DIESEL_PCT = _DIESEL_NEEDS.co2max_pct
K_DIESEL = _DIESEL_NEEDS.dry_flue_over_air
AIR_DIESEL_KG_PER_KG = _DIESEL_NEEDS.air_kg

FLUE_GAS = (
    "flue-gas relations for complete combustion (SHKwissen, retrieved); "
    "the element balance agrees with chemicals and cantera"
)
CO2 = Input("%", "CO2 in the dry exhaust, by volume", (3.0, 16.5))
O2 = Input("%", "O2 in the dry exhaust, by volume", (0.0, 16.0))
CO2MAX = Input("%", "CO2 without excess air; 15.28 for diesel, 15.8 for pure FAME", (11.0, 16.5))
EXCESS_AIR = Input("1", "Excess air λ: air given over air needed", (1.0, 4.0))


def _co2_details(given: Mapping[str, float]) -> Details:
    co2_pct, co2max_pct = given["co2_pct"], given["co2max_pct"]
    return Details(
        (
            Detail(_("Short form CO2max/CO2 (reads high)"), co2max_pct / co2_pct, "1"),
            Detail(_("O2 that belongs to it"), o2_from_co2(co2_pct, co2max_pct), "%"),
        )
    )


@figure(
    name="excess_air_from_co2",
    title="Excess air from CO2",
    meaning="How much more air the flame gets than it needs; soot below about 1.1, cold smoke far above 2",
    inputs={"co2_pct": CO2, "co2max_pct": CO2MAX},
    result=Output("1", "Excess air λ"),
    formula="λ = 1 + (CO2max/CO2 − 1)·k, k = 0.933",
    source=FLUE_GAS,
    accuracy="±0.03 at 10 % CO2 with an analyser good to 0.2 %; false air in the probe reads as excess air",
    example={"co2_pct": 10.1},
    curve="co2_pct",
    details=_co2_details,
)
def excess_air_from_co2(co2_pct: float, co2max_pct: float = CO2MAX_DIESEL_PCT) -> float:
    """Excess air λ = 1 + (CO2max/CO2 − 1)·k with k = V/L = 0.933 of diesel; dry vol %, λ 1 to 4.

    The short form CO2max/CO2 is 1 % high at λ 1.15 and 4 % at 2.4.
    """
    if co2_pct > co2max_pct:
        raise OutOfRangeError(
            _(
                "{co2:g} % CO2 is more than this fuel can give ({most:.1f} %): check the analyser's zero and its "
                "fuel setting."
            ).format(co2=co2_pct, most=co2max_pct)
        )
    return 1.0 + (co2max_pct / co2_pct - 1.0) * K_DIESEL


@figure(
    name="excess_air_from_o2",
    title="Excess air from O2",
    meaning="The same excess air from the oxygen that is left over",
    inputs={"o2_pct": O2},
    result=Output("1", "Excess air λ"),
    formula="λ = 1 + O2/(20.946 − O2)·k, k = 0.933",
    source=FLUE_GAS,
    accuracy="±0.03 at 7 % O2 with an analyser good to 0.2 %",
    example={"o2_pct": 7.1},
    curve="o2_pct",
)
def excess_air_from_o2(o2_pct: float) -> float:
    """Excess air λ = 1 + O2/(20.946 − O2)·k, k = 0.933; O2 dry vol %, 0 to 16 %."""
    return 1.0 + o2_pct / (100.0 * O2_IN_AIR - o2_pct) * K_DIESEL


@figure(
    name="co2_from_excess_air",
    title="CO2 to expect at an excess air",
    meaning="What the analyser should show",
    inputs={"excess_air": EXCESS_AIR, "co2max_pct": CO2MAX},
    result=Output("%", "CO2 in the dry exhaust"),
    formula="CO2 = CO2max/(1 + (λ − 1)/k)",
    source=FLUE_GAS,
    accuracy="±0.1 % for the fuel's split",
    example={"excess_air": 1.5},
    curve="excess_air",
)
def co2_from_excess_air(excess_air: float, co2max_pct: float = CO2MAX_DIESEL_PCT) -> float:
    """CO2 in dry vol %: CO2max/(1 + (λ − 1)/k), λ 1 to 4, k = 0.933."""
    return co2max_pct / (1.0 + (excess_air - 1.0) / K_DIESEL)


@figure(
    name="o2_from_excess_air",
    title="O2 to expect at an excess air",
    meaning="What the analyser should show",
    inputs={"excess_air": EXCESS_AIR},
    result=Output("%", "O2 in the dry exhaust"),
    formula="O2 = 20.946·(λ − 1)/(λ − 1 + k)",
    source=FLUE_GAS,
    accuracy="±0.1 % for the fuel's split",
    example={"excess_air": 1.5},
    curve="excess_air",
)
def o2_from_excess_air(excess_air: float) -> float:
    """O2 in dry vol %: 20.946·(λ − 1)/(λ − 1 + k), λ 1 to 4, k = 0.933."""
    return 100.0 * O2_IN_AIR * (excess_air - 1.0) / (excess_air - 1.0 + K_DIESEL)


def o2_from_co2(co2_pct: float, co2max_pct: float = CO2MAX_DIESEL_PCT) -> float:
    """O2 in dry vol % that belongs to a CO2: 20.946·(1 − CO2/CO2max) (complete combustion)."""
    return 100.0 * O2_IN_AIR * (1.0 - co2_pct / co2max_pct)


def _gap_details(given: Mapping[str, float]) -> Details:
    agree = _("CO2 and O2 agree: one excess air for both.")
    apart = _(
        "CO2 and O2 don't belong together: false air in the probe, a tired sensor, a wrong fuel setting, "
        "or another fuel. Settle that before the burner is touched."
    )
    return Details(
        (
            Detail(_("Excess air from CO2"), excess_air_from_co2(given["co2_pct"]), "1"),
            Detail(_("Excess air from O2"), excess_air_from_o2(given["o2_pct"]), "1"),
        ),
        (apart if abs(excess_air_gap(**given)) > 0.1 else agree,),
    )


@figure(
    name="excess_air_gap",
    title="Do CO2 and O2 agree?",
    meaning="Two readings of one exhaust must give one excess air; a gap above 0.1 is an error of measurement",
    inputs={"co2_pct": CO2, "o2_pct": O2},
    result=Output("1", "Excess air from CO2 less that from O2"),
    formula="Δλ = λ(CO2) − λ(O2)",
    source=FLUE_GAS,
    accuracy="±0.05 with an analyser good to 0.2 %",
    example={"co2_pct": 10.1, "o2_pct": 9.4},
    details=_gap_details,
)
def excess_air_gap(co2_pct: float, o2_pct: float) -> float:
    """Excess air from CO2 less that from O2 (dry vol %); |Δλ| > 0.1 is an error of measurement, not of the burner."""
    return excess_air_from_co2(co2_pct) - excess_air_from_o2(o2_pct)


DIESEL_LHV_MJ_KG = 42.9
"""Lower heating value of diesel, ±1 %: between 42.5 and 43.1 of the handbooks (memory), 43.2 by Boie from the split."""
INPUT_KW = Input("kW", "Heat in the fuel that is burnt", (0.3, 25.0))


@figure(
    name="combustion_air_flow",
    title="Combustion air that an output needs",
    meaning="The air that the burner draws through its intake tube",
    inputs={"input_kw": INPUT_KW, "excess_air": EXCESS_AIR},
    result=Output("g/s", "Mass flow of air"),
    formula="ṁ = λ·14.6·P/42.9 MJ/kg",
    source="element balance; heating value 42.9 MJ/kg (memory)",
    status="library",
    accuracy="±2 % for the fuel",
    example={"input_kw": 5, "excess_air": 1.5},
)
def combustion_air_flow(input_kw: float, excess_air: float) -> float:
    """Combustion air in g/s: ṁ = λ·L·P/LHV, L = 14.6 kg/kg, LHV = 42.9 MJ/kg; P kW of fuel heat."""
    return excess_air * AIR_DIESEL_KG_PER_KG * fuel_flow_g_s(input_kw)


@figure(
    name="exhaust_flow",
    title="Exhaust that an output makes",
    meaning="Air and fuel together: what goes out through the exhaust tube",
    inputs={"input_kw": INPUT_KW, "excess_air": EXCESS_AIR},
    result=Output("g/s", "Mass flow of exhaust"),
    formula="ṁ = (1 + λ·14.6)·P/42.9 MJ/kg",
    source="mass balance; heating value 42.9 MJ/kg (memory)",
    status="library",
    accuracy="±2 % for the fuel",
    example={"input_kw": 5, "excess_air": 1.5},
)
def exhaust_flow(input_kw: float, excess_air: float) -> float:
    """Wet exhaust in g/s: ṁ = (1 + λ·L)·P/LHV, L = 14.6 kg/kg, LHV = 42.9 MJ/kg; P kW of fuel heat."""
    return (1.0 + excess_air * AIR_DIESEL_KG_PER_KG) * fuel_flow_g_s(input_kw)


def fuel_flow_g_s(input_kw: float) -> float:
    """Diesel in g/s for a heat input in kW: ṁ = P/LHV."""
    return input_kw / DIESEL_LHV_MJ_KG
