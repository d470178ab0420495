"""Air, combustion, mixture, fuel and exhaust agree with numbers from outside the project."""

from __future__ import annotations

from typing import Any

import pytest
from published_values import Computed, PublishedCheck, calculation_for, hold_against, load_checks

from trees.figures import air, combustion, exhaust, fuel, fuel_grades, mixture
from trees.figures.combustion import FuelSplit

SEA_LEVEL_PA = 101_325.0


def geometric(geopotential_m: float) -> float:
    """Return the geometric height of a geopotential one: h = r·H/(r − H)."""
    radius = 6_356_766.0
    return radius * geopotential_m / (radius - geopotential_m)


def split(given: dict[str, Any]) -> FuelSplit:
    return FuelSplit(given.get("C", 0.0), given.get("H", 0.0), given.get("S", 0.0), given.get("O", 0.0))


def standard_atmosphere(given: dict[str, Any]) -> Computed:
    geopotential = air.geopotential_altitude_m(given["geometric_altitude"])
    kelvin = air.standard_temperature_k(geopotential)
    altitude = given["geometric_altitude"]
    return {
        "temperature": kelvin,
        "pressure": 100.0 * air.air_pressure(altitude),
        "density": air.air_density(altitude, kelvin - 273.15),
    }


def lambda_at_altitude(given: dict[str, Any]) -> Computed:
    place = {"altitude_m": geometric(given["geopotential_altitude"]), "temperature_c": given["air_temperature"]}
    return {
        "density_ratio": air.density_ratio(**place),
        "lambda_new": mixture.excess_air_expected(excess_air_set=given["lambda_ref"], **place),
        "dose_correction": mixture.dose_correction(**place),
    }


def lambda_volume_pump(given: dict[str, Any]) -> Computed:
    cold = given["temperature"]
    place = {"altitude_m": geometric(given["geopotential_altitude"]), "temperature_c": cold}
    return {
        "air_ratio": air.density_ratio(**place),
        "fuel_ratio": fuel.fuel_density(cold) / fuel.fuel_density(15.0),
        "lambda_new": mixture.excess_air_expected(excess_air_set=given["lambda_ref"], fuel_temperature_c=cold, **place),
    }


def delivery(given: dict[str, Any]) -> Computed:
    after = mixture.excess_air_after_dose(given["lambda_before"], given["delivery_change"])
    return {
        "lambda_after": after,
        "co2_after": combustion.co2_from_excess_air(after),
        "o2_after": combustion.o2_from_excess_air(after),
    }


def element_balance(given: dict[str, Any]) -> Computed:
    need = combustion.stoichiometry(combustion.DIESEL_IMO if "fuel" in given else split(given))
    return {
        "air_mass": need.air_kg,
        "air_volume_normal": need.air_m3n,
        "dry_flue_volume_normal": need.dry_flue_m3n,
        "co2max_dry": need.co2max_pct,
        "k_Vdry_over_L": need.dry_flue_over_air,
        "o2_min": need.o2_kmol * combustion.MOLAR_VOLUME_M3N,
    }


def exhaust_density(given: dict[str, Any]) -> Computed:
    which = {"diesel": combustion.DIESEL_IMO, "RME": combustion.RME}[given["fuel"]]
    return {"density": combustion.wet_exhaust_density_kg_m3n(which, given["lambda"])}


def from_co2(given: dict[str, Any]) -> Computed:
    co2 = given["co2_dry"]
    return {
        "lambda": combustion.excess_air_from_co2(co2, given["co2max"]),
        "o2_dry": combustion.o2_from_co2(co2, given["co2max"]),
        "lambda_simple": given["co2max"] / co2,
    }


def from_lambda(given: dict[str, Any]) -> Computed:
    return {
        "co2_dry": combustion.co2_from_excess_air(given["lambda"]),
        "o2_dry": combustion.o2_from_excess_air(given["lambda"]),
    }


def flue(given: dict[str, Any]) -> Computed:
    inputs = (given["t_flue"], given["t_air"], given["o2_dry"])
    return {"flue_loss": exhaust.flue_loss(*inputs), "efficiency": exhaust.combustion_efficiency(*inputs)}


def exhaust_limits(given: dict[str, Any]) -> Computed:
    limits = {"liquid": exhaust.LIMITS_LIQUID, "gaseous": exhaust.LIMITS_GAS}[given["fuel"]]
    return {
        "CO": limits.co_pct,
        "NOx": limits.nox_ppm,
        "HC": limits.hc_ppm,
        "smoke_bacharach": limits.smoke_number,
        "CO_at_100kmh": limits.co_head_wind_pct,
    }


def heating_value(given: dict[str, Any]) -> Computed:
    lower = fuel.lower_heating_value_mj_kg(split(given))
    return {"LHV": lower, "LHV_vol": lower * fuel.FAME_DENSITY_KG_M3 / 1000.0}


def thermal_input(given: dict[str, Any]) -> Computed:
    if "dose" in given:
        dose = given["dose"] * (100.0 / 60.0 if given["dose"] > 1 else 1000.0 / 36.0)  # ml/min, else l/h
    elif "stroke_volume" in given:
        dose = fuel.dose_from_strokes(given["stroke_volume"] * 100, 100, given["frequency"])
    else:
        dose = fuel.dose_from_strokes(given["volume"], given["strokes"], given["frequency"])
    return {"thermal_input": fuel.thermal_input(dose, given["rho"], given["LHV"])}


def fuel_limits(limits: fuel_grades.FuelLimits) -> Computed:
    low, high = limits.density_15_kg_m3
    viscosity = limits.viscosity_40_mm2_s or (None, None)
    found = {
        "density_min": low,
        "density_max": high,
        "density_15C_max": high,
        "viscosity_min": viscosity[0],
        "viscosity_max": viscosity[1],
        "water_max": limits.water_max_mg_kg,
        "flash_min": limits.flash_min_c,
        "FAME_max": limits.fame_max_pct,
        "sulfur_max": limits.sulphur_max_mg_kg,
        "T95_max": limits.t95_max_c,
    }
    return {name: value for name, value in found.items() if value is not None}


def filter_class(given: dict[str, Any]) -> Computed:
    grade = given["class"]
    cloud = fuel_grades.CLOUD_POINT_MAX_C.get(grade)
    return {"cfpp_max": fuel_grades.cfpp_max_c(grade), **({} if cloud is None else {"cloud_point_max": cloud})}


def season(given: dict[str, Any]) -> Computed:
    first = tuple(int(part) for part in given["from"].split("-"))
    last = tuple(int(part) for part in given["to"].replace("end", "28").split("-"))
    both = {fuel_grades.german_season_cfpp_c(*first), fuel_grades.german_season_cfpp_c(*last)}
    assert len(both) == 1
    return {"cfpp_max": both.pop()}


CALCULATIONS = {
    "ISA-": standard_atmosphere,
    "RHO-T": lambda g: {"density": air.air_density(geometric(g["geopotential_altitude"]), g["air_temperature"])},
    "RHO-CENGEL": lambda g: {"density": air.dry_air_density(SEA_LEVEL_PA, g["air_temperature"])},
    "RHO-MOIST": lambda g: {
        "density": air.air_density_from_pressure(1013.25, g["air_temperature"], 100.0 * g["relative_humidity"])
    },
    "LAMBDA-ALT": lambda_at_altitude,
    "ALT-LAMBDA1": lambda g: {"altitude": mixture.altitude_without_excess(g["lambda_ref"])},
    "LAMBDA-COMBINED": lambda_volume_pump,
    "DELIVERY": delivery,
    "STOICH": element_balance,
    "EXHDENS": exhaust_density,
    "LAMBDA-CO2": from_co2,
    "FLUE-LAMBDA": from_lambda,
    "CO-AIRFREE": lambda g: {"co_airfree": exhaust.co_undiluted(g["co_measured"], g["o2_dry"])},
    "CO-REFO2": lambda g: {"co_ref": exhaust.co_at_reference_o2(g["co_measured"], g["o2_dry"], g["o2_ref"])},
    "CO-MGKWH": lambda g: {"co": exhaust.co_per_kwh(g["co_airfree"])},
    "CO-LOSS": lambda g: {"loss": exhaust.co_loss(g["co_measured"], g["o2_dry"])},
    "SIEGERT": flue,
    "SIEGERT-A1": lambda g: {"A1": exhaust.SIEGERT_A1},
    "R122": exhaust_limits,
    "EN590-DENSITY-MAX": lambda g: fuel_limits(fuel_grades.DIRECTIVE_98_70),
    "EN590-RANGE": lambda g: fuel_limits(fuel_grades.EN_590),
    "EN14214": lambda g: fuel_limits(fuel_grades.EN_14214),
    "CFPP": filter_class,
    "CFPP-DE": season,
    "LHV": heating_value,
    "FUEL-RHO": lambda g: {"density": fuel.fuel_density(g["temperature"], g["rho15"])},
    "FUEL-EXPANSION": lambda g: {"alpha": fuel.expansion_coefficient_per_k(g["rho15"])},
    "INPUT": thermal_input,
    "BLEND": lambda g: {"relative_heat_per_litre": fuel.fame_heat_share(g["FAME_share"])},
}
CHECKS = [check for field in ("air", "combustion", "mixture", "fuel", "exhaust") for check in load_checks(field)]


@pytest.mark.filterwarnings("always::published_values.MemoryDeviation")
@pytest.mark.parametrize("check", CHECKS, ids=lambda check: check.id)
def test_air_and_fire_agree_with_numbers_from_outside(check: PublishedCheck) -> None:
    """Density, combustion, mixture, fuel and exhaust come out as the named source has them."""
    hold_against(check, calculation_for(check.id, CALCULATIONS)(check.inputs))


def test_the_expected_dose_is_the_energy_balance_backwards() -> None:
    """The dose to expect carries the output over the efficiency: INPUT-10MLMIN of the reference, turned round."""
    dose = fuel.dose_expected(5.97653 * 0.85, 0.85, 832.0, 43.1)
    assert dose == pytest.approx(10.0 * 100.0 / 60.0, rel=1e-4)


def test_flue_loss_from_co2_meets_the_one_from_o2() -> None:
    """At CO2 and O2 that belong together the two Siegert forms differ by less than 0.4 point (1. BImSchV)."""
    for excess in (1.2, 1.5, 2.0):
        o2, co2 = combustion.o2_from_excess_air(excess), combustion.co2_from_excess_air(excess)
        assert exhaust.flue_loss_from_co2(250, 20, co2) == pytest.approx(exhaust.flue_loss(250, 20, o2), abs=0.4)
