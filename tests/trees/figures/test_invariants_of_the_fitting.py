"""What must hold between figures of hours, tubes, heat, cables, sensors and rooms whatever the numbers are."""

from __future__ import annotations

import math

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from trees.errors import FigureError, OutOfRangeError
from trees.figures import (
    ducts,
    electrical,
    exposure,
    heat_load,
    heat_transport,
    run_hours,
    sensors,
    supply,
    work_out_in_full,
)

CELSIUS = st.floats(min_value=-35, max_value=45)
HOURS = st.floats(min_value=0, max_value=20_000)


@given(HOURS, HOURS, HOURS, st.integers(min_value=1, max_value=50_000))
def test_run_hours_add_up(low: float, medium: float, high: float, starts: int) -> None:
    """Shares of the steps make one; mean run and starts per hour are each other's inverse."""
    assume(low + medium + high > 0.01)
    shares = [
        run_hours.low_fire_share(*hours) for hours in ((low, medium, high), (medium, low, high), (high, low, medium))
    ]
    assert sum(shares) == pytest.approx(1.0)
    assert all(0.0 <= share <= 1.0 for share in shares)
    mean = run_hours.mean_run_length(low, medium, high, starts)
    assert mean * run_hours.starts_per_hour(low, medium, high, starts) == pytest.approx(1.0)


def test_full_output_hours_are_counted_against_the_weeks() -> None:
    """60 of 104 wanted hours leave 44; more than wanted leaves none."""
    assert run_hours.full_output_short(60.0, 104.0) == pytest.approx(44.0)
    assert run_hours.full_output_short(60.0, 104.0, 0.5) == 0.0


@given(st.floats(min_value=500, max_value=1e6), st.floats(min_value=0, max_value=0.06))
def test_friction_falls_with_reynolds_and_has_no_step(reynolds: float, rough: float) -> None:
    """The friction factor is continuous where laminar flow ends and turbulent begins, and rough is never smoother."""
    for edge in (ducts.LAMINAR_BELOW, ducts.TURBULENT_ABOVE):
        below, above = ducts.friction_factor(edge * 0.9999, rough), ducts.friction_factor(edge * 1.0001, rough)
        assert below == pytest.approx(above, rel=2e-3)
    assert ducts.friction_factor(reynolds, rough + 0.01) >= ducts.friction_factor(reynolds, rough)


def test_hot_exhaust_loses_twice_the_pressure() -> None:
    """At equal mass flow 300 °C against 20 °C is 1.96 by temperature, 1.99 by formula (REFERENCE section 5)."""
    tube = {"mass_flow_g_s": 2.67095, "bore_mm": 24, "length_m": 1, "bends_90": 0, "ends_k": 1.6}
    ratio = ducts.duct_pressure_loss(temperature_c=300, **tube) / ducts.duct_pressure_loss(temperature_c=20, **tube)
    assert ratio == pytest.approx(1.99, abs=0.01)


@given(st.floats(min_value=0.5, max_value=6), st.floats(min_value=0, max_value=6))
def test_length_and_bends_only_add(length: float, bends: float) -> None:
    """A longer tube, one more bend, a fitting or thinner air never loses less; equal tubes share 1."""
    tube = {"mass_flow_g_s": 2.6, "bore_mm": 24.0, "temperature_c": 20.0}
    loss = ducts.duct_pressure_loss(length_m=length, bends_90=bends, **tube)
    assert ducts.duct_pressure_loss(length_m=length + 0.1, bends_90=bends, **tube) > loss
    assert ducts.duct_pressure_loss(length_m=length, bends_90=bends + 1, **tube) > loss
    assert ducts.duct_pressure_loss(length_m=length, bends_90=bends, ends_k=2.7, **tube) > loss
    assert ducts.duct_pressure_loss(length_m=length, bends_90=bends, altitude_m=2000, **tube) > loss
    equivalent = ducts.duct_equivalent_length(length_m=length, bends_90=bends, **tube)
    straight = ducts.duct_pressure_loss(length_m=equivalent, bends_90=0, ends_k=0, **tube)
    assert straight == pytest.approx(ducts.duct_pressure_loss(length_m=length, bends_90=bends, ends_k=0, **tube))
    share = {"rated_length_m": length, "rated_bends_90": bends}
    assert ducts.duct_share_of_limit(length_m=length, bends_90=bends, **share, **tube) == pytest.approx(1.0)
    assert ducts.duct_share_of_limit(length_m=length, bends_90=bends, extra_k=0.5, **share, **tube) > 1.0
    one = ducts.duct_equivalent_length(length_m=length, bends_90=bends, extra_k=1.0, **tube)
    assert one - equivalent == pytest.approx(ducts.fitting_length(1.0, 0.05, 24.0), rel=0.5)


def test_wide_bends_lose_less_than_tight_ones() -> None:
    """K falls from a tight bend to r/D 2, and 45° loses less than 90°."""
    assert ducts.bend_k(90, 1.0) > ducts.bend_k(90, 1.5) > ducts.bend_k(90, 2.0)
    assert ducts.bend_k(45, 1.5) < ducts.bend_k(90, 1.5)


@given(
    st.floats(min_value=1, max_value=500), st.floats(min_value=5, max_value=25), st.floats(min_value=-40, max_value=20)
)
def test_the_heat_load_at_the_edges_is_the_output(loss: float, inside: float, outside: float) -> None:
    """Where a unit begins to cycle the load is its lowest output; where it fails, its full output."""
    assume(loss > 30)
    cycles, fails = heat_load.cycles_above(loss, inside, 900.0), heat_load.fails_below(loss, inside, 2000.0)
    assume(fails >= -50)
    assert heat_load.heat_load(loss, inside, cycles) == pytest.approx(900.0)
    assert heat_load.heat_load(loss, inside, fails) == pytest.approx(2000.0)
    load = heat_load.heat_load(loss, inside, outside)
    assert load >= 0.0
    idle = heat_load.idle_share(min(load, 50_000.0), 900.0)
    assert (idle > 0) == (load < 900.0)


def test_insulation_and_skins() -> None:
    """More insulation is a lower U; a steel skin counts for nothing; layers in any order are the same."""
    assert heat_load.u_value(30, 0.035) > heat_load.u_value(50, 0.035)
    assert heat_load.u_value(1, 50) == pytest.approx(1 / 0.17, rel=1e-3)
    one, other = [(0.03, 0.035), (0.003, 0.13)], [(0.003, 0.13), (0.03, 0.035)]
    assert heat_load.u_value_of_layers(one) == pytest.approx(heat_load.u_value_of_layers(other))


def test_a_space_that_can_not_be_warmed_is_said() -> None:
    """Warming up is impossible where losses reach the output, and takes no time where it is warm already."""
    common = {"capacity_kj_k": 200, "output_w": 2000, "start_c": 0, "outside_c": -10}
    with pytest.raises(OutOfRangeError, match="never reaches"):
        heat_load.warm_up_time(loss_w_k=70, end_c=20, **common)
    with pytest.raises(OutOfRangeError, match="below the one at the start"):
        heat_load.warm_up_time(loss_w_k=50, end_c=-5, **common)
    assert heat_load.warm_up_time(loss_w_k=50, end_c=0, **common) == pytest.approx(0.0)
    slow, fast = (heat_load.warm_up_time(loss_w_k=loss, end_c=20, **common) for loss in (60, 20))
    assert slow > fast


@given(st.floats(min_value=0.5, max_value=20), st.floats(min_value=2, max_value=100))
def test_flow_times_warming_is_the_output(output: float, rise: float) -> None:
    """Twice the flow is half the warming, for coolant and for air; more heat takes less time."""
    assert heat_transport.coolant_flow(output, rise / 2) == pytest.approx(2 * heat_transport.coolant_flow(output, rise))
    litres_h = heat_transport.coolant_flow(output, rise)
    carried_w = (
        litres_h / 3600.0 * heat_transport.GLYCOL_DENSITY_KG_M3 / 1000.0 * heat_transport.GLYCOL_HEAT_J_KGK * rise
    )
    assert carried_w == pytest.approx(1000.0 * output)
    flow = heat_transport.warm_air_flow(output, rise)
    assert flow * heat_transport.air_heat_wh_m3k(20.0) * rise == pytest.approx(1000.0 * output)
    assert heat_transport.engine_preheat_time(output, 6, 120, rise) > heat_transport.engine_preheat_time(
        output, 6, 100, rise
    )


@given(
    st.floats(min_value=0.1, max_value=30), st.floats(min_value=0, max_value=40), st.floats(min_value=0.5, max_value=25)
)
def test_volts_are_conserved(length: float, current: float, area: float) -> None:
    """Cable and joints together are the drop; twice the area is half the loss; hot copper loses more."""
    cable = electrical.cable_drop(length, current, area)
    assume(cable < 10)
    joint = supply.joint_drop(
        source_v=12.6, load_v=12.6 - cable - 0.4, current_a=current, length_m=length, area_mm2=area
    )
    assert joint == pytest.approx(0.4)
    assert electrical.cable_drop(length, current, 2 * area) == pytest.approx(cable / 2)
    assert electrical.cable_drop(length, current, area, 60.0) == pytest.approx(cable * (1 + 0.00393 * 40))
    assert supply.battery_sag(12.6, 12.2) == pytest.approx(0.4)


def test_real_cable_is_worse_than_ideal_copper() -> None:
    """IEC 60228 class 5 is 10 to 20 % worse than ideal copper, ISO 6722 lies between (REFERENCE section 7)."""
    for area, largest in electrical.LARGEST_RESISTANCE_OHM_KM.items():
        ideal = 1000.0 * electrical.conductor_resistance_ohm(1.0, area)
        assert 1.10 <= largest / ideal <= 1.17
        assert ideal < electrical.VEHICLE_CABLE_OHM_KM[area] < largest


@pytest.mark.parametrize("volts", [5.0, 14.4])
def test_no_rested_battery_has_such_a_voltage(volts: float) -> None:
    """A charging battery, or one of another system, is no rested battery."""
    with pytest.raises(OutOfRangeError, match="no rested battery"):
        supply.battery_charge(volts)
    with pytest.raises(OutOfRangeError, match="12 or 24"):
        supply.battery_charge(12.5, 18.0)
    with pytest.raises(OutOfRangeError, match="can't rise"):
        supply.battery_sag(12.0, 13.0)


@given(st.floats(min_value=11.0, max_value=13.0))
def test_charge_stays_between_empty_and_full(volts: float) -> None:
    """State of charge is 0 to 100 % and never falls with the voltage."""
    charge = supply.battery_charge(volts)
    assert 0.0 <= charge <= 100.0
    assert supply.battery_charge(volts + 0.01) >= charge


@given(st.floats(min_value=-199, max_value=849))
def test_platinum_goes_both_ways(celsius: float) -> None:
    """Resistance and temperature are inverse, for Pt1000 and Pt100."""
    for r0 in (100.0, 1000.0):
        assert sensors.pt_temperature(sensors.pt_resistance(celsius, r0), r0) == pytest.approx(celsius, abs=1e-5)


@given(st.floats(min_value=-199, max_value=1371), st.floats(min_value=-40, max_value=80))
def test_thermocouple_goes_both_ways(celsius: float, cold: float) -> None:
    """A voltage against a cold end leads back to the tip's temperature; the curve only rises."""
    emf = sensors.thermocouple_emf(celsius) - sensors.thermocouple_emf(cold)
    assume(-8.0 <= emf <= 56.0)
    assert sensors.thermocouple_temperature(emf, cold) == pytest.approx(celsius, abs=1e-4)
    assert sensors.thermocouple_emf(celsius + 1) > sensors.thermocouple_emf(celsius)


@given(st.floats(min_value=-39, max_value=140), st.floats(min_value=2000, max_value=5000))
def test_ntc_goes_both_ways(celsius: float, beta: float) -> None:
    """At 25 °C an NTC has its rated resistance, and β from two readings gives them back."""
    assume(abs(celsius - 25.0) > 6)
    resistance = 10_000.0 * math.exp(beta * (1 / (celsius + 273.15) - 1 / 298.15))
    assert sensors.ntc_temperature(resistance, 10_000.0, beta) == pytest.approx(celsius, abs=1e-6)
    assert sensors.ntc_temperature(10_000.0, 10_000.0, beta) == pytest.approx(25.0)
    assert sensors.ntc_temperature(10_000.0) == pytest.approx(25.0)
    assert sensors.ntc_beta(resistance, celsius, 10_000.0, 25.0) == pytest.approx(beta, rel=1e-6)


def test_broken_sensors_are_said() -> None:
    """An open or shorted sensor, swapped wires and two equal temperatures each get a sentence."""
    with pytest.raises(OutOfRangeError, match="open, shorted"):
        sensors.ntc_temperature(9_000_000.0)
    with pytest.raises(OutOfRangeError, match="open, shorted"):
        sensors.ntc_temperature(1.0)
    assert sensors.ntc_temperature(20.0, 10_000.0, 3950.0) == pytest.approx(
        1 / (1 / 298.15 - 6.2146 / 3950) - 273.15, abs=0.1
    )
    with pytest.raises(OutOfRangeError, match="No platinum sensor"):
        sensors.pt_temperature(39_000.0)
    with pytest.raises(OutOfRangeError, match="swapped wires"):
        sensors.thermocouple_temperature(-7.9, 0.0)
    with pytest.raises(OutOfRangeError, match="5 K apart"):
        sensors.ntc_beta(10_000, 20, 9_000, 23)


@given(st.floats(min_value=0, max_value=500), st.floats(min_value=1, max_value=600))
def test_co_builds_up_to_its_balance(source: float, minutes: float) -> None:
    """CO rises with time, never above source over fresh air, and without fresh air is source times time."""
    co = exposure.co_buildup(14, 28, source, minutes)
    assert co <= source / 28 * 1000 + 1e-6
    assert exposure.co_buildup(14, 28, source, minutes + 10) >= co - 1e-9
    still = exposure.co_buildup(14, 0, source, minutes)
    assert still == pytest.approx(min(1e6, source / 1000 * minutes / 60 / 14 * 1e6))
    assert still >= co - 1e-6


def test_the_guideline_takes_the_stricter_row() -> None:
    """Between two averaging times the stricter guideline holds; beyond 8 h there is none of that table."""
    assert exposure.guideline_mg_m3(10) == 100.0
    assert exposure.guideline_mg_m3(16) == 60.0
    assert exposure.guideline_mg_m3(61) == 10.0
    with pytest.raises(FigureError, match="ends at 8 h"):
        exposure.guideline_mg_m3(481)
    assert exposure.co_share_of_guideline(60 / 1.16441, 30) == pytest.approx(1.0, rel=1e-4)


def test_co_in_a_room_can_not_exceed_the_room() -> None:
    """A source larger than the fresh air fills the room and no more."""
    assert exposure.co_buildup(1, 0.001, 4000, 1440) == 1e6
    assert exposure.co_buildup(1, 0, 4000, 1440) == 1e6
    steady = work_out_in_full(
        "co_buildup", {"volume_m3": 1, "air_m3_h": 1, "co_source_l_h": 4000, "time_min": 1}
    )  # fmt: skip
    assert steady.details[0].value == 1e6


def test_a_space_in_balance_is_never_warmer() -> None:
    """An output that equals the losses at the wanted temperature never reaches it."""
    with pytest.raises(OutOfRangeError, match="never reaches"):
        heat_load.warm_up_time(capacity_kj_k=200, loss_w_k=50, output_w=1500, start_c=0, end_c=20, outside_c=-10)
    assert heat_load.warm_up_time(
        capacity_kj_k=200, loss_w_k=50, output_w=1500.4, start_c=0, end_c=20, outside_c=-10
    ) > heat_load.warm_up_time(capacity_kj_k=200, loss_w_k=50, output_w=1600, start_c=0, end_c=20, outside_c=-10)
