"""The figures agree with independent libraries over grids of inputs; each library is skipped where it is not installed.

Install them with `pip install ambiance fluids CoolProp scipy thermocouple-its90 chemicals cantera uncertainties`.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterable
from typing import Any

import pytest

from trees.figures import (
    air,
    combustion,
    conformity,
    ducts,
    electrical,
    exposure,
    fuel,
    heat_load,
    heat_transport,
    sensors,
    uncertainty,
    work_out_in_full,
)

pytestmark = pytest.mark.filterwarnings("ignore::DeprecationWarning")


def grid(*axes: Iterable[Any]) -> list[tuple[Any, ...]]:
    """Return every combination of the axes."""
    return list(itertools.product(*axes))


def library(name: str) -> Any:
    """Return an independent library, or skip the test."""
    return pytest.importorskip(name, exc_type=ImportError)


@pytest.mark.parametrize("height", range(-2500, 5001, 500))
def test_standard_atmosphere_is_that_of_ambiance(height: int) -> None:
    """Pressure and density agree with ambiance to 2e-5 from −2500 to 5000 m."""
    there = library("ambiance").Atmosphere(height)
    kelvin = air.standard_temperature_k(air.geopotential_altitude_m(height))
    assert kelvin == pytest.approx(float(there.temperature[0]), abs=1e-3)
    assert 100.0 * air.air_pressure(height) == pytest.approx(float(there.pressure[0]), rel=2e-5)
    assert air.air_density(height, kelvin - 273.15) == pytest.approx(float(there.density[0]), rel=2e-5)


@pytest.mark.parametrize(
    ("celsius", "pressure_hpa", "humidity"), grid((-30, 0, 20, 40), (600, 800, 1013.25), (0, 50, 100))
)
def test_moist_air_is_that_of_coolprop(celsius: float, pressure_hpa: float, humidity: float) -> None:
    """Density of moist air agrees with the humid-air formulation of CoolProp to 0.15 %."""
    properties = library("CoolProp.CoolProp")
    volume = properties.HAPropsSI(
        "Vha", "T", celsius + 273.15, "P", 100.0 * pressure_hpa, "R", humidity / 100.0
    )  # fmt: skip
    assert air.air_density_from_pressure(pressure_hpa, celsius, humidity) == pytest.approx(1.0 / volume, rel=1.5e-3)


@pytest.mark.parametrize("celsius", [-40, 0, 20, 100, 300, 440])
def test_air_viscosity_is_that_of_coolprop(celsius: float) -> None:
    """Viscosity agrees with CoolProp to 1 % up to 100 °C and 3 % at 450 °C, density of hot gas to 0.2 %."""
    properties = library("CoolProp.CoolProp")
    state = ("T", celsius + 273.15, "P", 101325.0, "Air")
    assert ducts.air_viscosity_pa_s(celsius) == pytest.approx(
        properties.PropsSI("V", *state), rel=1e-2 if celsius <= 100 else 3e-2
    )
    assert ducts.gas_density(celsius) == pytest.approx(properties.PropsSI("D", *state), rel=2e-3)


@pytest.mark.parametrize("celsius", [-20, 0, 20, 45])
def test_heat_of_air_and_coolant_are_those_of_coolprop(celsius: float) -> None:
    """ρ·cp of air agrees to 0.3 %; the coolant's constants are those of half-and-half glycol at 20 °C."""
    properties = library("CoolProp.CoolProp")
    state = ("T", celsius + 273.15, "P", 101325.0, "Air")
    there = properties.PropsSI("D", *state) * properties.PropsSI("C", *state) / 3600.0
    assert heat_transport.air_heat_wh_m3k(celsius) == pytest.approx(there, rel=3e-3)
    glycol = ("T", 293.15, "P", 101325.0, "INCOMP::MEG[0.5]")
    density, heat = (properties.PropsSI(letter, *glycol) for letter in "DC")
    assert density == pytest.approx(heat_transport.GLYCOL_DENSITY_KG_M3, rel=1e-5)
    assert heat == pytest.approx(heat_transport.GLYCOL_HEAT_J_KGK, rel=1e-5)


@pytest.mark.parametrize(("reynolds", "rough"), grid((4e3, 1e4, 5e4, 1e6), (0.0, 1e-4, 1e-3, 0.01, 0.05)))
def test_friction_is_that_of_fluids(reynolds: float, rough: float) -> None:
    """Colebrook and Haaland agree with fluids to 1e-8."""
    friction = library("fluids.friction")
    assert ducts.colebrook(reynolds, rough) == pytest.approx(friction.Colebrook(reynolds, rough), rel=1e-8)
    assert ducts.haaland(reynolds, rough) == pytest.approx(friction.Haaland(reynolds, rough), rel=1e-8)


@pytest.mark.parametrize(("angle", "ratio", "f"), grid((30, 45, 90, 180), (1, 1.5, 2, 4), (0.018, 0.03)))
def test_bends_are_those_of_rennels(angle: float, ratio: float, f: float) -> None:
    """The loss of a bend is the Rennels correlation of fluids."""
    fittings = library("fluids.fittings")
    there = fittings.bend_rounded(Di=0.025, angle=angle, fd=f, bend_diameters=ratio, method="Rennels")
    assert ducts.bend_k(angle, ratio, f) == pytest.approx(there, rel=1e-6)


@pytest.mark.parametrize("awg", [*range(2, 30, 2)])
def test_wire_sizes_are_those_of_fluids(awg: int) -> None:
    """Diameters of American wire sizes agree with the rounded table of fluids to 1 %."""
    piping = library("fluids.piping")
    assert electrical.awg_diameter_mm(awg) == pytest.approx(1000 * piping.t_from_gauge(awg, schedule="AWG"), rel=1e-2)


@pytest.mark.parametrize("celsius", [*range(-200, 1372, 37)])
def test_type_k_is_that_of_its_90(celsius: int) -> None:
    """Voltage and temperature of type K agree with thermocouple-its90, also against a warm cold end."""
    type_k = library("thermocouple_its90").TypeK
    emf = type_k.emf(float(celsius))
    assert sensors.thermocouple_emf(celsius) == pytest.approx(emf, abs=1e-4)
    against_warm = emf - type_k.emf(25.0)
    if -8.0 <= against_warm <= 56.0:
        there = type_k.temperature(against_warm, reference=25.0)
        assert sensors.thermocouple_temperature(against_warm, 25.0) == pytest.approx(there, abs=0.05)


@pytest.mark.parametrize(("value", "u"), grid((700, 950, 1000, 1049, 1500), (5, 50, 300)))
def test_conformity_is_that_of_scipy(value: float, u: float) -> None:
    """Probabilities and quantiles agree with scipy.stats.norm to 1e-9, into the far tails."""
    norm = library("scipy.stats").norm
    assert conformity.conformity_upper(value, u, 1000) == pytest.approx(norm.cdf(1000, value, u), rel=1e-9)
    assert conformity.conformity_lower(value, u, 1000) == pytest.approx(norm.sf(1000, value, u), rel=1e-9)
    both = norm.cdf(1100, value, u) - norm.cdf(900, value, u)
    assert conformity.probability_between(value, u, 900, 1100) == pytest.approx(both, rel=1e-6, abs=1e-15)
    assert conformity.normal_quantile(0.95) == pytest.approx(norm.ppf(0.95))


@pytest.mark.parametrize("split", [combustion.DIESEL, combustion.DIESEL_IMO, combustion.RME])
def test_element_balance_is_that_of_chemicals(split: combustion.FuelSplit) -> None:
    """The air that a kilogram of fuel needs agrees with chemicals to 0.1 %."""
    stoichiometry = library("chemicals.combustion").combustion_stoichiometry
    moles = {
        "C": split.carbon / 12.011, "H": split.hydrogen / 1.008, "S": split.sulphur / 32.06, "O": split.oxygen / 15.999,
    }  # fmt: skip
    burnt = stoichiometry({element: amount for element, amount in moles.items() if amount})
    here = combustion.stoichiometry(split)
    assert here.o2_kmol == pytest.approx(-burnt["O2"], rel=1e-3)
    assert here.co2max_pct / 100 * here.dry_flue_kmol == pytest.approx(burnt["CO2"], rel=1e-3)


@pytest.mark.parametrize("split", [combustion.DIESEL_IMO, combustion.RME])
def test_heating_value_is_near_that_of_chemicals(split: combustion.FuelSplit) -> None:
    """The Boie heating value agrees with chemicals to 2 %: two sets of Boie's constants are in use."""
    boie = library("chemicals.combustion").HHV_Boie
    higher = boie({"C": split.carbon, "H": split.hydrogen, "O": split.oxygen, "S": split.sulphur})
    there = abs(higher) / 1e3 - 2.442 * 8.936 * split.hydrogen
    assert fuel.lower_heating_value_mj_kg(split) == pytest.approx(there, rel=2e-2)


@pytest.mark.parametrize(("loss", "power"), grid((20, 45), (1500, 2500)))
def test_warming_up_is_the_solution_of_its_equation(loss: float, power: float) -> None:
    """The warm-up time agrees with a numerical solution of the first-order equation by scipy."""
    integrate = library("scipy.integrate")
    minutes = heat_load.warm_up_time(
        capacity_kj_k=300, loss_w_k=loss, output_w=power, start_c=-5, end_c=18, outside_c=-8
    )  # fmt: skip
    solved = integrate.solve_ivp(
        lambda _t, y: [(power - loss * (y[0] + 8)) / 300e3], (0, 60 * minutes), [-5.0], rtol=1e-9, atol=1e-9
    )
    assert solved.y[0][-1] == pytest.approx(18.0, abs=1e-4)


@pytest.mark.parametrize("minutes", [1, 10, 60, 480])
def test_co_build_up_is_the_solution_of_its_equation(minutes: float) -> None:
    """The build-up of CO agrees with a numerical solution of the mass balance by scipy."""
    integrate = library("scipy.integrate")
    solved = integrate.solve_ivp(
        lambda _t, y: [(0.036 - 28 * y[0]) / 14], (0, minutes / 60), [0.0], rtol=1e-9, atol=1e-12
    )  # fmt: skip
    assert exposure.co_buildup(14, 28, 36, minutes) == pytest.approx(1e6 * solved.y[0][-1], rel=1e-6)


def test_propagation_is_that_of_uncertainties() -> None:
    """Where a formula is nearly straight, our few lines agree with the uncertainties library to 0.2 %."""
    number = library("uncertainties").ufloat
    co, o2 = number(400, 20), number(7, 0.2)
    there = co * 21 / (21 - o2)
    here = work_out_in_full("co_undiluted", {"co_ppm": 400, "o2_pct": 7}, {"co_ppm": 20, "o2_pct": 0.2})
    assert here.value == pytest.approx(there.nominal_value)
    assert here.uncertainty == pytest.approx(there.std_dev, rel=2e-3)
    flat = uncertainty.combined(
        uncertainty.contributions(lambda x, y: 3 * x - y, {"x": 1, "y": 2}, {"x": 0.1, "y": 0.4})
    )
    assert flat == pytest.approx(math.hypot(0.3, 0.4))


@pytest.mark.parametrize(("species", "carbon", "hydrogen"), [("CH4", 1, 4), ("C2H6", 2, 6), ("C3H8", 3, 8)])
def test_air_need_is_that_of_cantera(species: str, carbon: int, hydrogen: int) -> None:
    """Kilograms of air for one of a hydrocarbon agree with cantera's stoichiometric ratio to 0.2 %."""
    cantera = library("cantera")
    gas = cantera.Solution("gri30.yaml")
    theirs = gas.stoich_air_fuel_ratio(species, "O2:0.20946, N2:0.78084, AR:0.00934, CO2:0.00036")
    total = 12.011 * carbon + 1.008 * hydrogen
    split = combustion.FuelSplit(12.011 * carbon / total, 1.008 * hydrogen / total)
    assert combustion.stoichiometry(split).air_kg == pytest.approx(theirs, rel=2e-3)


@pytest.mark.parametrize("celsius", [20, 200, 400])
def test_hot_gas_density_is_that_of_cantera(celsius: float) -> None:
    """Density of wet exhaust of CH1.88 at excess air 1.4 agrees with cantera's ideal gas to 0.3 %."""
    cantera = library("cantera")
    gas = cantera.Solution("gri30.yaml")
    need = 1.4 * (1 + 1.88 / 4)
    air_moles = need / 0.20946
    moles = {"CO2": 1.0, "H2O": 0.94, "O2": need - need / 1.4, "N2": 0.78084 * air_moles, "AR": 0.00934 * air_moles}
    gas.TPX = celsius + 273.15, 101325.0, moles
    assert ducts.gas_density(celsius, gas.mean_molecular_weight) == pytest.approx(gas.density, rel=1e-4)
    assert ducts.gas_density(celsius) == pytest.approx(gas.density, rel=3e-3)
