"""Sensors, conformity and CO exposure agree with numbers from outside the project."""

from __future__ import annotations

import math
from typing import Any

import pytest
from published_values import Computed, PublishedCheck, calculation_for, hold_against, load_checks

from trees.figures import conformity, exposure, sensors
from trees.figures.conformity import DecisionRule


def platinum(given: dict[str, Any]) -> Computed:
    resistance = sensors.pt_resistance(given["temperature"])
    assert sensors.pt_temperature(resistance) == pytest.approx(given["temperature"], abs=1e-6)
    return {"resistance": resistance}


def thermocouple(given: dict[str, Any]) -> Computed:
    emf = sensors.thermocouple_emf(given["temperature"])
    assert sensors.thermocouple_temperature(emf, 0.0) == pytest.approx(given["temperature"], abs=0.05)
    return {"emf": emf}


def beta(given: dict[str, Any]) -> Computed:
    value = sensors.ntc_beta(given["R0"], 0.0, given["R25"], 25.0)
    return {"beta": value, "temperature_at_336103_ohm": sensors.ntc_temperature(336_103.0, given["R25"], value)}


def conformity_of(given: dict[str, Any]) -> Computed:
    return {
        "p_c": conformity.probability_of_conformity(given["y"], given["u"], given.get("T_L"), given.get("T_U")),
    }


def bearing(given: dict[str, Any]) -> Computed:
    """Work out the global risk of a gamma process, shape 4, rate 4: a sum over true values."""
    limit, u = given["T_U"], given["u"]

    def density(x: float) -> float:
        return 4.0**4 * x**3 * math.exp(-4.0 * x) / math.factorial(3)

    def false_accept(acceptance: float) -> float:
        return sum(
            density(x) * conformity.probability_of_conformity(x, u, upper=acceptance) * 0.005
            for x in (limit + 0.0025 + 0.005 * step for step in range(800))
        )

    out = sum(density(limit + 0.0025 + 0.005 * step) * 0.005 for step in range(800))
    low, high = 1.0, 2.0
    while high - low > 1e-4:
        middle = (low + high) / 2.0
        low, high = (middle, high) if false_accept(middle) < 0.001 else (low, middle)
    return {"p_out": out, "false_accept": false_accept(limit), "A_U": low}


def relaxed(given: dict[str, Any]) -> Computed:
    decision = conformity.decide(
        given["measured"], given["U"] / 2.0, upper=given["limit"], rule=DecisionRule.RELAXED
    )  # fmt: skip
    assert "relaxed" in decision.sentence
    return {"verdict": decision.verdict}


def alarm(given: dict[str, Any]) -> Computed:
    silent, loud = exposure.ALARM_THRESHOLDS_MIN[int(given["co"])]
    found = {"no_alarm_before": silent, "alarm_before": loud}
    return {name: value for name, value in found.items() if value is not None}


def build_up(given: dict[str, Any]) -> Computed:
    litres_h = given["G"] * 3600.0 * 1000.0
    return {"co": exposure.co_buildup(given["V"], given["Q"], litres_h, given["time"] / 60.0)}


def effect(given: dict[str, Any]) -> Computed:
    """Compare what the table says of time and danger; its wording is our own."""
    text = dict(exposure.EFFECTS)[given["co"]]
    words = {
        200.0: ("light headache", "2–3 h"), 400.0: ("headache", "1–2 h"), 800.0: ("unconscious", "45 min", "2 h"),
        1600.0: ("death", "20 min", "2 h"), 3200.0: ("death", "5–10 min", "30 min"),
        6400.0: ("death", "1–2 min", "10–15 min"), 12800.0: ("death", "1–3 min"),
    }  # fmt: skip
    assert all(word in text for word in words[given["co"]])
    return {"effect": text}


CALCULATIONS = {
    "PT1000": platinum,
    "PT-TOL": lambda g: {
        "class_A": sensors.pt_tolerance_k(g["temperature"], "A"),
        "class_B": sensors.pt_tolerance_k(g["temperature"], "B"),
    },
    "NTC-SH": lambda g: {"temperature": sensors.steinhart_hart_c(g["resistance"])},
    "NTC-BETA": beta,
    "TCK": thermocouple,
    "TCK-CJC": lambda g: {"temperature": sensors.thermocouple_temperature(g["emf"], g["cold_junction"])},
    "JCGM": conformity_of,
    "JCGM-SPEED": lambda g: {"acceptance": conformity.guarded_rejection_limit(g["limit"], g["u_rel"], g["p"])},
    "JCGM-BEARING": bearing,
    "ILAC": lambda g: {"pfa_max": 1.0 - conformity.normal_cdf(g["k"])},
    "PC-CO": conformity_of,
    "GUARD": lambda g: {"z": conformity.normal_quantile(g["p"])},
    "BIMSCHV": relaxed,
    "EN50291": alarm,
    "WHO2000": lambda g: {
        "co": exposure.GUIDELINES_MG_M3[int(g["averaging"])],
        "co_ppm_rounded": exposure.GUIDELINES_PPM_ROUNDED[int(g["averaging"])],
    },
    "WHO2010": lambda g: {"co": exposure.INDOOR_2010_MG_M3[int(g["averaging"])]},
    "WHO2021": lambda g: {"co": exposure.DAY_2021_MG_M3},
    "EU-CO": lambda g: {"co": exposure.EU_8H_MG_M3},
    "CO-PPM": lambda g: {"factor": exposure.co_mass_concentration(1.0, g["temperature"])},
    "CO-BUILDUP": build_up,
}
CHECKS = [
    check
    for field in ("sensors", "conformity", "exposure")
    for check in load_checks(field)
    if not check.id.startswith("CO-SYMPTOM")
]
EFFECTS = [check for check in load_checks("exposure") if check.id.startswith("CO-SYMPTOM")]


@pytest.mark.filterwarnings("always::published_values.MemoryDeviation")
@pytest.mark.parametrize("check", CHECKS, ids=lambda check: check.id)
def test_measuring_agrees_with_numbers_from_outside(check: PublishedCheck) -> None:
    """Sensor tables, conformity and exposure limits come out as the named source has them."""
    hold_against(check, calculation_for(check.id, CALCULATIONS)(check.inputs))


@pytest.mark.parametrize("check", EFFECTS, ids=lambda check: check.id)
def test_warnings_of_co_effects_say_what_the_table_says(check: PublishedCheck) -> None:
    """For each CO level of the reprinted table the program's own words keep its times and its danger."""
    assert effect(dict(check.inputs))["effect"]
    assert len(EFFECTS) == len(exposure.EFFECTS)
