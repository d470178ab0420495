"""What must hold between figures of burning whatever the numbers are: balances, directions, ends of ranges."""

from __future__ import annotations

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from trees.errors import OutOfRangeError
from trees.figures import (
    air,
    combustion,
    exhaust,
    fuel,
    heat_load,
    mixture,
)

EXCESS = st.floats(min_value=1.0, max_value=3.0)
HEIGHT = st.floats(min_value=-500, max_value=4500)
CELSIUS = st.floats(min_value=-35, max_value=45)


@given(EXCESS)
def test_co2_and_o2_give_one_excess_air(excess: float) -> None:
    """Whatever the mixture, excess air from its CO2 and from its O2 are the same."""
    co2, o2 = combustion.co2_from_excess_air(excess), combustion.o2_from_excess_air(excess)
    assume(o2 <= 16.0)
    assert combustion.excess_air_from_co2(co2) == pytest.approx(excess, rel=1e-9)
    assert combustion.excess_air_from_o2(o2) == pytest.approx(excess, rel=1e-9)
    assert combustion.excess_air_gap(co2, o2) == pytest.approx(0.0, abs=1e-9)
    assert co2 + o2 * combustion.CO2MAX_DIESEL_PCT / 20.946 == pytest.approx(combustion.CO2MAX_DIESEL_PCT)
    assert combustion.o2_from_co2(co2) == pytest.approx(o2, abs=1e-9)


@pytest.mark.parametrize(("excess", "share"), [(1.15, 0.01), (1.5, 0.024), (2.4, 0.04)])
def test_the_short_form_reads_high(excess: float, share: float) -> None:
    """CO2max/CO2 is 1 % high at 1.15, 2.4 % at 1.5 and 4 % at 2.4 (REFERENCE section 2)."""
    short = combustion.CO2MAX_DIESEL_PCT / combustion.co2_from_excess_air(excess)
    assert short / excess - 1.0 == pytest.approx(share, abs=0.0025)


@given(st.floats(min_value=100, max_value=440), st.floats(min_value=0.5, max_value=14), CELSIUS)
def test_flue_loss_rises_with_temperature_and_oxygen(flue_c: float, o2: float, air_c: float) -> None:
    """Hotter exhaust and more excess air both lose more; efficiency and losses make 100 %."""
    loss = exhaust.flue_loss(flue_c, air_c, o2)
    assert exhaust.flue_loss(flue_c + 10, air_c, o2) > loss
    assert exhaust.flue_loss(flue_c, air_c, o2 + 0.5) > loss
    efficiency = exhaust.combustion_efficiency(flue_c, air_c, o2, 800.0)
    assert efficiency + loss + exhaust.co_loss(800.0, o2) == pytest.approx(100.0)


@given(st.floats(min_value=0, max_value=5000), st.floats(min_value=0, max_value=15))
def test_co_referred_to_less_oxygen_is_more(co_ppm: float, o2: float) -> None:
    """CO at 0 % O2 is never less than measured, and the same where there is no oxygen."""
    assert exhaust.co_undiluted(co_ppm, o2) >= co_ppm * (1 - 1e-12)
    assert exhaust.co_undiluted(co_ppm, 0.0) == pytest.approx(co_ppm)
    assert exhaust.co_at_reference_o2(co_ppm, 3.0) == pytest.approx(co_ppm)
    per_kwh = exhaust.co_per_kwh(exhaust.co_undiluted(co_ppm, o2))
    # Two ways to one heat: mg/kWh times the heat of CO (282.98 MJ/kmol, 28.01 kg/kmol) is the loss.
    assert per_kwh * 282.98 / 28.010 / 36_000.0 == pytest.approx(exhaust.co_loss(co_ppm, o2), rel=1e-6, abs=1e-12)


def test_swapped_exhaust_temperatures_are_refused() -> None:
    """An exhaust that is no hotter than the air is two swapped readings, by both formulas and at the edge."""
    for formula, share in ((exhaust.flue_loss, 7.0), (exhaust.flue_loss_from_co2, 10.0)):
        assert formula(80.0, 60.0, share) > 0
    for flue_c, air_c in ((20.0, 90.0), (50.0, 50.0)):
        with pytest.raises(OutOfRangeError, match="swapped"):
            exhaust._check_hotter(flue_c, air_c)


@pytest.mark.parametrize("height", [0, 300, 900, 1500, 1700])
def test_density_falls_three_per_cent_each_300_m(height: float) -> None:
    """In the standard atmosphere density falls about 2.9 % each 300 m below 2000 m (REFERENCE section 1)."""
    here, above = (
        air.air_density(h, air.standard_temperature_k(air.geopotential_altitude_m(h)) - 273.15)
        for h in (height, height + 300.0)
    )
    assert 0.0284 <= 1.0 - above / here <= 0.0297


def test_geometric_height_costs_thirteen_pascal() -> None:
    """At 3000 m taking the geometric for the geopotential height is 13 Pa (REFERENCE section 1)."""
    right = air.standard_pressure_pa(air.geopotential_altitude_m(3000.0))
    assert right - air.standard_pressure_pa(3000.0) == pytest.approx(13.0, abs=1.0)


@given(HEIGHT, CELSIUS)
def test_air_is_thinner_when_higher_warmer_or_damper(height: float, celsius: float) -> None:
    """Height, warmth and damp each take density; a barometer with the standard pressure gives the same."""
    density = air.air_density(height, celsius)
    assert air.air_density(height + 100, celsius) < density
    assert air.air_density(height, celsius + 1) < density
    assert air.air_density(height, celsius, 80.0) < density
    assert air.air_density_from_pressure(air.air_pressure(height), celsius) == pytest.approx(density)
    assert air.station_pressure(1013.25, height) == pytest.approx(air.air_pressure(height))


def test_humidity_takes_at_most_three_per_cent() -> None:
    """At 40 °C saturated air is 2.7 % lighter than dry (REFERENCE section 1)."""
    share = 1.0 - air.air_density(0, 40, 100) / air.air_density(0, 40, 0)
    assert share == pytest.approx(0.027, abs=0.001)


@given(EXCESS, HEIGHT, CELSIUS, st.floats(min_value=-30, max_value=30), st.floats(min_value=-30, max_value=30))
def test_dose_and_blower_move_the_mixture_apart(
    excess: float, height: float, celsius: float, dose: float, blower: float
) -> None:
    """At the setting nothing changes; more fuel is less excess air, more air is more; the factors multiply."""
    place = {"altitude_m": height, "temperature_c": celsius}
    assert mixture.excess_air_expected(excess_air_set=excess, altitude_m=0, temperature_c=15) == pytest.approx(excess)
    bare = mixture.excess_air_expected(excess_air_set=excess, **place)
    both = mixture.excess_air_expected(
        excess_air_set=excess, dose_change_pct=dose, blower_change_pct=blower, **place
    )  # fmt: skip
    assert both == pytest.approx(bare * (1 + blower / 100) / (1 + dose / 100))
    assert bare == pytest.approx(excess * (1 + mixture.dose_correction(height, celsius) / 100))
    cold = mixture.excess_air_expected(excess_air_set=excess, fuel_temperature_c=-20, **place)
    assert cold < bare
    assert mixture.excess_air_after_dose(excess, dose) == pytest.approx(excess / (1 + dose / 100))


def test_ten_per_cent_of_dose_is_one_per_cent_of_co2() -> None:
    """At 1.5 a dose ±10 % moves CO2 between 8.9 and 11.0; +15 % at 1.15 uses up the air (REFERENCE section 3)."""
    low, high = (combustion.co2_from_excess_air(mixture.excess_air_after_dose(1.5, x)) for x in (-10.0, 10.0))
    assert (low, high) == (pytest.approx(8.9, abs=0.05), pytest.approx(11.0, abs=0.05))
    assert mixture.excess_air_after_dose(1.15, 15.0) == pytest.approx(1.0)
    assert mixture.co2_expected(
        excess_air_set=1.5, altitude_m=0, temperature_c=15, dose_change_pct=10
    ) == pytest.approx(high)


@given(st.floats(min_value=1.2, max_value=2.5), st.floats(min_value=0, max_value=1500), CELSIUS)
def test_air_change_finds_the_missing_air(excess: float, height: float, celsius: float) -> None:
    """The CO2 that a blower at 88 % gives is traced back to 12 % of missing air, with any known dose."""
    known = {"excess_air_set": excess, "altitude_m": height, "temperature_c": celsius, "dose_change_pct": 6.0}
    real = mixture.excess_air_expected(blower_change_pct=-12.0, **known)
    assume(1.0 < real < 3.5)
    co2 = mixture.co2_expected(blower_change_pct=-12.0, **known)
    assert mixture.air_change(co2_pct=co2, **known) == pytest.approx(-12.0, abs=1e-6)
    bare = {**known, "dose_change_pct": 0.0}
    without_dose = {name: value for name, value in known.items() if name != "dose_change_pct"}
    assert mixture.air_change(co2_pct=co2, **without_dose) == mixture.air_change(co2_pct=co2, **bare)


def test_a_flame_without_air_is_no_co2() -> None:
    """Where the air is used up, CO2 no longer tells the mixture and the figure says so."""
    with pytest.raises(OutOfRangeError, match="lacks air"):
        mixture.co2_expected(excess_air_set=1.2, altitude_m=3000, temperature_c=10)
    with pytest.raises(OutOfRangeError, match="more than this fuel can give"):
        combustion.excess_air_from_co2(16.0)


@given(st.floats(min_value=1.01, max_value=1.6))
def test_the_height_without_excess_air_uses_it_up(excess: float) -> None:
    """At the height that the figure names, the standard atmosphere leaves an excess air of 1."""
    geopotential = mixture.altitude_without_excess(excess)
    height = 6_356_766.0 * geopotential / (6_356_766.0 - geopotential)
    celsius = air.standard_temperature_k(geopotential) - 273.15
    assert excess * air.density_ratio(height, celsius) == pytest.approx(1.0, abs=1e-5)


@given(st.floats(min_value=-90, max_value=89))
def test_a_flatter_pump_never_delivers_more(angle: float) -> None:
    """The loss by the pump's angle never grows with the angle, and is nothing above 15°."""
    assert mixture.dose_change_from_angle(angle) <= mixture.dose_change_from_angle(angle + 1.0) <= 0.0
    assert mixture.dose_change_from_angle(15.0) == 0.0
    assert mixture.dose_change_from_angle(16.0) == 0.0
    assert mixture.dose_change_from_angle(14.99) == pytest.approx(0.0, abs=0.01)
    assert mixture.dose_change_from_angle(7.5) == pytest.approx(-5.0)
    assert mixture.dose_change_from_angle(0.0) == pytest.approx(-10.0)
    assert mixture.dose_change_from_angle(-0.001) == pytest.approx(-10.0, abs=0.001)
    assert mixture.dose_change_from_angle(-90.0) == pytest.approx(-20.0)


@given(st.floats(min_value=0.5, max_value=15), st.floats(min_value=0.6, max_value=0.95))
def test_dose_and_input_are_one_balance(output_kw: float, efficiency: float) -> None:
    """The expected dose carries exactly the output over the efficiency."""
    dose = fuel.dose_expected(output_kw, efficiency)
    assert fuel.thermal_input(dose) == pytest.approx(output_kw / efficiency)
    assert fuel.dose_deviation(dose, dose) == pytest.approx(0.0, abs=1e-9)
    assert fuel.dose_deviation(0.9 * dose, dose) == pytest.approx(-10.0)


@given(st.floats(min_value=-35, max_value=75), st.floats(min_value=790, max_value=940))
def test_fuel_is_denser_when_colder(celsius: float, density: float) -> None:
    """Density falls with temperature and is the given one at 15 °C."""
    assert fuel.fuel_density(celsius, density) > fuel.fuel_density(celsius + 1, density)
    assert fuel.fuel_density(15.0, density) == pytest.approx(density)


def test_a_stroke_of_this_kind_of_pump_is_small() -> None:
    """More than 0.2 ml a stroke is a miscount."""
    with pytest.raises(OutOfRangeError, match="count again"):
        fuel.dose_from_strokes(60.0, 100.0, 2.0)
    assert fuel.dose_from_strokes(20.0, 100.0, 1.0) == pytest.approx(20.0)


def test_losses_left_out_are_none() -> None:
    """Without a CO reading the efficiency is what the flue loss leaves; without extras a tube has its ends only."""
    assert exhaust.combustion_efficiency(310, 12, 7.2) == 100.0 - exhaust.flue_loss(310, 12, 7.2)
    assert heat_load.heat_load(50, 20, 25) == 0.0
    assert heat_load.idle_share(900, 900) == 0.0
    assert fuel.lower_heating_value_mj_kg(combustion.FuelSplit(0.86, 0.13, sulphur=0.01)) > (
        fuel.lower_heating_value_mj_kg(combustion.FuelSplit(0.86, 0.13))
    )
