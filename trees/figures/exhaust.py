"""What leaves with the exhaust: heat, CO, and the limits for both."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from trees.errors import OutOfRangeError
from trees.figures.combustion import CO2, DIESEL, DIESEL_LHV_MJ_KG, O2, stoichiometry
from trees.figures.registry import Detail, Details, Input, Output, figure
from trees.language import N_, _

SIEGERT_A2, SIEGERT_A1, SIEGERT_B = 0.68, 0.50, 0.007
"""Constants for heating oil EL and vegetable-oil methyl ester; A1 from memory."""
O2_IN_AIR_TRADE_PCT = 21.0
"""The trade's rounded oxygen of air, prescribed in the formulas below."""
CO_HEAT_MJ_PER_KMOL = 282.98
CO_KG_PER_KMOL = 28.010

BIMSCHV = "1. BImSchV (Germany, 2010) Annex 2"
FLUE = Input("°C", "Temperature of the exhaust where it leaves the heat exchanger", (80.0, 450.0))
AIR = Input("°C", "Temperature of the combustion air", (-40.0, 60.0))
CO = Input("ppm", "CO in the dry exhaust, as measured", (0.0, 20_000.0))


@dataclass(frozen=True, slots=True)
class ExhaustLimits:
    """Limits for a vehicle heater at full output after 1 h, dry and without ambient air mixed in; no O2 correction."""

    co_pct: float
    nox_ppm: float
    hc_ppm: float
    smoke_number: float
    co_head_wind_pct: float


LIMITS_LIQUID = ExhaustLimits(0.1, 200.0, 100.0, 4.0, 0.2)
LIMITS_GAS = ExhaustLimits(0.1, 200.0, 100.0, 1.0, 0.2)
# Directive 2001/56/EC Annex VI; that UN Regulation 122 carries the same table is from memory.
CO_LIMIT_PPM = LIMITS_LIQUID.co_pct * 10_000.0

_BOTH_MEANINGS = N_(
    "“Undiluted” has two meanings. The limit of 1000 ppm for vehicle heaters is for the reading as measured, "
    "with no ambient air mixed in. The heating trade means CO referred to 0 % O2, which is this number."
)


def _check_hotter(flue_c: float, air_c: float) -> None:
    if flue_c <= air_c:
        raise OutOfRangeError(
            _("The exhaust is not hotter than the air: the two readings are swapped, or nothing burns.")
        )


@figure(
    name="flue_loss",
    title="Flue loss from O2",
    meaning="Heat of the fuel that goes out with the exhaust; a sooted exchanger makes it rise",
    inputs={"flue_c": FLUE, "air_c": AIR, "o2_pct": O2},
    result=Output("%", "Loss, share of the fuel's heat"),
    formula="q_A = (t_A − t_L)·(0.68/(21 − O2) + 0.007)",
    source=BIMSCHV + " no. 3.4.1",
    accuracy="within 0.1 point of a full enthalpy balance at 200 °C, 0.6 point at 400 °C",
    example={"flue_c": 310, "air_c": 12, "o2_pct": 7.2},
    curve="flue_c",
)
def flue_loss(flue_c: float, air_c: float, o2_pct: float) -> float:
    """Flue loss in %: (t_A − t_L)·(0.68/(21 − O2) + 0.007), °C, dry vol %, 80 to 450 °C, dry (1. BImSchV)."""
    _check_hotter(flue_c, air_c)
    return (flue_c - air_c) * (SIEGERT_A2 / (O2_IN_AIR_TRADE_PCT - o2_pct) + SIEGERT_B)


@figure(
    name="flue_loss_from_co2",
    title="Flue loss from CO2",
    meaning="The same loss where the analyser shows CO2 only",
    inputs={"flue_c": FLUE, "air_c": AIR, "co2_pct": CO2},
    result=Output("%", "Loss, share of the fuel's heat"),
    formula="q_A = (t_A − t_L)·(0.50/CO2 + 0.007)",
    source="older 1. BImSchV (A1 from memory; A1 = A2·CO2max/21)",
    status="memory",
    accuracy="within 0.3 point of the formula with O2",
    example={"flue_c": 310, "air_c": 12, "co2_pct": 10.1},
    curve="co2_pct",
)
def flue_loss_from_co2(flue_c: float, air_c: float, co2_pct: float) -> float:
    """Flue loss in %: (t_A − t_L)·(0.50/CO2 + 0.007), °C, dry vol %, 80 to 450 °C (A1 from memory)."""
    _check_hotter(flue_c, air_c)
    return (flue_c - air_c) * (SIEGERT_A1 / co2_pct + SIEGERT_B)


@figure(
    name="combustion_efficiency",
    title="Combustion efficiency",
    meaning="What is left of the fuel's heat after exhaust and unburnt CO",
    inputs={"flue_c": FLUE, "air_c": AIR, "o2_pct": O2, "co_ppm": CO},
    result=Output("%", "Efficiency of the burner and its exchanger"),
    formula="η = 100 − q_A − q_CO",
    source=BIMSCHV + " no. 3.4.1; CO 282.98 kJ/mol",
    accuracy="±1 point; heat that the casing and cables lose is not in it",
    example={"flue_c": 310, "air_c": 12, "o2_pct": 7.2, "co_ppm": 60},
    curve="flue_c",
)
def combustion_efficiency(flue_c: float, air_c: float, o2_pct: float, co_ppm: float = 0.0) -> float:
    """Efficiency in %: 100 − q_A − q_CO; °C, dry vol %, ppm; 80 to 450 °C, ±1 point."""
    return 100.0 - flue_loss(flue_c, air_c, o2_pct) - co_loss(co_ppm, o2_pct)


def _undiluted_details(given: Mapping[str, float]) -> Details:
    return Details((Detail(_("As measured, to compare with 1000 ppm"), given["co_ppm"], "ppm"),), (_(_BOTH_MEANINGS),))


@figure(
    name="co_undiluted",
    title="CO without excess air",
    meaning="CO referred to 0 % O2, so that readings at different excess air can be compared",
    inputs={"co_ppm": CO, "o2_pct": O2},
    result=Output("ppm", "CO at 0 % O2"),
    formula="CO₀ = CO·21/(21 − O2)",
    source=BIMSCHV + " no. 2.2 with a reference of 0 % O2",
    accuracy="as good as the analyser; above 15 % O2 a small error of O2 becomes a large one of CO",
    example={"co_ppm": 60, "o2_pct": 7.2},
    details=_undiluted_details,
)
def co_undiluted(co_ppm: float, o2_pct: float) -> float:
    """CO at 0 % O2 in ppm: CO·21/(21 − O2), dry (1. BImSchV); not the “undiluted” of the vehicle-heater limit."""
    return co_at_reference_o2(co_ppm, o2_pct, 0.0)


@figure(
    name="co_at_reference_o2",
    title="CO at a reference oxygen",
    meaning="CO as a rule with its own reference oxygen wants it, often 3 %",
    inputs={"co_ppm": CO, "o2_pct": O2, "o2_ref_pct": Input("%", "Reference oxygen of the rule", (0.0, 17.0))},
    result=Output("ppm", "CO at the reference oxygen"),
    formula="CO_ref = CO·(21 − O2_ref)/(21 − O2)",
    source=BIMSCHV + " no. 2.2",
    accuracy="as good as the analyser",
    example={"co_ppm": 200, "o2_pct": 8, "o2_ref_pct": 3},
)
def co_at_reference_o2(co_ppm: float, o2_pct: float, o2_ref_pct: float = 3.0) -> float:
    """CO in ppm at a reference oxygen: CO·(21 − O2_ref)/(21 − O2), dry vol % (1. BImSchV Annex 2 no. 2.2)."""
    return co_ppm * (O2_IN_AIR_TRADE_PCT - o2_ref_pct) / (O2_IN_AIR_TRADE_PCT - o2_pct)


@figure(
    name="co_loss",
    title="Heat lost with unburnt CO",
    meaning="Small in heat, large in danger",
    inputs={"co_ppm": CO, "o2_pct": O2},
    result=Output("%", "Loss, share of the fuel's heat"),
    formula="q_CO = CO₀·V_dry·283 MJ/kmol/LHV",
    source="derivation: heat of combustion of CO 282.98 kJ/mol (agrees with chemicals)",
    status="library",
    accuracy="±3 %",
    example={"co_ppm": 1000, "o2_pct": 7},
)
def co_loss(co_ppm: float, o2_pct: float) -> float:
    """Loss by unburnt CO in %: CO₀·V_dry·282.98 MJ/kmol/LHV, V_dry 0.471 kmol/kg, LHV 42.9 MJ/kg of diesel."""
    share = co_undiluted(co_ppm, o2_pct) * 1e-6
    return 100.0 * share * stoichiometry(DIESEL).dry_flue_kmol * CO_HEAT_MJ_PER_KMOL / DIESEL_LHV_MJ_KG


@figure(
    name="co_per_kwh",
    title="CO for each kilowatt-hour of fuel",
    meaning="For rules that set a limit in mg/kWh",
    inputs={"co_undiluted_ppm": Input("ppm", "CO at 0 % O2, dry", (0.0, 50_000.0))},
    result=Output("mg/kWh", "CO per heat in the fuel"),
    formula="e = CO₀·V_dry·28.01 kg/kmol/LHV",
    source="derivation: 1.25 mg/m³n per ppm, V_dry 10.56 m³n/kg (agrees with pint)",
    status="library",
    accuracy="±1.5 % for the fuel",
    example={"co_undiluted_ppm": 92},
)
def co_per_kwh(co_undiluted_ppm: float) -> float:
    """CO in mg per kWh of fuel heat: CO₀·V_dry·M_CO/LHV; CO₀ ppm at 0 % O2, diesel with 42.9 MJ/kg."""
    mg_per_kg = co_undiluted_ppm * stoichiometry(DIESEL).dry_flue_kmol * CO_KG_PER_KMOL
    return mg_per_kg * 3.6 / DIESEL_LHV_MJ_KG
