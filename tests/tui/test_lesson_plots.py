"""Shares, ranges and visits in plain characters, drawn by hand beside; and the search that keeps the kinds apart."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tui.finding_jobs import find
from tui.lesson_plots import axis, bar_of, old_and_new, range_bar, round_top, share_bar, top_of, visits


def test_a_share_with_its_interval() -> None:
    """Ten columns for 0 to 1: solid to 0.2, lighter to 0.5, a rule that ends at 0.8."""
    assert share_bar(0.5, 0.2, 0.8, 1.0, 10) == "██▓▓▓──┤"
    assert share_bar(0.0, 0.0, 0.3, 1.0, 10) == "──┤"
    assert share_bar(1.0, 0.7, 1.0, 1.0, 10) == "███████▓▓▓"


@given(st.tuples(*[st.floats(0, 1)] * 3), st.integers(8, 80))
def test_a_bar_never_leaves_its_room(ends: tuple[float, float, float], width: int) -> None:
    """Whatever the numbers are, the parts follow each other and fit."""
    low, share, high = sorted(ends)
    drawn = share_bar(share, low, high, top_of(high), width)
    assert len(drawn) <= width
    assert drawn == "".join(sorted(drawn, key="█▓─┤".index))


def test_a_range_with_its_middle() -> None:
    """Eleven columns for 0 to 10; a range of one value is its dot alone."""
    assert range_bar(2, 5, 8, 10.0, 11) == "  ├──●──┤"
    assert range_bar(4, 4, 4, 10.0, 11) == "    ●"


def test_old_and_new_on_the_interval() -> None:
    """The author may lie outside the interval of the count; where both fall together one sign says so."""
    assert old_and_new(0.1, 0.5, (0.3, 0.7), 1.0, 11) == " ○ ├─●─┤"
    assert old_and_new(0.5, 0.5, (0.3, 0.7), 1.0, 11) == "   ├─◉─┤"


def test_visits_stand_apart_as_their_days_do() -> None:
    """Twenty days over eleven columns: ten days are five; visits of one day still are two dots."""
    assert visits((10.0, 10.0), 20.0, 11) == "●────●────●"
    assert visits((0.0,), 20.0, 11) == "●●"


def test_what_is_more_than_nothing_can_be_seen() -> None:
    """A sliver for a little, nothing for nothing."""
    assert (bar_of(0.01, 100.0, 10), bar_of(0.0, 100.0, 10), bar_of(50, 100.0, 10)) == ("▏", "", "█████")


@pytest.mark.parametrize(("highest", "top"), [(0.04, 0.1), (0.1, 0.1), (0.25, 0.3), (0.51, 1.0), (1.0, 1.0)])
def test_an_axis_holds_the_highest_share(highest: float, top: float) -> None:
    """The end is a round number that is not below what is drawn."""
    assert top_of(highest) == top


@pytest.mark.parametrize(("highest", "top"), [(0, 1), (1, 1), (1.1, 2), (43, 50), (446, 500), (664, 1000), (0.3, 0.5)])
def test_an_axis_ends_at_a_round_number(highest: float, top: float) -> None:
    """One, two or five times a power of ten."""
    assert round_top(highest) == pytest.approx(top)


def test_the_numbers_of_an_axis() -> None:
    """The half stands in the middle, the end at the end, its unit behind."""
    drawn = axis(50.0, 20, "of 100")
    assert drawn.split() == ["0", "25", "50", "of", "100"]
    assert drawn.index("25") in {8, 9, 10}
    assert drawn.index("50 of") == 18


@dataclass
class Row:
    """As much of a job as the search looks at."""

    number: int
    invented: bool


class Kept:
    """A casebook of a thousand jobs of which every hundredth is real."""

    def __init__(self) -> None:
        self.asked: list[int] = []

    def find(self, _typed: str, limit: int) -> tuple[Any, ...]:
        self.asked.append(limit)
        return tuple(Row(number, number % 100 != 0) for number in range(1000))[:limit]


def test_jobs_of_the_other_kind_take_no_room() -> None:
    """The few real ones are found among many invented ones; a full list is told as such."""
    kept: Any = Kept()
    real = find(kept, "x", invented=False, shown=5)
    assert [row.number for row in real.rows] == [0, 100, 200, 300, 400]  # type: ignore[attr-defined]
    assert real.more
    assert kept.asked == sorted(set(kept.asked))
    rare = find(kept, "x", invented=False, shown=20)
    assert (len(rare.rows), rare.more) == (10, False)
