"""The complaint that fits a caller's words, over complaints, signs and answers."""

from __future__ import annotations

from dataclasses import replace

import pytest
from small_book import small_book

from trees.book.tree import Step, Tree
from tui.finding import Finder, alike, letters, words_of


def finder() -> Finder:
    """Return the finder of the small book with a second and a third complaint, in this order."""
    book = small_book()
    done = {"done": Step(id="done", no=902, kind="end", refers="no_fault")}
    looks = {"look": Step(id="look", no=901, kind="check", refers="insert", then="done"), **done}
    noisy = Tree(id="noisy", title="Noisy fan", begin="done", steps=done, complaint_words=("fan howls",))
    coked = Tree(id="coked", title="Sent in dirty", begin="look", steps=looks, complaint_words=("dirty inside",))
    signs = {**book.signs, "coke": replace(book.signs["coke"], name="Black crust in the burner")}
    return Finder(replace(book, trees={"noisy": noisy, "coked": coked, **book.trees}, signs=signs))


def best(said: str) -> tuple[str, str]:
    """Return the tree that fits best and the kind of phrase by which."""
    fit = finder().fits(said)[0]
    return fit.tree.id, fit.by.where if fit.by is not None else "nothing"


@pytest.mark.parametrize(
    ("said", "tree", "by"),
    [
        ("it smokes white when it starts", "smoke_on_start", ""),
        ("SMOKES WHITE", "smoke_on_start", ""),
        ("smoks wite", "smoke_on_start", ""),
        ("smo", "smoke_on_start", ""),
        ("the fan is howling", "noisy", ""),
        ("there is hard coke in there", "coked", "answer"),
        ("a black crust", "coked", "sign"),
    ],
)
def test_words_lead_to_the_complaint(said: str, tree: str, by: str) -> None:
    """Whole, half and misspelt words find the complaint, by its own words, a sign or an answer met on its way."""
    assert best(said) == (tree, by)


def test_complaint_words_stand_above_answers() -> None:
    """What the author calls the complaint wins over an answer somewhere on another way."""
    assert best("dirty inside")[0] == "coked"


@pytest.mark.parametrize("said", ["", "   ", "xqzw vvk", "[/] ??"])
def test_nothing_said_or_nothing_like_it_leaves_the_authors_order(said: str) -> None:
    """Without a fit all complaints stand as the author put them, and none claims to fit."""
    fits = finder().fits(said)
    assert [fit.tree.id for fit in fits] == ["noisy", "coked", "smoke_on_start"]
    assert all(fit.by is None for fit in fits)


def test_words_lose_case_accents_and_empty_words() -> None:
    """Words are compared without what callers leave out."""
    assert list(words_of("The Fumée—of it, 24V a")) == ["fumee", "24v"]


@pytest.mark.parametrize(("one", "other"), [("white", "black"), ("fan", "fuel"), ("pump", "lamp")])
def test_different_words_are_not_alike(one: str, other: str) -> None:
    """Short different words share too little."""
    assert alike(one, letters(one), other, letters(other)) < 0.6
