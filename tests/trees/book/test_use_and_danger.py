"""Safety of acts (DANGER before a start, what a caller may do), things of no use, causes that look alike."""

from __future__ import annotations

from typing import Any

import pytest
from shipped_book import shipped

from trees.book.pairs import alike, explained, told

BURNER, SUPPLY, SMOKE = "checks/burner.yaml", "checks/supply.yaml", "trees/smoke_on_start.yaml"


def test_start_without_danger(tiny: Any) -> None:
    """Whatever starts the unit names a DANGER; a warning is not enough."""
    tiny.change(
        BURNER, "  uses_start: true\n  cautions: [exhaust_gas]", "  ‹uses_start›: true\n  cautions: [hot_parts]"
    )
    problem = tiny.only_problem(BURNER)
    assert (problem.code, problem.severity) == ("start-without-danger", "error")
    assert "cautions" in problem.help


def test_run_without_danger(tiny: Any) -> None:
    """A reading while it runs is as dangerous as the start."""
    tiny.change(SUPPLY, "  unit: V\n", "  unit: V\n  ‹while_running›: true\n")
    assert tiny.only_problem(SUPPLY).code == "start-without-danger"


def test_work_that_starts_without_danger(tiny: Any) -> None:
    """Work is an act like a check."""
    tiny.change("fixes.yaml", "  who: technician\n", "  who: technician\n  ‹uses_start›: true\n")
    assert tiny.only_problem("fixes.yaml").code == "start-without-danger"


@pytest.mark.parametrize(
    ("file", "old", "new"),
    [
        ("gate.yaml", "means: It sounds now, stop: exhaust_gas", "means: It sounds now, stop: ‹hot_parts›"),
        ("trees/gas_before.yaml", "stop: exhaust_gas", "stop: ‹hot_parts›"),
        (BURNER, "means: It never clears, says", "means: It never clears, stop: ‹hot_parts›, says"),
    ],
)
def test_stop_for_less_than_danger(tiny: Any, file: str, old: str, new: str) -> None:
    """A stop is final, so only a DANGER can be its reason: at the gate, in a tree, in an answer."""
    problem = tiny.change(file, old, new).only_problem(file)
    assert (problem.code, problem.severity) == ("stop-not-danger", "error")


def test_caller_who_looks_does_something_that_is_listed(tiny: Any) -> None:
    """A look for the phone says which of the allowed acts it takes."""
    tiny.change(BURNER, "  acts: [look_outside]\n", "").change(BURNER, "  look: How long", "  ‹look›: How long")
    problem = tiny.only_problem(BURNER)
    assert (problem.code, problem.severity) == ("phone-acts", "error")
    assert "caller_may" in problem.help


def test_act_that_is_not_allowed_is_unknown(tiny: Any) -> None:
    """Nothing outside `caller_may` can be asked of a caller."""
    tiny.change(BURNER, "acts: [look_outside]", "acts: [‹open_lid›]")
    assert tiny.only_problem(BURNER).code == "unknown-name"


def test_telling_needs_no_act(tiny: Any) -> None:
    """`ask` and `tick` only want an answer: the tiny book has both without `acts`."""
    assert tiny.check().problems == ()


def test_check_that_no_tree_asks(tiny: Any) -> None:
    """A check is asked by a step, at another place, by the intake or by a figure; else it is of no use."""
    tiny.write(
        BURNER, tiny.files[BURNER] + "‹lost›:\n  ask: What?\n  answers: [{id: a, means: A}, {id: b, means: B}]\n"
    )
    problem = tiny.only_problem(BURNER)
    assert (problem.code, problem.severity) == ("unused-check", "warning")
    tiny.change(BURNER, "  ask: What?", "  ask: What?\n  intake: true")
    assert tiny.check().problems == ()


def test_sign_that_no_check_observes(tiny: Any) -> None:
    """A sign that no answer speaks of never moves a suspect."""
    tiny.change(SUPPLY, "{dose_low: no, dose_high: no}", "{dose_low: no}")
    tiny.change("signs.yaml", "dose_high: {name", "‹dose_high›: {name")
    problem = tiny.only_problem("signs.yaml")
    assert (problem.code, problem.severity) == ("unobserved-sign", "warning")


def test_cause_that_shows_in_no_sign(tiny: Any) -> None:
    """A cause without signs can't be told by any answer."""
    tiny.change("causes.yaml", "  shows: {volts_low: usually}\n", "").change(
        "causes.yaml", "cable_thin:", "‹cable_thin›:"
    )
    problem = tiny.only_problem("causes.yaml")
    assert (problem.code, problem.severity) == ("unseen-cause", "warning")


def test_cause_that_no_path_finds(tiny: Any) -> None:
    """Words only hint: a cause needs a look, a reading or a cure on some path."""
    tiny.change(SUPPLY, ", finds: [cable_thin]", ", hints: [cable_thin]")
    tiny.change("causes.yaml", "cable_thin:", "‹cable_thin›:")
    problem = tiny.only_problem("causes.yaml")
    assert (problem.code, problem.severity) == ("unreached-cause", "warning")


def test_consequence_to_which_nothing_leads_is_warned_of(tiny: Any) -> None:
    """A consequence asks for its root: one that has none would keep every job from being solved; a root needs none."""
    tiny.change("causes.yaml", "  leads_to: [insert_coked]\n", "").change(
        "causes.yaml", "insert_coked:", "‹insert_coked›:"
    )
    problem = tiny.only_problem("causes.yaml")
    assert (problem.code, problem.severity) == ("rootless-consequence", "warning")
    tiny.change("causes.yaml", "kind: consequence", "kind: both")
    assert tiny.check().problems == ()


def test_work_on_a_path_finds_by_its_cure(tiny: Any) -> None:
    """Work that cures a cause proves it."""
    tiny.change(SUPPLY, ", finds: [cable_thin]", "")
    tiny.change("fixes.yaml", "cures: [insert_coked]", "cures: [insert_coked, cable_thin]")
    assert tiny.check().problems == ()


def test_nothing_is_called_useless_while_something_is_broken(tiny: Any) -> None:
    """A tree that can't be read makes no check of its steps seem unused."""
    tiny.change(SMOKE, "check: habits", "chekc: habits")
    assert {problem.severity for problem in tiny.check().problems} == {"error"}


def test_causes_that_look_alike_are_listed(tiny: Any) -> None:
    """Two causes with the same signs and no finding of their own can't be told apart, unless a limit parts them."""
    twin = "  kind: root\n  lives: unit\n  share: 1\n  shows: {volts_low: rarely}\n"
    text = tiny.files["causes.yaml"]
    tiny.write("causes.yaml", f"{text}one:\n  name: One\n{twin}two:\n  name: Two\n{twin}")
    book = tiny.check().book
    assert book is not None
    assert alike(book) == (("one", "two"),)
    assert "one and two" in told(book, alike(book))
    air, coolant = "  for: {medium: air}\n", "  for: {medium: coolant}\n"
    tiny.write("causes.yaml", f"{text}one:\n  name: One\n{twin}{air}two:\n  name: Two\n{twin}{coolant}")
    assert alike(tiny.check().book) == ()
    tiny.write("causes.yaml", f"{text}one:\n  name: One\n{twin}two:\n  name: Two\n{twin.replace('rarely', 'often')}")
    assert alike(tiny.check().book) == ()


def test_sign_that_nobody_observes_tells_nothing_apart(tiny: Any) -> None:
    """Only what some check can see counts."""
    text = tiny.files["causes.yaml"]
    head = "  kind: root\n  lives: unit\n  share: 1\n"
    tiny.write(
        "causes.yaml",
        f"{text}one:\n  name: One\n{head}  shows: {{dose_high: often}}\ntwo:\n  name: Two\n{head}  shows: {{}}\n",
    )
    assert alike(tiny.check().book) == ()
    tiny.change(SUPPLY, "{dose_low: no, dose_high: no}", "{dose_low: no}")
    assert alike(tiny.check().book) == (("one", "two"),)


TWINS = "one:\n  name: One\n{head}two:\n  name: Two\n{head}"
TWIN = "  kind: root\n  lives: unit\n  share: 1\n  shows: {dose_high: often}\n  fixes: [replace_insert]\n"
NOTE = "alike:\n  - {causes: [two, one], because: Both leave too much fuel., told_by: The maker's bench}\n"


def with_twins(tiny: Any) -> Any:
    """Let the tiny book have two causes that nothing tells apart and that some work cures."""
    tiny.change("causes.yaml", "rarely}\nsource: memory\n", f"rarely}}\nsource: memory\n{TWINS.format(head=TWIN)}")
    return tiny.change("fixes.yaml", "cures: [insert_coked]", "cures: [insert_coked, one, two]")


def test_causes_alike_are_warned_of_unless_the_book_says_why(tiny: Any) -> None:
    """Each cause that is like an earlier one, once; the pair under `alike`, in either order, answers for it."""
    with_twins(tiny).write("causes.yaml", tiny.files["causes.yaml"].replace("\ntwo:", "\n‹two›:"))
    problem = tiny.only_problem("causes.yaml")
    assert (problem.code, problem.severity) == ("causes-alike", "warning")
    assert "`two` from `one`" in problem.message
    tiny.change("book.yaml", "source: memory\n", f"{NOTE}source: memory\n")
    checked = tiny.check()
    assert checked.problems == ()
    pairs = alike(checked.book)
    assert pairs == (("one", "two"),)
    assert "Both leave too much fuel. What would tell: The maker's bench" in told(checked.book, pairs)


def test_pair_that_a_check_tells_apart_is_warned_of(tiny: Any) -> None:
    """What the book says of its own limits must be true."""
    note = NOTE.replace("[two, one]", "‹[cable_thin, dosing_wrong]›")
    problem = tiny.change("book.yaml", "source: memory\n", f"{note}source: memory\n").only_problem("book.yaml")
    assert (problem.code, problem.severity) == ("pair-told-apart", "warning")


@pytest.mark.parametrize(
    ("old", "new", "code"),
    [
        ("[two, one]", "[two, ‹onne›]", "unknown-name"),
        ("[two, one]", "‹[two]›", "list-length"),
        ("{causes: [two, one], because: Both leave too much fuel., told_by: The maker's bench}",
         "{‹causes›: [two, one], because: Both leave too much fuel.}", "missing-key"),
    ],
)  # fmt: skip
def test_note_on_a_pair_has_two_causes_and_what_would_tell(tiny: Any, old: str, new: str, code: str) -> None:
    """Two causes of this book, why they look alike, and the check that would tell them apart."""
    note = NOTE.replace(old, new)
    if code == "missing-key":
        note = note.replace("‹causes›", "causes").replace("alike:\n  - {", "alike:\n  - ‹{").replace("}\n", "}›\n")
    problem = (
        with_twins(tiny).change("book.yaml", "source: memory\n", f"{note}source: memory\n").only_problem("book.yaml")
    )
    assert problem.code == code


def test_a_book_may_leave_ten_pairs_alike_and_no_more(tiny: Any) -> None:
    """Who can't tell eleven pairs apart needs another check, not another note."""
    one = NOTE.partition("\n")[2]
    with_twins(tiny).change("book.yaml", "source: memory\n", f"alike:\n{one * 11}source: memory\n")
    assert [problem.code for problem in tiny.check().problems if problem.severity == "error"] == ["list-length"]


def test_shipped_causes_can_be_told_apart_or_the_book_says_why() -> None:
    """Each pair that no check tells apart is under `alike` with the check that would, ten at most."""
    book = shipped()
    pairs = alike(book)
    assert [pair for pair in pairs if explained(book, pair) is None] == []
    assert len(pairs) <= 10
