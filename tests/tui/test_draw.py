"""Texts of a book, a job or a file are data on the screen; what is drawn says what it should."""

from __future__ import annotations

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
