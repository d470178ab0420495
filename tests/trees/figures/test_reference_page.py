"""The reference page of the figures says what the registration says."""

from __future__ import annotations

from trees.figures import FIELDS, registry
from trees.figures.reference_page import PAGE, reference_page


def test_the_page_is_what_the_registration_makes() -> None:
    """README.md equals the generated page; write it anew with `python -m trees.figures.reference_page`."""
    assert PAGE.read_text(encoding="utf-8") == reference_page()


def test_the_page_names_every_figure_input_and_source() -> None:
    """No figure, input, formula or source is left out."""
    page = reference_page()
    for info in registry().values():
        assert f"### {info.name}\n" in page
        assert info.formula in page
        assert info.source in page
        for name in info.inputs:
            assert f"| `{name}` |" in page


def test_every_field_of_the_trade_has_figures() -> None:
    """No field of the registration is empty, and every figure belongs to one."""
    fields = {info.field for info in registry().values()}
    assert fields == set(FIELDS)


def test_the_figures_of_the_design_are_there() -> None:
    """The list of the design's section 9 is covered, each by at least one figure."""
    wanted = {
        "air_density", "excess_air_from_co2", "excess_air_from_o2", "co_undiluted", "flue_loss", "thermal_input",
        "excess_air_after_dose", "dose_correction", "duct_pressure_loss", "duct_equivalent_length", "heat_load",
        "idle_share", "low_fire_share", "mean_run_length", "supply_drop", "element_power", "element_resistance",
        "battery_charge", "pt_temperature", "ntc_temperature", "thermocouple_temperature", "conformity_upper",
        "co_share_of_guideline", "cable_drop", "dose_expected",
    }  # fmt: skip
    assert wanted <= set(registry())
