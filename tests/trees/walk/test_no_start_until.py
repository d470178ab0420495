"""An answer may forbid starts until its repair was made: nobody lights a unit whose fuel line drips."""

from __future__ import annotations

from dataclasses import replace

from safe_gate import behind_gate
from shipped_book import shipped
from small_book import small_book
from small_walk import TODAY

from trees.walk import Walk
from trees.walk.question import why_blocked
from trees.walk.reasons import advice_of


def walk_to_insert() -> Walk:
    """Return a job before the look at the insert, where a coked one forbids starts until it is replaced."""
    book = small_book()
    look = book.checks["insert"]
    answers = tuple(replace(a, no_start_until=("replace_insert",)) if a.id == "coked" else a for a in look.answers)
    book = small_book(checks={**book.checks, "insert": replace(look, answers=answers)})
    walk = Walk.begin(book, words="x", tree="smoke_on_start").taken_up(*TODAY).answer("no").answer("no")
    while walk.question.check is None or walk.question.check.id != "insert":
        walk = walk.cannot_tell()
    return walk


def test_starts_are_forbidden_in_the_words_of_the_answer() -> None:
    """From the answer on no start is allowed, and the reason is what was seen."""
    walk = walk_to_insert()
    assert walk.now.starts_forbidden == ""
    coked = walk.answer("coked")
    means = coked.book.checks["insert"].answer("coked").means
    assert coked.now.starts_forbidden == means


def test_the_repair_lifts_it_where_it_mended_something() -> None:
    """Made, it lifts the lock; put off, or with the trouble still there, it does not; taken back, it is there again."""
    coked = walk_to_insert().answer("coked")
    for ended in ("cured", "not_tried"):
        assert coked.answer(ended).now.starts_forbidden == ""
    still = coked.answer("still")
    assert still.now.starts_forbidden
    assert still.leave_for("insert").answer("clean").now.starts_forbidden == ""
    assert coked.cannot_tell().now.starts_forbidden
    assert coked.answer("cured").back().now.starts_forbidden


def test_what_is_refused_says_what_lifts_the_lock() -> None:
    """A check that needs a start names what was seen and the repair; where nothing lifts it, no repair is promised."""
    coked = walk_to_insert().answer("coked")
    repair = coked.book.fixes["replace_insert"].do.rstrip(".")
    loaded = replace(coked.book.checks["loaded"], uses_start=True)
    refused = why_blocked(coked.book, coked.now, loaded)
    assert refused.startswith("No start in this job: ")
    assert f"What lifts it: {repair[0].lower()}{repair[1:]}; or the same check" in refused
    book = small_book()
    look = book.checks["insert"]
    answers = tuple(replace(a, forbids_starts=True) if a.id == "coked" else a for a in look.answers)
    book = small_book(checks={**book.checks, "insert": replace(look, answers=answers)})
    shut = Walk(book, (*coked.entries,))
    assert shut.now.starts_forbidden
    assert "lifts" not in why_blocked(book, shut.now, loaded)


def test_the_check_made_again_lifts_it_too() -> None:
    """Looked at again and found otherwise, the newer look counts; cannot-tell does not."""
    coked = walk_to_insert().answer("coked")
    again = coked.leave_for("insert")
    assert again.answer("clean").now.starts_forbidden == ""
    assert again.answer("coked").now.starts_forbidden
    assert again.cannot_tell().now.starts_forbidden


def test_shipped_book_lights_nothing_that_drips_or_is_bridged() -> None:
    """A wet line, a wet spot told by phone, soaked lagging and a bridged sensor forbid starts; none is advised then."""
    for check, answer in (("fuel_leak_look", "wet"), ("soaked_look", "yes"), ("overheat_sensor_read", "bridged")):
        walk = read_all(past_the_gate("bench"), check).leave_for(check).answer(answer)
        assert walk.now.starts_forbidden == shipped().checks[check].answer(answer).means
        advice = advice_of(walk)
        assert advice is not None
        assert not [worth.check for worth in advice.checks if shipped().checks[worth.check].uses_start]
    by_phone = past_the_gate("phone").acknowledge("fuel_vapour").leave_for("wet_seen").answer("wet")
    assert by_phone.now.starts_forbidden


def test_raw_fuel_forbids_starts_until_the_chamber_is_dry() -> None:
    """Seen beside the tree too, raw fuel forbids starts before the chamber was dried or seen to be dry."""
    wet = read_all(past_the_gate("bench"), "raw_fuel_look").leave_for("raw_fuel_look").answer("wet")
    assert wet.now.starts_forbidden
    look = read_all(wet, "chamber_dried").leave_for("chamber_dried")
    assert look.answer("wet").now.starts_forbidden
    assert look.cannot_tell().now.starts_forbidden
    dry = look.answer("dry")
    assert dry.now.starts_forbidden == ""
    advised = [advice_of(walk) for walk in (wet, dry)]
    fixes = [{one.fix for one in advice.fixes.order} if advice else set() for advice in advised]
    assert "dry_chamber" in fixes[0]
    assert "dry_chamber" not in fixes[1]  # what was seen to be made is not proposed again
    by_phone = read_all(past_the_gate("phone"), "exhaust_drip").leave_for("exhaust_drip").answer("wet")
    assert by_phone.now.starts_forbidden


def read_all(walk: Walk, check: str) -> Walk:
    """Return a walk in which the cautions of a check were read."""
    for caution in walk.book.checks[check].cautions:
        walk = walk.acknowledge(caution)
    return walk


def past_the_gate(place: str) -> Walk:
    """Return a job of the shipped book at its first step."""
    walk = Walk.begin(shipped(), words="x", tree="low_heat", family="air_2kw_12v", place=place)  # type: ignore[arg-type]
    return behind_gate(walk.taken_up(*TODAY))
