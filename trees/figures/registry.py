"""Which figures there are, what they want and give, and how one is worked out.

A figure registers itself once, with `@figure`. Book checks, the figures screen, the command line and the reference page
all read this one registration. The field modules are imported when the registration is first asked for.
"""

from __future__ import annotations

import difflib
import functools
import importlib
import inspect
import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from types import MappingProxyType
from typing import Literal, ParamSpec

from trees.errors import FigureError, OutOfRangeError
from trees.figures.plain import plain_number
from trees.language import N_, OWN, Said, _, listed_or, spoken

Status = Literal["published", "library", "memory", "practice"]
"""How well a formula is backed: retrieved from a published source; agreed with an independent library, or a pure
definition; remembered; common practice without a source."""

FIELDS = (
    "air",
    "combustion",
    "fuel",
    "mixture",
    "exhaust",
    "ducts",
    "heat_load",
    "heat_transport",
    "run_hours",
    "electrical",
    "supply",
    "sensors",
    "conformity",
    "exposure",
)
"""The modules that hold figures, one for each field of the trade, in the order of the reference page."""

FIELD_NAMES = Said(
    {
        "air": N_("air"),
        "combustion": N_("combustion"),
        "fuel": N_("fuel"),
        "mixture": N_("mixture"),
        "exhaust": N_("exhaust"),
        "ducts": N_("ducts"),
        "heat_load": N_("heat load"),
        "heat_transport": N_("heat transport"),
        "run_hours": N_("run hours"),
        "electrical": N_("electrical"),
        "supply": N_("supply"),
        "sensors": N_("sensors"),
        "conformity": N_("conformity"),
        "exposure": N_("exposure"),
    }
)
"""Each field as it is said."""
STATUS_NAMES = Said(
    {"published": N_("published"), "library": N_("library"), "memory": N_("memory"), "practice": N_("practice")}
)

P = ParamSpec("P")


@dataclass(frozen=True, slots=True)
class Input:
    """One number that a figure wants."""

    unit: str
    """Unit of the number; "1" for a plain number."""
    meaning: str
    """One line: what to measure or look up."""
    range: tuple[float, float]
    """Lowest and highest value for which the formula holds, both included."""
    label: str = ""
    """Short name for a form; made from the input's name if left out."""
    default: float | None = None
    """Taken where nothing is given; None where the input must be given. Comes from the function's signature."""


@dataclass(frozen=True, slots=True)
class Output:
    """The number that a figure gives."""

    unit: str
    meaning: str


@dataclass(frozen=True, slots=True)
class Detail:
    """A number beside the result that helps to judge it."""

    label: str
    value: float
    unit: str


@dataclass(frozen=True, slots=True)
class Details:
    """What a figure has to say beside its result."""

    values: tuple[Detail, ...] = ()
    remarks: tuple[str, ...] = ()
    """Sentences for a person."""


@dataclass(frozen=True, slots=True, kw_only=True)
class FigureInfo:
    """One figure as it registered itself."""

    name: str
    title: str
    meaning: str
    field: str
    """The module it lives in: air, combustion, fuel …"""
    inputs: Mapping[str, Input]
    result: Output
    formula: str
    source: str
    status: Status
    accuracy: str
    example: Mapping[str, float]
    """Inputs of an invented case, for help texts; it can be worked out."""
    curve: str = ""
    """The input along which a plot says more than the number; empty where none does."""
    function: Callable[..., float]
    details: Callable[[Mapping[str, float]], Details] | None = None
    """Takes the complete inputs by name."""

    def missing(self, given: Mapping[str, object]) -> tuple[str, ...]:
        """Return the inputs that are neither given nor have a default, in the figure's order."""
        return tuple(name for name, field in self.inputs.items() if name not in given and field.default is None)

    def required(self) -> tuple[str, ...]:
        """Return the inputs that must be given."""
        return self.missing({})


_REGISTERED: dict[str, FigureInfo] = {}


def figure(
    *,
    name: str,
    title: str,
    meaning: str,
    inputs: Mapping[str, Input],
    result: Output,
    formula: str,
    source: str,
    accuracy: str,
    example: Mapping[str, float],
    status: Status = "published",
    curve: str = "",
    details: Callable[[Mapping[str, float]], Details] | None = None,
) -> Callable[[Callable[P, float]], Callable[P, float]]:
    """Register a pure function as a figure and make it refuse inputs outside their ranges.

    The parameters of the function bear the names of `inputs`; their defaults are the inputs' defaults.
    """

    def register(function: Callable[P, float]) -> Callable[P, float]:
        signature = inspect.signature(function)
        if tuple(signature.parameters) != tuple(inputs) or (curve and curve not in inputs) or name in _REGISTERED:
            raise AssertionError(f"figure {name!r}: name taken, or inputs and parameters differ")
        fields = {
            key: replace(
                field,
                label=field.label or _label(key),
                default=None if parameter.default is inspect.Parameter.empty else float(parameter.default),
            )
            for (key, field), parameter in zip(inputs.items(), signature.parameters.values(), strict=True)
        }

        @functools.wraps(function)
        def guarded(*args: P.args, **kwargs: P.kwargs) -> float:
            bound = signature.bind(*args, **kwargs)
            for key, value in bound.arguments.items():
                _refuse_outside(title, fields[key], value)
            answer = function(*args, **kwargs)
            if not math.isfinite(answer):
                raise OutOfRangeError(_("{title}: these inputs give no finite number.").format(title=title))
            return answer

        _REGISTERED[name] = FigureInfo(
            name=name,
            title=title,
            meaning=meaning,
            field=function.__module__.rpartition(".")[2],
            inputs=MappingProxyType(fields),
            result=result,
            formula=formula,
            source=source,
            status=status,
            accuracy=accuracy,
            example=MappingProxyType({key: float(value) for key, value in example.items()}),
            curve=curve,
            function=guarded,
            details=details,
        )
        return guarded

    return register


_UNIT_SUFFIXES = frozenset(
    {"m", "mm", "mm2", "m2", "m3", "a", "v", "w", "kw", "c", "k", "pct", "ppm", "pa", "hz", "h", "s", "min", "ml"}
    | {"ohm", "kohm", "mv", "kg", "kj", "mj", "deg"}
)


def _label(name: str) -> str:
    """Make `length_m` into `length`: the unit stands beside the field."""
    words = name.split("_")
    while len(words) > 1 and words[-1] in _UNIT_SUFFIXES:
        words.pop()
    return " ".join(words)


def _refuse_outside(title: str, field: Input, value: float) -> None:
    low, high = field.range
    if not isinstance(value, int | float) or not math.isfinite(value):
        raise FigureError(_("{title}: {label} is not a finite number.").format(title=_(title), label=_(field.label)))
    if not low <= value <= high:
        unit = "" if field.unit == "1" else f" {field.unit}"
        raise OutOfRangeError(
            _("{title}: {label} is {value}{unit}; the formula holds from {low} to {high}{unit}.").format(
                title=_(title),
                label=_(field.label),
                value=plain_number(value),
                unit=unit,
                low=plain_number(low),
                high=plain_number(high),
            )
        )


def registry() -> Mapping[str, FigureInfo]:
    """Return all figures by name, in the order of the fields, their texts in the language that is spoken."""
    return _registry(spoken())


@functools.cache
def _registry(language: str) -> Mapping[str, FigureInfo]:
    for field in FIELDS:
        importlib.import_module(f"trees.figures.{field}")
    order = {field: place for place, field in enumerate(FIELDS)}
    ranked = sorted(_REGISTERED.values(), key=lambda info: order.get(info.field, len(order)))
    return MappingProxyType({info.name: info if language == OWN else _said(info) for info in ranked})


def _said(info: FigureInfo) -> FigureInfo:
    inputs = {
        name: replace(field, meaning=_(field.meaning), label=_(field.label)) for name, field in info.inputs.items()
    }
    return replace(
        info,
        title=_(info.title),
        meaning=_(info.meaning),
        inputs=MappingProxyType(inputs),
        result=replace(info.result, meaning=_(info.result.meaning)),
        accuracy=_(info.accuracy),
    )


def figure_info(name: str) -> FigureInfo:
    """Return a figure by name; FigureError with the nearest names if there is none."""
    info = registry().get(name)
    if info is None:
        raise FigureError(
            _("There is no figure {name!r}.{name_2}").format(name=name, name_2=_nearest(name, registry()))
        )
    return info


def _nearest(name: str, names: Mapping[str, object]) -> str:
    near = difflib.get_close_matches(name, names, n=3, cutoff=0.5)
    return _(" Did you mean {listed}?").format(listed=listed_or(near)) if near else ""


def checked_inputs(info: FigureInfo, values: Mapping[str, float]) -> dict[str, float]:
    """Return the inputs completed with defaults; FigureError if one is missing or is none of the figure's."""
    for name in values:
        if name not in info.inputs:
            raise FigureError(
                _("{title} has no input {name!r}.{name_2}").format(
                    title=info.title, name=name, name_2=_nearest(name, info.inputs)
                )
            )
    missing = info.missing(values)
    if missing:
        wanted = ", ".join(f"{name} ({_unit_words(info.inputs[name].unit)})" for name in missing)
        raise FigureError(_("{title} still wants {wanted}.").format(title=info.title, wanted=wanted))
    defaults = {name: field.default for name, field in info.inputs.items() if field.default is not None}
    return {**defaults, **values}


def _unit_words(unit: str) -> str:
    return _("a plain number") if unit == "1" else _("in {unit}").format(unit=unit)


def work_out(name: str, values: Mapping[str, float]) -> float:
    """Work out a figure from inputs in its declared units; the answer is in its declared unit.

    Raises FigureError for an unknown name or a missing input, OutOfRangeError outside the formula's range.
    """
    info = figure_info(name)
    return info.function(**checked_inputs(info, values))
