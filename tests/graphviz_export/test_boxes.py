"""What a tree says on paper."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from graphviz_export.boxes import NOT_FOR_UNIT, Box, Row, chart_of, plain
from trees.book.model import Book
from trees.errors import PaperError

MakeBook = Callable[..., Book]


def _box(make_book: MakeBook, no: int, tree: str = "smoke_on_start") -> Box:
    return chart_of(make_book(), tree).box(no)


def test_every_step_becomes_one_box_with_its_own_number(make_book: MakeBook) -> None:
    """The numbers on paper are the numbers of the book."""
    book = make_book()
    for tree in book.trees.values():
        assert [box.no for box in chart_of(book, tree.id).boxes] == sorted(step.no for step in tree.steps.values())


@pytest.mark.parametrize(
    ("no", "kind"),
    [(201, "decision"), (202, "run"), (203, "reading"), (204, "action"), (209, "over_to"), (210, "end"), (211, "stop")],
)
def test_the_kind_of_step_tells_the_shape(make_book: MakeBook, no: int, kind: str) -> None:
    """Each kind of step has a shape of its own."""
    assert _box(make_book, no).kind == kind


def test_a_band_shows_its_limits_with_the_unit(make_book: MakeBook) -> None:
    """An edge belongs to the band below it, and the middle band shows both edges."""
    assert [row.label for row in _box(make_book, 205).rows[:3]] == [
        "up to 0.2 mm: Rubbing or nearly so",
        "0.2 to 0.4 mm: As it should be",
        "above 0.4 mm: Too wide",
    ]


def test_fractions_of_a_rated_value_are_shown_in_per_cent(make_book: MakeBook) -> None:
    """A band given as a fraction names what it is a fraction of."""
    labels = [row.label for row in _box(make_book, 203).rows]
    assert labels[:4] == [
        "up to 90 % of dose: Too little",
        "90 to 110 % of dose: Right",
        "above 110 % of dose: Too much",
        "over 5 % apart: Readings scatter",
    ]


def test_limits_that_differ_with_the_supply_name_both(make_book: MakeBook) -> None:
    """A 12 V and a 24 V unit hang on one wall."""
    assert _box(make_book, 301, "supply").rows[0].label == "up to 11.5 V (12 V unit), up to 23 V (24 V unit): Too low"


def test_limits_of_the_family_are_named(make_book: MakeBook) -> None:
    """A limit that stands with the family can't be printed as a number."""
    labels = [row.label for row in _box(make_book, 302, "supply").rows]
    assert labels[:3] == [
        "up to the unit's element min: Shorted",
        "the unit's element min to the unit's element max: In order",
        "above the unit's element max: Broken",
    ]


def test_an_answer_that_is_danger_now_leads_nowhere_but_to_the_stop(make_book: MakeBook) -> None:
    """A stopping answer carries the stop line and no number to go on at."""
    row = _box(make_book, 201).rows[2]
    assert row == Row("Somebody feels ill. STOP: Everybody out into fresh air", None, "stop", answers=("ill",))


def test_cannot_tell_is_a_way_out_like_any_other(make_book: MakeBook) -> None:
    """Every check that routes cannot-tell shows where it leads."""
    assert Row("Cannot tell, not now", 202, answers=("unknown",)) in _box(make_book, 201).rows


def test_what_is_asked_by_phone_instead_stands_below_with_its_own_answers(make_book: MakeBook) -> None:
    """The other place's question comes in the words that are read aloud, then its answers."""
    rows = _box(make_book, 203).rows[6:]
    assert rows == (
        Row("By phone: When did you last fill the tank, please?", None, "ask"),
        Row("This month", 205, answers=("fresh",), place="phone"),
        Row("Longer ago", 207, answers=("old",), place="phone"),
        Row("Cannot tell, not now", 205, answers=("unknown",), place="phone"),
    )


def test_a_check_for_some_units_tells_the_others_where_to_go(make_book: MakeBook) -> None:
    """A unit that the check isn't for goes the way of cannot-tell."""
    assert _box(make_book, 302, "supply").rows[-1] == Row("Not a unit with voltage 24", 303, answers=(NOT_FOR_UNIT,))


def test_one_way_on_is_a_line_without_a_label(make_book: MakeBook) -> None:
    """A fix after which all goes the same way needs no answers."""
    assert _box(make_book, 208).rows == (Row("", 209, "through"),)


def test_hazards_come_worst_first(make_book: MakeBook) -> None:
    """DANGER is read before WARNING."""
    assert [hazard.grade for hazard in _box(make_book, 201).hazards] == ["DANGER", "WARNING"]


def test_marks_name_tools_minutes_places_and_what_it_costs(make_book: MakeBook) -> None:
    """What must be at hand stands on the chart."""
    assert _box(make_book, 205).marks() == ("Feeler gauges", "6\N{NO-BREAK SPACE}min", "bench or site", "unit open")
    assert _box(make_book, 201).marks() == ("6\N{NO-BREAK SPACE}min", "uses a start")


def test_a_stop_carries_its_numbered_lines(make_book: MakeBook) -> None:
    """What to do at a stop is on the wall, in order."""
    box = _box(make_book, 211)
    assert box.text == "Everybody out into fresh air"
    assert box.lines == ("1. Switch the heater off if that is on the way.", "2. Call the emergency number.")


def test_control_characters_and_broken_letters_are_taken_out() -> None:
    """No escape sequence and no half of a pair reaches a page."""
    assert plain("a\x1b[31m\nb\ud800\x00\uffffc") == "a [31m b\ufffd \ufffdc"


def test_an_unknown_tree_is_named_with_those_that_exist(make_book: MakeBook) -> None:
    """A wrong name is answered with the right ones."""
    with pytest.raises(PaperError, match=r"no tree “smoke”.*commissioning, smoke_on_start, supply"):
        chart_of(make_book(), "smoke")
