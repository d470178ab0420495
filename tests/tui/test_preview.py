"""A step as it is met at the bench, where it is fitted and by phone, before anybody walks it."""

from __future__ import annotations

from dataclasses import replace

import pytest
from shipped_book import shipped
from small_book import small_book

from trees.book.model import Book
from trees.book.words import PLACES, Place
from trees.walk import Walk
from tui.preview import drawn, preview, previews

BOOK = small_book()


def shown(tree: str, step: str, place: Place, book: Book = BOOK) -> str:
    """Return the preview of a step as plain text."""
    found = book.trees[tree]
    return drawn(preview(book, found, found.steps[step], place)).plain


def test_preview_asks_what_the_walk_asks() -> None:
    """Wording, answers, cautions and what blocks it are those of a job that stands at this step."""
    for place in PLACES:
        walk = Walk.begin(BOOK, words="x", tree="smoke_on_start", place=place).taken_up("bench one", "2026-01-05")
        walk = walk.answer("no").answer("no")
        assert walk.question.no == 201
        tree = BOOK.trees["smoke_on_start"]
        met = preview(BOOK, tree, tree.steps["watch"], place).question
        for name in ("kind", "form", "no", "wording", "options", "cautions", "unread", "blocked", "minutes"):
            assert getattr(met, name) == getattr(walk.question, name), (place, name)


def test_other_place_has_its_own_check() -> None:
    """By phone the fuel is not measured: the question that stands in its place is shown, and instead of what."""
    assert "Fuel in 100 seconds" in shown("smoke_on_start", "dose", "bench")
    phone = shown("smoke_on_start", "dose", "phone")
    assert "Is a fuse blown?" in phone
    assert "its own check" in phone
    assert "Instead of: Fuel in 100 seconds" in phone
    assert "Readings scatter" not in phone


def test_reading_shows_unit_limits_and_answers() -> None:
    """A measuring step says in what it is typed, what each band means, and what can be answered beside it."""
    text = shown("smoke_on_start", "dose", "site")
    assert "in ml, 3 readings" in text
    assert "90 to 110 % of dose: Right" in text
    assert "over 5 % apart: Readings scatter" in text
    assert "Nothing comes" in text
    assert "Cannot tell, not now" in text


def test_what_blocks_is_said() -> None:
    """By phone nobody opens the unit: the reason stands there, no answer but cannot-tell, and where the walk goes."""
    text = shown("smoke_on_start", "insert", "phone")
    assert "Blocked: This is done at the bench or where it is fitted, not by phone." in text
    assert "goes on at 210" in text
    assert "Blocked" not in shown("smoke_on_start", "insert", "bench")
    indoors = replace(BOOK.checks["rested"], place=("bench",))
    book = small_book(checks={**BOOK.checks, "rested": indoors})
    assert "goes back to the tree that runs this one" in shown("supply_voltage", "rested", "phone", book)


def test_danger_stands_in_full_before_the_answers() -> None:
    """The caution's grade and text come before the first answer, with the key that it waits for."""
    text = shown("smoke_on_start", "watch", "bench")
    assert text.index("DANGER · CO") < text.index("Exhaust kills.") < text.index(" 1 ")
    assert "No answer is taken before DANGER was read (r)." in text


def test_steps_without_a_question() -> None:
    """Work, ends, other trees and returns each say what happens there."""
    assert "Replace the insert" in shown("smoke_on_start", "work", "bench")
    assert "Blocked: A caller may not do this." in shown("smoke_on_start", "work", "phone")
    assert "Bring: the unit with its tubes" in shown("smoke_on_start", "to_workshop", "phone")
    assert "into “Supply under load” at 301 and comes back." in shown("smoke_on_start", "supply", "bench")
    assert "into “Handover” at 401." in shown("smoke_on_start", "over", "bench")
    assert "goes back to the tree that runs this one" in shown("supply_voltage", "back", "site")


def test_limits_to_a_kind_of_unit_are_said() -> None:
    """A check for air units says for which units the walk passes it over."""
    assert "Passed over for a unit that is known not to be: medium air." in shown("smoke_on_start", "outlet", "bench")


def test_texts_of_the_book_are_data() -> None:
    """Markup stays as written and nothing steers the terminal."""
    check = replace(BOOK.checks["blown"], wording="[red]x[/red] \x1b[31m", how="[/]")
    book = small_book(checks={**BOOK.checks, "blown": check})
    text = shown("smoke_on_start", "dose", "phone", book)
    assert "[red]x[/red]" in text
    assert "[/]" in text
    assert "\x1b" not in text


@pytest.mark.parametrize("place", PLACES)
def test_every_step_of_the_shipped_book_has_a_preview(place: Place) -> None:
    """No step is without a word, at no place."""
    book = shipped()
    for tree in book.trees.values():
        for step in tree.steps.values():
            found = preview(book, tree, step, place)
            assert found.place == place
            lines = drawn(found).plain.split("\n")
            assert len(lines) >= 2
            assert lines[1].strip(), (tree.id, step.id)
    assert [p.place for p in previews(book, tree, step)] == list(PLACES)
