"""What a typed reading means in the unit that is wanted, and how a value is written for a person.

A reading with the expected unit, or none, is read without pint; everything else goes through `unit_names.convert`.
"""

from __future__ import annotations

import itertools
import re
from collections.abc import Mapping
from dataclasses import dataclass

from trees.errors import OutOfRangeError, ReadingError
from trees.figures.plain import number_with_uncertainty, plain_number
from trees.figures.typed_numbers import NUMBER, read_number, read_numbers, tidy
from trees.figures.unit_names import (
    TEMPERATURE,
    TEMPERATURE_DIFFERENCE,
    a,
    canonical_unit,
    convert,
    dimension_of,
    printable,
    same_dimension,
    unit_phrase,
)
from trees.language import _

__all__ = [
    "Reading",
    "canonical_unit",
    "convert",
    "dimension_of",
    "format_value",
    "parse_one",
    "parse_reading",
    "parse_readings",
    "same_dimension",
]

LONGEST = 120
"""More characters than this are no reading."""

_PLAIN = re.compile(r"([+-]?[0-9]+(?:[.,][0-9]+)?) ?([^0-9;,'/±+-]*)")
_SEPARATORS = {"", ",", ";", "/", "and", "|"}
_WIRE = re.compile(r"(?i)^awg\s*#?\s*([0-9/]+)$")
_COUNT_UNITS = {"h", "1"}
_RANGE = re.compile(r"(?<![eE])[0-9](?:-| - | to | bis |\.\.+|…)[0-9]")
_CLOCK = re.compile(r"([0-9]+):([0-9]{2})")


@dataclass(frozen=True, slots=True)
class Reading:
    """A typed reading, understood."""

    value: float
    """In `unit`; the mean if several were typed."""
    unit: str
    """The unit that was wanted."""
    typed: str
    """The text as typed, without outer spaces."""
    typed_unit: str
    """The unit as typed, in our spelling; equal to `unit` if none was typed."""
    values: tuple[float, ...]
    """Every reading of the line, in `unit`."""
    note: str = ""
    """What was taken for granted, for a person to see; mostly empty."""


def parse_reading(text: str, unit: str) -> Reading:
    """Read `11,8 V`, `1/32 in`, `3 ft 4 in`, `6.5 6.6 6.4 ml` … as a number in `unit`.

    No unit means `unit`. Raises ReadingError, with one sentence for a person, for nonsense, for a unit that measures
    something else, and for what can be read in two ways.
    """
    typed = text.strip()
    wanted = canonical_unit(unit)
    if len(typed) > LONGEST:
        raise ReadingError(_("That is too long for a reading. {wanted}").format(wanted=_example(wanted)))
    line = tidy(typed)
    plain = _PLAIN.fullmatch(line)
    if plain and canonical_unit(plain.group(2) or unit) == wanted:
        value = read_number(plain.group(1), counts=wanted in _COUNT_UNITS)
        return Reading(value, unit, typed, wanted, (value,))
    return _parse_longer(line, typed, unit, wanted)


def parse_one(text: str, unit: str) -> Reading:
    """Read a field that takes one reading; several are refused, where their mean would pass unseen."""
    reading = parse_reading(text, unit)
    if len(reading.values) > 1:
        told = printable(reading.typed)
        raise ReadingError(
            _("`{typed}` is {n} readings; one is wanted here.").format(typed=told, n=len(reading.values))
        )
    return reading


def parse_readings(typed: Mapping[str, str], units: Mapping[str, str]) -> dict[str, Reading]:
    """Read several named readings; an empty one is left out. A ReadingError begins with the name of the field."""
    readings = {}
    for name, text in typed.items():
        if text.strip():
            try:
                readings[name] = parse_reading(text, units[name])
            except ReadingError as error:
                raise ReadingError(f"{name}: {error}") from error
    return readings


def format_value(value: float, unit: str, uncertainty: float | None = None) -> str:
    """Write a value with its unit: `11.8 V`, `1190 h`, `84 %`, `1.50 ± 0.12 V`; a plain number bears no unit."""
    name = canonical_unit(unit) if unit else "1"
    if uncertainty:
        number, plus_minus = number_with_uncertainty(value, abs(uncertainty))
        number = f"{number} ± {plus_minus}"
    else:
        # Hours and counts with three places could be read back as thousands.
        number = plain_number(value, 3 if name in _COUNT_UNITS and 1 <= abs(value) < 10 else 4)
        if abs(value) >= 1000:
            number = plain_number(value, 15 if float(value).is_integer() else 5)
    joint = "" if name == "°" else " "
    return number if name == "1" else f"{number}{joint}{name}"


def _parse_longer(line: str, typed: str, unit: str, wanted: str) -> Reading:
    _refuse_what_is_no_number(line, typed, wanted)
    wire = _WIRE.match(line)
    pieces = _pieces(f"{wire.group(1)} AWG" if wire else line)
    if pieces is None:
        raise ReadingError(
            _("`{typed}` is no reading. {wanted}").format(typed=printable(typed), wanted=_example(wanted))
        )
    awg = pieces[-1][1].upper() == "AWG" and len(pieces) == 1
    if any(name and not after for (_other, name), (_other, after) in itertools.pairwise(pieces)):
        raise ReadingError(
            _("`{typed}`: the last number bears no unit; type one unit, at the end.").format(typed=printable(typed))
        )
    if awg:
        value = _wire_size(pieces[0][0], typed, wanted)
        return Reading(value, unit, typed, "AWG", (value,))
    numbers = [(read_numbers(tokens, counts=wanted in _COUNT_UNITS), name) for tokens, name in pieces]
    names = {name for _other, name in numbers if name}
    if len(names) > 1:
        value = _compound(numbers, typed, wanted)
        return Reading(value, unit, typed, " ".join(canonical_unit(name) for _other, name in numbers), (value,))
    typed_unit = canonical_unit(names.pop()) if names else wanted
    typed_unit = _meant_here(typed_unit, dimension_of(wanted))
    _refuse_other_dimension(typed, typed_unit, wanted)
    values = tuple(convert(value, typed_unit, wanted) for row, _other in numbers for value in row)
    note = _("US gallons were taken.") if typed_unit.startswith("gal") and not wanted.startswith("gal") else ""
    return Reading(sum(values) / len(values), unit, typed, typed_unit, values, note)


def _pieces(line: str) -> list[tuple[list[str], str]] | None:
    """Cut a line into runs of numbers, each with the unit behind it; None if it does not begin with a number."""
    line = _per_unit_closed(line)
    matches = list(NUMBER.finditer(line))
    if not matches or line[: matches[0].start()].strip():
        return None
    pieces: list[tuple[list[str], str]] = []
    run: list[str] = []
    for match, following in zip(matches, [*matches[1:], None], strict=True):
        run.append(match.group())
        between = line[match.end() : following.start() if following else len(line)]
        word = between.strip(" ;,.")
        if between.strip() in _SEPARATORS and following is not None:
            if between.strip():
                pieces.append((run, ""))
                run = []
            continue
        pieces.append((run, word))
        run = []
    return pieces


def _per_unit_closed(line: str) -> str:
    """Keep the 1 of `2800 1/min` from looking like a number."""
    return re.sub(r"(?<=\s)1/(?=[A-Za-z])", "/", line)


def _meant_here(typed_unit: str, want: str) -> str:
    """Let `10 K` be kilohm where a resistance is wanted, `5 k` kelvin and `64°` degrees where a temperature is."""
    if want == "resistance" and typed_unit == "K":
        return "kΩ"
    if want == TEMPERATURE_DIFFERENCE and typed_unit == "kΩ":
        return "K"
    return "°C" if want == TEMPERATURE and typed_unit == "°" else typed_unit


def _refuse_what_is_no_number(line: str, typed: str, wanted: str) -> None:
    if not line:
        raise ReadingError(_("Nothing is typed. {wanted}").format(wanted=_example(wanted)))
    if "±" in line or "+/-" in line:
        raise ReadingError(_("Type the value alone; its uncertainty comes from the instrument or the check."))
    if _RANGE.search(line):
        raise ReadingError(
            _("`{typed}` is a range: type one number, or several with a ; between.").format(typed=printable(typed))
        )
    if clock := _CLOCK.search(line):
        one, two = clock.groups()
        raise ReadingError(
            _("`{group}` can mean {one} h {two} min or {one} min {two} s: type its units.").format(
                group=clock.group(), one=one, two=two
            )
        )


def _refuse_other_dimension(typed: str, typed_unit: str, wanted: str) -> None:
    want = dimension_of(wanted)
    try:
        have = dimension_of(typed_unit)
    except ReadingError as error:
        raise ReadingError(f"`{printable(typed)}`: {error} {_wanted(wanted)}") from error
    if {have, want} == {TEMPERATURE, TEMPERATURE_DIFFERENCE}:
        raise ReadingError(
            _("`{typed}` is {have}; {want} in {wanted} is wanted (K is kept for differences).").format(
                typed=printable(typed), have=a(have), want=a(want), wanted=wanted
            )
        )
    if have != want:
        raise ReadingError(
            _("`{typed}` is {have}; {wanted}").format(
                typed=printable(typed), have=a(have), wanted=_wanted(wanted, capital=False)
            )
        )


def _wanted(wanted: str, *, capital: bool = True) -> str:
    sentence = _("{wanted} {wanted_2} is wanted.").format(wanted=a(dimension_of(wanted)), wanted_2=unit_phrase(wanted))
    return sentence[0].upper() + sentence[1:] if capital else sentence


def _compound(numbers: list[tuple[list[float], str]], typed: str, wanted: str) -> float:
    """Add up `3 ft 4 in` or `2 h 15 min`: each part one number, each unit smaller than the one before."""
    total, last = 0.0, float("inf")
    sign = -1.0 if numbers[0][0][0] < 0 else 1.0
    for place, (row, name) in enumerate(numbers):
        if len(row) != 1 or not name or (place and row[0] < 0):
            raise ReadingError(
                _("`{typed}` mixes units. {wanted}").format(typed=printable(typed), wanted=_example(wanted))
            )
        part = canonical_unit(name)
        _refuse_other_dimension(typed, part, wanted)
        if dimension_of(part) in {TEMPERATURE, "number"}:
            raise ReadingError(
                _("`{typed}` mixes units. {wanted}").format(typed=printable(typed), wanted=_example(wanted))
            )
        size = convert(1.0, part, wanted)
        if size >= last:
            raise ReadingError(
                _("`{typed}` mixes units. {wanted}").format(typed=printable(typed), wanted=_example(wanted))
            )
        total, last = total + abs(row[0]) * size, size
    return sign * float(f"{total:.12g}")


def _wire_size(tokens: list[str], typed: str, wanted: str) -> float:
    from trees.figures.electrical import awg_diameter_mm, round_area_mm2

    kind = dimension_of(wanted)
    if len(tokens) != 1 or kind not in {"area", "length"}:
        raise ReadingError(
            _("`{typed}` is a wire size; {wanted}").format(
                typed=printable(typed), wanted=_wanted(wanted, capital=False)
            )
        )
    size = tokens[0]
    number = 1.0 - float(size.split("/")[0]) if size.endswith("/0") else read_number(size)
    try:
        diameter_mm = awg_diameter_mm(number)
    except OutOfRangeError as error:
        raise ReadingError(f"`{printable(typed)}`: {error}") from error
    return convert(round_area_mm2(diameter_mm), "mm²", wanted) if kind == "area" else convert(diameter_mm, "mm", wanted)


def _example(wanted: str) -> str:
    return _("Type a number like {part}.").format(part="12" if wanted == "1" else f"11.8 {wanted}")
