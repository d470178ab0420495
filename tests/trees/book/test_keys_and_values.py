"""Keys and values of records: each problem is told once, where it stands, with what to write instead."""

from __future__ import annotations

from typing import Any

import pytest

BOOK, SIGNS, CAUSES, FIXES = "book.yaml", "signs.yaml", "causes.yaml", "fixes.yaml"
FAMILIES, BURNER, SUPPLY, SMOKE = (
    "families.yaml",
    "checks/burner.yaml",
    "checks/supply.yaml",
    "trees/smoke_on_start.yaml",
)

TWO = "[{id: a, means: A}, {id: b, means: B}]"
LOADED = "loaded:\n  measure: Voltage at the plug while the pin glows\n  place: [bench, site]\n"

# code, file, what stands there, what is written instead (‹ › mark where the problem must be seen), words of the help
CASES = [
    ("unknown-key", CAUSES, "  leads_to: [insert_coked]", "  ‹lead_to›: [insert_coked]", "did you mean `leads_to`?"),
    ("unknown-key", CAUSES, "  leads_to: [insert_coked]", "  ‹colour›: red", "here may stand: name, kind"),
    ("wrong-type", BURNER, "  unit: mm\n", "  unit: mm\n  uncertainty: ‹3 %›\n", "in the unit that belongs here"),
    ("unknown-key", BURNER, "means: Coked,", "‹Means›: Coked,", "did you mean `means`?"),
    ("unknown-key", BURNER, "  look: What", "  ‹lok›: What", "did you mean `look`?"),
    ("unknown-key", BURNER, "  inside: true", "  inside: true\n  ‹unit›: mm", "belongs to `measure` and `figure`"),
    ("unknown-key", SMOKE, "end: to_workshop,", "end: to_workshop, ‹then›: over,", "belongs to"),
    ("unknown-key", SMOKE, "phone_exit: bring_it", "‹phone_exti›: bring_it", "did you mean `phone_exit`?"),
    (
        "missing-key",
        CAUSES,
        "cable_thin:\n  name: Supply cable too thin\n",
        "‹cable_thin›:\n",
        "write `name:` and text",
    ),
    (
        "missing-key",
        BURNER,
        "{id: clean, means: Clean, says: {coke: none}, rules_out: [insert_coked]}",
        "‹{id: clean}›",
        "`means:`",
    ),
    ("missing-key", BURNER, "insert:\n  look: What is on the burner insert?\n", "‹insert›:\n", "ask, look, measure"),
    ("missing-key", SMOKE, "watch:  {no: 201,", "‹watch›:  {", "1000000: its number on paper"),
    ("missing-key", SMOKE, "watch:  {no: 201,", "‹watch›:  {", "`sootline number`"),
    ("missing-key", SUPPLY, LOADED + "  unit: V\n", "‹loaded›:" + LOADED[7:], "`unit:`"),
    ("two-forms", BURNER, "  look: What is on", "  look: What\n  ‹ask›: What is on", "make two of it"),
    (
        "two-forms",
        SUPPLY,
        "readings: {low",
        "‹bands›: [{upto: 1, id: a, means: A}, {above: 1, id: b, means: B}]\n  readings: {low",
        "figure",
    ),
    ("two-forms", SMOKE, "{no: 209, end: to_workshop,", "{no: 209, end: to_workshop, ‹stop›: exhaust_gas,", "make two"),
    ("empty-value", CAUSES, "name: Supply cable too thin", "‹name›:", "write text"),
    ("empty-value", CAUSES, "name: Supply cable too thin", 'name: ‹""›', "leave the key out"),
    ("empty-value", SMOKE, "bring: [the unit]", "‹bring›: ", "a list"),
    ("wrong-type", CAUSES, "name: Supply cable too thin", "name: ‹[a, b]›", "goes into quotes"),
    ("wrong-type", CAUSES, "leads_to: [insert_coked]", "leads_to: ‹insert_coked›", "a list"),
    ("wrong-type", CAUSES, "share: 6\n", "share: ‹six›\n", "a number from 0 to 100"),
    ("wrong-type", CAUSES, "share: 6\n", "share: ‹[6]›\n", "a number from 0 to 100"),
    ("wrong-type", FIXES, "minutes: 45", "minutes: ‹45 min›", "write 45 alone"),
    ("wrong-type", BURNER, "inside: true", "inside: ‹yes›", "write true"),
    ("wrong-type", BURNER, "inside: true", "inside: ‹No›", "write false"),
    ("wrong-type", SIGNS, "{name: Too few volts}", "‹Too few volts›", "a mapping with name"),
    (
        "wrong-type",
        BURNER,
        "answers:\n    - {id: clean",
        "answers:\n    - ‹clean›\n    - {id: clean",
        "a mapping with id",
    ),
    ("bad-name", SIGNS, "volts_low: {", "‹Volts low›: {", "write `volts_low`"),
    ("bad-name", BURNER, "id: coked,", "id: ‹co-ked›,", "write `co_ked`"),
    ("not-a-choice", CAUSES, "  kind: root\n", "  kind: ‹rot›\n", "did you mean `root`?"),
    ("not-a-choice", BURNER, "place: [bench]", "place: [‹boat›]", "bench, site, phone"),
    ("not-a-choice", SUPPLY, "source: practice", "source: ‹published›", "{published: its name"),
    ("not-a-choice", "trees/supply_voltage.yaml", "return: true", "return: ‹false›", "write true"),
    ("not-a-date", BOOK, '"2026-11-25"', "‹25.11.2026›", "year-month-day"),
    ("not-a-date", BOOK, '"2026-11-25"', "‹2026-02-30›", "year-month-day"),
    ("odd-number", CAUSES, "share: 6\n", "share: ‹010›\n", "write 10"),
    ("odd-number", CAUSES, "share: 6\n", "share: ‹1_0›\n", "write 10"),
    ("odd-number", CAUSES, "share: 6\n", "share: ‹12:30›\n", "decimal point"),
    ("odd-number", CAUSES, "share: 6\n", "share: ‹0x1F›\n", "decimal point"),
    ("odd-number", CAUSES, "share: 6\n", "share: ‹6,5›\n", "6.5"),
    ("odd-number", CAUSES, "share: 6\n", "share: ‹.5›\n", "write 0.5"),
    ("odd-number", CAUSES, "share: 6\n", "share: ‹2024-01-05›\n", "decimal point"),
    ("number-not-finite", CAUSES, "share: 6\n", "share: ‹.inf›\n", "a number from 0 to 100"),
    ("number-not-finite", CAUSES, "share: 6\n", "share: ‹nan›\n", "a number from 0 to 100"),
    ("number-not-finite", CAUSES, "share: 6\n", "share: ‹1e999›\n", "a number from 0 to 100"),
    ("number-out-of-range", CAUSES, "share: 6\n", "share: ‹101›\n", "from 0 to 100"),
    ("number-out-of-range", CAUSES, "share: 6\n", "share: ‹-6›\n", "from 0 to 100"),
    ("number-out-of-range", CAUSES, "share: 6\n", "share: ‹0›\n", "above 0"),
    ("number-out-of-range", SUPPLY, "repeat: 3", "repeat: ‹2.5›", "a whole number"),
    ("list-length", SUPPLY, "plausible: [6, 32]", "plausible: ‹[6, 24, 32]›", ""),
    ("list-length", SIGNS, "levels: [none, light, hard]", "levels: ‹[hard]›", ""),
    ("unknown-word", CAUSES, "volts_low: usually", "volts_low: ‹usualy›", "did you mean `usually`?"),
    ("unknown-word", CAUSES, "{light: often, hard: 0.25}", "{light: ‹mostly›, hard: 0.25}", "usually, often, rarely"),
    ("chances-over-one", CAUSES, "{light: often, hard: 0.25}", "‹{light: often, hard: 0.5}›", "sum to 1"),
    ("chances-over-one", SIGNS, "{light: 0.03, hard: 0.01}", "‹{light: 0.6, hard: 0.4}›", "less than 1"),
    ("missing-key", SIGNS, "unprompted: {light: 0.03, hard: 0.01}", "‹unprompted›: {light: 0.03}", "each level"),
    ("duplicate-key", SIGNS, "levels: [none, light, hard]", "levels: [none, light, hard, ‹light›]", "once"),
    (
        "duplicate-key",
        SUPPLY,
        "last_filled:\n",
        f"‹smoke›:\n  ask: Again?\n  answers: {TWO}\nlast_filled:\n",
        "burner.yaml, line 1",
    ),
]


@pytest.mark.parametrize(("code", "file", "old", "new", "cure"), CASES)
def test_problem_of_a_value(tiny: Any, code: str, file: str, old: str, new: str, cure: str) -> None:
    """One wrong key or value gives exactly one problem, at its line and column, with a word on the cure."""
    problem = tiny.change(file, old, new).only_problem(file)
    assert problem.code == code, problem
    assert cure in problem.help, problem.help


def test_all_problems_come_in_one_run_by_file_and_line(tiny: Any) -> None:
    """Three slips in two files are told together, sorted."""
    tiny.change(CAUSES, "  share: 6\n", "  share: six\n").change(CAUSES, "leads_to: [insert_coked]", "leads_to: yes")
    tiny.change(BOOK, "source: memory\n", "unprompted: 3\nsource: memory\n")
    problems = tiny.check().problems
    assert [(p.spot.file, p.spot.line, p.code) for p in problems] == [
        (BOOK, 9, "number-out-of-range"),
        (CAUSES, 12, "wrong-type"),
        (CAUSES, 14, "wrong-type"),
    ]


def test_broken_record_blames_no_one_who_names_it(tiny: Any) -> None:
    """A check, cause or sign that can't be read is still known by its name."""
    tiny.change(BURNER, "  look: How long", "  lok: How long").change(CAUSES, "  share: 14\n", "  share: lots\n")
    tiny.change(SIGNS, "smoke_stays: {name: Smokes on and on}", "smoke_stays: {nam: Smokes on and on}")
    assert [p.code for p in tiny.check().problems] == ["wrong-type", "unknown-key", "unknown-key"]


def test_problem_inside_a_block_scalar_and_a_nested_flow_map(tiny: Any) -> None:
    """Places are exact below and inside every style of YAML."""
    tiny.change(
        FIXES,
        "do: Replace the burner insert",
        "do: >-\n    Replace the\n    burner insert\n  how: |\n    1. Open.\n    2. Take out.",
    )
    tiny.change(FIXES, "minutes: 45", "minutes: ‹many›")
    assert tiny.only_problem(FIXES).code == "wrong-type"
    assert tiny.marked[FIXES][0] == 8
