"""What a job's answers are to the reasoning: soft near a band edge, in order; and advice keeps to what may be done."""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import pairwise
from typing import Any

import pytest
from small_book import small_book

from trees.book.model import Book, Fix
from trees.book.tree import Tree
from trees.suspects import Evidence, Observed, Posterior, Tried, posterior, turns
from trees.walk import Walk
from trees.walk.near_edges import likely_bands, standard_uncertainty_of
from trees.walk.ranking import probabilities, rank
from trees.walk.reason_words import advice_lines, for_and_against, names_of, suspect_line, turn_line
from trees.walk.reasons import (
    COMPLAINT,
    advice_of,
    answers_told,
    evidence_of,
    pairs_of,
    roots_of,
    turns_of,
    why_no_fix,
    why_not,
    why_of,
)

TODAY = ("bench one", "2026-01-05")


def book_with(*, uncertainty: float | None = None, **changes: object) -> Book:
    """Return the small book, its reading under load with a standard uncertainty in volts."""
    book = small_book(**changes)
    loaded = replace(book.checks["loaded"], uncertainty=uncertainty)
    return replace(book, checks={**book.checks, "loaded": loaded})


def begin(book: Book, place: str = "bench", tree: str | None = "smoke_on_start") -> Walk:
    """Return a job that has passed the gate."""
    walk = Walk.begin(book, words="smokes", tree=tree, place=place, family="air2")  # type: ignore[arg-type]
    return walk.taken_up(*TODAY).answer("no").answer("no")


def loaded_at(volts: str, uncertainty: float | None) -> Walk:
    """Return a job without a tree in which only the voltage under load was read."""
    return begin(book_with(uncertainty=uncertainty), tree=None).leave_for("loaded").reading(volts)


def hard(walk: Walk, **says: str) -> Posterior:
    """Return the suspects with sure answers instead of the job's own."""
    network, _ = evidence_of(walk)
    return posterior(network, Evidence.of(says))


# ── near a band edge ────────────────────────────────────────────────────────


def test_on_the_edge_both_bands_count_alike() -> None:
    """A reading on the edge of 11.5 V says nothing about which side it is: as if it had not been taken."""
    walk = loaded_at("11.5", 0.1)
    network, evidence = evidence_of(walk)
    (item,) = evidence.items
    assert isinstance(item, Observed)
    assert item.weights == pytest.approx({"yes": 0.5, "no": 0.5})
    assert dict(probabilities(walk)) == pytest.approx(dict(posterior(network).marginals), abs=1e-12)


def test_half_a_deviation_inside_weighs_by_the_normal_table() -> None:
    """Φ(0.5) = 0.6915 of the normal table (JCGM 106:2012 clause 7): 11.45 V with 0.1 V below an edge of 11.5 V."""
    _, evidence = evidence_of(loaded_at("11.45", 0.1))
    (item,) = evidence.items
    assert isinstance(item, Observed)
    assert item.weights == pytest.approx({"yes": 0.6915, "no": 0.3085}, abs=5e-5)


@pytest.mark.parametrize(("volts", "level"), [("10.9", "yes"), ("12.4", "no")])
def test_clear_of_the_edge_counts_as_it_stands(volts: str, level: str) -> None:
    """Far from every edge, and without an uncertainty, the answer is sure, bit for bit."""
    for walk in (loaded_at(volts, 0.1), loaded_at(volts, None)):
        assert dict(probabilities(walk)) == dict(hard(walk, volts_low=level).marginals)


def test_the_finding_follows_the_reading_alone() -> None:
    """Near the edge the band decides what is found and ruled out, uncertain or not."""
    for volts in ("11.49", "11.51"):
        with_u, without = loaded_at(volts, 0.1), loaded_at(volts, None)
        assert with_u.findings == without.findings
        assert with_u.now.givens[-1].answer == without.now.givens[-1].answer


def test_suspects_do_not_jump_at_the_edge() -> None:
    """As the reading rises through the edge a thin cable becomes steadily less likely, without a jump."""
    steps = [11.2 + 0.02 * k for k in range(31)]
    chances = [probabilities(loaded_at(f"{volts:.2f}", 0.1))["cable_thin"] for volts in steps]
    falls = [before - after for before, after in pairwise(chances)]
    assert min(falls) > -1e-12
    assert max(falls) < 0.35 * (chances[0] - chances[-1])
    sharp = [probabilities(loaded_at(f"{volts:.2f}", None))["cable_thin"] for volts in (11.5, 11.52)]
    assert sharp[0] - sharp[1] == pytest.approx(chances[0] - chances[-1], rel=0.02)


def test_edges_that_are_fractions_are_weighed_for_this_unit() -> None:
    """Edges of 0.9 and 1.1 of a rated 6.6 ml: a mean of 6.0 ml with 0.2 ml lies in two bands."""
    book = small_book()
    dose = replace(book.checks["dose"], uncertainty=0.2)
    walk = (
        begin(replace(book, checks={**book.checks, "dose": dose}), tree=None).leave_for("dose").reading("6.0 6.0 6.0")
    )
    assert walk.now.known is not None
    bands = {answer.id: chance for answer, chance in likely_bands(walk.book, walk.now.givens[-1], walk.now.known)}
    below = 0.5 * math.erfc((6.0 - 5.94) / 0.2 / math.sqrt(2))
    assert bands["low"] == pytest.approx(below, rel=1e-3)
    assert bands["good"] == pytest.approx(1 - below, rel=1e-3)
    scattered = begin(walk.book, tree=None).leave_for("dose").reading("5.5 6.0 6.5")
    assert scattered.now.known is not None
    assert likely_bands(walk.book, scattered.now.givens[-1], scattered.now.known) == ()


def test_a_figure_takes_the_uncertainty_of_its_readings() -> None:
    """A difference of two voltages with 0.1 V each is uncertain by 0.1·√2 V (JCGM 100 clause 5.1.2)."""
    book = book_with(uncertainty=0.1)
    rested = replace(book.checks["rested"], uncertainty=0.1)
    walk = begin(replace(book, checks={**book.checks, "rested": rested}), tree=None)
    walk = walk.leave_for("rested").reading("12.6").leave_for("loaded").reading("12.1")
    assert walk.now.known is not None
    found = standard_uncertainty_of(walk.book, walk.book.checks["drop"], walk.now.known)
    assert found == pytest.approx(0.1 * math.sqrt(2), rel=1e-6)


def test_the_stronger_proof_still_decides() -> None:
    """Where another answer decides a sign, a reading near the edge does not soften it."""
    book = book_with(uncertainty=0.1)
    look = replace(book.checks["blown"], id="later", proof="reading", answers=(
        replace(book.checks["blown"].answers[0], says={"volts_low": "yes"}), book.checks["blown"].answers[1],
    ))  # fmt: skip
    walk = begin(replace(book, checks={**book.checks, "later": look}), tree=None).leave_for("loaded").reading("11.52")
    walk = walk.leave_for("later").answer("no")
    assert dict(probabilities(walk)) == dict(hard(walk, volts_low="yes").marginals)


# ── the evidence ────────────────────────────────────────────────────────────


def full_job(book: Book | None = None) -> Walk:
    """Return a job with a complaint, a reading, a look and a fix that did not help."""
    walk = begin(book or book_with()).acknowledge("gas").answer("stays")
    walk = walk.reading("12.7").reading("11.2").take_figure().reading("6.6 6.6 6.6").answer("no")
    return walk.tick(["low"]).answer("coked").answer("still")


def test_evidence_is_all_that_counts_in_order() -> None:
    """The complaint first, then each answer under its visit; a fix that did not help is a trial."""
    walk = full_job()
    network, evidence = evidence_of(walk)
    assert [item.answer for item in evidence.items] == [
        g.visit for g in walk.now.givens if g.visit in evidence.answers()
    ]
    assert isinstance(evidence.items[-1], Tried)
    assert evidence.items[-1].cures == ("insert_coked",)
    only_complaint = begin(book_with())
    assert evidence_of(only_complaint)[1].answers() == (COMPLAINT,)
    assert dict(probabilities(walk)) == dict(posterior(network, evidence).marginals)


def test_taking_back_restores_bit_for_bit() -> None:
    """After an answer near an edge is taken back the suspects are what they were."""
    before = begin(book_with(uncertainty=0.1)).acknowledge("gas").answer("stays").reading("12.7")
    after = before.reading("11.48").back()
    assert dict(probabilities(after)) == dict(probabilities(before))


def test_every_answer_has_its_words() -> None:
    """Each label of the evidence is told as question and answer of the book."""
    walk = full_job()
    told = answers_told(walk)
    assert set(evidence_of(walk)[1].answers()) <= set(told)
    assert told[COMPLAINT] == "The complaint, smokes"
    assert any(text.startswith("Voltage under glow load: 11.2 V") for text in told.values())
    assert told["gate1:alarm_now"].endswith(": No")


def test_a_book_without_causes_walks_on() -> None:
    """Without causes there are no suspects: a sentence, and the ranking stays empty."""
    walk = begin(small_book(causes={}))
    suspects, trouble = rank(walk)
    assert suspects == ()
    assert "no cause" in trouble


# ── why ─────────────────────────────────────────────────────────────────────


def test_reasons_sum_and_are_sorted_by_what_they_did() -> None:
    """Decibans of all answers sum to the whole move; every sentence stands on its side once."""
    walk = full_job(book_with(uncertainty=0.1))
    for cause in walk.book.causes:
        reasons = why_of(walk, cause)
        assert sum(weight.db for weight in reasons.weights) == pytest.approx(reasons.total_db, abs=1e-9)
        told = for_and_against(reasons, names_of(walk), answers_told(walk))
        sides = (told.speaks_for, told.speaks_against, told.hardly)
        assert sum(map(len, sides)) == len(reasons.weights)
        assert all("dB" in line and "Without this answer it would be" in line for side in sides for line in side)
        assert told.total.startswith("Together ")


def test_what_would_change_my_mind_keeps_to_what_can_be_done() -> None:
    """By phone no bench reading is named; a cause that a trial removed can't be moved any more."""
    by_phone = begin(book_with(), place="phone")
    assert all(
        "phone" in walk_check.place
        for walk_check in (by_phone.book.checks[t.check] for t in turns_of(by_phone, "cable_thin"))
    )
    assert any(t.check == "loaded" for t in turns_of(begin(book_with()), "cable_thin"))
    tried = full_job()
    assert turns_of(tried, "insert_coked") == ()
    line = turn_line(begin(book_with()), turns_of(begin(book_with()), "cable_thin")[0])
    assert "Then it would be" in line


def test_a_removed_cause_has_no_turns() -> None:
    """After a failed trial of a cause no answer moves it; not a move that is no number."""
    walk = full_job()
    network, evidence = evidence_of(walk)
    assert turns(walk.book, network, evidence, "insert_coked") == ()


def test_a_found_consequence_points_at_its_roots_by_chance() -> None:
    """The possible roots of a found consequence, likeliest first."""
    walk = begin(book_with()).acknowledge("gas").answer("stays").reading("12.7").reading("12.4").take_figure()
    walk = walk.reading("6.6 6.6 6.6").answer("no").tick(["low"]).answer("coked")
    chances = probabilities(walk)
    roots = roots_of(walk, chances)["insert_coked"]
    assert set(roots) <= set(walk.book.causes)
    assert [chances[root] for root in roots] == sorted((chances[root] for root in roots), reverse=True)
    assert "low_by_habit" in roots


def test_suspects_and_pairs_are_told() -> None:
    """A suspect's line has its chance and what was found of it; pairs are chances, likeliest first."""
    walk = full_job()
    lines = [suspect_line(suspect) for suspect in rank(walk)[0]]
    assert any(line.endswith("Insert coked (found)") for line in lines)
    found = [pair.chance for pair in pairs_of(walk)]
    assert found == sorted(found, reverse=True)
    assert all(0 <= chance <= 1 for chance in found)


# ── what next ───────────────────────────────────────────────────────────────


def worth_while(book: Book) -> Book:
    """Return the book with dear fixes, so that checks pay."""
    fixes = {
        f"fix_{cause}": Fix(id=f"fix_{cause}", do=f"Mend {cause}.", minutes=120, cures=(cause,), who="technician")
        for cause in book.causes
    }
    return replace(book, fixes=fixes)


def advised(walk: Walk) -> Any:
    """Return the advice, which must be given."""
    advice = advice_of(walk)
    assert advice is not None
    return advice


def test_no_advice_where_safety_or_the_end_has_the_word() -> None:
    """With open safety questions, after a stop and in a closed job nothing is proposed."""
    book = worth_while(book_with())
    new = Walk.begin(book, words="smokes", tree="smoke_on_start").taken_up(*TODAY)
    assert advice_of(new) is None
    assert advice_of(new.answer("yes")) is None
    assert advice_of(begin(book).close("no_fault")) is None
    assert advice_of(begin(book)) is not None


def test_what_is_blocked_here_is_told_with_its_place() -> None:
    """By phone a bench reading is not advised; its minutes are shown as saved on the bench."""
    walk = begin(worth_while(book_with()), place="phone")
    advice = advised(walk)
    here = {worth.check for worth in advice.checks}
    assert "loaded" not in here
    apart = {worth.check: worth for worth in advice.elsewhere}
    assert apart["loaded"].blocked == why_not(walk, walk.book.checks["loaded"])
    text = [line for line in advice_lines(walk, advice) if "Voltage under glow load" in line]
    assert len(text) == 1
    assert text[0].startswith("At the bench this would save ")


def test_done_checks_are_not_advised_again_but_at_another_place_they_are() -> None:
    """Cannot-tell by phone leaves a check open for the bench; at the same place it is done with."""
    book = worth_while(book_with())
    start = begin(book, place="phone", tree=None)
    assert "habits" in {worth.check for worth in advised(start).checks}
    walk = start.leave_for("habits").cannot_tell()
    assert "habits" not in {worth.check for worth in (*advised(walk).checks, *advised(walk).elsewhere)}
    on_bench = walk.set_place("bench")
    assert "habits" in {worth.check for worth in advised(on_bench).checks}
    answered = begin(book, tree=None).leave_for("loaded").reading("12.4")
    assert "loaded" not in {w.check for w in (*advised(answered).checks, *advised(answered).elsewhere)}


def test_no_start_where_starts_are_forbidden() -> None:
    """After an alarm in the past no check that starts the unit is advised; its reason is told."""
    book = worth_while(book_with())
    new = Walk.begin(book, words="smokes", tree=None).taken_up(*TODAY).answer("no")
    assert "smoke" in {worth.check for worth in advised(new.answer("no")).checks}
    walk = new.answer("yes")
    assert "smoke" not in {worth.check for worth in advised(walk).checks}
    (apart,) = (worth for worth in advised(walk).elsewhere if worth.check == "smoke")
    assert apart.blocked == why_not(walk, book.checks["smoke"])
    assert apart.blocked.startswith("No start in this job")


def test_a_figure_is_blocked_with_its_readings() -> None:
    """A figure can't be worked out by phone while a reading that it wants is only for the bench."""
    walk = begin(book_with(), place="phone", tree=None)
    assert "at the bench" in why_not(walk, walk.book.checks["drop"])
    assert why_not(begin(book_with(), tree=None), walk.book.checks["drop"]) == ""


def test_fixes_keep_to_place_and_hands() -> None:
    """A caller makes no technician's fix; a fix of another place is not advised."""
    fix = Fix(id="mend", do="Mend.", minutes=5, cures=("pump_weak",), place=("site",))
    assert why_no_fix(begin(book_with(), place="phone"), fix) == "A caller may not do this."
    assert why_no_fix(begin(book_with()), fix) == "Not at the bench."
    assert why_no_fix(begin(book_with(), place="site"), fix) == ""


def test_without_a_check_that_pays_a_fix_is_named() -> None:
    """Cheap fixes need no checks: the advice is the fix, in a sentence."""
    book = book_with(fixes={"all": Fix(id="all", do="Mend all.", minutes=1, cures=tuple(small_book().causes))})
    advice = advised(begin(book))
    assert (advice.check, advice.opening) == (None, None)
    assert advice_lines(begin(book), advice)[0].startswith("No check saves more than it costs. Next: Mend all.")


def test_a_tree_of_another_complaint_changes_nothing_told() -> None:
    """A complaint that says nothing of signs leaves the priors."""
    book = book_with()
    quiet = replace(book.trees["smoke_on_start"], complaint_says={})
    trees: dict[str, Tree] = {**book.trees, "smoke_on_start": quiet}
    network, evidence = evidence_of(begin(replace(book, trees=trees)))
    assert evidence == Evidence()
    assert network.causes[0] == "battery_flat"
