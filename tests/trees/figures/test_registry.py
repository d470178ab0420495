"""Every figure registers itself once, refuses what it can't work out, and can be worked out by name."""

from __future__ import annotations

import inspect
import math

import pytest

from trees.errors import FigureError, OutOfRangeError, ReadingError
from trees.figures import FIELDS, FigureInfo, figure_info, registry, work_out, work_out_in_full
from trees.figures.registry import Input, Output, figure
from trees.figures.units import canonical_unit, dimension_of

FIGURES = list(registry().values())


def middle(info: FigureInfo) -> dict[str, float]:
    """Return inputs inside every range: the defaults, else a value well inside."""
    return {
        name: field.default
        if field.default is not None
        else field.range[0] + 0.3 * (min(field.range[1], field.range[0] + 100) - field.range[0])
        for name, field in info.inputs.items()
    }


@pytest.mark.parametrize("info", FIGURES, ids=lambda info: info.name)
def test_each_figure_says_what_it_is(info: FigureInfo) -> None:
    """A figure has a title, a meaning, a formula, a source, an accuracy, and units that are known."""
    for text in (info.title, info.meaning, info.formula, info.source, info.accuracy):
        assert text.strip()
    assert "\n" not in info.meaning
    assert info.field in FIELDS
    for unit in (info.result.unit, *(field.unit for field in info.inputs.values())):
        assert dimension_of(unit)
        assert canonical_unit(unit) == unit
    assert info.curve == "" or info.curve in info.inputs


@pytest.mark.parametrize("info", FIGURES, ids=lambda info: info.name)
def test_each_docstring_names_formula_source_and_units(info: FigureInfo) -> None:
    """The function behind a figure documents itself, and its parameters are the figure's inputs."""
    doc = inspect.getdoc(info.function) or ""
    assert len(doc) > 40
    assert tuple(inspect.signature(info.function).parameters) == tuple(info.inputs)


@pytest.mark.parametrize(
    ("info", "name"), [(i, n) for i in FIGURES for n in i.inputs], ids=lambda part: getattr(part, "name", part)
)
def test_outside_its_range_a_figure_raises_its_own_error(info: FigureInfo, name: str) -> None:
    """An input beyond either end of its range raises OutOfRangeError naming the figure and the range."""
    field = info.inputs[name]
    for outside in (field.range[0] - 1.0, field.range[1] * 1.01 + 1.0):
        with pytest.raises(OutOfRangeError) as caught:
            info.function(**{**middle(info), name: outside})
        assert info.title in str(caught.value)
        assert "holds from" in str(caught.value)


@pytest.mark.parametrize("info", FIGURES, ids=lambda info: info.name)
def test_no_figure_takes_what_is_no_number(info: FigureInfo) -> None:
    """Not-a-number and infinity are refused before any formula sees them."""
    for name in info.inputs:
        for bad in (math.nan, math.inf):
            with pytest.raises(FigureError):
                info.function(**{**middle(info), name: bad})


@pytest.mark.parametrize("info", FIGURES, ids=lambda info: info.name)
def test_a_default_lies_in_its_range(info: FigureInfo) -> None:
    """What is taken where nothing is given is itself allowed."""
    for field in info.inputs.values():
        assert field.range[0] < field.range[1]
        assert field.default is None or field.range[0] <= field.default <= field.range[1]


def test_a_figure_is_worked_out_by_name() -> None:
    """A name and a mapping in declared units give the number; defaults fill in."""
    assert work_out("low_fire_share", {"low": 30, "medium": 50, "high": 20}) == pytest.approx(0.3)
    assert work_out("mean_run_length", {"low": 30, "medium": 50, "high": 20, "starts": 50}) == pytest.approx(2.0)
    assert work_out("supply_drop", {"source_v": 12.4, "load_v": 11.1}) == pytest.approx(1.3)


def test_a_missing_input_is_named_with_its_unit() -> None:
    """A figure knows which inputs it still wants."""
    info = figure_info("cable_drop")
    assert info.required() == ("length_m", "current_a", "area_mm2")
    assert info.missing({"length_m": 3}) == ("current_a", "area_mm2")
    with pytest.raises(FigureError, match=r"still wants current_a \(in A\), area_mm2 \(in mm²\)"):
        work_out("cable_drop", {"length_m": 3})


def test_unknown_names_offer_the_nearest() -> None:
    """A misspelt figure or input is refused with the nearest names."""
    with pytest.raises(FigureError, match="Did you mean cable_drop"):
        work_out("cabel_drop", {})
    with pytest.raises(FigureError, match="Did you mean length_m"):
        work_out("cable_drop", {"lenght_m": 1})


def test_run_hours_of_a_new_unit_give_no_share() -> None:
    """No hours at all is a sentence, not a division by zero."""
    with pytest.raises(OutOfRangeError, match="no run hours yet"):
        work_out("low_fire_share", {"low": 0, "medium": 0, "high": 0})


def test_swapped_supply_readings_are_noticed() -> None:
    """A unit that sees more volts than the battery is two swapped readings; a little more is meter noise."""
    assert work_out("supply_drop", {"source_v": 12.0, "load_v": 12.1}) == pytest.approx(-0.1)
    with pytest.raises(OutOfRangeError, match="swapped"):
        work_out("supply_drop", {"source_v": 11.0, "load_v": 12.5})


def test_a_registration_that_contradicts_itself_is_refused() -> None:
    """Inputs that differ from the parameters, and a name used twice, fail at import."""
    common = {
        "title": "T",
        "meaning": "M",
        "formula": "F",
        "source": "S",
        "accuracy": "A",
        "example": {},
        "result": Output("1", "R"),
    }
    for name, inputs in (("new_one", {"y": Input("1", "", (0, 1))}), ("cable_drop", {"x": Input("1", "", (0, 1))})):
        with pytest.raises(AssertionError):

            @figure(name=name, inputs=inputs, **common)  # type: ignore[arg-type]
            def _wrong(x: float) -> float:
                return x


def test_the_registration_can_not_be_changed() -> None:
    """Who reads the registration can't write it."""
    with pytest.raises(TypeError):
        registry()["new"] = FIGURES[0]  # type: ignore[index]
    with pytest.raises(AttributeError):
        FIGURES[0].title = "other"  # type: ignore[misc]


def test_an_unknown_unit_is_a_reading_error() -> None:
    """The checker learns of a unit that nobody knows by ReadingError."""
    with pytest.raises(ReadingError):
        dimension_of("quark")


@pytest.mark.parametrize("info", FIGURES, ids=lambda info: info.name)
def test_each_example_works_out_in_full(info: FigureInfo) -> None:
    """The example of a figure gives a number that can be written, and details and remarks that are whole sentences."""
    worked = work_out_in_full(info.name, info.example)
    assert worked.value == info.function(
        **{**{n: f.default for n, f in info.inputs.items() if n not in info.example}, **info.example}
    )
    assert worked.text
    for detail in worked.details:
        assert detail.label
        assert math.isfinite(detail.value)
        assert canonical_unit(detail.unit) == detail.unit
        assert dimension_of(detail.unit)
    for remark in worked.remarks:
        assert remark[0].isupper() or not remark[0].isalpha()
        assert remark.endswith((".", "”"))


@pytest.mark.parametrize("info", [i for i in FIGURES if i.curve], ids=lambda info: info.name)
def test_a_curve_can_be_drawn(info: FigureInfo) -> None:
    """Along its curve a figure gives numbers, or says why it can't; around its example it is a number."""
    field = info.inputs[info.curve]
    low, high = field.range
    drawn = 0
    for step in range(21):
        try:
            drawn += math.isfinite(work_out(info.name, {**info.example, info.curve: low + step * (high - low) / 20}))
        except FigureError as error:
            assert str(error)
    assert drawn >= 3
