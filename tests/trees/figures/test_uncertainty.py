"""The uncertainty of readings travels into figures as a Monte-Carlo run says it should."""

from __future__ import annotations

import math
import random
import statistics

import pytest

from trees.errors import FigureError, OutOfRangeError
from trees.figures import work_out, work_out_in_full
from trees.figures.uncertainty import combined, contributions

TRIALS = 4000

CASES = [
    ("supply_drop", {"source_v": 12.4, "load_v": 10.9}, {"source_v": 0.05, "load_v": 0.05}),
    ("excess_air_from_co2", {"co2_pct": 10.1}, {"co2_pct": 0.2}),
    ("co_undiluted", {"co_ppm": 400, "o2_pct": 7}, {"co_ppm": 20, "o2_pct": 0.2}),
    ("flue_loss", {"flue_c": 310, "air_c": 12, "o2_pct": 7.2}, {"flue_c": 4, "air_c": 1, "o2_pct": 0.2}),
    ("thermal_input", {"dose_ml": 6.5}, {"dose_ml": 0.15, "lhv_mj_kg": 0.4, "density_kg_m3": 8}),
    ("air_density", {"altitude_m": 2150, "temperature_c": 2}, {"altitude_m": 100, "temperature_c": 3}),
    ("cable_drop", {"length_m": 5, "current_a": 10, "area_mm2": 2.5}, {"length_m": 0.3, "current_a": 0.4}),
    ("element_power", {"resistance_ohm": 1.44, "voltage_v": 10.3}, {"resistance_ohm": 0.03, "voltage_v": 0.1}),
    ("pt_temperature", {"resistance_ohm": 1385}, {"resistance_ohm": 1.5}),
    ("heat_load", {"loss_w_k": 55, "inside_c": 20, "outside_c": -10}, {"loss_w_k": 8, "outside_c": 2}),
    (
        "air_change",
        {"co2_pct": 12.4, "excess_air_set": 1.5, "altitude_m": 1800, "temperature_c": 5, "dose_change_pct": -3},
        {"co2_pct": 0.2, "altitude_m": 150, "dose_change_pct": 2},
    ),
]


@pytest.mark.parametrize(("name", "values", "uncertainties"), CASES, ids=[case[0] for case in CASES])
def test_propagation_agrees_with_monte_carlo(
    name: str, values: dict[str, float], uncertainties: dict[str, float]
) -> None:
    """Linear propagation gives the spread of a run per JCGM 101 with normal inputs, to the run's own 4 %."""
    worked = work_out_in_full(name, values, uncertainties)
    dice = random.Random(106)
    drawn = [
        work_out(name, {**worked.values, **{k: dice.gauss(worked.values[k], u) for k, u in uncertainties.items()}})
        for _ in range(TRIALS)
    ]
    # The spread of n normal draws is itself known to 1/√(2n) = 1.1 %; three of these, and the curve's own share.
    assert worked.uncertainty == pytest.approx(statistics.stdev(drawn), rel=0.04)
    assert worked.value == pytest.approx(statistics.fmean(drawn), abs=0.2 * worked.uncertainty)
    assert math.fsum(part.uncertainty**2 for part in worked.contributions) == pytest.approx(worked.uncertainty**2)


def test_contributions_come_largest_first_in_the_results_unit() -> None:
    """Of two meters the worse one leads; each part is what it would be alone."""
    worked = work_out_in_full("supply_drop", {"source_v": 12.4, "load_v": 10.9}, {"source_v": 0.03, "load_v": 0.04})
    assert [(part.name, round(part.uncertainty, 9)) for part in worked.contributions] == [
        ("load_v", 0.04),
        ("source_v", 0.03),
    ]
    assert worked.uncertainty == pytest.approx(0.05)
    assert worked.text == "1.50 ± 0.05 V"


def test_any_function_can_be_asked_for_its_contributions() -> None:
    """Without ranges the central difference is taken on both sides: 3x − y with 0.1 and 0.4 gives 0.4 and 0.3."""
    parts = contributions(lambda x, y: 3 * x - y, {"x": 1.0, "y": 2.0}, {"x": 0.1, "y": 0.4})
    assert [(part.name, round(part.uncertainty, 12)) for part in parts] == [("y", 0.4), ("x", 0.3)]
    assert combined(parts) == pytest.approx(0.5)


def test_at_the_end_of_a_range_the_one_sided_difference_is_taken() -> None:
    """A reading at the end of its range has an uncertainty all the same."""
    worked = work_out_in_full("co_undiluted", {"co_ppm": 0.0, "o2_pct": 7.0}, {"co_ppm": 20.0})
    assert worked.uncertainty == pytest.approx(20.0 * 21 / 14)


def test_without_uncertainties_there_is_none() -> None:
    """No uncertainty given is none told, and a zero one adds nothing."""
    assert work_out_in_full("supply_drop", {"source_v": 12.4, "load_v": 10.9}).text == "1.5 V"
    worked = work_out_in_full("supply_drop", {"source_v": 12.4, "load_v": 10.9}, {"load_v": 0.0})
    assert worked.contributions == ()
    assert worked.uncertainty == 0.0


def test_nonsense_uncertainties_are_refused() -> None:
    """A negative uncertainty, one of an unknown input, and a value out of range are each refused."""
    values = {"source_v": 12.4, "load_v": 10.9}
    for bad in (-0.1, math.nan, math.inf):
        with pytest.raises(FigureError, match="finite number, not below 0"):
            work_out_in_full("supply_drop", values, {"load_v": bad})
    with pytest.raises(FigureError, match="has no input"):
        work_out_in_full("supply_drop", values, {"volts": 0.1})
    with pytest.raises(OutOfRangeError):
        work_out_in_full("supply_drop", {"source_v": 99, "load_v": 1})
