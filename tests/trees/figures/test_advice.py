"""The figures that decide cases say in words what their numbers mean."""

from __future__ import annotations

import pytest

from trees.errors import FigureError, OutOfRangeError
from trees.figures import fuel_grades, work_out_in_full
from trees.figures.heat_load import run_verdict, size_advice
from trees.figures.registry import Details


def said(name: str, **values: float) -> str:
    """Return all remarks of a figure in one line."""
    return " ".join(work_out_in_full(name, values).remarks)


def numbers(name: str, **values: float) -> dict[str, float]:
    """Return the details of a figure by label."""
    return {detail.label: detail.value for detail in work_out_in_full(name, values).details}


@pytest.mark.parametrize(
    ("low", "medium", "high", "starts", "words"),
    [
        (1190, 170, 60, 610, "too cool to clean itself"),
        (510, 300, 190, 100, "too cool to clean itself"),
        (490, 300, 210, 100, ""),
        (200, 500, 300, 100, "does not explain soot"),
        (290, 500, 210, 499, "does not explain soot"),
        (310, 500, 190, 100, ""),
        (200, 500, 300, 600, ""),
        (200, 500, 300, 520, ""),
        (200, 500, 300, 1001, "short runs"),
    ],
)
def test_the_run_hour_profile_says_what_it_explains(
    low: float, medium: float, high: float, starts: float, words: str
) -> None:
    """More than half at lowest and more than one start an hour each explain dirt; quiet use explains none."""
    remark = said("mean_run_length", low=low, medium=medium, high=high, starts=starts)
    assert (words in remark) if words else remark == ""
    found = numbers("mean_run_length", low=low, medium=medium, high=high, starts=starts)
    shares = [value for label, value in found.items() if label.startswith("Share")]
    assert shares == pytest.approx([low / 1420, medium / 1420, high / 1420] if low == 1190 else
                                   [part / (low + medium + high) for part in (low, medium, high)])  # fmt: skip
    assert found["Starts for each run hour"] == pytest.approx(starts / (low + medium + high))


def test_the_share_alone_needs_no_starts() -> None:
    """Where starts are not known the profile still speaks of the share."""
    assert "does not explain" in said("low_fire_share", low=100, medium=200, high=200)
    assert "Starts for each run hour" not in numbers("low_fire_share", low=100, medium=200, high=200)


@pytest.mark.parametrize(
    ("usual", "coldest", "words"),
    [
        (2100, 2500, ["Too small even for a usual day"]),
        (1200, 2100, ["Too small for the coldest day"]),
        (500, 2100, ["Too small for the coldest day", "Yet on usual days it cycles"]),
        (1200, 1800, ["The size fits"]),
        (900, 1400, ["The size fits"]),
        (500, 1000, ["Too large", "about 1200 W", "full output each week"]),
        (100, 200, ["Too large", "about 500 W"]),
        (500, 1500, ["Too large", "smaller lowest step", "full output each week"]),
    ],
)
def test_the_size_of_a_unit_is_advised(usual: float, coldest: float, words: list[str]) -> None:
    """From the loads of a usual and of the coldest day: smaller, larger, insulate, or it fits (900 to 2000 W here)."""
    advice = " ".join(size_advice(usual, coldest, 900, 2000))
    assert all(word in advice for word in words)
    assert ("Yet on usual days" in advice) == (usual == 500 and coldest == 2100)


def test_the_unit_size_tells_its_numbers() -> None:
    """Loads, edges and idle share of the figure follow from the heat loss."""
    given = {"loss_w_k": 50, "inside_c": 20, "usual_c": 10, "coldest_c": -10, "lowest_w": 800, "full_w": 2000}
    assert numbers("unit_size", **given) == pytest.approx(
        {
            "Load on a usual day": 500,
            "Load on the coldest day": 1500,
            "Cycles when warmer outside than": 4,
            "Too small when colder outside than": -20,
            "Share of time without flame on a usual day": 0.375,
        }
    )
    for wrong in ({"coldest_c": 12}, {"lowest_w": 2000}):
        with pytest.raises(OutOfRangeError, match="coldest day must not be warmer"):
            work_out_in_full("unit_size", {**given, **wrong})
    with pytest.raises(OutOfRangeError, match="not below full"):
        run_verdict(500, 2000, 2000)


@pytest.mark.parametrize(
    ("co2", "dose", "words"),
    [
        # sea level, 15 °C, set to 1.5, which is 9.95 % CO2
        (9.95, 0, "neither dose nor air is off"),
        (10.465, 0, "neither dose nor air is off"),
        (10.536, 0, "what is left is too little air"),
        (11.0, 10, "The dose explains the mixture"),
        (10.45, 5.3, "The dose explains the mixture"),
        (10.4, 4.7, "neither dose nor air is off"),
        (11.5, 0, "The dose does not explain it; what is left is too little air"),
        (12.5, 10, "The dose explains a part of it; what is left is too little air"),
        (9.95, -12, "hide each other: behind the dose there is too little air"),
        (8.5, 0, "false air in the probe"),
    ],
)
def test_the_mixture_says_whether_dose_or_air_explains_it(co2: float, dose: float, words: str) -> None:
    """A CO2 reading is explained by dose, by air, by both, or by both hiding each other."""
    remark = said(
        "air_change", co2_pct=co2, excess_air_set=1.5, altitude_m=0, temperature_c=15, dose_change_pct=dose
    )  # fmt: skip
    assert words in remark
    assert "Height" not in remark


def test_height_is_named_where_it_takes_air() -> None:
    """Where height and temperature take more than a tenth of the air, the figure says how much."""
    common = {"excess_air_set": 1.5, "temperature_c": 2}
    assert "alone take 19 % of the air" in said("air_change", co2_pct=12.48, altitude_m=2150, **common)
    assert "Height" not in said("air_change", co2_pct=10.3, altitude_m=600, **common)


def test_a_duct_near_its_limit_is_too_close_to_call() -> None:
    """Below 0.85 within, above 1.15 too long, between them the ±15 % of small tubes leave it open."""
    tube = {"mass_flow_g_s": 2.67, "bore_mm": 24, "bends_90": 2, "temperature_c": 250, "rated_bends_90": 2}
    assert "within what the unit allows" in said("duct_share_of_limit", length_m=1, rated_length_m=2, **tube)
    assert "Too close to call" in said("duct_share_of_limit", length_m=2.2, rated_length_m=2, **tube)
    assert "Too close to call" in said("duct_share_of_limit", length_m=1.85, rated_length_m=2, **tube)
    assert "within what" in said("duct_share_of_limit", length_m=1.5, rated_length_m=2, **tube)
    assert "more than the longest" in said("duct_share_of_limit", length_m=2.6, rated_length_m=2, **tube)
    assert "more than the longest" in said("duct_share_of_limit", length_m=3.5, rated_length_m=2, **tube)
    found = numbers("duct_share_of_limit", length_m=2, rated_length_m=2, **tube)
    assert found["Pressure loss"] == pytest.approx(
        work_out_in_full(
            "duct_pressure_loss",
            {"mass_flow_g_s": 2.67, "bore_mm": 24, "bends_90": 2, "temperature_c": 250, "length_m": 2},
        ).value
    )


def test_a_flow_between_laminar_and_turbulent_is_said() -> None:
    """Between Reynolds 2300 and 4000, and above 20 m/s, the figure warns."""
    tube = {"bore_mm": 24, "length_m": 1, "bends_90": 0, "temperature_c": 20}
    assert "between laminar and turbulent" in said("duct_pressure_loss", mass_flow_g_s=1.1, **tube)
    assert "between laminar and turbulent" not in said("duct_pressure_loss", mass_flow_g_s=2.6, **tube)
    assert "faster than 20 m/s" in said("duct_pressure_loss", mass_flow_g_s=12, **tube)
    assert "faster than 20 m/s" not in said("duct_pressure_loss", mass_flow_g_s=5, **tube)


@pytest.mark.parametrize(
    ("rested", "source", "load", "length", "words"),
    [
        (12.75, 12.4, 10.3, 6, "joints, fuse and earth"),
        (12.6, 12.4, 10.9, 10, "the cable itself"),
        (12.6, 10.9, 10.6, 1, "the battery"),
        (12.6, 12.5, 12.3, 1, "No part of the supply loses much"),
        (0.0, 12.4, 10.3, 6, "joints, fuse and earth"),
    ],
)
def test_the_place_where_volts_are_lost_is_named(
    rested: float, source: float, load: float, length: float, words: str
) -> None:
    """Battery, cable and joints are told apart at 10 A through 2.5 mm²; an unmeasured rest is left out."""
    given = {
        "rested_v": rested, "source_v": source, "load_v": load, "current_a": 10, "length_m": length, "area_mm2": 2.5,
    }  # fmt: skip
    assert words in said("joint_drop", **given)
    found = numbers("joint_drop", **given)
    assert ("In the battery" in found) == (rested > 0)
    assert found["Between battery and unit"] == pytest.approx(source - load)
    assert found["In the copper of the cable"] == pytest.approx(2 * length * 10 / 58 / 2.5)
    with pytest.raises(OutOfRangeError, match="swapped"):
        work_out_in_full("joint_drop", {**given, "load_v": source + 1})


def test_a_standard_cable_tells_what_it_may_lose() -> None:
    """2.5 mm² of class 5 may have 7.98 Ω/km; an odd area has no such row."""
    found = numbers("cable_drop", length_m=5, current_a=10, area_mm2=2.5)
    assert found["With a cable that just meets IEC 60228 class 5"] == pytest.approx(10 * 10 * 7.98 / 1000)
    assert found["Share of 12 V"] == pytest.approx(2 * 5 * 10 / 58 / 2.5 / 12)
    assert found["Share of 24 V"] == pytest.approx(2 * 5 * 10 / 58 / 2.5 / 24)
    assert "IEC" not in "".join(numbers("cable_drop", length_m=5, current_a=10, area_mm2=2.6))


def test_co_in_a_room_always_bears_its_caution() -> None:
    """Whatever the number, CO where people breathe tells everybody to get out and never names a safe time."""
    for co_ppm in (0.0, 12.0, 250.0, 7000.0):
        remark = said("co_share_of_guideline", co_ppm=co_ppm, averaging_min=60)
        assert "everybody out" in remark
        assert "how long it is safe" in remark
    assert "everybody out" in said("co_buildup", volume_m3=14, air_m3_h=28, co_source_l_h=36, time_min=10)
    assert "Without fresh air" in said("co_buildup", volume_m3=14, air_m3_h=0, co_source_l_h=36, time_min=10)
    assert "headache" in said("co_share_of_guideline", co_ppm=250, averaging_min=60)
    assert "death in 10–15 min" in said("co_share_of_guideline", co_ppm=7000, averaging_min=60)
    assert "headache" not in said("co_share_of_guideline", co_ppm=199, averaging_min=60)
    assert numbers("co_buildup", volume_m3=14, air_m3_h=28, co_source_l_h=36, time_min=10) == pytest.approx(
        {"If it goes on for long": 36 / 28 * 1000}
    )


def test_undiluted_co_names_both_meanings() -> None:
    """The two meanings of undiluted are told apart, with the reading as measured beside the result."""
    assert "two meanings" in said("co_undiluted", co_ppm=60, o2_pct=7)
    assert numbers("co_undiluted", co_ppm=60, o2_pct=7) == {"As measured, to compare with 1000 ppm": 60}


def test_readings_that_do_not_belong_together_are_settled_first() -> None:
    """A gap of more than 0.1 between CO2 and O2 is an error of measurement; less is agreement."""
    assert "don't belong together" in said("excess_air_gap", co2_pct=10.1, o2_pct=9.4)
    assert "don't belong together" in said("excess_air_gap", co2_pct=10.1, o2_pct=5.0)
    assert "agree" in said("excess_air_gap", co2_pct=10.1, o2_pct=7.1)


def test_the_density_tells_its_share_of_sea_level() -> None:
    """At sea level and 15 °C the share is one and the pressure 1013.25 hPa (ISO 2533)."""
    assert numbers("air_density", altitude_m=0, temperature_c=15) == pytest.approx(
        {"Share of the air at sea level and 15 °C": 1.0, "Pressure": 1013.25}, rel=1e-5
    )


def test_the_charge_tells_when_the_acid_freezes() -> None:
    """A half-full battery freezes at −36.7 °C (BCI-type table)."""
    assert numbers("battery_charge", rested_v=12.24) == pytest.approx({"Acid freezes at": -36.7})


def test_a_platinum_sensor_tells_its_tolerance() -> None:
    """At 100 °C class B is 0.8 K (IEC 60751)."""
    assert numbers("pt_temperature", resistance_ohm=1385.05) == pytest.approx(
        {"Tolerance of a class B sensor there": 0.8}, abs=1e-3
    )


def test_the_mixture_tells_its_steps() -> None:
    """Excess air behind a CO2 reading, of a sound unit here, and with the measured dose, stand beside the result."""
    given = {"co2_pct": 9.94994, "excess_air_set": 1.8, "altitude_m": 0, "temperature_c": 15, "dose_change_pct": 20}
    assert list(numbers("air_change", **given).values()) == pytest.approx([1.5, 1.8, 1.5], rel=1e-4)
    assert numbers("co2_expected", excess_air_set=1.5, altitude_m=0, temperature_c=15) == pytest.approx(
        {"Excess air": 1.5, "CO2 at the setting": 9.94994}, rel=1e-4
    )
    assert numbers("excess_air_gap", co2_pct=9.94994, o2_pct=7.30775) == pytest.approx(
        {"Excess air from CO2": 1.5, "Excess air from O2": 1.5}, rel=1e-4
    )
    found = numbers("excess_air_from_co2", co2_pct=10)
    assert list(found.values()) == pytest.approx([1.52814, 7.23913], rel=1e-4)


def test_a_flat_pump_is_only_an_estimate() -> None:
    """The pump's angle leads to a mixture, and the figure says that only measuring tells."""
    assert "only catching and measuring" in said("dose_change_from_angle", angle_deg=0)
    assert numbers("dose_change_from_angle", angle_deg=0)["Excess air that follows"] == pytest.approx(1.5 / 0.9)


def test_fuel_classes_and_seasons() -> None:
    """A class that does not exist is refused; the season turns on its first day."""
    assert fuel_grades.cfpp_max_c(" f ") == -20.0
    with pytest.raises(FigureError, match="There is no class"):
        fuel_grades.cfpp_max_c("G")
    days = {
        (11, 15): -10.0,
        (11, 16): -20.0,
        (1, 1): -20.0,
        (2, 28): -20.0,
        (3, 1): -10.0,
        (4, 14): -10.0,
        (4, 15): 0.0,
    }
    assert {day: fuel_grades.german_season_cfpp_c(*day) for day in days} == days


def test_details_are_values() -> None:
    """What a figure says beside its number can't be changed by who reads it."""
    with pytest.raises(AttributeError):
        Details().remarks = ("x",)  # type: ignore[misc]
