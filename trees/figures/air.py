"""How dense the air is at a height, a temperature and a humidity."""

from __future__ import annotations

import math
from collections.abc import Mapping

from trees.errors import OutOfRangeError
from trees.figures.registry import Detail, Details, Input, Output, figure
from trees.language import _

EARTH_RADIUS_M = 6_356_766.0
SEA_LEVEL_TEMPERATURE_K = 288.15
SEA_LEVEL_PRESSURE_PA = 101_325.0
LAPSE_RATE_K_PER_M = 0.0065
PRESSURE_EXPONENT = 5.25588
"""g₀/(R·lapse rate) of the standard atmosphere."""
GAS_CONSTANT_AIR = 287.05287
"""R of dry air, J/(kg·K)."""
STANDARD_DENSITY_KG_M3 = 1.225
ZERO_CELSIUS_K = 273.15

STANDARD_ATMOSPHERE = "ISO 2533:1975 / ICAO Doc 7488/3 (table rows checked)"
ALTITUDE = Input("m", "Height above sea level", (-2500.0, 5000.0))
TEMPERATURE = Input("°C", "Temperature of the air that the burner takes in", (-40.0, 50.0))
HUMIDITY = Input("%", "Relative humidity; 0 if not measured", (0.0, 100.0))


def geopotential_altitude_m(altitude_m: float) -> float:
    """Geopotential altitude in m: H = r·h/(r + h), h geometric m (ISO 2533); 3000 m gives 2998.6 m."""
    return EARTH_RADIUS_M * altitude_m / (EARTH_RADIUS_M + altitude_m)


def standard_temperature_k(geopotential_m: float) -> float:
    """Temperature of the standard atmosphere in K: T = 288.15 − 0.0065·H, H geopotential m, −2500 to 11000 m."""
    return SEA_LEVEL_TEMPERATURE_K - LAPSE_RATE_K_PER_M * geopotential_m


def standard_pressure_pa(geopotential_m: float) -> float:
    """Pressure of the standard atmosphere in Pa: p = 101325·(T/288.15)^5.25588, H geopotential m (ISO 2533)."""
    ratio = standard_temperature_k(geopotential_m) / SEA_LEVEL_TEMPERATURE_K
    return float(SEA_LEVEL_PRESSURE_PA * ratio**PRESSURE_EXPONENT)


def dry_air_density(pressure_pa: float, temperature_c: float) -> float:
    """Density of dry air in kg/m³: ρ = p/(R·T), p Pa, t °C; within 0.1 % of real air from −40 to 160 °C."""
    return pressure_pa / (GAS_CONSTANT_AIR * (temperature_c + ZERO_CELSIUS_K))


def saturation_pressure_pa(temperature_c: float) -> float:
    """Vapour pressure over water in Pa: 611.2·exp(17.62·t/(243.12 + t)), t °C, −40 to 50 °C (Magnus form, memory)."""
    return 611.2 * math.exp(17.62 * temperature_c / (243.12 + temperature_c))


@figure(
    name="air_pressure",
    title="Air pressure at an altitude",
    meaning="The pressure that a barometer shows at this height on an average day",
    inputs={"altitude_m": ALTITUDE},
    result=Output("hPa", "Station pressure of the standard atmosphere"),
    formula="p = 1013.25 hPa·((288.15 − 0.0065·H)/288.15)^5.25588, H = r·h/(r + h)",
    source=STANDARD_ATMOSPHERE,
    accuracy="weather moves it by ±3 %; a barometer at the place is better",
    example={"altitude_m": 2150},
    curve="altitude_m",
)
def air_pressure(altitude_m: float) -> float:
    """Pressure of the standard atmosphere in hPa at a height in m, −2500 to 5000 m (ISO 2533); weather adds ±3 %."""
    return standard_pressure_pa(geopotential_altitude_m(altitude_m)) / 100.0


@figure(
    name="station_pressure",
    title="Air pressure at the place from a weather report",
    meaning="A weather report gives the pressure reduced to sea level; this is what stands at the place",
    inputs={
        "sea_level_hpa": Input("hPa", "Reported pressure, reduced to sea level", (900.0, 1080.0)),
        "altitude_m": ALTITUDE,
    },
    result=Output("hPa", "Pressure at the place"),
    formula="p = p_QNH·(1 − 0.0065·H/288.15)^5.25588",
    source="reduction along the standard atmosphere, ISO 2533:1975",
    accuracy="±0.5 % in ordinary weather",
    example={"sea_level_hpa": 1020, "altitude_m": 1450},
)
def station_pressure(sea_level_hpa: float, altitude_m: float) -> float:
    """Pressure in hPa at a height in m from the sea-level pressure in hPa: p_QNH·(T/288.15)^5.25588 (ISO 2533)."""
    return sea_level_hpa * standard_pressure_pa(geopotential_altitude_m(altitude_m)) / SEA_LEVEL_PRESSURE_PA


def _density_details(given: Mapping[str, float]) -> Details:
    return Details(
        (
            Detail(_("Share of the air at sea level and 15 °C"), air_density(**given) / STANDARD_DENSITY_KG_M3, "1"),
            Detail(_("Pressure"), air_pressure(given["altitude_m"]), "hPa"),
        )
    )


@figure(
    name="air_density",
    title="Air density at an altitude",
    meaning="How much air a blower moves with each litre at this height and temperature",
    inputs={"altitude_m": ALTITUDE, "temperature_c": TEMPERATURE, "humidity_pct": HUMIDITY},
    result=Output("kg/m³", "Density of the air"),
    formula="ρ = (p(H) − 0.378·e)/(R·T), e = φ·611.2·exp(17.62·t/(243.12 + t))",
    source=STANDARD_ATMOSPHERE + "; ideal gas; vapour pressure by Magnus (memory, agrees with CoolProp)",
    accuracy="±4 % in all: weather ±3 %, humidity up to 2.7 % less at 40 °C saturated",
    example={"altitude_m": 2150, "temperature_c": 2},
    curve="altitude_m",
    details=_density_details,
)
def air_density(altitude_m: float, temperature_c: float, humidity_pct: float = 0.0) -> float:
    """Air density in kg/m³: ρ = (p(H) − 0.378·e)/(R·T); altitude m, t °C, relative humidity %.

    ISO 2533 pressure, −2500 to 5000 m, −40 to 50 °C; ±4 % for weather.
    """
    return air_density_from_pressure(air_pressure(altitude_m), temperature_c, humidity_pct)


@figure(
    name="air_density_from_pressure",
    title="Air density from a barometer",
    meaning="Better than the altitude where a barometer stands at the place",
    inputs={
        "pressure_hpa": Input("hPa", "Pressure at the place, not reduced to sea level", (500.0, 1400.0)),
        "temperature_c": TEMPERATURE,
        "humidity_pct": HUMIDITY,
    },
    result=Output("kg/m³", "Density of the air"),
    formula="ρ = (p − 0.378·e)/(R·T)",
    source="ideal gas, R = 287.05287 J/(kg·K) of ISO 2533:1975; Çengel Table A-15 checked",
    accuracy="±0.3 % with a barometer good to 1 hPa and a thermometer good to 0.5 K",
    example={"pressure_hpa": 780, "temperature_c": 2, "humidity_pct": 60},
)
def air_density_from_pressure(pressure_hpa: float, temperature_c: float, humidity_pct: float = 0.0) -> float:
    """Air density in kg/m³ from the pressure at the place: ρ = (p − 0.378·e)/(R·T), p hPa, t °C, humidity %."""
    vapour_pa = humidity_pct / 100.0 * saturation_pressure_pa(temperature_c)
    if vapour_pa > 100.0 * pressure_hpa:
        raise OutOfRangeError(_("So much vapour does not fit into air of this pressure."))
    return dry_air_density(100.0 * pressure_hpa - 0.378 * vapour_pa, temperature_c)


@figure(
    name="density_ratio",
    title="Air density against that of the setting",
    meaning="What part of the air that it was set with a burner still gets; also the part of the dose that fits it",
    inputs={
        "altitude_m": ALTITUDE,
        "temperature_c": TEMPERATURE,
        "set_altitude_m": Input("m", "Height at which the unit was set; sea level if not known", (-500.0, 5000.0)),
        "set_temperature_c": Input("°C", "Air temperature at that setting", (-40.0, 50.0)),
    },
    result=Output("1", "Density here over density at the setting"),
    formula="ρ₂/ρ₁ = (p₂/p₁)·(T₁/T₂)",
    source=STANDARD_ATMOSPHERE,
    accuracy="±4 %: weather and humidity",
    example={"altitude_m": 2150, "temperature_c": 2},
    curve="altitude_m",
)
def density_ratio(
    altitude_m: float, temperature_c: float, set_altitude_m: float = 0.0, set_temperature_c: float = 15.0
) -> float:
    """Density here over density at the setting: ρ₂/ρ₁; m and °C, −2500 to 5000 m, −40 to 50 °C (ISO 2533), ±4 %."""
    return air_density(altitude_m, temperature_c) / air_density(set_altitude_m, set_temperature_c)
