"""How units are spelt, what they measure, and how one is turned into another.

The units of the trade are known from a table; pint is loaded only when one unit must become another, or for a unit that
the table does not hold.
"""

from __future__ import annotations

import functools
import re
import unicodedata
from typing import TYPE_CHECKING

from trees.errors import ReadingError
from trees.language import N_, OWN, _, spoken

if TYPE_CHECKING:
    import pint

NUMBER = "number"
TEMPERATURE = "temperature"
TEMPERATURE_DIFFERENCE = "temperature difference"

_KNOWN: dict[str, str] = {
    unit: dimension
    for dimension, units in {
        NUMBER: "1 % ‰ ppm",
        "voltage": "V mV kV",
        "current": "A mA µA",
        "resistance": "Ω mΩ kΩ MΩ",
        "power": "W mW kW BTU/h hp",
        "energy": "J kJ MJ Wh kWh",
        "charge": "Ah mAh",
        "length": "m µm mm cm km in ft yd thou",
        "area": "mm² cm² m² in² ft²",
        "volume": "ml cl l mm³ cm³ m³ gal ft³",
        "time": "s ms min h d",
        "frequency": "Hz kHz 1/s 1/min 1/h",
        TEMPERATURE: "°C °F",
        TEMPERATURE_DIFFERENCE: "K",
        "pressure": "Pa hPa kPa MPa mbar bar psi inH2O mmH2O inHg mmHg",
        "mass": "g mg kg lb oz",
        "density": "kg/m³ g/l g/ml g/cm³ kg/l mg/m³",
        "volume flow": "ml/min ml/h ml/s l/h l/min l/s m³/h m³/s gal/h gal/min ft³/min",
        "mass flow": "kg/h kg/s g/s g/min",
        "speed": "m/s km/h",
        "heat per mass": "MJ/kg kJ/kg",
        "mass per heat": "mg/kWh g/kWh",
        "heat per volume": "MJ/l kWh/l",
        "angle": "°",
        "torque": "Nm lbf·ft",
        "heat loss per kelvin": "W/K",
        "U-value": "W/(m²·K)",
        "thermal conductivity": "W/(m·K)",
        "thermal resistance": "m²·K/W",
        "heat capacity": "J/K kJ/K",
        "specific heat": "J/(kg·K) kJ/(kg·K)",
        "viscosity": "Pa·s mPa·s",
        "kinematic viscosity": "mm²/s m²/s",
    }.items()
    for unit in units.split()
}

# Left: what people type, in lower case. Right: our spelling.
_SPELLINGS: dict[str, str] = {
    "": "1", "percent": "%", "pct": "%", "vol%": "%", "vol.%": "%", "vol-%": "%", "vol.-%": "%", "%vol": "%",
    "permille": "‰", "volt": "V", "volts": "V", "amp": "A", "amps": "A", "ampere": "A", "amperes": "A",
    "ohm": "Ω", "ohms": "Ω", "r": "Ω", "kohm": "kΩ", "kohms": "kΩ", "k": "kΩ", "milliohm": "mΩ", "mohm": "mΩ",
    "watt": "W", "watts": "W", "btu/hr": "BTU/h", "btuh": "BTU/h", "ps": "metric_horsepower",
    "metre": "m", "metres": "m", "meter": "m", "meters": "m", "inch": "in", "inches": "in", '"': "in", "''": "in",
    "foot": "ft", "feet": "ft", "'": "ft", "mil": "thou", "mils": "thou", "yards": "yd", "um": "µm", "micron": "µm",
    "sqmm": "mm²", "sq.mm": "mm²", "qmm": "mm²", "sqm": "m²", "qm": "m²", "cbm": "m³", "ccm": "cm³", "cc": "cm³",
    "cfm": "ft³/min", "gph": "gal/h", "gpm": "gal/min", "usgal": "gal", "gallon": "gal", "gallons": "gal",
    "impgal": "imperial_gallon", "ukgal": "imperial_gallon", "impgal/h": "imperial_gallon/h",
    "ukgal/h": "imperial_gallon/h", "usgal/h": "gal/h", "litre": "l", "litres": "l", "liter": "l", "liters": "l",
    "sec": "s", "secs": "s", "second": "s", "seconds": "s", "minute": "min", "minutes": "min", "mins": "min",
    "hr": "h", "hrs": "h", "hour": "h", "hours": "h", "std": "h", "day": "d", "days": "d",
    "rpm": "1/min", "u/min": "1/min", "min-1": "1/min", "/min": "1/min", "s-1": "1/s", "/h": "1/h", "h-1": "1/h",
    "°": "°", "deg": "°", "degree": "°", "degrees": "°", "c": "°C", "degc": "°C", "celsius": "°C", "℃": "°C",
    "f": "°F", "degf": "°F", "fahrenheit": "°F", "℉": "°F", "kelvin": "K",
    "inwc": "inH2O", "in.wc": "inH2O", "inwg": "inH2O", "mmws": "mmH2O", "mmwc": "mmH2O", "mmwg": "mmH2O",
    "lbs": "lb", "pound": "lb", "pounds": "lb", "l/hr": "l/h", "lph": "l/h", "kph": "km/h", "kmh": "km/h",
    "w/m2k": "W/(m²·K)", "w/(m2k)": "W/(m²·K)", "w/mk": "W/(m·K)", "w/(mk)": "W/(m·K)", "m2k/w": "m²·K/W",
    "j/kgk": "J/(kg·K)", "kj/kgk": "kJ/(kg·K)", "n·m": "Nm", "ftlb": "lbf·ft", "ft·lb": "lbf·ft", "ft·lbf": "lbf·ft",
}  # fmt: skip

_LOOKALIKES = (
    ("μ", "µ"), ("⋅", "·"), ("×", "·"), ("**", "^"), ("′", "'"), ("″", '"'), ("’", "'"), ("”", '"'), ("º", "°"),
    ("per ", "/"), ("US ", "us"), ("U.S. ", "us"), ("H₂O", "H2O"),
)  # fmt: skip

_BY_LOWER: dict[str, str] = {}
for _unit in _KNOWN:
    _BY_LOWER.setdefault(_unit.lower(), _unit)
# Lower case can't tell these apart, so only the exact spelling stands for them.
_TOLD_BY_CASE = {"mΩ", "MΩ", "mPa·s", "MPa", "mW", "K"}
# Nobody means megainches: these may be shouted.
_MAY_BE_SHOUTED = {"min", "mm", "mbar", "mm²", "mmHg"}

_PINT_WORDS = {
    "l": "liter", "h": "hour", "min": "minute", "d": "day", "s": "second", "K": "kelvin", "Ω": "ohm", "mΩ": "mohm",
    "kΩ": "kohm", "MΩ": "Mohm", "%": "percent", "‰": "permille", "°": "degree", "in": "inch", "ft": "foot",
    "yd": "yard", "gal": "gallon", "lb": "pound", "oz": "ounce", "V": "volt", "A": "ampere", "m": "meter", "g": "gram",
    "1": "", "°C": "degC", "°F": "degF", "Nm": "newton*meter",
}  # fmt: skip

_KEPT_APART = {"°", "K", "Nm", "lbf·ft", "MJ/l", "kWh/l"}
"""Pint sees an angle as a number, a torque as an energy, heat per volume as a pressure; a person does not."""
_ODD_MEGA = re.compile(r"M(V|A|l|L|m|s|bar|g|Ah|in)\b")
_UNIT_TEXT = re.compile(r"[A-Za-zµΩ°%‰²³⁻¹_/()·*^0-9.\-]{1,32}")


def canonical_unit(unit: str) -> str:
    """Return our spelling of a unit: `mm2` → `mm²`, `Ohm` → `Ω`, `rpm` → `1/min`; unknown ones come back tidied."""
    tidy = _tidied(unit)
    if tidy in _KNOWN:
        return tidy
    lower = tidy.lower()
    if lower in _SPELLINGS and tidy not in {"K", "F"}:
        return _SPELLINGS[lower]
    if tidy == "F":
        return "°F"
    known = _BY_LOWER.get(lower)
    if known is None or known in _TOLD_BY_CASE:
        return tidy
    # MV or MA is megavolt, not millivolt: the case of a prefix is never guessed.
    mega = tidy[0] == "M" and known[0] == "m" and len(tidy) > 1
    return tidy if mega and known not in _MAY_BE_SHOUTED else known


def _tidied(unit: str) -> str:
    text = unicodedata.normalize("NFC", unit).strip()
    for old, new in _LOOKALIKES:
        text = text.replace(old, new)
    text = re.sub(r"\s+", "", text).rstrip(".")
    text = re.sub(r"\^?(?<=[A-Za-z])\^?2(?![A-Za-z0-9])", "²", text)
    text = re.sub(r"(?<=[A-Za-z])\^?3(?![A-Za-z0-9])", "³", text)
    return text.replace("*", "·")


def dimension_of(unit: str) -> str:
    """Return what a unit measures, in words: `voltage`, `length`, `number` for `1` and `%`.

    Raises ReadingError for a unit that nobody knows. Units of one dimension always get one word.
    """
    name = canonical_unit(unit)
    if name in _KNOWN:
        return _KNOWN[name]
    return _dimension_by_pint(name)


_SAID = (
    N_("number"),
    N_("temperature"),
    N_("temperature difference"),
    N_("voltage"),
    N_("current"),
    N_("resistance"),
    N_("power"),
    N_("energy"),
    N_("charge"),
    N_("length"),
    N_("area"),
    N_("volume"),
    N_("time"),
    N_("frequency"),
    N_("pressure"),
    N_("mass"),
    N_("density"),
    N_("volume flow"),
    N_("mass flow"),
    N_("speed"),
    N_("heat per mass"),
    N_("mass per heat"),
    N_("heat per volume"),
    N_("angle"),
    N_("torque"),
    N_("heat loss per kelvin"),
    N_("U-value"),
    N_("thermal conductivity"),
    N_("thermal resistance"),
    N_("heat capacity"),
    N_("specific heat"),
    N_("viscosity"),
    N_("kinematic viscosity"),
)
"""What units measure, for languages that say it otherwise."""


def same_dimension(one: str, other: str) -> bool:
    """Tell whether a number in one unit can be turned into the other; ReadingError for an unknown unit."""
    return dimension_of(one) == dimension_of(other)


def convert(value: float, unit: str, wanted: str) -> float:
    """Turn a number in `unit` into `wanted`; ReadingError if the two don't measure the same thing."""
    source, target = canonical_unit(unit), canonical_unit(wanted)
    if source == target:
        return float(value)
    have, want = dimension_of(source), dimension_of(target)
    if have != want:
        told = _("{source} measures {have}; {want} {phrase} is wanted.")
        raise ReadingError(told.format(source=source, have=a(have), want=a(want), phrase=unit_phrase(target)))
    quantity = _pint().Quantity(float(value), _pint_unit(source))
    # Twelve digits hide the binary dust of chained factors: 3 ft 4 in is 1016 mm.
    return float(f"{quantity.to(_pint_unit(target)).magnitude:.12g}")


def a(dimension: str) -> str:
    """Put the article before a dimension: `a voltage`, `an area`."""
    if "[" in dimension:
        return _("something else")
    if spoken() != OWN:
        return _(dimension)
    return f"{'an' if dimension[0] in 'aeio' else 'a'} {dimension}"


def unit_phrase(unit: str) -> str:
    """Say `in mm`, or `without unit` for a plain number."""
    return _("without unit") if unit == "1" else _("in {unit}").format(unit=unit)


def printable(text: str) -> str:
    """Return text that is safe and short enough for a message."""
    safe = "".join(char if char.isprintable() else "?" for char in text)
    return safe if len(safe) <= 40 else f"{safe[:39]}…"


@functools.cache
def _pint() -> pint.UnitRegistry[float]:
    import pint

    return pint.UnitRegistry()


@functools.cache
def _pint_unit(name: str) -> pint.Unit:
    """Let pint read a unit in our spelling; ReadingError if it can't."""
    if odd := _ODD_MEGA.match(name):
        small = "m" + odd.group(1)
        told = _("`{name}` would be a million {unit}; type {small} if that is what is meant.")
        raise ReadingError(told.format(name=name, unit=odd.group(1), small=small))
    if not _UNIT_TEXT.fullmatch(name):
        raise ReadingError(_("I don't know the unit `{name}`.").format(name=printable(name)))
    spelt = re.sub(r"([A-Za-zµΩ])([²³])", lambda m: m.group(1) + ("**2" if m.group(2) == "²" else "**3"), name)
    spelt = spelt.replace("·", "*").replace("^", "**")
    spelt = re.sub(r"[A-Za-zµΩ°%‰_]+[0-9]?[A-Za-z]*", lambda m: _PINT_WORDS.get(m.group(), m.group()), spelt)
    try:
        return _pint().parse_units(spelt if name != "1" else "")
    except Exception as error:  # pint raises whatever its tokenizer and its own parser raise
        raise ReadingError(_("I don't know the unit `{name}`.").format(name=name)) from error


@functools.cache
def _words_by_dimension() -> dict[frozenset[tuple[str, str]], str]:
    words: dict[frozenset[tuple[str, str]], str] = {}
    for unit, word in _KNOWN.items():
        if unit not in _KEPT_APART:
            words.setdefault(_key(unit), word)
    return words


def _key(name: str) -> frozenset[tuple[str, str]]:
    return frozenset((part, f"{power}") for part, power in _pint_unit(name).dimensionality.items())


def _dimension_by_pint(name: str) -> str:
    key = _key(name)
    return _words_by_dimension().get(key) or " ".join(f"{part}^{power}" for part, power in sorted(key))
