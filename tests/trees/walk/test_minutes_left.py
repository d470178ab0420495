"""How many minutes are left, on the small book; every expectation is added up by hand from its minutes."""

from __future__ import annotations

from dataclasses import replace

import pytest
from small_book import small_book

from trees.book.model import Answer
from trees.walk import Walk
from trees.walk.minutes_left import minutes_left


def begun(place: str = "bench", family: str | None = None, **changes) -> Walk:  # type: ignore[no-untyped-def]
    """Return a job on the small book, before its first answer."""
    book = small_book(**changes)
    return Walk.begin(book, words="smokes white", tree="smoke_on_start", place=place, family=family)  # type: ignore[arg-type]


def test_range_goes_from_the_shortest_way_to_the_next_repair_or_end() -> None:
    """Each step once by its own minutes, the run through a shared tree too; opening once; the repair ends the way."""
    walk = begun()
    shortest, most = minutes_left(walk) or (0.0, 0.0)
    c = {check.id: check.minutes for check in walk.book.checks.values()}
    rest = c["dose"] + c["air_only"] + c["habits"] + c["insert"] + walk.book.opening_minutes
    by_supply = c["rested"] + c["loaded"] + c["drop"]  # the drop asks for the loaded voltage first
    assert shortest == pytest.approx(c["smoke"] + rest)
    assert most == pytest.approx(c["smoke"] + by_supply + rest)  # one way of two, so no rare one


def test_the_rarest_tenth_of_the_ways_does_not_stretch_the_range() -> None:
    """One answer of twenty leads the long way round: nineteen ways in twenty do not pass the short one's minutes."""
    book = small_book()
    tree = book.trees["smoke_on_start"]
    answers = tuple(Answer(id=f"kind_{n}", means=f"Kind {n}") for n in range(20))
    go = {answer.id: "dose" for answer in answers} | {"kind_7": "supply"}
    steps = {**tree.steps, "watch": replace(tree.steps["watch"], go=go)}
    walk = begun(
        checks={**book.checks, "smoke": replace(book.checks["smoke"], answers=answers)},
        trees={**book.trees, tree.id: replace(tree, steps=steps)},
    )
    shortest, most = minutes_left(walk) or (0.0, -1.0)
    assert most == shortest


def test_at_a_repair_its_own_minutes_are_left() -> None:
    """The next repair is the present one; what stands behind it is another way."""
    book = small_book()
    trees = {**book.trees, "smoke_on_start": replace(book.trees["smoke_on_start"], begin="work")}
    assert minutes_left(begun(trees=trees)) == (45.0, 45.0)


def test_a_repair_that_nobody_may_make_here_is_passed_by() -> None:
    """By phone the caller replaces no insert, so the way goes on to the end of it for nothing."""
    book = small_book()
    trees = {**book.trees, "smoke_on_start": replace(book.trees["smoke_on_start"], begin="work")}
    assert minutes_left(begun("phone", trees=trees)) == (0.0, 0.0)


def test_each_answer_takes_its_minutes_off() -> None:
    """Behind the first step its minutes are no longer ahead; inside a shared tree the way back counts."""
    before = minutes_left(begun())
    walk = begun().acknowledge("gas")
    for _ in walk.now.gate_left:
        walk = walk.answer("no")
    watched = walk.answer("stays")
    after = minutes_left(watched)
    assert before is not None
    assert after is not None
    assert after[1] == pytest.approx(before[1] - walk.book.checks["smoke"].minutes)


def test_a_step_that_does_not_apply_takes_no_minutes() -> None:
    """A coolant unit has no outlet to look at, so its minutes fall out of both ends."""
    book = small_book()
    water = replace(next(iter(book.families.values())), id="water", medium="coolant")
    families = {**book.families, "water": water}
    air = minutes_left(begun(family=next(iter(book.families)), families=families))
    coolant = minutes_left(begun(family="water", families=families))
    assert air is not None
    assert coolant is not None
    assert coolant[0] == pytest.approx(air[0] - book.checks["air_only"].minutes)


def test_by_phone_the_way_leads_out_sooner() -> None:
    """What a caller can't do takes no minutes: the walk leaves by the phone's exit."""
    bench, phone = minutes_left(begun()), minutes_left(begun("phone"))
    assert bench is not None
    assert phone is not None
    assert phone[1] < bench[1]


def test_nothing_is_left_without_a_tree_and_none_at_the_end() -> None:
    """Suspects alone have no end to reach; a closed job has nothing left."""
    assert minutes_left(Walk.begin(small_book(), words="odd", tree=None)) is None
    closed = begun().close("not_released")
    assert minutes_left(closed) is None
