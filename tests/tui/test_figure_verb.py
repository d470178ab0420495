"""`sootline figure` from a shell: results on stdout, one sentence on stderr, exit status, never a traceback."""

from __future__ import annotations

import math

import pytest
from shell import failed, sootline, told

from trees.figures import FIELDS, registry


def test_result_with_unit_and_all_that_belongs_to_it() -> None:
    """12.4 V less 10.9 V is 1.5 V; formula, range, accuracy, source and status stand beside it."""
    run = sootline("figure", "supply_drop", "source_v=12,4 V", "load_v=10900 mV")
    assert (run.returncode, run.stderr) == (0, "")
    info = registry()["supply_drop"]
    assert run.stdout.split("\n")[0] == f"{info.title}: 1.5 V"
    for wanted in (info.formula, info.accuracy, f"{info.source} ({info.status})", "0 to 60 V", "12.4 V", "10.9 V"):
        assert wanted in run.stdout, wanted


def test_uncertainty_is_shown_when_any_is_given() -> None:
    """Two readings good to 0.05 V differ by a number good to 0.07 V; without one no ± is printed."""
    run = sootline("figure", "supply_drop", "source_v=12.4±0.05", "load_v=10.9+-0.05")
    assert run.stdout.split("\n")[0].endswith(": 1.50 ± 0.07 V")
    assert "source 50 %" in run.stdout
    assert "±" not in sootline("figure", "supply_drop", "source_v=12.4", "load_v=10.9").stdout.split("\n")[0]


def test_json_has_stable_keys_and_the_same_numbers() -> None:
    """Feet, wire sizes and a default: U = 2·L·I/(58·A) with A of AWG 10 from d = 0.127·92^((36−n)/39)."""
    found = told("figure", "cable_drop", "length_m=31ft", "current_a=8±0.4", "area_mm2=AWG 10")
    assert list(found) == [
        "figure", "title", "field", "meaning", "inputs", "result", "contributions", "details", "remarks", "notes",
        "formula", "accuracy", "source", "status",
    ]  # fmt: skip
    area_mm2 = math.pi / 4 * (0.127 * 92 ** ((36 - 10) / 39)) ** 2
    drop_v = 2 * 31 * 0.3048 * 8 / (58 * area_mm2)
    result, inputs = found["result"], found["inputs"]
    assert isinstance(result, dict)
    assert isinstance(inputs, dict)
    assert set(result) == {"value", "unit", "uncertainty", "text", "meaning"}
    assert (result["value"], result["unit"]) == (pytest.approx(drop_v, rel=1e-6), "V")
    assert result["uncertainty"] == pytest.approx(drop_v / 20, rel=1e-6)
    assert inputs["area_mm2"]["value"] == pytest.approx(area_mm2, rel=1e-6)
    assert inputs["area_mm2"]["typed"] == "AWG 10"
    assert (inputs["temperature_c"]["value"], inputs["temperature_c"]["typed"]) == (20.0, None)
    assert all(set(i) == {"value", "unit", "uncertainty", "typed", "range", "meaning"} for i in inputs.values())


def test_list_has_one_line_for_each_figure_under_its_field() -> None:
    """Without a name and with --list all are listed, in the order of the fields."""
    run = sootline("figure")
    assert (run.returncode, run.stderr) == (0, "")
    assert sootline("figure", "--list").stdout == run.stdout
    lines = run.stdout.strip().split("\n")
    headings = [line.rstrip(":") for line in lines if not line.startswith("  ")]
    assert headings == [field.replace("_", " ") for field in FIELDS]
    rows = [line.split()[0] for line in lines if line.startswith("  ")]
    assert rows == list(registry())
    for info in registry().values():
        assert any(line.split()[0] == info.name and line.endswith(info.title) for line in lines)


def test_list_as_json() -> None:
    """The same as data, with the inputs that each wants."""
    figures = told("figure", "--list")["figures"]
    assert isinstance(figures, list)
    assert [row["figure"] for row in figures] == list(registry())
    drop = next(row for row in figures if row["figure"] == "supply_drop")
    assert list(drop["inputs"]) == ["source_v", "load_v"]
    assert drop["inputs"]["load_v"]["unit"] == "V"


def test_unknown_name_offers_the_nearest() -> None:
    """A slip of the finger is answered with the name that was meant."""
    assert "supply_drop" in failed(sootline("figure", "suply_drop", "source_v=12"))


def test_missing_inputs_are_named_with_unit_and_meaning() -> None:
    """The sentence says what to measure and in what unit."""
    sentence = failed(sootline("figure", "air_density", "humidity_pct=40"))
    for name in ("altitude_m", "temperature_c"):
        field = registry()["air_density"].inputs[name]
        assert f"{name} (in {field.unit}): {field.meaning}" in sentence
    assert "humidity_pct" not in sentence


@pytest.mark.parametrize(
    ("arguments", "wanted"),
    [
        (("source_v=12", "load_v=3 kg"), "mass"),
        (("source_v=12", "load_v=80"), "80 V"),
        (("source_v=12", "load_v=nonsense"), "nonsense"),
        (("source_v=12", "load_v=1,234"), "1,234"),
        (("source_v=12", "lode_v=3"), "load_v"),
        (("source_v=12", "load_v="), "has no value"),
        (("source_v=12", "source_v=13", "load_v=2"), "twice"),
        (("12.4",), "key=value"),
        (("=12.4",), "key=value"),
        (("source_v=12", "load_v=10±-1"), "±"),
        (("source_v=12", "load_v=1e999"), "load"),
        (("source_v=12", "load_v=\x1b[31m9\x1b[0m"), "load"),
        (("source_v=12", "load_v=9\n9 kg\n"), "load"),
    ],
)
def test_every_error_is_one_sentence_and_status_2(arguments: tuple[str, ...], wanted: str) -> None:
    """What can't be worked out is told in one line, with nothing in it that steers a terminal."""
    sentence = failed(sootline("figure", "supply_drop", *arguments))
    assert wanted in sentence
    assert "\x1b" not in sentence


def test_help_shows_an_example() -> None:
    """`--help` says how inputs are written."""
    run = sootline("figure", "--help")
    assert run.returncode == 0
    assert "key=value" in run.stdout
