"""The map of a tree: reading order, every way out with its number, never wider than it may be."""

from __future__ import annotations

import pytest
from made_chart import made_chart
from shipped_book import shipped
from small_book import small_book

from graphviz_export.boxes import Box, Row, chart_of
from trees.book.problems import cells
from tui.tree_map import cut, reading_order, tree_map

BOOK = small_book()


def box(no: int, *ways: tuple[str, int | None], text: str = "") -> Box:
    """Return a question with its answers."""
    return Box(no=no, kind="decision", text=text or f"Question {no}", rows=tuple(Row(*way) for way in ways))


def test_steps_stand_in_reading_order() -> None:
    """The begin is first and every way leads downwards; the step for phones only comes last."""
    found = chart_of(BOOK, "smoke_on_start")
    assert reading_order(found) == (201, 202, 203, 204, 205, 206, 207, 208, 209, 210)


def test_first_answer_is_followed_first() -> None:
    """Numbers don't set the order: what the first answer leads to stands next, what both lead to below both."""
    found = made_chart(box(1, ("a", 9), ("b", 5)), box(5, ("a", 7)), box(7), box(9, ("a", 7)))
    assert reading_order(found) == (1, 9, 5, 7)


def test_unreached_steps_are_still_shown() -> None:
    """A step that no way leads to is no reason to hide it."""
    assert reading_order(made_chart(box(1), box(3, ("a", 4)), box(4), box(2), phone_exit=2)) == (1, 2, 3, 4)


def test_second_arrival_is_only_a_number() -> None:
    """Where a step is first led to from afar it is named; below and later arrivals have the number alone."""
    steps = tree_map(made_chart(box(1, ("up", 2), ("down", 3)), box(2, ("x", 3)), box(3, text="Where both end")), 60)
    assert [step.lines for step in steps] == [
        ("   1 ◇ Question 1", "     ├ up → 2", "     └ down → 3 Where both end"),
        ("   2 ◇ Question 2", "     └ x → 3"),
        ("   3 ◇ Where both end",),
    ]


def test_answers_to_one_step_are_one_way() -> None:
    """Answers that lead to the same step stand together; another place's question is headed by its own line."""
    steps = {step.no: step.lines for step in tree_map(chart_of(BOOK, "smoke_on_start"), 200)}
    (head, at_bench, phone, by_phone) = steps[203]
    assert head == " 203 ◈ Fuel in 100 seconds"
    assert at_bench.endswith("Cannot tell, not now → 204")
    assert at_bench.count("→") == 1
    assert phone == "     ┊ By phone: Is a fuse blown?"
    assert by_phone == "     └ No / Yes / Cannot tell, not now → 204"
    assert steps[206][2] == "     └ Hard coke → 207"


def test_every_answer_keeps_a_few_letters() -> None:
    """Where answers don't fit side by side the longest give way first, then all but one are counted."""
    (step, _) = tree_map(made_chart(box(1, ("Yes", 2), ("A very long answer indeed", 2), ("No", 2)), box(2)), 34)
    assert step.lines[1] == "     └ Yes / A very long… / No → 2"
    many = [(f"Answer number {n}", 2) for n in range(5)]
    (step, *_others) = tree_map(made_chart(box(1, *many, ("No", 3)), box(2), box(3)), 28)
    assert step.lines[1] == "     ├ Answer number… +4 → 2"


def test_answers_that_all_lead_on_are_any_answer() -> None:
    """Where all answers lead to one step and don't fit, no scraps of them are shown."""
    many = [(f"Answer number {n}", 2) for n in range(5)]
    (narrow, _other) = tree_map(made_chart(box(1, *many), box(2)), 50)
    assert narrow.lines[1] == "     └ any answer → 2"
    (wide, _other) = tree_map(made_chart(box(1, *many), box(2)), 120)
    assert wide.lines[1] == f"     └ {' / '.join(label for label, _to in many)} → 2"


def test_danger_and_kinds_are_seen_without_colour() -> None:
    """A step with a DANGER caution has the triangle; ends, work and other trees have their own signs."""
    steps = {step.no: step.lines[0] for step in tree_map(chart_of(BOOK, "smoke_on_start"), 80)}
    assert steps[201].startswith(" 201 ◇ ▲ ")
    assert [steps[no][5] for no in (202, 206, 207, 208, 209)] == ["↻", "◇", "□", "⇥", "●"]


@pytest.mark.parametrize("width", [1, 16, 30, 44, 72, 200])
def test_no_line_is_wider_than_asked_and_no_number_is_cut(width: int) -> None:
    """Words give way, numbers don't: every tree of the shipped book at every width, each way's number in full."""
    book = shipped()
    for tree in book.trees:
        found = chart_of(book, tree)
        steps = tree_map(found, width)
        assert sorted(step.no for step in steps) == [b.no for b in found.boxes]
        for step in steps:
            assert all(cells(line) <= max(width, 18) for line in step.lines), step
            shown = {int(line.split("→ ")[1].split(" ")[0]) for line in step.lines if "→ " in line}
            assert shown == {target for _, target in found.box(step.no).ways()}


def test_cut_counts_cells() -> None:
    """A wide character takes two cells; what is left out is marked."""
    assert cut("abcdef", 6) == "abcdef"
    assert cut("abcdef", 4) == "abc…"
    assert cut("漢字漢字", 5) == "漢字…"
    assert cut("abc", 0) == ""
