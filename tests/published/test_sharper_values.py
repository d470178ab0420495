"""Where a check value has a wide tolerance because the world is wide, the formula itself is held closely here."""

from __future__ import annotations

import pytest
from published_values import PublishedCheck, hold_against, load_checks

from trees.figures import combustion, ducts, exhaust, exposure, fuel, heat_load, sensors
from trees.figures.combustion import FuelSplit, stoichiometry

PURE = [
    # element, kg of air for 1 kg: from the IUPAC molar masses and 20.946 % O2; handbooks print 11.5, 34.3, 4.3
    (FuelSplit(1.0, 0.0), 11.51, 0.01),
    (FuelSplit(0.0, 1.0), 34.30, 0.03),
    (FuelSplit(0.0, 0.0, sulphur=1.0), 4.313, 0.005),
    (FuelSplit(0.5, 0.0, oxygen=0.5), 11.51 / 2 - 0.5 / 0.23139, 0.01),
]


@pytest.mark.parametrize(("split", "air_kg", "within"), PURE, ids=["carbon", "hydrogen", "sulphur", "oxygen"])
def test_each_element_needs_its_own_air(split: FuelSplit, air_kg: float, within: float) -> None:
    """Pure carbon, hydrogen and sulphur need the air of their equation; oxygen in the fuel spares its own weight."""
    assert stoichiometry(split).air_kg == pytest.approx(air_kg, abs=within)


def test_pure_carbon_leaves_as_much_gas_as_it_took() -> None:
    """One mole of O2 becomes one of CO2: CO2max of carbon is the O2 of air; sulphur leaves SO2 in its place."""
    assert stoichiometry(FuelSplit(1.0, 0.0)).co2max_pct == pytest.approx(20.946)
    assert stoichiometry(FuelSplit(1.0, 0.0)).dry_flue_over_air == pytest.approx(1.0)
    assert stoichiometry(FuelSplit(0.0, 0.0, sulphur=1.0)).dry_flue_over_air == pytest.approx(1.0)
    assert combustion.wet_exhaust_density_kg_m3n(FuelSplit(1.0, 0.0), 1.0) == pytest.approx(
        (1.0 + 11.513) / (11.513 / 28.964 * 22.414), rel=1e-4
    )


BENDS = [
    # angle, r/D, K: fluids 1.3.1, bend_rounded(method="Rennels"), Re 1e5, smooth (check_values.yaml, BEND-K rows)
    (45, 2.0, 0.142805),
    (90, 1.0, 0.314025),
    (90, 1.5, 0.22578),
    (90, 2.0, 0.204106),
    (90, 3.0, 0.206845),
]


@pytest.mark.parametrize(("angle", "ratio", "k"), BENDS)
def test_bends_are_the_rennels_correlation(angle: float, ratio: float, k: float) -> None:
    """The loss of a bend is the Rennels correlation; fluids takes its own friction factor, which leaves 0.3 %."""
    assert ducts.bend_k(angle, ratio, ducts.colebrook(1e5, 0.0)) == pytest.approx(k, rel=3e-3)


@pytest.mark.parametrize(
    "check", [check for check in load_checks("fuel") if check.id.startswith("FUEL-RHO")], ids=lambda check: check.id
)
def test_fuel_density_is_the_table_form(check: object) -> None:
    """The density form of Table 54B is kept to its six printed digits; how well it fits a fuel is another matter."""
    given, expected = check.inputs, check.expected  # type: ignore[attr-defined]
    assert fuel.fuel_density(given["temperature"], given["rho15"]) == pytest.approx(expected["density"], abs=0.002)


DUCTS = {check.id: check for check in load_checks("ducts") if check.id.startswith("DUCT")}


@pytest.mark.parametrize("name", ["DUCT-AIR-5KW", "DUCT-WARM-75"])
def test_the_registered_tube_is_the_checked_one(name: str) -> None:
    """The figure in g/s and mm gives what the formula in SI gives (Darcy-Weisbach, fluids)."""
    given, expected = DUCTS[name].inputs, DUCTS[name].expected
    loss = ducts.duct_pressure_loss(
        mass_flow_g_s=1000 * given["mass_flow"], bore_mm=1000 * given["D"], length_m=given["L"], bends_90=0,
        temperature_c=given["temperature"], ends_k=given["sum_K"],
    )  # fmt: skip
    assert loss == pytest.approx(expected["dp_total"], rel=1e-4)


CONDUCTIVITIES = {
    # W/(m·K); ISO 10456 and ISO 10077-2 tables, foam CIBSE list, wool from memory (REFERENCE section 6)
    "steel": 50.0, "stainless steel": 17.0, "aluminium alloy": 160.0, "softwood": 0.13, "hardwood": 0.18,
    "glass-fibre polyester": 0.40, "glass": 1.0, "acrylic": 0.18, "polycarbonate": 0.20, "rigid PVC": 0.17,
    "rubber": 0.17, "polyurethane foam": 0.028, "mineral wool or foam": 0.035,
}  # fmt: skip


def test_conductivities_are_those_of_the_standards() -> None:
    """Each material has the conductivity of its table."""
    assert heat_load.CONDUCTIVITY_W_MK == CONDUCTIVITIES


def test_a_cable_of_sixteen_mm2_has_its_row() -> None:
    """IEC 60228 class 5, 16 mm²: 1.21 Ω/km (four copies, REFERENCE section 7)."""
    from trees.figures.electrical import LARGEST_RESISTANCE_OHM_KM

    assert LARGEST_RESISTANCE_OHM_KM[16.0] == 1.21


COLD_PLATINUM = [(-200.0, 18.52), (-150.0, 39.72), (-100.0, 60.26)]


@pytest.mark.filterwarnings("always::published_values.MemoryDeviation")
@pytest.mark.parametrize(("celsius", "ohm"), COLD_PLATINUM)
def test_cold_platinum_follows_the_table(celsius: float, ohm: float) -> None:
    """Far below 0 °C the third coefficient counts: Pt100 table of IEC 60751, from memory."""
    check = PublishedCheck(
        f"PT100{celsius:+.0f}", "calc", {}, {"resistance": ohm}, {"resistance": 0.006}, "IEC 60751 table", "memory"
    )
    hold_against(check, {"resistance": sensors.pt_resistance(celsius, 100.0)})


def test_air_and_exhaust_of_five_kilowatt() -> None:
    """At 5 kW and an excess air of 1.5 the tubes carry what the duct checks of the reference begin with."""
    assert combustion.combustion_air_flow(5, 1.5) == pytest.approx(
        1000 * DUCTS["DUCT-AIR-5KW"].inputs["mass_flow"], rel=1e-4
    )
    assert combustion.exhaust_flow(5, 1.5) == pytest.approx(
        1000 * DUCTS["DUCT-EXH-5KW-20"].inputs["mass_flow"], rel=1e-4
    )


def test_fuel_splits_are_the_published_ones() -> None:
    """Carbon, hydrogen, sulphur, oxygen of diesel and RME: IMO NOx Technical Code, Appendix 6, Table 1."""
    diesel, rme = combustion.DIESEL_IMO, combustion.RME
    assert (diesel.carbon, diesel.hydrogen, diesel.sulphur, diesel.oxygen) == (0.862, 0.136, 0.0017, 0.0)
    assert (rme.carbon, rme.hydrogen, rme.sulphur, rme.oxygen) == (0.772, 0.120, 0.0, 0.108)


def test_the_co_limit_is_a_thousand_ppm() -> None:
    """0.1 vol % are 1000 ppm (Directive 2001/56/EC Annex VI); 1 ppm is 1.145 mg/m³ at 25 °C (Health Canada)."""
    limit_ppm = exhaust.CO_LIMIT_PPM
    assert limit_ppm == pytest.approx(1000.0)
    assert exposure.co_mass_concentration(1.0) == pytest.approx(1.145, abs=5e-4)


@pytest.mark.parametrize(("output_kw", "dose_ml"), [(2, 6.6), (4, 13.2), (5, 16.6), (9, 29.8), (12, 39.7)])
def test_the_expected_dose_is_that_of_the_trade(output_kw: float, dose_ml: float) -> None:
    """Dose in 100 s at efficiency 0.85, from a table of the content notes (42.7 MJ/kg, 832 kg/m³; memory)."""
    assert fuel.dose_expected(output_kw) == pytest.approx(dose_ml, rel=0.01)


@pytest.mark.parametrize(
    ("split", "heat"),
    [
        # the elements' shares in Boie's form for the lower heating value: 34.8 C + 93.9 H + 10.5 S − 10.8 O (memory)
        (FuelSplit(1.0, 0.0), 34.8),
        (FuelSplit(0.0, 1.0), 93.9),
        (FuelSplit(0.0, 0.0, sulphur=1.0), 10.5),
        (FuelSplit(0.0, 0.0, oxygen=1.0), -10.8),
    ],
    ids=["carbon", "hydrogen", "sulphur", "oxygen"],
)
def test_each_element_brings_its_heat(split: FuelSplit, heat: float) -> None:
    """Boie's two forms, for the higher value less the water's heat and for the lower value, agree to 3 %."""
    assert fuel.lower_heating_value_mj_kg(split) == pytest.approx(heat, rel=0.03)


def test_loss_coefficients_of_tube_ends() -> None:
    """Sharp entry 0.5, free exit 1.0 (handbook values); mitred elbow 1.2 (memory)."""
    assert (ducts.ENTRY_K, ducts.EXIT_K, ducts.MITRE_K) == (0.5, 1.0, 1.2)


def test_flow_is_laminar_up_to_2300() -> None:
    """The factor is 64/Re up to Re 2300 (Hagen-Poiseuille; the limit a handbook value), and no longer just above."""
    assert ducts.friction_factor(2300.0, 0.01) == pytest.approx(64 / 2300, rel=1e-12)
    assert ducts.friction_factor(2400.0, 0.01) > 1.02 * 64 / 2400


@pytest.mark.memory_value
def test_water_of_burnt_hydrogen_takes_its_heat_of_evaporation() -> None:
    """CODATA key values: water −285.830 kJ/mol liquid, −241.826 as vapour (memory); per 2.016 g of hydrogen."""
    taken = 116.225 - fuel.lower_heating_value_mj_kg(FuelSplit(0.0, 1.0))
    assert taken == pytest.approx((285.830 - 241.826) / 2.016, rel=0.002)
