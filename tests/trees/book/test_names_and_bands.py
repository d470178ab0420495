"""Names lead somewhere, figures get their inputs, bands rise and cover what is plausible for every family."""

from __future__ import annotations

from typing import Any

import pytest

SIGNS, CAUSES, FIXES, FAMILIES = "signs.yaml", "causes.yaml", "fixes.yaml", "families.yaml"
BURNER, SUPPLY, SMOKE = "checks/burner.yaml", "checks/supply.yaml", "trees/smoke_on_start.yaml"

HOURS = """\
{low: {unit: h}, high: {unit: h}}
low_share:
  figure: low_fire_share
  from: {low: hours.low, medium: hours.low, high: hours.high}
"""

# code, file, what stands there, what is written instead (‹ › mark where the problem must be seen), words of the help
NAMES = [
    ("unknown-name", CAUSES, "leads_to: [insert_coked]", "leads_to: [insert_coked, ‹insert_cokd›]", "`insert_coked`?"),
    ("unknown-name", CAUSES, "fixes: [replace_insert]", "fixes: [‹replace_inserts›]", "`replace_insert`?"),
    ("unknown-name", CAUSES, "{volts_low: usually}", "{volts_low: usually, ‹volts_lw›: rarely}", "`volts_low`?"),
    ("unknown-name", SIGNS, "excludes: [dose_high]", "excludes: [‹dose_hihg›]", "`dose_high`?"),
    ("unknown-name", FIXES, "needs: [torch]", "needs: [‹Torch›]", "`torch`?"),
    ("unknown-name", FIXES, "cautions: [hot_parts]", "cautions: [‹hot_part›]", "`hot_parts`?"),
    ("unknown-name", BURNER, "acts: [look_outside]", "acts: [‹look_inside›]", "`look_outside`?"),
    ("unknown-name", BURNER, "finds: [insert_coked]", "finds: [‹zzz›]", "causes.yaml"),
    ("unknown-name", BURNER, "{coke: hard}", "{‹cok›: hard}", "`coke`?"),
    ("unknown-name", SMOKE, "complaint: {words: [white smoke, smokes on start], says: {smoke_stays: yes}}",
     "complaint: {words: [white smoke], says: {‹smoke_stay›: yes}}", "`smoke_stays`?"),
    ("unknown-name", SMOKE, "run: supply_voltage", "run: ‹supply_volts›", "`supply_voltage`?"),
    ("unknown-name", SMOKE, "do: replace_insert", "do: ‹replaceinsert›", "`replace_insert`?"),
    ("unknown-name", SMOKE, "check: habits", "check: ‹habit›", "`habits`?"),
    ("unknown-name", SMOKE, "{check: last_filled,", "{check: ‹last_filed›,", "`last_filled`?"),
    ("unknown-name", SMOKE, "then: fuel", "then: ‹feul›", "`fuel`?"),
    ("unknown-name", SMOKE, "on: [enough], to: look_in", "on: [enough], to: ‹lookin›", "`look_in`?"),
    ("unknown-name", SMOKE, "begin: watch", "begin: ‹wach›", "`watch`?"),
    ("unknown-name", SMOKE, "phone_exit: bring_it", "phone_exit: ‹bringit›", "`bring_it`?"),
    ("unknown-name", "gate.yaml", "stop: exhaust_gas", "stop: ‹exhaust›", "cautions.yaml"),
    ("unknown-name", "gate.yaml", "opens: gas_before", "opens: ‹gas_befor›", "`gas_before`?"),
    ("unknown-name", "trees/gas_before.yaml", "stop: exhaust_gas", "stop: ‹exhaust_gass›", "`exhaust_gas`?"),
    ("unknown-name", SUPPLY, "figure: low_fire_share", "figure: ‹low_fire_shar›", "`low_fire_share`?"),
    ("unknown-name", SUPPLY, "{low: hours.low, medium: hours.low, high: hours.high}",
     "{low: hours.low, medium: hours.low, high: ‹houres.high›}", "`hours`?"),
    ("unknown-name", SUPPLY, "of: [family.dose]", "of: [‹figure.low_shar›]", "`low_share`?"),
    ("unknown-level", BURNER, "{coke: hard}", "{coke: ‹hrad›}", "`hard`?"),
    ("unknown-level", BURNER, "{smoke_stays: no}", "{smoke_stays: ‹never›}", "no, yes"),
    ("unknown-level", CAUSES, "{light: often, hard: 0.25}", "{light: often, ‹heavy›: 0.25}", "light, hard"),
    ("unknown-level", CAUSES, "{light: often, hard: 0.25}", "{‹none›: often, hard: 0.25}", "light, hard"),
    ("unknown-reading", SUPPLY, "medium: hours.low", "medium: ‹hours.lo›", "`hours.low`"),
    ("unknown-reading", SUPPLY, "medium: hours.low", "medium: ‹hours›", "`hours.low`"),
    ("unknown-reading", SUPPLY, "medium: hours.low", "medium: ‹loaded.low›", "`loaded` alone"),
    ("no-number", SUPPLY, "medium: hours.low", "medium: ‹smoke›", "measures or works out"),
    ("no-number", SUPPLY, "of: [family.dose]", "of: [‹figure.loaded›]", "form `figure`"),
    ("unknown-input", SUPPLY, "medium: hours.low", "‹medum›: hours.low", "`medium`?"),
    ("missing-input", SUPPLY, "from: {low: hours.low, medium: hours.low, high: hours.high}",
     "‹from›: {low: hours.low, high: hours.high}", "`medium:`"),
    ("figure-circle", SUPPLY, "from: {low: hours.low, medium: hours.low, high: hours.high}",
     "from: ‹{low: hours.low, medium: low_share, high: hours.high}›", "reading"),
    ("reserved-answer", BURNER, "id: none, means: None of these", "id: ‹unknown›, means: None of these", "leave"),
    ("duplicate-answer", BURNER, "id: none, means: None of these", "id: ‹low›, means: None of these", "otherwise"),
    ("excludes-itself", SIGNS, "excludes: [dose_high]", "excludes: [‹dose_low›]", "opposite"),
    ("value-of-no-family", SUPPLY, "of: [family.dose]", "of: [‹family.dos›]", "`dose`?"),
    ("for-no-family", BURNER, "  unit: mm\n", "  unit: mm\n  for: ‹{medium: coolant}›\n", "families.yaml"),
    ("for-no-family", BURNER, "  unit: mm\n", "  unit: mm\n  for: ‹{medium: any, voltage: 48}›\n", "families.yaml"),
    ("unknown-name", BURNER, "  unit: mm\n", "  unit: mm\n  for: {medium: ‹colant›}\n", "`coolant`?"),
    ("unknown-name", FAMILIES, "Air heater, 12 V\n  medium: air", "Air heater, 12 V\n  medium: ‹petrol›",
     "book.yaml under media"),
    ("long-question", BURNER,
     "look: How long does it smoke after it lights?", "look: ‹" + "word " * 20 + "word›", "one thing"),
    ("long-answer", BURNER,
     "means: It never clears", "means: ‹It smokes and smokes and smokes and smokes on›", "shorter"),
    ("many-answers", BURNER, "habits:\n",
     "  or: [" + "".join(f"{{id: o{n}, means: O}}, " for n in range(6)) + "{id: ‹o6›, means: O}]\nhabits:\n",
     "two questions"),
]  # fmt: skip
BANDS = [
    ("bands-not-rising", BURNER, "{upto: 0.2, id: rubbing, means: Rubbing}\n    - {upto: family.gap_max,",
     "{upto: 0.5, id: rubbing, means: Rubbing}\n    - {upto: ‹0.5›,", "rising order"),
    ("band-gap", SUPPLY, "{above: 0.7,", "{above: ‹0.8›,", "`above: 0.7`"),
    ("bands-overlap", SUPPLY, "{above: 0.7,", "{above: ‹0.6›,", "`above: 0.7`"),
    ("band-gap", SUPPLY, "{above: {12: 11.5, 24: 23.0},", "{above: ‹{12: 11.5, 24: 23.5}›,", "{12: 11.5, 24: 23}"),
    ("bands-overlap", BURNER, "{above: family.gap_max", "{above: ‹0.4›", "`above: family.gap_max`"),
    ("band-edges", SUPPLY, "{above: 0.7, id: low,", "{id: ‹low›,", "`above: 0.7`"),
    ("band-edges", SUPPLY, "{above: 0.7, id: low,", "{‹upto›: 0.9, id: low,", "`above: 0.7`"),
    ("band-edges", SUPPLY, "{above: 0.7, id: low,", "{above: 0.7, ‹upto›: 0.9, id: low,", "take `upto` out"),
    ("band-edges", SUPPLY, "{upto: 0.7, id: normal,", "{‹above›: 0.7, id: normal,", "only the last"),
    ("unknown-unit", BURNER, "unit: mm", "unit: ‹milimetre›", "such as V"),
    ("unknown-unit", FAMILIES, "gap_max: {value: 0.4, unit: mm}", "gap_max: {value: 0.4, unit: ‹gaps›}", "such as V"),
    ("unit-differs", SUPPLY, HOURS,
     HOURS.replace("high: {unit: h}", "high: {unit: min}").replace("hours.high", "‹hours.high›"), "both be in `h`"),
    ("unit-differs", SUPPLY, 'unit: "1"', 'unit: ‹"%"›', "both be in `%`"),
    ("unit-differs", SUPPLY, "of: [family.dose]", "of: [‹family.gap_max›]", "in `ml`"),
    ("figure-range", SUPPLY, HOURS, HOURS.replace("high: {unit: h}", "high: {unit: h, plausible: [0, 200000]}")
     .replace("hours.high", "‹hours.high›"), "narrow `plausible`"),
    ("voltage-missing", SUPPLY, "upto: {12: 11.5, 24: 23.0}", "upto: ‹{12: 11.5}›", "`24:`"),
    ("plausible-range", SUPPLY, "plausible: [0, 1]", "plausible: ‹[1, 0]›", "lowest"),
    ("band-implausible", SUPPLY, "plausible: [0, 1]\n  bands:\n    - {upto: 0.7,",
     "plausible: [0, 0.7]\n  bands:\n    - {upto: ‹0.7›,", "0.7"),
    ("spread-of-one", SUPPLY, "  repeat: 3\n  spread", "  ‹spread›", "`repeat: 3`"),
    ("wrong-type", SUPPLY, "{upto: 0.7,", "{upto: ‹much›,", "family.value"),
    ("of-without-bands", BURNER, "habits:\n",
     "flow:\n  measure: Flow\n  place: [bench]\n  unit: ml\n  ‹of›: [family.dose]\nhabits:\n", "write `bands`"),
    ("wrong-type", SUPPLY, "of: [family.dose]", "of: [‹dose›]", "family.value"),
]  # fmt: skip


@pytest.mark.parametrize(("code", "file", "old", "new", "cure"), NAMES + BANDS)
def test_problem_of_a_name_or_band(tiny: Any, code: str, file: str, old: str, new: str, cure: str) -> None:
    """One wrong name or edge gives exactly one problem, at its line and column, with the nearest name or the cure."""
    problem = tiny.change(file, old, new).only_problem(file)
    assert problem.code == code, problem
    assert cure in problem.help, problem.help


def test_name_missed_in_several_places_is_one_problem(tiny: Any) -> None:
    """A sign that was renamed is reported once, with the other places in notes."""
    tiny.change(SIGNS, "volts_low:", "volts_too_low:")
    checked = tiny.check()
    assert [(p.code, p.spot.file) for p in checked.problems] == [("unknown-name", CAUSES)]
    assert [(spot.file, spot.line) for spot, _ in checked.problems[0].notes] == [(SUPPLY, 8), (SUPPLY, 9)]


def test_bands_are_proved_for_each_family_on_its_own(tiny: Any) -> None:
    """Edges that rise for one family and fall for another name the family for which they fall."""
    tiny.change(FAMILIES, "gap_max: {value: 0.4, unit: mm}", "gap_max: {value: 0.1, unit: mm}")
    tiny.change(BURNER, "upto: family.gap_max", "upto: ‹family.gap_max›")
    problem = tiny.only_problem(BURNER)
    assert problem.code == "bands-not-rising"
    assert "`air_12`" in problem.message
    assert "0.2" in problem.message


def test_value_that_one_family_lacks_is_asked_for_and_no_problem(tiny: Any) -> None:
    """A family need not state every value: the walk asks for it at the unit."""
    tiny.change(FAMILIES, ", gap_max: {value: 0.4, unit: mm}", "")
    assert tiny.check().problems == ()


def test_families_a_check_does_not_apply_to_do_not_matter(tiny: Any) -> None:
    """With `for: {voltage: 12}` an edge for 24 V may be missing."""
    tiny.change(SUPPLY, "upto: {12: 11.5, 24: 23.0}", "upto: {12: 11.5}").change(
        SUPPLY, "above: {12: 11.5, 24: 23.0}", "above: {12: 11.5}"
    )
    tiny.change(SUPPLY, "  plausible: [6, 32]\n", "  plausible: [6, 32]\n  for: {voltage: 12}\n")
    assert tiny.check().problems == ()


def test_circle_of_causes_is_shown_as_a_path(tiny: Any) -> None:
    """Each cause of the circle is noted with its line."""
    tiny.change(CAUSES, "share: 14\n", "share: 14\n  leads_to: [cable_thin]\n")
    (problem,) = tiny.check().problems
    assert problem.code == "cause-circle"
    assert "insert_coked → cable_thin → insert_coked" in problem.message
    assert [(spot.line, text) for spot, text in problem.notes] == [
        (6, "`insert_coked` leads to `cable_thin`"),
        (15, "`cable_thin` leads to `insert_coked`"),
    ]


def test_voltage_that_two_edges_lack_is_one_problem(tiny: Any) -> None:
    """A family of another voltage is told once, with the other edge in a note."""
    tiny.change(SUPPLY, "upto: {12: 11.5, 24: 23.0}", "upto: ‹{12: 11.5}›").change(
        SUPPLY, "above: {12: 11.5, 24: 23.0}", "above: {12: 11.5}"
    )
    problem = tiny.only_problem(SUPPLY)
    assert [(spot.line, spot.column) for spot, _ in problem.notes] == [(9, 15)]
