"""A drawn curve says the same as its numbers: where dots stand, what the axes say, where the mark is."""

from __future__ import annotations

import pytest

from trees.figures import figure_info
from tui.figure_curve import curve_of
from tui.plot import MARK, SMALLEST, plot

LINE = [(float(x), float(x)) for x in range(11)]


def area(rows: tuple[str, ...]) -> list[str]:
    """Return the part right of the upright axis, top line first."""
    return [row.partition("┤")[2] for row in rows if "┤" in row]


def is_dots(char: str) -> bool:
    """Tell whether a character is a braille pattern with at least one dot."""
    return 0x2800 < ord(char) <= 0x28FF


def test_rising_line_runs_from_the_lower_left_to_the_upper_right() -> None:
    """The lowest point stands in the first cell of the last line, the highest in the last cell of the first."""
    rows = plot(LINE, None, width=40, height=10, x_name="x", y_name="y")
    body = area(rows)
    assert len(rows) == 10
    assert len(body) == 10 - 3  # name above, axis and its labels below
    assert is_dots(body[-1][0])
    assert is_dots(body[0][-1])
    assert len(body[0]) == max(map(len, body)) == 40 - len(" 10┤")
    first_of_each = [next(i for i, c in enumerate(line) if is_dots(c)) for line in body]
    assert first_of_each == sorted(first_of_each, reverse=True)


def test_dots_of_a_cell_follow_the_braille_block() -> None:
    """In a picture of one dot row per step, the ends are the lower left and the upper right dot of their cells."""
    body = area(plot(LINE, None, width=40, height=10, x_name="x", y_name="y"))
    assert ord(body[-1][0]) & 0x40  # dot 7: lower left
    assert ord(body[0][-1]) & 0x08  # dot 4: upper right


def test_axes_bear_their_ends_and_names() -> None:
    """Both ends of both axes are written, and what they show."""
    rows = plot([(-20.0, 5.5), (30.0, 250.0)], None, width=40, height=8, x_name="outside, °C", y_name="load, W")
    assert rows[0] == "load, W"
    assert rows[1].split("┤")[0].strip() == "250"
    assert rows[5].split("┤")[0].strip() == "5.5"
    assert rows[-2].strip() == "└" + "─" * (40 - len(" 250└"))
    assert rows[-1].split() == ["-20", "outside,", "°C", "30"]
    assert all(len(row) <= 40 for row in rows)


def test_mark_stands_where_the_point_is() -> None:
    """The middle of a straight line is marked in the middle, on top of the curve."""
    body = area(plot(LINE, (5.0, 5.0), width=44, height=10, x_name="x", y_name="y"))
    marked = [(row, line.index(MARK)) for row, line in enumerate(body) if MARK in line]
    assert len(marked) == 1
    columns = 44 - len(" 10┤")
    assert marked[0][0] == 3  # the fourth of seven lines
    assert abs(marked[0][1] - (columns - 1) / 2) <= 1


def test_mark_outside_the_points_widens_the_picture() -> None:
    """A result is never off the picture."""
    rows = plot(LINE, (20.0, 40.0), width=40, height=10, x_name="x", y_name="y")
    assert rows[1].split("┤")[0].strip() == "40"
    assert rows[-1].split()[-1] == "20"
    assert area(rows)[0].endswith(MARK)


def test_gap_where_the_formula_does_not_hold() -> None:
    """Points without height leave the columns between their neighbours empty."""
    points = [(x, None if 4 <= x <= 6 else y) for x, y in LINE]
    body = area(plot(points, None, width=45, height=10, x_name="x", y_name="y"))
    columns = 45 - len(" 10┤")
    empty = [i for i in range(columns) if all(len(line) <= i or not is_dots(line[i]) for line in body)]
    assert empty
    assert empty[0] / (columns - 1) == pytest.approx(0.3, abs=0.05)
    assert empty[-1] / (columns - 1) == pytest.approx(0.7, abs=0.05)


def test_level_curve_is_one_line_in_the_middle() -> None:
    """A curve that does not rise is drawn, and its axis still has two ends."""
    rows = plot([(0.0, 7.0), (10.0, 7.0)], None, width=30, height=8, x_name="x", y_name="y")
    drawn = [line for line in area(rows) if any(map(is_dots, line))]
    assert len(drawn) == 1
    assert rows[1].split("┤")[0].strip() == "7.7"


def test_steep_curve_has_no_holes() -> None:
    """Between two far points every line of the picture has a dot."""
    body = area(plot([(0.0, 0.0), (1.0, 100.0), (10.0, 100.0)], None, width=40, height=12, x_name="x", y_name="y"))
    assert all(any(map(is_dots, line)) for line in body)


@pytest.mark.parametrize("size", [(SMALLEST[0] - 1, 10), (40, SMALLEST[1] - 1)])
def test_too_small_a_room_draws_nothing(size: tuple[int, int]) -> None:
    """Rather no picture than one that can't be read."""
    assert plot(LINE, None, width=size[0], height=size[1], x_name="x", y_name="y") == ()


def test_one_point_draws_nothing() -> None:
    """A curve needs two heights."""
    assert plot([(0.0, 1.0), (1.0, None)], None, width=40, height=10, x_name="x", y_name="y") == ()


def test_narrow_stretch_is_told_apart_by_more_digits() -> None:
    """Axis ends that differ in the fifth place are not written alike."""
    rows = plot([(0.0, 1013.21), (1.0, 1013.29)], None, width=40, height=8, x_name="x", y_name="y")
    assert rows[1].split("┤")[0].strip() != rows[5].split("┤")[0].strip()


def test_long_names_are_shortened() -> None:
    """No line is wider than asked for."""
    rows = plot(LINE, None, width=30, height=8, x_name="a very long name of the axis, mm", y_name="y" * 60)
    assert max(map(len, rows)) == 30
    assert rows[0].endswith("…")
    assert "…" in rows[-1]


def test_curve_of_a_limit_is_drawn_around_the_limit() -> None:
    """Level ends are cut off: of a billion either way only the rise near the limit is shown, and the reading."""
    curve = curve_of(figure_info("conformity_upper"), {"value": 900.0, "uncertainty": 50.0, "limit": 1000.0})
    assert curve is not None
    xs = [x for x, _ in curve.points]
    assert 1000.0 - 6 * 50 <= xs[0] <= 900.0  # beyond six standard uncertainties of the limit nothing moves
    assert 1000.0 < xs[-1] <= 1000.0 + 6 * 50


@pytest.mark.parametrize("value", [-4000.0, 900.0, 1000.0, 5000.0])
def test_curve_shows_the_rise_and_the_reading(value: float) -> None:
    """However far the reading lies from the limit, both are in the picture, and the whole rise from 0 to 1."""
    curve = curve_of(figure_info("conformity_upper"), {"value": value, "uncertainty": 50.0, "limit": 1000.0})
    assert curve is not None
    xs, heights = [x for x, _ in curve.points], [y for _, y in curve.points if y is not None]
    assert xs[0] <= value <= xs[-1]
    assert max(heights) > 0.99
    assert min(heights) < 0.01


def test_curve_goes_through_the_result() -> None:
    """The marked point is the figure at the given inputs: U = 2·L·I/(58·A) at 20 °C."""
    given = {"length_m": 6.0, "current_a": 10.0, "area_mm2": 2.5, "temperature_c": 20.0}
    curve = curve_of(figure_info("cable_drop"), given)
    assert curve is not None
    assert curve.here == (2.5, pytest.approx(2 * 6 * 10 / (58 * 2.5)))
    heights = [y for _, y in curve.points if y is not None]
    assert heights == sorted(heights, reverse=True)  # the thicker, the less


def test_figure_without_a_curve_has_none() -> None:
    """A number that says all gets no plot."""
    assert curve_of(figure_info("supply_drop"), {"source_v": 12.0, "load_v": 11.0}) is None
