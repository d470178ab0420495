"""Typed readings become numbers in the wanted unit, or a sentence that says why not."""

from __future__ import annotations

import subprocess
import sys

import pytest
from hypothesis import given
from hypothesis import strategies as st

from trees.errors import ReadingError
from trees.figures import unit_names
from trees.figures.plain import number_with_uncertainty, plain_number
from trees.figures.units import (
    canonical_unit,
    convert,
    dimension_of,
    format_value,
    parse_reading,
    parse_readings,
    same_dimension,
)

READ = [
    # typed, wanted unit, value; each factor is exact by definition (inch 25.4 mm, foot 12 in, °F = 9/5 °C + 32)
    ("11,8 V", "V", 11.8),
    ("11.8", "V", 11.8),
    (" 11.8V ", "V", 11.8),
    ("11800 mV", "V", 11.8),
    ("0,0118 kV", "V", 11.8),
    ("12 v", "V", 12.0),
    ("-12,5", "°C", -12.5),
    ("− 12,5 °C", "°C", -12.5),
    ("20 C", "°C", 20.0),
    ("64°", "°C", 64.0),
    ("50 °F", "°C", 10.0),
    ("-40 F", "°C", -40.0),
    ("5 K", "K", 5.0),
    ("0.012 in", "mm", 0.3048),
    ("1/32 in", "mm", 0.79375),
    ("1 1/2 in", "mm", 38.1),
    ("1½ in", "mm", 38.1),
    ("-1 1/2 in", "mm", -38.1),
    ("-1/4 in", "mm", -6.35),
    ("+1 1/2 in", "mm", 38.1),
    ("127/128 in", "mm", 25.2015625),
    ('¾"', "mm", 19.05),
    ("3 ft 4 in", "mm", 1016.0),
    ("3' 4\"", "m", 1.016),
    ("3'4 1/2\"", "m", 1.0287),
    ("-3 ft 4 in", "mm", -1016.0),
    ("7 mil", "mm", 0.1778),
    ("2 h 15 min", "h", 2.25),
    ("1 min 30 s", "s", 90.0),
    ("1 190 h", "h", 1190.0),
    ("1\u202f190,5 h", "h", 1190.5),
    ("1'190 h", "h", 1190.0),
    ("1,190.5 h", "h", 1190.5),
    ("1.190,5 h", "h", 1190.5),
    ("1.234.567", "V", 1234567.0),
    ("1,234,567.5 mV", "V", 1234.5675),
    ("1.234.567,5 mV", "V", 1234.5675),
    ("0,012", "mm", 0.012),
    ("0.843", "1", 0.843),
    ("84 %", "1", 0.84),
    ("0.84", "%", 0.84),
    ("1000 ppm", "%", 0.1),
    ("9,5 Vol.-%", "%", 9.5),
    ("10 k", "Ω", 10_000.0),
    ("1,5K", "kΩ", 1.5),
    ("1.1 kOhm", "Ω", 1100.0),
    ("2800 1/min", "1/min", 2800.0),
    ("3000 rpm", "Hz", 50.0),
    ("2800 min-1", "1/min", 2800.0),
    ("4 mm2", "mm²", 4.0),
    ("832 kg/m3", "kg/m³", 832.0),
    ("0.832 kg/l", "kg/m³", 832.0),
    ("5 W/m2K", "W/(m²·K)", 5.0),
    ("3 L", "ml", 3000.0),
    ("1 imp gal", "l", 4.54609),
    ("1 gal/h", "l/h", 3.785411784),
    ("30 deg", "°", 30.0),
    ("5 MM", "mm", 5.0),
    (".5 V", "V", 0.5),
    ("1e3 V", "V", 1000.0),
]


@pytest.mark.parametrize(("typed", "unit", "value"), READ)
def test_sensible_readings_are_understood(typed: str, unit: str, value: float) -> None:
    """Any sensible unit, comma or point, fractions, feet and inches give the one number that is meant."""
    reading = parse_reading(typed, unit)
    assert reading.value == pytest.approx(value, rel=1e-12)
    assert reading.unit == unit
    assert reading.typed == typed.strip()


CONVERTED = [
    ("10 psi", "kPa", 68.94757, "NIST SP 811: 1 psi = 6894.757 Pa"),
    ("1 inH2O", "Pa", 249.0889, "NIST SP 811: inch of water, 4 °C, 249.082 Pa; conventional 249.0889 Pa"),
    ("1 BTU/h", "W", 0.2930711, "NIST SP 811: Btu(IT)/h"),
    ("14 AWG", "mm²", 2.08, "ASTM B258: 14 AWG is 2.08 mm²"),
    ("AWG 14", "mm", 1.628, "ASTM B258: 14 AWG is 1.628 mm"),
    ("2/0 AWG", "mm²", 67.4, "ASTM B258: 2/0 is 67.4 mm²"),
    ("4/0 AWG", "mm²", 107.2, "ASTM B258: 4/0 is 107 mm²"),
    ("40 AWG", "mm", 0.0799, "ASTM B258: 40 AWG is 0.0799 mm"),
]


@pytest.mark.parametrize(("typed", "unit", "value", "source"), CONVERTED)
def test_units_from_elsewhere_follow_their_published_factor(typed: str, unit: str, value: float, source: str) -> None:
    """Pressure, heat and wire sizes follow the factors printed in the standard named beside them (from memory)."""
    assert parse_reading(typed, unit).value == pytest.approx(value, rel=5e-4), source


def test_us_gallons_are_named() -> None:
    """A gallon is taken as a US gallon, and the reading says so."""
    assert "US gallon" in parse_reading("0,25 gal/h", "l/h").note
    assert parse_reading("0.25 l/h", "l/h").note == ""


SEVERAL = [
    ("6.5 6.6 6.4 ml", (6.5, 6.6, 6.4)),
    ("6,5; 6,6; 6,4 ml", (6.5, 6.6, 6.4)),
    ("6,5, 6,6, 6,4 ml", (6.5, 6.6, 6.4)),
    ("6,5 ml 6,6 ml", (6.5, 6.6)),
    ("6500 µl 6.6 ml", None),
    ("95 102 98", (95.0, 102.0, 98.0)),
    ("0.0065 0.0066 l", (6.5, 6.6)),
]


@pytest.mark.parametrize(("typed", "values"), SEVERAL)
def test_several_readings_in_one_line_are_kept_and_averaged(typed: str, values: tuple[float, ...] | None) -> None:
    """Repeated readings are typed in one line with one unit; the value is their mean."""
    if values is None:
        with pytest.raises(ReadingError, match="mixes units"):
            parse_reading(typed, "ml")
        return
    reading = parse_reading(typed, "ml")
    assert reading.values == pytest.approx(values)
    assert reading.value == pytest.approx(sum(values) / len(values))


ASKED = [
    ("1,234 V", "V", "1.234", "1234"),
    ("1.190 h", "h", "1.19", "1190"),
    ("1,190", "1", "1.19", "1190"),
    ("650 640 ml", "ml", "650640", "650; 640"),
    ("12:30", "min", "12 h 30 min", "12 min 30 s"),
]


@pytest.mark.parametrize(("typed", "unit", "one", "other"), ASKED)
def test_ambiguity_asks_and_names_both_meanings(typed: str, unit: str, one: str, other: str) -> None:
    """What can be read in two ways is refused with a sentence that names both."""
    with pytest.raises(ReadingError) as caught:
        parse_reading(typed, unit)
    assert one in str(caught.value)
    assert other in str(caught.value)


REFUSED = [
    ("", "V", "Nothing is typed"),
    ("abc", "V", "`abc` is no reading. Type a number like 11.8 V."),
    ("<10 V", "V", "no reading"),
    ("5 V", "mm", "`5 V` is a voltage; a length in mm is wanted."),
    ("30°", "V", "`30°` is an angle; a voltage in V is wanted."),
    ("5 V", "1", "`5 V` is a voltage; a number without unit is wanted."),
    ("5 Nm", "kWh", "is a torque; an energy in kWh is wanted."),
    ("20 °C", "K", "a temperature difference in K is wanted"),
    ("300 K", "°C", "a temperature in °C is wanted"),
    ("12 flurb", "V", "I don't know the unit `flurb`"),
    ("12 MV", "V", "type mV"),
    ("10-12 V", "V", "is a range"),
    ("10 - 12 V", "V", "is a range"),
    ("12 ± 1 V", "V", "uncertainty comes from"),
    ("12 V 5 A", "V", "is a current; a voltage in V is wanted"),
    ("3 in 4 ft", "m", "mixes units"),
    ("5 ft 3", "m", "bears no unit"),
    ("1/0", "V", "no fraction"),
    ("65/64 in", "mm", "no fraction"),
    ("64/64 in", "mm", "no fraction"),
    ("1/1000000000 in", "mm", "no fraction"),
    ("1.2.3", "V", "is no number"),
    ("1,23.4", "V", "is no number"),
    ("14 AWG", "V", "is a wire size; a voltage in V is wanted."),
    ("50 AWG", "mm", "Wire sizes run from"),
    ("41 AWG", "mm", "Wire sizes run from"),
    ("5/0 AWG", "mm", "Wire sizes run from"),
    ("9**9**9 V", "V", "I don't know the unit"),
    ("1 190 170 60", "h", "several ways"),
    ("5 V\x1b[31m", "V", "I don't know the unit"),
    ("1" * 200, "V", "too long"),
]


@pytest.mark.parametrize(("typed", "unit", "sentence"), REFUSED)
def test_nonsense_and_wrong_dimensions_get_one_sentence(typed: str, unit: str, sentence: str) -> None:
    """What is no reading, or measures something else, is refused in words that say what is wanted."""
    with pytest.raises(ReadingError) as caught:
        parse_reading(typed, unit)
    assert sentence in str(caught.value)
    assert str(caught.value).isprintable()


@given(st.text(max_size=40), st.sampled_from(["V", "mm", "°C", "ml", "h", "1", "%", "mm²"]))
def test_any_text_gives_a_reading_or_a_sentence(text: str, unit: str) -> None:
    """Whatever is typed, the answer is a Reading or a ReadingError that can be printed on one line."""
    try:
        reading = parse_reading(text, unit)
    except ReadingError as error:
        assert str(error).isprintable()
    else:
        assert len(reading.values) >= 1


@given(
    st.floats(min_value=-99_999, max_value=99_999).filter(lambda v: v == 0 or abs(v) > 1e-3),
    st.sampled_from(["V", "mm", "ml", "h", "1", "°C", "%", "kg/m³", "°"]),
)
def test_what_is_shown_can_be_typed_back(value: float, unit: str) -> None:
    """A value as it is written for a person reads back as the same value, to the digits shown."""
    assert parse_reading(format_value(value, unit), unit).value == pytest.approx(value, rel=6e-3, abs=1e-12)


@given(
    st.floats(min_value=0.01, max_value=9999),
    st.sampled_from([("mm", "in"), ("kPa", "psi"), ("°C", "°F"), ("l", "gal")]),
)
def test_conversion_and_back_is_the_same_number(value: float, pair: tuple[str, str]) -> None:
    """A number turned into another unit and back is itself."""
    one, other = pair
    assert convert(convert(value, one, other), other, one) == pytest.approx(value, rel=1e-9)


FORMATTED = [
    (11.8, "V", None, "11.8 V"),
    (1190.0, "h", None, "1190 h"),
    (2.3333, "h", None, "2.33 h"),
    (0.838028, "1", None, "0.838"),
    (84.0, "%", None, "84 %"),
    (30.0, "°", None, "30°"),
    (0.2, "mm", None, "0.2 mm"),
    (12345.678, "Pa", None, "12346 Pa"),
    (336103.0, "Ω", None, "336103 Ω"),
    (1000.04, "V", None, "1000 V"),
    (1000.4, "V", None, "1000.4 V"),
    (999.94, "V", None, "999.9 V"),
    (1.2345, "1", None, "1.23"),
    (12.345, "h", None, "12.35 h"),
    (0.0, "V", None, "0 V"),
    (-0.00000000000001, "V", None, "0 V"),
    (4.0, "mm2", None, "4 mm²"),
    (1.5, "V", 0.12, "1.50 ± 0.12 V"),
    (1.5, "V", 0.3, "1.5 ± 0.3 V"),
    (1.5, "V", 0.29, "1.50 ± 0.29 V"),
    (1.5, "V", 0.96, "1.5 ± 1.0 V"),
    (0.15432, "V", 0.0012, "0.1543 ± 0.0012 V"),
    (36213.0, "Ω", 290.0, "36210 ± 290 Ω"),
    (1187.4, "h", 12.0, "1187 ± 12 h"),
    (1187.4, "h", 58.0, "1190 ± 60 h"),
    (11.8, "V", 0.0, "11.8 V"),
    (float("nan"), "V", None, "no number V"),
]


@pytest.mark.parametrize(("value", "unit", "uncertainty", "text"), FORMATTED)
def test_values_bear_sensible_digits(value: float, unit: str, uncertainty: float | None, text: str) -> None:
    """About four digits; with an uncertainty as many as it deserves, and no unit for a plain number."""
    assert format_value(value, unit, uncertainty) == text


def test_plain_numbers_have_four_digits() -> None:
    """A number without unit has four digits, no exponent and no trailing zeros."""
    shown = [plain_number(value) for value in (3.14159, 31415.9, 0.000314159, -2.5, 1e-9, 0.0)]
    assert shown == ["3.142", "31416", "0.0003142", "-2.5", "0.000000001", "0"]
    assert plain_number(-0.0000000000001) == "0"
    assert number_with_uncertainty(1.5, 0.0) == ("1.5", "0")


def test_named_readings_say_which_field_is_wrong() -> None:
    """Of several named readings an empty one is left out, and an error begins with the field's name."""
    units = {"low": "h", "high": "h"}
    assert {name: r.value for name, r in parse_readings({"low": "1 190", "high": " "}, units).items()} == {
        "low": 1190.0
    }
    with pytest.raises(ReadingError, match=r"^high: "):
        parse_readings({"low": "1", "high": "5 V"}, units)


@pytest.mark.parametrize("unit", list(unit_names._KNOWN))
def test_the_table_agrees_with_pint(unit: str) -> None:
    """Every unit of the quick table measures what pint says it measures."""
    if unit in unit_names._KEPT_APART:
        return
    assert unit_names._dimension_by_pint(unit) == dimension_of(unit)
    assert canonical_unit(unit) == unit


def test_no_two_dimensions_of_the_table_share_a_pint_dimension() -> None:
    """A dimension has one word only, so comparing words is comparing dimensions."""
    words: dict[object, set[str]] = {}
    for unit, word in unit_names._KNOWN.items():
        if unit not in unit_names._KEPT_APART:
            words.setdefault(unit_names._key(unit), set()).add(word)
    assert [found for found in words.values() if len(found) > 1] == []


def test_dimensions_are_compared_in_words() -> None:
    """The checker can ask whether two units measure the same, and gets an error for a unit that nobody knows."""
    assert same_dimension("mV", "V")
    assert same_dimension("%", "1")
    assert same_dimension("mile", "mm")
    assert not same_dimension("V", "A")
    assert not same_dimension("K", "°C")
    assert dimension_of("mm2") == "area"
    with pytest.raises(ReadingError, match="I don't know the unit `flurb`"):
        dimension_of("flurb")
    with pytest.raises(ReadingError, match="V measures a voltage; a length in mm is wanted"):
        convert(1.0, "V", "mm")


QUICK = """
import sys
from trees.figures.units import parse_reading, format_value, same_dimension
from trees.figures import registry, work_out
for typed in ("11,8 V", "11.8", "11.8 volts", "12 11.8 11.9 V"):
    parse_reading(typed, "V")
parse_reading("4 mm2", "mm²"); format_value(1.5, "V", 0.1); same_dimension("mV", "V"); registry()
print([m for m in ("pint", "numpy", "scipy", "yaml", "networkx") if m in sys.modules])
"""


def test_the_everyday_reading_does_not_load_pint() -> None:
    """Reading the expected unit, comparing units of the table and listing figures load no heavy library."""
    done = subprocess.run([sys.executable, "-c", QUICK], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"
