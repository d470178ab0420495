"""What a person typed for a figure, with any unit and uncertainty, and the figure worked out from it."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass

from trees.errors import FigureError, ReadingError
from trees.figures import FigureInfo, Input, Worked, work_out_in_full
from trees.figures.plain import plain_number
from trees.figures.typed_numbers import NUMBER, tidy
from trees.figures.unit_names import printable
from trees.figures.units import canonical_unit, dimension_of, format_value, parse_reading
from trees.language import _

_PLUS_MINUS = re.compile(r"±|\+/-|\+-")
_ANY_NUMBER = 1e9


@dataclass(frozen=True, slots=True)
class TypedInput:
    """One input as typed, understood in the figure's unit."""

    value: float
    uncertainty: float
    """Standard uncertainty; 0 where none was typed."""
    unit: str
    typed: str
    note: str = ""
    """What was taken for granted, for a person to see; mostly empty."""

    @property
    def text(self) -> str:
        """The input in the figure's unit, with its uncertainty where one was typed."""
        return format_value(self.value, self.unit, self.uncertainty or None)


@dataclass(frozen=True, slots=True)
class TypedFigure:
    """A figure worked out from what was typed."""

    worked: Worked
    inputs: Mapping[str, TypedInput]
    """Only those that were typed; `worked.values` holds the defaults too."""

    @property
    def info(self) -> FigureInfo:
        """The figure."""
        return self.worked.info

    @property
    def notes(self) -> tuple[str, ...]:
        """What was taken for granted in reading the inputs."""
        return tuple(
            f"{self.info.inputs[name].label}: {given.note}" for name, given in self.inputs.items() if given.note
        )

    @property
    def shares(self) -> str:
        """Which part of the variance each input brings, the largest first; "" where fewer than two have one."""
        parts = self.worked.contributions
        whole = sum(part.uncertainty**2 for part in parts)
        if len(parts) < 2 or not whole:
            return ""
        return ", ".join(f"{self.info.inputs[p.name].label} {100 * p.uncertainty**2 / whole:.0f} %" for p in parts)

    @property
    def sentence(self) -> str:
        """Name, inputs and result in one line, for the notes of a job."""
        given = ", ".join(
            f"{field.label} {self.inputs[name].text}"
            if name in self.inputs
            else _("{label} {values} (not given)").format(
                label=field.label, values=format_value(self.worked.values[name], field.unit)
            )
            for name, field in self.info.inputs.items()
        )
        return _("Figure {name}, {title}: {given} → {text}").format(
            name=self.info.name, title=self.info.title, given=given, text=self.worked.text
        )


def read_input(text: str, unit: str) -> TypedInput:
    """
    Read `12,4 V`, `31 ft`, `12.4±0.05`, `12.4 V +- 50 mV`, `12.4 V ± 2 %` as a number in `unit` with its uncertainty.

    A unit behind the uncertainty alone holds for both; a percentage is a share of the reading unless the reading is
    in % itself. Raises ReadingError with a sentence.
    """
    left, *rest = _PLUS_MINUS.split(text)
    if not rest:
        reading = parse_reading(text, unit)
        return TypedInput(reading.value, 0.0, unit, text.strip(), reading.note)
    behind = tidy(" ".join(rest))
    number = NUMBER.match(behind)
    if len(rest) > 1 or number is None or number.group()[0] in "+-":
        raise ReadingError(_("Behind ± stands one number, not below 0, like 12.4 ± 0.05."))
    spread, spread_unit = number.group(), behind[number.end() :].strip()
    if dimension_of(unit) == "temperature" and canonical_unit(spread_unit or "1") == "K":
        spread_unit = "°C"  # a kelvin is a difference, and one of the same size
    if canonical_unit(spread_unit or "1") == "%" and canonical_unit(unit) != "%":
        reading = parse_reading(left, unit)
        uncertainty = abs(reading.value) * parse_reading(spread, "%").value / 100
        return TypedInput(reading.value, uncertainty, unit, text.strip(), reading.note)
    reading = parse_reading(f"{left} {spread_unit}" if _bare(left) else left, unit)
    if reading.typed_unit == "AWG":
        raise ReadingError(_("A wire size takes no ± here; type the copper area."))
    uncertainty = _difference(spread, spread_unit or reading.typed_unit.split(" ")[-1], unit)
    note = _("± was taken in points of per cent.") if canonical_unit(spread_unit or "1") == "%" else reading.note
    return TypedInput(reading.value, uncertainty, unit, text.strip(), note)


def _bare(text: str) -> bool:
    """Tell whether nothing but numbers was typed."""
    return not NUMBER.sub("", tidy(text)).strip(" ;,/+-")


def _difference(number: str, typed_unit: str, unit: str) -> float:
    """Turn a difference into `unit`: 2 °F are 1.11 K, wherever the two scales have their zero."""
    spread = parse_reading(f"{number} {typed_unit}", unit).value
    return abs(spread - parse_reading(f"0 {typed_unit}", unit).value)


def read_inputs(info: FigureInfo, typed: Mapping[str, str]) -> dict[str, TypedInput]:
    """Read all inputs; an empty one is left out. A ReadingError begins with the label of the input."""
    for name in typed:
        if name not in info.inputs:
            raise FigureError(
                _("{title} has no input `{name}`; it takes {listed}.").format(
                    title=info.title, name=printable(name), listed=", ".join(info.inputs)
                )
            )
    found = {}
    for name, text in typed.items():
        if text.strip():
            try:
                found[name] = read_input(text, info.inputs[name].unit)
            except ReadingError as error:
                raise ReadingError(f"{info.inputs[name].label}: {error}") from error
    return found


def work_out_typed(info: FigureInfo, typed: Mapping[str, str]) -> TypedFigure:
    """Work a figure out from typed inputs; ReadingError, FigureError or OutOfRangeError with a sentence."""
    inputs = read_inputs(info, typed)
    if missing := info.missing(inputs):
        raise FigureError(missing_sentence(info, missing))
    worked = work_out_in_full(
        info.name,
        {name: given.value for name, given in inputs.items()},
        {name: given.uncertainty for name, given in inputs.items() if given.uncertainty},
    )
    return TypedFigure(worked, inputs)


def missing_sentence(info: FigureInfo, missing: tuple[str, ...]) -> str:
    """Name what is still wanted, each with its unit and meaning."""
    wanted = "; ".join(
        f"{name} ({unit_words(info.inputs[name].unit)}): {info.inputs[name].meaning}" for name in missing
    )
    return _("{title} still wants {wanted}.").format(title=info.title, wanted=wanted)


def unit_words(unit: str) -> str:
    """Say `in V`, or `a plain number`."""
    return _("a plain number") if unit == "1" else _("in {unit}").format(unit=unit)


def range_words(field: Input) -> str:
    """Say `0 to 60 V`: where the formula holds."""
    low, high = field.range
    if low <= -_ANY_NUMBER and high >= _ANY_NUMBER:
        return _("any number")
    unit = "" if field.unit == "1" else f" {field.unit}"
    return _("{low} to {high}{unit}").format(low=plain_number(low), high=plain_number(high), unit=unit)
