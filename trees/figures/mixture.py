"""What height, cold, dose and blower make of the mixture, and which of them explains a CO2 reading."""

from __future__ import annotations

from collections.abc import Mapping

from trees.errors import OutOfRangeError
from trees.figures.air import ALTITUDE, TEMPERATURE, density_ratio, standard_pressure_pa, standard_temperature_k
from trees.figures.air import SEA_LEVEL_PRESSURE_PA as SEA_LEVEL_PA
from trees.figures.air import SEA_LEVEL_TEMPERATURE_K as SEA_LEVEL_K
from trees.figures.combustion import CO2, co2_from_excess_air, excess_air_from_co2
from trees.figures.fuel import fuel_density
from trees.figures.registry import Detail, Details, Input, Output, figure
from trees.language import _

MASS_BALANCE = "mass balance of a constant-volume blower; density of ISO 2533:1975"
SET_EXCESS_AIR = Input("1", "Excess air at the setting (sea level, 15 °C), from the unit's CO2", (1.0, 3.0))
DOSE_CHANGE = Input("%", "Dose against the rated dose; negative is too little", (-60.0, 100.0))
BLOWER_CHANGE = Input("%", "Air delivered against a sound blower and free tubes; negative is too little", (-60.0, 60.0))
FUEL_TEMPERATURE = Input(
    "°C", "Temperature of the fuel in the pump; 15 where the dose was measured by mass", (-40.0, 60.0)
)


@figure(
    name="excess_air_expected",
    title="Excess air to expect here",
    meaning="What a unit set at sea level runs with at this height, temperature, dose and blower",
    inputs={
        "excess_air_set": SET_EXCESS_AIR,
        "altitude_m": ALTITUDE,
        "temperature_c": TEMPERATURE,
        "dose_change_pct": DOSE_CHANGE,
        "blower_change_pct": BLOWER_CHANGE,
        "fuel_temperature_c": FUEL_TEMPERATURE,
    },
    result=Output("1", "Excess air λ; below 1 is soot"),
    formula="λ = λ_set·(ρ/ρ_set)·(1 + b)/((1 + x)·ρ_fuel/ρ_fuel,15)",
    source=MASS_BALANCE + "; fuel density Table 54B form (constants from memory)",
    status="library",
    accuracy="±4 % for weather; the blower's speed is taken as unchanged",
    example={"excess_air_set": 1.5, "altitude_m": 2150, "temperature_c": 2},
    curve="altitude_m",
)
def excess_air_expected(
    *,
    excess_air_set: float,
    altitude_m: float,
    temperature_c: float,
    dose_change_pct: float = 0.0,
    blower_change_pct: float = 0.0,
    fuel_temperature_c: float = 15.0,
) -> float:
    """Excess air λ = λ_set·(ρ/ρ_set)·(1 + b)/((1 + x)·ρf/ρf15); m, °C, changes in %.

    Mass balance of a constant-volume blower and a volume-metering pump; ±4 % for weather. The result may fall below 1.
    """
    air = density_ratio(altitude_m, temperature_c) * (1.0 + blower_change_pct / 100.0)
    fuel = (1.0 + dose_change_pct / 100.0) * fuel_density(fuel_temperature_c) / fuel_density(15.0)
    return excess_air_set * air / fuel


def _expected_details(given: Mapping[str, float]) -> Details:
    return Details(
        (
            Detail(_("Excess air"), excess_air_expected(**given), "1"),
            Detail(_("CO2 at the setting"), co2_from_excess_air(given["excess_air_set"]), "%"),
        )
    )


@figure(
    name="co2_expected",
    title="CO2 to expect here",
    meaning="What the analyser should show at this height, temperature, dose and blower",
    inputs={
        "excess_air_set": SET_EXCESS_AIR,
        "altitude_m": ALTITUDE,
        "temperature_c": TEMPERATURE,
        "dose_change_pct": DOSE_CHANGE,
        "blower_change_pct": BLOWER_CHANGE,
        "fuel_temperature_c": FUEL_TEMPERATURE,
    },
    result=Output("%", "CO2 in the dry exhaust"),
    formula="CO2 = CO2max/(1 + (λ − 1)/k) with the excess air to expect",
    source=MASS_BALANCE + "; flue-gas relations for complete combustion",
    status="library",
    accuracy="±0.5 % CO2 for weather",
    example={"excess_air_set": 1.5, "altitude_m": 2150, "temperature_c": 2},
    curve="altitude_m",
    details=_expected_details,
)
def co2_expected(
    *,
    excess_air_set: float,
    altitude_m: float,
    temperature_c: float,
    dose_change_pct: float = 0.0,
    blower_change_pct: float = 0.0,
    fuel_temperature_c: float = 15.0,
) -> float:
    """CO2 in dry vol % from the excess air to expect; OutOfRangeError where the flame would lack air (λ below 1)."""
    excess = excess_air_expected(
        excess_air_set=excess_air_set,
        altitude_m=altitude_m,
        temperature_c=temperature_c,
        dose_change_pct=dose_change_pct,
        blower_change_pct=blower_change_pct,
        fuel_temperature_c=fuel_temperature_c,
    )
    if excess < 1.0:
        raise OutOfRangeError(
            _(
                "With these figures the flame lacks air (excess air {excess:.2f}): it soots and makes CO, and CO2 no "
                "longer tells the mixture."
            ).format(excess=excess)
        )
    return co2_from_excess_air(min(excess, 4.0))


@figure(
    name="excess_air_after_dose",
    title="Excess air after a change of dose",
    meaning="What more or less fuel does to the mixture while the air stays",
    inputs={"excess_air": SET_EXCESS_AIR, "dose_change_pct": DOSE_CHANGE},
    result=Output("1", "Excess air λ"),
    formula="λ′ = λ/(1 + x)",
    source="mass balance at constant air",
    status="library",
    accuracy="as good as the dose: ±2 % of dose is ±0.03",
    example={"excess_air": 1.5, "dose_change_pct": 10},
    curve="dose_change_pct",
)
def excess_air_after_dose(excess_air: float, dose_change_pct: float) -> float:
    """Excess air after a change of dose at constant air: λ′ = λ/(1 + x), x in % (mass balance)."""
    return excess_air / (1.0 + dose_change_pct / 100.0)


@figure(
    name="dose_correction",
    title="Dose correction for altitude",
    meaning="By how much the dose has to change so that the mixture stays as it was set",
    inputs={"altitude_m": ALTITUDE, "temperature_c": TEMPERATURE},
    result=Output("%", "Change of dose, and of heat output; negative is less"),
    formula="x = (ρ/ρ_set − 1)·100 %",
    source=MASS_BALANCE,
    status="library",
    accuracy="±4 % for weather; only by the means that the unit's maker provides",
    example={"altitude_m": 2150, "temperature_c": 2},
    curve="altitude_m",
)
def dose_correction(altitude_m: float, temperature_c: float) -> float:
    """Change of dose in % that keeps the mixture: (ρ/ρ_set − 1)·100; m, °C, setting at sea level and 15 °C."""
    return (density_ratio(altitude_m, temperature_c) - 1.0) * 100.0


@figure(
    name="altitude_without_excess",
    title="Height at which the excess air is used up",
    meaning="Above this height the flame lacks air and soots, on an average day and without any correction",
    inputs={"excess_air_set": Input("1", "Excess air at the setting (sea level, 15 °C)", (1.0, 1.65))},
    result=Output("m", "Height above sea level"),
    formula="ρ(H)/ρ(0) = 1/λ_set in the standard atmosphere",
    source=MASS_BALANCE,
    status="library",
    accuracy="±400 m for weather; a dose 10 % too high takes about 900 m off",
    example={"excess_air_set": 1.5},
    curve="excess_air_set",
)
def altitude_without_excess(excess_air_set: float) -> float:
    """Geopotential height in m where λ falls to 1 in the standard atmosphere: (T/288.15)^4.25588 = 1/λ."""
    low, high = 0.0, 6000.0
    while high - low > 0.01:
        middle = (low + high) / 2.0
        pressure = standard_pressure_pa(middle) / SEA_LEVEL_PA
        if pressure * SEA_LEVEL_K / standard_temperature_k(middle) > 1.0 / excess_air_set:
            low = middle
        else:
            high = middle
    return low


def _air_details(given: Mapping[str, float]) -> Details:
    measured = excess_air_from_co2(given["co2_pct"])
    bare = given["excess_air_set"] * density_ratio(given["altitude_m"], given["temperature_c"])
    with_dose = excess_air_expected(**{name: value for name, value in given.items() if name != "co2_pct"})
    return Details(
        (
            Detail(_("Excess air measured"), measured, "1"),
            Detail(_("Excess air of a sound unit here"), bare, "1"),
            Detail(_("The same with the measured dose"), with_dose, "1"),
        ),
        (_mixture_sentence(bare, with_dose, measured), *_height_sentence(given["excess_air_set"], bare)),
    )


def _mixture_sentence(bare: float, with_dose: float, measured: float) -> str:
    rest_pct = (measured / with_dose - 1.0) * 100.0
    if abs(rest_pct) <= 5.0:
        if abs(with_dose / bare - 1.0) <= 0.05:
            return _("The mixture is what height and temperature make of the setting: neither dose nor air is off.")
        return _("The dose explains the mixture; the air is as it should be. Mend the dose and measure again.")
    side = (
        _("too little air")
        if rest_pct < 0
        else _("more air than the blower gives, mostly false air in the probe or at a joint")
    )
    if abs(measured / bare - 1.0) <= 0.05:
        return _("Dose and air are both off and hide each other: behind the dose there is {side}.").format(side=side)
    apart = abs(with_dose / bare - 1.0) > 0.05
    dose = _("The dose explains a part of it") if apart else _("The dose does not explain it")
    return _("{dose}; what is left is {side} ({rest:+.0f} %): intake, exhaust, blower, burner insert.").format(
        dose=dose, side=side, rest=rest_pct
    )


def _height_sentence(excess_air_set: float, bare: float) -> tuple[str, ...]:
    if bare >= 0.9 * excess_air_set:
        return ()
    lost = (1.0 - bare / excess_air_set) * 100.0
    return (_("Height and temperature alone take {lost:.0f} % of the air.").format(lost=lost),)


@figure(
    name="air_change",
    title="Air that is missing, from the CO2 reading",
    meaning="What is left to the air side when height, temperature and dose are accounted for",
    inputs={
        "co2_pct": CO2,
        "excess_air_set": SET_EXCESS_AIR,
        "altitude_m": ALTITUDE,
        "temperature_c": TEMPERATURE,
        "dose_change_pct": DOSE_CHANGE,
        "fuel_temperature_c": FUEL_TEMPERATURE,
    },
    result=Output("%", "Air against what it should be; negative is too little"),
    formula="b = λ(CO2)/λ_expected − 1",
    source=MASS_BALANCE + "; flue-gas relations for complete combustion",
    status="library",
    accuracy="±6 %: weather ±4 %, CO2 ±0.2 %, dose ±2 %; within ±5 % the air is as it should be",
    example={"co2_pct": 13.6, "excess_air_set": 1.5, "altitude_m": 2150, "temperature_c": 2, "dose_change_pct": -1},
    details=_air_details,
)
def air_change(
    *,
    co2_pct: float,
    excess_air_set: float,
    altitude_m: float,
    temperature_c: float,
    dose_change_pct: float = 0.0,
    fuel_temperature_c: float = 15.0,
) -> float:
    """Air in % against what it should be: λ(CO2)/λ_expected − 1; dry vol %, m, °C; ±6 %."""
    expected = excess_air_expected(
        excess_air_set=excess_air_set,
        altitude_m=altitude_m,
        temperature_c=temperature_c,
        dose_change_pct=dose_change_pct,
        fuel_temperature_c=fuel_temperature_c,
    )
    return (excess_air_from_co2(co2_pct) / expected - 1.0) * 100.0


def _angle_details(given: Mapping[str, float]) -> Details:
    after = excess_air_after_dose(given["excess_air"], dose_change_from_angle(**given))
    return Details(
        (
            Detail(_("Excess air that follows"), after, "1"),
            Detail(_("CO2 that follows"), co2_from_excess_air(after), "%"),
        ),
        (_("An estimate without a source: only catching and measuring the fuel tells the dose."),),
    )


@figure(
    name="dose_change_from_angle",
    title="Dose that a badly placed pump may lose",
    meaning="A pump that lies flat or points down keeps bubbles, and bubbles take the place of fuel",
    inputs={
        "angle_deg": Input("°", "Angle of the pump to the horizontal, outlet up positive", (-90.0, 90.0)),
        "excess_air": Input("1", "Excess air with the full dose", (1.0, 3.0)),
    },
    result=Output("%", "Change of dose to reckon with; negative is less"),
    formula="0 above 15°; −10 %·(15° − a)/15° between 0 and 15°; −10 % − 10 %·(−a/90°) below 0",
    source="common practice, no source; the unit's own limits of the angle come first",
    status="practice",
    accuracy="the order of size only: the dose may also be right; measure it",
    example={"angle_deg": 0},
    curve="angle_deg",
    details=_angle_details,
)
def dose_change_from_angle(angle_deg: float, excess_air: float = 1.5) -> float:  # noqa: ARG001 - used by the details
    """Change of dose in % to reckon with at a pump angle in °: 0 above 15°, −10 % flat, −20 % upside down.

    Common practice, no source: an order of size, never a reading. `excess_air` is for what follows from it.
    """
    if angle_deg >= 15.0:
        return 0.0
    if angle_deg >= 0.0:
        return -10.0 * (15.0 - angle_deg) / 15.0
    return -10.0 + 10.0 * angle_deg / 90.0
