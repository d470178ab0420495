"""What is typed for a figure: any unit, with an uncertainty; the sentence that goes into a job."""

from __future__ import annotations

import math

import pytest

from trees.errors import FigureError, OutOfRangeError, ReadingError
from trees.figures import figure_info
from tui.typed_figure import missing_sentence, range_words, read_input, work_out_typed


@pytest.mark.parametrize(
    ("text", "unit", "value", "uncertainty"),
    [
        ("12.4", "V", 12.4, 0.0),
        ("12,4±0,05", "V", 12.4, 0.05),
        ("12.4 +- 0.05", "V", 12.4, 0.05),
        ("12.4 +/- 0.05 V", "V", 12.4, 0.05),
        ("12.4 V ± 50 mV", "V", 12.4, 0.05),
        ("12400 ± 50 mV", "V", 12.4, 0.05),  # a unit at the end holds for both
        ("1'200 ± 10 mm", "m", 1.2, 0.01),
        ("12 V ± 2 %", "V", 12.0, 0.24),  # a share of the reading
        ("12±2%", "V", 12.0, 0.24),
        ("60 ppm ± 5 %", "ppm", 60.0, 3.0),
        ("10.1 ± 0.2 %", "%", 10.1, 0.2),  # points of per cent
        ("10.1 ± 0.2", "%", 10.1, 0.2),
        ("31 ft ± 1 in", "m", 31 * 0.3048, 0.0254),
        ("3 ft 4 in ± 1/8", "mm", 40 * 25.4, 25.4 / 8),  # the last unit typed
        ("68 °F ± 2 °F", "°C", 20.0, 2 / 1.8),
        ("68 ± 2 °F", "°C", 20.0, 2 / 1.8),
        ("20 ± 2 K", "°C", 20.0, 2.0),
        ("20 °C ± 2 K", "°C", 20.0, 2.0),
        ("-5±0.5", "°C", -5.0, 0.5),
        ("1.48±5%", "1", 1.48, 0.074),
        ("12.4±0", "V", 12.4, 0.0),
    ],
)
def test_value_and_uncertainty(text: str, unit: str, value: float, uncertainty: float) -> None:
    """Value and uncertainty bear their own units; differences of temperature know no zero."""
    given = read_input(text, unit)
    assert given.value == pytest.approx(value, rel=1e-9)
    assert given.uncertainty == pytest.approx(uncertainty, rel=1e-6, abs=1e-12)


@pytest.mark.parametrize(
    "text",
    ["12.4±", "±0.05", "12.4±-0.05", "12.4±x", "12.4±0.05±0.1", "12.4 V ± 2 kg", "12.4±+1", "12.4±nan", "± ±", "V±1"],
)
def test_nonsense_is_a_sentence(text: str) -> None:
    """What is no reading with an uncertainty is told, not guessed."""
    with pytest.raises(ReadingError) as error:
        read_input(text, "V")
    assert str(error.value).endswith((".", "?"))


def test_wire_size_takes_no_uncertainty() -> None:
    """A size out of a table has none."""
    with pytest.raises(ReadingError, match="wire size"):
        read_input("AWG 10 ± 1", "mm²")


def test_uncertainty_travels_into_the_result() -> None:
    """A difference of two readings has the root of the sum of squares."""
    found = work_out_typed(figure_info("supply_drop"), {"source_v": "12,4±0,03", "load_v": "10900±40 mV"})
    assert found.worked.value == pytest.approx(1.5)
    assert found.worked.uncertainty == pytest.approx(math.hypot(0.03, 0.04))
    assert found.worked.text == "1.50 ± 0.05 V"
    assert found.shares == "load 64 %, source 36 %"  # 16/25 and 9/25 of the variance


def test_missing_inputs_are_named_with_unit_and_meaning() -> None:
    """A person reads what to measure, in what unit."""
    info = figure_info("supply_drop")
    with pytest.raises(FigureError) as error:
        work_out_typed(info, {"source_v": "12.4", "load_v": " "})
    assert str(error.value) == missing_sentence(info, ("load_v",))
    assert "load_v (in V)" in str(error.value)
    assert info.inputs["load_v"].meaning in str(error.value)
    assert "source_v" not in str(error.value)


def test_errors_name_the_field() -> None:
    """A sentence says in which field the mistake is."""
    with pytest.raises(ReadingError, match=r"^load: .*mass"):
        work_out_typed(figure_info("supply_drop"), {"source_v": "12", "load_v": "3 kg"})
    with pytest.raises(OutOfRangeError, match="load is 80 V"):
        work_out_typed(figure_info("supply_drop"), {"source_v": "12", "load_v": "80"})
    with pytest.raises(FigureError, match="no input `lode_v`; it takes source_v, load_v"):
        work_out_typed(figure_info("supply_drop"), {"lode_v": "12"})


def test_sentence_for_a_job_holds_name_inputs_and_result() -> None:
    """A note can be worked out again: all inputs stand in it, those not given too."""
    found = work_out_typed(figure_info("cable_drop"), {"length_m": "10 ft", "current_a": "10±0.5", "area_mm2": "2.5"})
    assert found.sentence.startswith("Figure cable_drop, Voltage drop that the cable alone explains: length 3.048 m, ")
    assert "current 10.0 ± 0.5 A" in found.sentence
    assert "temperature 20 °C (not given)" in found.sentence
    assert found.sentence.endswith(f" → {found.worked.text}")
    assert found.worked.value == pytest.approx(2 * 3.048 * 10 / (58 * 2.5))
    assert found.worked.uncertainty == pytest.approx(2 * 3.048 * 0.5 / (58 * 2.5), rel=1e-6)


def test_what_was_taken_for_granted_is_said() -> None:
    """US gallons are named as such, with the field."""
    found = work_out_typed(figure_info("engine_preheat_time"), {
        "output_kw": "5", "coolant_l": "3 gal", "iron_kg": "200", "rise_k": "40",
    })  # fmt: skip
    assert [note for note in found.notes if "gallons" in note]
    assert found.worked.values["coolant_l"] == pytest.approx(3 * 3.785411784)


def test_range_in_words() -> None:
    """The range bears its unit; a range without ends is any number."""
    assert range_words(figure_info("supply_drop").inputs["load_v"]) == "0 to 60 V"
    assert range_words(figure_info("conformity_upper").inputs["limit"]) == "any number"
