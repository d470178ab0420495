"""Every answer leads on, every step is reached, nothing goes round, no caller is led to what is not for the phone."""

from __future__ import annotations

from typing import Any

import pytest

SMOKE, VOLTS, HANDOVER = "trees/smoke_on_start.yaml", "trees/supply_voltage.yaml", "trees/commissioning.yaml"
GATE, BURNER, HALT = "gate.yaml", "checks/burner.yaml", "trees/gas_before.yaml"
USE = "use:    {no: 205, check: habits, then: look_in}"

# code, file, what stands there, what is written instead (‹ › mark where the problem must be seen), words of the help
CASES = [
    ("unrouted", SMOKE, "go: {short: supply, stays: supply}", "‹go›: {short: supply}", "`stays: step`"),
    (
        "unrouted",
        SMOKE,
        "go: [{on: [little, none, scattered], to: share}",
        "‹go›: [{on: [little, none], to: share}",
        "`scattered: step`",
    ),
    ("unrouted", SMOKE, "go: {fresh: share, old: share}", "‹go›: {fresh: share}", "`old: step`"),
    (
        "unrouted",
        SMOKE,
        "go: {cured: over, still: over}, then: bring_it",
        "‹go›: {cured: over, still: over}",
        "not_tried",
    ),
    ("routed-twice", SMOKE, "{on: [enough], to: look_in}", "{on: [enough, ‹none›], to: look_in}", "once"),
    ("unknown-answer", SMOKE, "go: {normal: use, low: use}", "go: {normal: use, ‹lo›: use}", "`low`?"),
    ("unknown-answer", SMOKE, "go: {normal: use, low: use}", "go: {normal: use, low: use, ‹zzz›: use}", "normal, low"),
    (
        "unknown-answer",
        SMOKE,
        "go: {normal: use, low: use}",
        "go: {normal: use, low: use, ‹unknown›: use}",
        "beside `go`",
    ),
    (
        "unknown-answer",
        SMOKE,
        USE,
        "use:    {no: 205, check: habits, go: {‹low›: look_in}, then: look_in}",
        "use `then`",
    ),
    ("unknown-answer", SMOKE, "{cured: over, still: over}", "{cured: over, ‹stil›: over, still: over}", "`still`?"),
    ("no-unknown", SMOKE, "go: {normal: use, low: use}, unknown: use", "‹go›: {normal: use, low: use}", "`unknown:`"),
    (
        "no-unknown",
        SMOKE,
        "go: {fresh: share, old: share}, unknown: share",
        "‹go›: {fresh: share, old: share}",
        "`unknown:`",
    ),
    ("dead-end", SMOKE, USE, "‹use›:    {no: 205, check: habits}", "`then:`"),
    ("dead-end", SMOKE, USE, "use:    {no: 205, check: habits, ‹go›: {}, unknown: look_in}", "`then:`"),
    (
        "dead-end",
        SMOKE,
        "supply: {no: 202, run: supply_voltage, then: fuel}",
        "‹supply›: {no: 202, run: supply_voltage}",
        "`then:`",
    ),
    (
        "unused-then",
        SMOKE,
        "go: {normal: use, low: use}, unknown",
        "go: {normal: use, low: use}, ‹then›: use, unknown",
        "leave",
    ),
    ("unreachable", SMOKE, "  over:  ", "  ‹aside›: {no: 220, check: habits, then: over}\n  over:  ", "lead to it"),
    ("number-twice", SMOKE, "{no: 209,", "{no: ‹208›,", "highest so far is 501"),
    ("number-twice", HALT, "no: 501", "no: ‹2›", "is 402"),
    ("tree-shared", VOLTS, "shared: true", "shared: true\n‹phone_exit›: back", "leave it out"),
    ("tree-shared", VOLTS, "shared: true", "shared: true\n‹complaint›: {words: [a]}", "leave it out"),
    ("tree-shared", SMOKE, "over_to: commissioning", "over_to: ‹supply_voltage›", "`run:` with `then:`"),
    ("tree-shared", GATE, "opens: gas_before", "opens: ‹supply_voltage›", "not shared"),
    ("tree-not-shared", SMOKE, "run: supply_voltage", "run: ‹commissioning›", "`over_to`"),
    (
        "return-unshared",
        HANDOVER,
        "{no: 402, end: released, text: Tell the customer.}",
        "{no: 402, ‹return›: true}",
        "shared: true",
    ),
    (
        "not-for-place",
        SMOKE,
        "{check: last_filled, go: {fresh: share, old: share}",
        "{check: ‹insert›, go: {clean: share, coked: share}",
        "phone",
    ),
    (
        "gate-unknown",
        GATE,
        "stop: exhaust_gas}\n  unknown: yes",
        "stop: exhaust_gas}\n  unknown: ‹no›",
        "`unknown: yes`",
    ),
    (
        "gate-unknown",
        GATE,
        "opens: gas_before}\n  unknown: yes",
        "opens: gas_before}\n  unknown: ‹no›",
        "`unknown: yes`",
    ),
    ("unknown-answer", GATE, "opens: gas_before}\n  unknown: yes", "opens: gas_before}\n  unknown: ‹yess›", "`yes`?"),
    ("phone-inside", BURNER, "  place: [bench]\n  inside", "  place: ‹[bench, phone]›\n  inside", "[bench, site]"),
    ("phone-inside", BURNER, "  place: [bench]\n  inside", "  ‹inside›", "[bench, site]"),
]


@pytest.mark.parametrize(("code", "file", "old", "new", "cure"), CASES)
def test_problem_of_a_tree(tiny: Any, code: str, file: str, old: str, new: str, cure: str) -> None:
    """One flaw in a tree gives exactly one problem, at its line and column, with a word on the cure."""
    problem = tiny.change(file, old, new).only_problem(file)
    assert problem.code == code, problem
    assert cure in problem.help, problem.help


def circle_of(tiny: Any) -> Any:
    """Check, and return the circle that must be the only problem."""
    (problem,) = tiny.check().problems
    assert problem.code == "circle"
    return problem


def test_circle_inside_a_tree_is_the_path_with_its_lines(tiny: Any) -> None:
    """A way that leads back is shown from the step written first, each step with its number and the way it takes."""
    problem = circle_of(tiny.change(SMOKE, "go: {clean: over, coked: work}", "go: {clean: share, coked: work}"))
    assert problem.message == "the steps go round in a circle: share → use → look_in → share"
    assert (problem.spot.line, problem.spot.column) == (13, 49)
    assert [(spot.line, spot.column, text) for spot, text in problem.notes] == [
        (11, 52, "`share` (no 204) by normal, low, unknown to `use`"),
        (12, 42, "`use` (no 205) by then to `look_in`"),
        (13, 49, "`look_in` (no 206) by clean to `share`"),
    ]


def test_circle_across_trees_names_the_trees(tiny: Any) -> None:
    """A handover that hands back is a circle, though each tree by itself has none."""
    problem = circle_of(tiny.change(HANDOVER, "end: released, text: Tell the customer.", "over_to: smoke_on_start"))
    assert "commissioning.done → smoke_on_start.watch" in problem.message or "smoke_on_start.watch →" in problem.message
    assert {spot.file for spot, _ in problem.notes} == {SMOKE, HANDOVER}


def test_shared_tree_that_runs_itself_is_a_circle(tiny: Any) -> None:
    """Running a tree from within itself never ends."""
    tiny.change(VOLTS, "go: {low: back, good: back}", "go: {low: again, good: back}")
    tiny.change(VOLTS, "  back:", "  again: {no: 303, run: supply_voltage, then: back}\n  back:")
    problem = circle_of(tiny)
    assert problem.message.endswith("volts → again → volts")
    assert (problem.spot.line, problem.spot.column) == (6, 25)


def test_step_that_leads_to_itself_is_a_circle(tiny: Any) -> None:
    """The shortest circle has one step."""
    problem = circle_of(
        tiny.change(SMOKE, USE, USE.replace("look_in", "use")).change(
            SMOKE, "low: use}, unknown: use", "low: use}, unknown: look_in"
        )
    )
    assert problem.message.endswith("use → use")


def test_shortest_of_several_circles_is_shown(tiny: Any) -> None:
    """Of a long way round and a short one the short one is told."""
    tiny.change(SMOKE, "go: {clean: over, coked: work}", "go: {clean: supply, coked: work}")
    tiny.change(SMOKE, "{on: [enough], to: look_in}", "{on: [enough], to: supply}")
    problem = circle_of(tiny.change(SMOKE, "check: insert, go", "check: insert, text: Look, go"))
    assert problem.message.endswith("supply → fuel → supply")


def test_the_same_shared_tree_run_twice_is_no_circle(tiny: Any) -> None:
    """Coming back to different steps does not join them."""
    tiny.change("checks/burner.yaml", "  tick:", "  intake: true\n  tick:")
    tiny.change(SMOKE, USE, "use:    {no: 205, run: supply_voltage, then: look_in}")
    assert [p.code for p in tiny.check().problems] == []


def test_only_the_first_of_a_lost_string_of_steps_is_told(tiny: Any) -> None:
    """What hangs on an unreachable step is not reported again."""
    tiny.change(
        SMOKE,
        "  over:  ",
        "  ‹one›: {no: 220, check: habits, then: two}\n  two: {no: 221, check: habits, then: over}\n  over:  ",
    )
    assert tiny.only_problem(SMOKE).code == "unreachable"


def test_unknown_step_does_not_make_others_unreachable(tiny: Any) -> None:
    """One wrong step name is one problem, though the step it meant is now reached by nothing."""
    tiny.change(SMOKE, "low: use}, unknown: use", "low: ‹uss›}, unknown: uss").change(
        SMOKE, "{normal: use,", "{normal: uss,"
    )
    problems = tiny.check().problems
    assert [p.code for p in problems] == ["unknown-name"]


def test_shared_tree_without_return(tiny: Any) -> None:
    """A shared tree must come back by some step."""
    tiny.change(VOLTS, "return: true", "end: released").change(VOLTS, "shared: true", "‹shared›: true")
    problem = tiny.only_problem(VOLTS)
    assert problem.code == "no-return"
    assert "return: true" in problem.help


def test_caller_is_led_to_a_check_that_is_not_for_the_phone(tiny: Any) -> None:
    """Without `instead` and `phone_exit` a telephone walk would stand before a check that no caller can make."""
    tiny.change(HANDOVER, "phone_exit: done\n", "").change(HANDOVER, "check: gap", "check: ‹gap›")
    tiny.change(SMOKE, "go: {short: supply, stays: supply}", "go: {short: over, stays: supply}")
    problem = tiny.only_problem(HANDOVER)
    assert problem.code == "phone-dead-end"
    assert "instead: {phone: …}" in problem.help


def test_check_that_no_caller_comes_to_needs_no_way_out(tiny: Any) -> None:
    """Steps behind a check that is not for the phone are not on any caller's way."""
    tiny.change(HANDOVER, "phone_exit: done\n", "").change("checks/burner.yaml", "  tick:", "  intake: true\n  tick:")
    tiny.change(SMOKE, USE, "use:    {no: 205, check: insert, go: {clean: look_in, coked: look_in}, unknown: look_in}")
    assert tiny.check().problems == ()


def test_phone_exit_must_not_lead_to_another_such_check(tiny: Any) -> None:
    """Behind the exit there is no second exit."""
    tiny.change(SMOKE, "phone_exit: bring_it", "phone_exit: look_in").change(SMOKE, "check: insert", "check: ‹insert›")
    problem = tiny.only_problem(SMOKE)
    assert problem.code == "phone-dead-end"
    assert "behind the phone exit" in problem.message


def test_number_of_a_gate_question_counts_too(tiny: Any) -> None:
    """The note tells who has the number."""
    problem = tiny.change(HALT, "no: 501", "no: ‹1›").only_problem(HALT)
    assert [(spot.file, spot.line, text) for spot, text in problem.notes] == [(GATE, 2, "`alarm` has it")]


def test_tree_that_nothing_begins_is_a_warning(tiny: Any) -> None:
    """A shared tree is run, another one is opened by a complaint, the gate or a handover."""
    tiny.change(SMOKE, "run: supply_voltage, then: fuel", "check: habits, then: fuel").change(
        VOLTS, "title:", "‹title›:"
    )
    problem = tiny.only_problem(VOLTS)
    assert (problem.code, problem.severity) == ("unused-tree", "warning")


def test_note_why_a_tree_is_slower_has_figure_and_reason(tiny: Any) -> None:
    """The per cent that were weighed and the reason, or no note at all."""
    note = "slower: {per_cent: 27, because: It looks before it opens.}"
    tree = tiny.change(SMOKE, "begin: watch\n", f"begin: watch\n{note}\n").check().book.trees["smoke_on_start"]
    assert (tree.slower.per_cent, tree.slower.because) == (27, "It looks before it opens.")
    assert str(tree.slower) == "27 % slower: It looks before it opens."
    tiny.change(SMOKE, note, "‹slower›: {per_cent: 27}")
    assert tiny.only_problem(SMOKE).code == "missing-key"
    tiny.change(SMOKE, "slower: {per_cent: 27}", "slower: {per_cent: ‹-3›, because: It looks before it opens.}")
    assert tiny.only_problem(SMOKE).code == "number-out-of-range"
