"""Which temperature belongs to a sensor's resistance or voltage, and the other way."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence

from trees.errors import OutOfRangeError
from trees.figures.registry import Detail, Details, Input, Output, figure
from trees.language import _

PT_A, PT_B, PT_C = 3.9083e-3, -5.775e-7, -4.183e-12
"""Callendar-Van Dusen coefficients of IEC 60751."""
KELVIN = 273.15
STEINHART_10K = (1.129148e-3, 2.34125e-4, 8.76741e-8)
"""Coefficients of a common 10 kΩ element (a sensor kit's page; agree with an unrelated table to 0.0003 K)."""

IEC_60751 = "IEC 60751 (table values retrieved)"
_R0 = Input("Ω", "Resistance at 0 °C: 1000 for a Pt1000, 100 for a Pt100", (10.0, 10_000.0), label="resistance at 0 °C")
_PT_C = Input("°C", "Temperature", (-200.0, 850.0))


@figure(
    name="pt_resistance",
    title="Resistance of a platinum sensor",
    meaning="What a sound sensor shows at a temperature",
    inputs={"temperature_c": _PT_C, "r0_ohm": _R0},
    result=Output("Ω", "Resistance"),
    formula="R = R₀·(1 + A·t + B·t² + C·(t − 100)·t³), C only below 0 °C",
    source=IEC_60751,
    accuracy="class B sensor: ±(0.3 K + 0.005·|t|), 0.8 K at 100 °C",
    example={"temperature_c": 20},
    curve="temperature_c",
)
def pt_resistance(temperature_c: float, r0_ohm: float = 1000.0) -> float:
    """Resistance of a platinum sensor in Ω: R₀(1 + A·t + B·t² + C(t − 100)t³), °C, −200 to 850 (IEC 60751)."""
    return r0_ohm * _pt_ratio(temperature_c)


def _pt_ratio(temperature_c: float) -> float:
    cold = PT_C * (temperature_c - 100.0) * temperature_c**3 if temperature_c < 0 else 0.0
    return 1.0 + PT_A * temperature_c + PT_B * temperature_c**2 + cold


def _pt_details(given: Mapping[str, float]) -> Details:
    return Details(
        (Detail(_("Tolerance of a class B sensor there"), pt_tolerance_k(pt_temperature(**given), "B"), "K"),)
    )


@figure(
    name="pt_temperature",
    title="Temperature of a platinum sensor",
    meaning="Compare it with a thermometer beside the sensor",
    inputs={"resistance_ohm": Input("Ω", "Measured resistance, leads taken off", (1.0, 40_000.0)), "r0_ohm": _R0},
    result=Output("°C", "Temperature"),
    formula="t = (−A + √(A² − 4·B·(1 − R/R₀)))/(2·B); solved for t below 0 °C",
    source=IEC_60751,
    accuracy="class B sensor 0.3 K at 0 °C, 0.8 K at 100 °C; 1 Ω of lead on a Pt100 is 2.6 K",
    example={"resistance_ohm": 1077.9},
    details=_pt_details,
)
def pt_temperature(resistance_ohm: float, r0_ohm: float = 1000.0) -> float:
    """Temperature in °C of a platinum sensor, the inverse of `pt_resistance`; Ω, −200 to 850 °C (IEC 60751)."""
    ratio = resistance_ohm / r0_ohm
    if not _pt_ratio(-200.0) <= ratio <= _pt_ratio(850.0):
        raise OutOfRangeError(_("No platinum sensor of this kind has this resistance between −200 and 850 °C."))
    if ratio >= 1.0:
        return (-PT_A + math.sqrt(PT_A**2 - 4.0 * PT_B * (1.0 - ratio))) / (2.0 * PT_B)
    return _bisect(lambda t: _pt_ratio(t) - ratio, -200.0, 0.0)


def pt_tolerance_k(temperature_c: float, tolerance_class: str) -> float:
    """Tolerance in K: class A 0.15 + 0.002·|t|, class B 0.30 + 0.005·|t| (IEC 60751), t °C."""
    start, slope = {"A": (0.15, 0.002), "B": (0.30, 0.005)}[tolerance_class]
    return start + slope * abs(temperature_c)


_NTC_OHM = Input("Ω", "Measured resistance", (1.0, 10_000_000.0))


@figure(
    name="ntc_temperature",
    title="Temperature of an NTC sensor",
    meaning="Compare it with a thermometer beside the sensor",
    inputs={
        "resistance_ohm": _NTC_OHM,
        "r25_ohm": Input("Ω", "Resistance at 25 °C", (100.0, 1_000_000.0), label="resistance at 25 °C"),
        "beta_k": Input("K", "β of the element, mostly 3000 to 4500", (1500.0, 6000.0), label="β"),
    },
    result=Output("°C", "Temperature"),
    formula="1/T = 1/298.15 + ln(R/R25)/β",
    source="IEC 60539 (β model)",
    accuracy="0.5 K between 0 and 50 °C, more than 1 K at −40 °C: one β does not fit everywhere",
    example={"resistance_ohm": 12500, "r25_ohm": 10000, "beta_k": 3855},
    curve="resistance_ohm",
)
def ntc_temperature(resistance_ohm: float, r25_ohm: float = 10_000.0, beta_k: float = 3950.0) -> float:
    """Temperature of an NTC in °C: 1/T = 1/298.15 + ln(R/R25)/β (IEC 60539); Ω, K; one β errs 1.3 K at −40 °C."""
    inverse = 1.0 / (25.0 + KELVIN) + math.log(resistance_ohm / r25_ohm) / beta_k
    if inverse < 1.0 / (300.0 + KELVIN) or inverse > 1.0 / (KELVIN - 60.0):
        raise OutOfRangeError(
            _("No NTC sensor of this kind has this resistance between −60 and 300 °C: open, shorted, or another.")
        )
    return 1.0 / inverse - KELVIN


@figure(
    name="ntc_beta",
    title="β of an NTC from two readings",
    meaning="Ice water and room temperature are enough to know an element",
    inputs={
        "resistance_1_ohm": _NTC_OHM,
        "temperature_1_c": Input("°C", "Temperature of the first reading", (-40.0, 150.0)),
        "resistance_2_ohm": _NTC_OHM,
        "temperature_2_c": Input("°C", "Temperature of the second reading", (-40.0, 150.0)),
    },
    result=Output("K", "β between the two temperatures"),
    formula="β = ln(R1/R2)/(1/T1 − 1/T2)",
    source="IEC 60539 (β model)",
    accuracy="±1 % for each 0.25 K of error over 25 K",
    example={"resistance_1_ohm": 32650, "temperature_1_c": 0, "resistance_2_ohm": 10000, "temperature_2_c": 25},
)
def ntc_beta(resistance_1_ohm: float, temperature_1_c: float, resistance_2_ohm: float, temperature_2_c: float) -> float:
    """β in K from two readings: ln(R1/R2)/(1/T1 − 1/T2); Ω, °C at least 5 K apart (IEC 60539)."""
    if abs(temperature_1_c - temperature_2_c) < 5.0:
        raise OutOfRangeError(_("The two temperatures must be at least 5 K apart."))
    apart = 1.0 / (temperature_1_c + KELVIN) - 1.0 / (temperature_2_c + KELVIN)
    return math.log(resistance_1_ohm / resistance_2_ohm) / apart


def steinhart_hart_c(resistance_ohm: float) -> float:
    """Temperature of a 10 kΩ NTC in °C: 1/T = a + b·ln R + c·(ln R)³ (Steinhart & Hart 1968); 0.01 K, −40 to 100 °C."""
    log = math.log(resistance_ohm)
    a, b, c = STEINHART_10K
    return 1.0 / (a + b * log + c * log**3) - KELVIN


_K_BELOW_ZERO = (
    0.0, 0.394501280250e-01, 0.236223735980e-04, -0.328589067840e-06, -0.499048287770e-08, -0.675090591730e-10,
    -0.574103274280e-12, -0.310888728940e-14, -0.104516093650e-16, -0.198892668780e-19, -0.163226974860e-22,
)  # fmt: skip
_K_ABOVE_ZERO = (
    -0.176004136860e-01, 0.389212049750e-01, 0.185587700320e-04, -0.994575928740e-07, 0.318409457190e-09,
    -0.560728448890e-12, 0.560750590590e-15, -0.320207200030e-18, 0.971511471520e-22, -0.121047212750e-25,
)  # fmt: skip
_K_BUMP = (0.118597600000, -0.118343200000e-03, 126.968600000)
_K_C = (-200.0, 1372.0)
ITS_90 = "NIST Monograph 175 / ITS-90 type K (polynomial; table entries retrieved)"


def _polynomial(coefficients: Sequence[float], x: float) -> float:
    total = 0.0
    for coefficient in reversed(coefficients):
        total = total * x + coefficient
    return total


@figure(
    name="thermocouple_emf",
    title="Voltage of a type K thermocouple",
    meaning="What the thermocouple gives against a cold end at 0 °C",
    inputs={"temperature_c": Input("°C", "Temperature of the tip", _K_C)},
    result=Output("mV", "Voltage"),
    formula="E = Σ cᵢ·tⁱ + 0.1186·exp(−1.183e−4·(t − 126.97)²) above 0 °C; Σ cᵢ·tⁱ below",
    source=ITS_90,
    accuracy="class 1: 1.5 K up to 375 °C",
    example={"temperature_c": 310},
    curve="temperature_c",
)
def thermocouple_emf(temperature_c: float) -> float:
    """Voltage of type K in mV against 0 °C: the ITS-90 polynomial, −200 to 1372 °C (NIST Monograph 175)."""
    if temperature_c < 0:
        return _polynomial(_K_BELOW_ZERO, temperature_c)
    height, width, centre = _K_BUMP
    return _polynomial(_K_ABOVE_ZERO, temperature_c) + height * math.exp(width * (temperature_c - centre) ** 2)


@figure(
    name="thermocouple_temperature",
    title="Temperature of a type K thermocouple",
    meaning="What the tip has, from the millivolts and the temperature of the cold end",
    inputs={
        "emf_mv": Input("mV", "Measured voltage, sign included", (-8.0, 56.0), label="voltage"),
        "cold_end_c": Input("°C", "Temperature where the thermocouple wire ends", (-40.0, 80.0), label="cold end"),
    },
    result=Output("°C", "Temperature of the tip"),
    formula="E(t) = E_measured + E(t_cold), solved for t",
    source=ITS_90,
    accuracy="1 K of error at the cold end is 1 K at the tip",
    example={"emf_mv": 11.9, "cold_end_c": 18},
    curve="emf_mv",
)
def thermocouple_temperature(emf_mv: float, cold_end_c: float) -> float:
    """Temperature of a type K tip in °C: E(t) = E_measured + E(t_cold) solved for t; mV, °C, −200 to 1372 °C."""
    emf = emf_mv + thermocouple_emf(cold_end_c)
    low, high = _K_C
    if not thermocouple_emf(low) <= emf <= thermocouple_emf(high):
        raise OutOfRangeError(
            _("Type K gives no such voltage between −200 and 1372 °C: swapped wires, or another type.")
        )
    return _bisect(lambda t: thermocouple_emf(t) - emf, low, high)


def _bisect(rising: Callable[[float], float], low: float, high: float) -> float:
    """Return where a rising function passes zero, to 1e-9."""
    while high - low > 1e-9:
        middle = (low + high) / 2.0
        if rising(middle) < 0:
            low = middle
        else:
            high = middle
    return (low + high) / 2.0
