"""Texts of a book, a job or a file are data on the screen; what is drawn says what it should."""

from __future__ import annotations

from dataclasses import replace

import pytest
from small_book import small_book

from trees.walk import Walk
from trees.walk.judge import BandEdges, band_edges
from tui import draw

NASTY = ["[/] x", "[red]a[/red]", "a[b=c]", "\x1b[31mred\x1b[0m", "\u202eabc\u200b", "\x07bell", "${x}", "$error"]


@pytest.mark.parametrize("text", NASTY)
def test_text_is_literal(text: str) -> None:
    """Markup stays as written; what steers a terminal becomes visible."""
    shown = draw.say(text).plain
    assert "\x1b" not in shown
    assert "\u202e" not in shown
    assert "\x07" not in shown
    assert shown == draw.plain(text)
    assert len(shown) == len(text), "nothing is swallowed"


def test_bar_is_proportional_to_an_eighth() -> None:
    """A half of four cells is two full blocks; three sixteenths are three quarters of a block."""
    assert draw.bar(0.5, 4) == "██"
    assert draw.bar(3 / 16, 4) == "▊"
    assert (draw.bar(0.0, 4), draw.bar(1.0, 4), draw.bar(7.0, 4)) == ("", "████", "████")


def edges_of(check: str) -> BandEdges:
    """Return the bands of a check of the small book for a 12 V air heater."""
    book = small_book()
    walk = Walk.begin(book, words="x", tree="smoke_on_start", family="air2")
    assert walk.now.known is not None
    found = band_edges(book.checks[check], walk.now.unit, walk.now.known.figure)
    assert isinstance(found, BandEdges)
    return found


def test_ruler_marks_the_value_left_or_right_of_the_edge() -> None:
    """The marker stands on the side of the edge that the value is on."""
    low = draw.ruler(edges_of("rested"), 11.0, "V", 40).plain.split("\n")
    high = draw.ruler(edges_of("rested"), 14.0, "V", 40).plain.split("\n")
    assert low[0].index("▼") < low[1].index("┼")
    assert high[0].index("▼") > high[1].index("┼")
    assert "12.2" in low[2]


def test_band_list_marks_the_band_in_words() -> None:
    """The band is told by a sign and its words, not by colour alone."""
    rows = draw.band_list(edges_of("dose"), "ml", "good").plain.split("\n")
    assert rows[1].startswith("▶ 5.94 to 7.26 ml")
    assert rows[0].startswith("  up to 5.94 ml")


def test_a_number_stays_with_its_unit() -> None:
    """Wherever a line is broken, no number stands at its end and the unit it belongs to on the next one."""
    text = "   Likely: the supply cable 12 % and 4.5 ppm, then 250 min of 1200 ml at 3 bar and 8 %"
    for width in range(24, 80):
        rows = draw.hung(draw.say(text), width).plain.split("\n")
        assert " ".join(" ".join(rows).split()) == " ".join(text.split()), "nothing else is changed"
        assert all(len(row) <= width for row in rows)
        assert not [row for row in rows[:-1] if row[-1].isdigit()], rows


def test_band_list_keeps_its_columns_where_words_are_broken() -> None:
    """What a band means goes on under its own words, not under the limits."""
    edges = edges_of("dose")
    (band, low, high), *others = edges.bands
    wordy = replace(edges, bands=((replace(band, means="Far less than it should be"), low, high), *others))
    rows = draw.band_list(wordy, "ml", "good", 34).plain.split("\n")
    column = rows[0].index("up to 5.94 ml") + 20
    assert len(rows) > 3, "or nothing was broken"
    for row in rows:
        assert len(row) <= 34
        assert row[column - 1] == " "
        assert row[column] != " "


def test_a_plain_number_bears_no_unit() -> None:
    """The unit 1 of a share is nowhere printed: neither at its limits nor under the line."""
    edges = edges_of("dose")
    for row in draw.band_list(edges, "1", "good").plain.split("\n"):
        assert row[:22].split()[-1] != "1", row
    assert draw.ruler(edges, 6.0, "1", 40).plain.split("\n")[-1].split()[-1] != "1"
