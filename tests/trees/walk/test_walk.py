"""One job's way through the trees of a small invented book."""

from __future__ import annotations

from dataclasses import replace

import pytest
from small_book import by_id, small_book
from small_walk import TODAY, at_dose, at_supply, begin

from trees.book.tree import Step, Tree
from trees.errors import ImplausibleError, ReadingError, WalkError
from trees.walk import Walk

# ── steps ───────────────────────────────────────────────────────────────────


def test_shared_tree_is_run_and_comes_back() -> None:
    """After the shared tree's return the walk goes on behind the step that ran it."""
    walk = at_supply()
    assert walk.question.visit == "smoke_on_start.supply/supply_voltage.rested"
    assert at_dose().question.no == 203


def test_figure_asks_for_its_missing_reading_first() -> None:
    """A figure step asks the readings that it lacks, works itself out, and judges the result."""
    walk = at_supply().reading("12,7 V")
    assert (walk.question.check.id, walk.question.no) == ("loaded", 302)  # type: ignore[union-attr]
    walk = walk.reading("12000 mV")
    assert walk.question.form == "figure"
    assert walk.question.value == pytest.approx(0.7)
    walk = walk.take_figure()
    assert walk.findings["cable_thin"].state == "found"


def test_figure_without_its_reading_goes_on_as_unknown() -> None:
    """What was not measured is never worked out."""
    walk = at_supply().reading("12.7").cannot_tell()
    assert (walk.question.form, walk.question.value) == ("figure", None)
    with pytest.raises(WalkError, match="was not taken"):
        walk.take_figure()
    assert walk.cannot_tell().question.no == 203


def test_band_edge_belongs_to_the_lower_band_and_depends_on_voltage() -> None:
    """12.2 V is flat at 12 V; the same number typed as 24.4 V is flat for a 24 V unit."""
    flat = at_supply().reading("12.2")
    assert flat.findings["battery_flat"].state == "found"
    assert at_supply().reading("12.21").findings["battery_flat"].state == "ruled_out"
    walk = begin(family="water5").acknowledge("gas").answer("stays").reading("24.4")
    assert walk.findings["battery_flat"].state == "found"


def test_repeated_readings_are_averaged_and_scatter_has_its_own_answer() -> None:
    """The mean of three counts; readings more than the allowed spread apart are told as scattered."""
    walk = at_dose().reading("6.5 6.6 6.7 ml")
    assert walk.now.givens[-1].answer == "good"
    assert walk.now.givens[-1].values[""] == pytest.approx(6.6)
    assert at_dose().reading("4.1 5.6 3.2").now.givens[-1].answer == "scattered"


def test_bands_as_fractions_of_the_rated_value() -> None:
    """With `of` the edges are fractions: 0.9 of 6.6 ml is 5.94 ml."""
    assert at_dose().reading("5.93").now.givens[-1].answer == "low"
    assert at_dose().reading("5.95").now.givens[-1].answer == "good"


def test_unknown_rating_is_asked_and_recorded_as_entered_by_hand() -> None:
    """Where the family does not say, the walk asks for the plate's or the manual's figure."""
    walk = begin(family="water5").acknowledge("gas").answer("stays").reading("25").cannot_tell().cannot_tell()
    assert (walk.question.kind, walk.question.rated_name) == ("rated", "dose")
    asked = walk.reading("30 ml")
    assert asked.question.kind == "check"
    assert asked.reading("25").now.givens[-1].answer == "low"
    assert any("entered by hand" in item.answered for item in asked.trail)


def test_reading_that_nothing_judges_is_kept_without_a_verdict() -> None:
    """If nobody knows the rating the reading is kept, goes the way of cannot-tell, and finds nothing."""
    walk = begin(family=None).acknowledge("gas").answer("stays")
    while walk.question.rated_name != "dose":
        walk = walk.cannot_tell()  # the voltage, and all of the shared tree
    walk = walk.cannot_tell()  # the rating is not to be had
    walk = walk.reading("6.6 ml")
    given = walk.now.givens[-1]
    assert (given.answer, given.values[""], walk.question.no) == ("unknown", 6.6, 204)
    assert "pump_weak" not in walk.findings


def test_answer_beside_the_bands() -> None:
    """A reading check may have answers without a number."""
    assert at_dose().answer("none").question.no == 204


def test_nonsense_is_refused_in_a_sentence() -> None:
    """What is no reading is not kept."""
    with pytest.raises(ReadingError):
        at_dose().reading("lots")
    with pytest.raises(WalkError, match="no answer to the present question"):
        at_dose().answer("nonsense")


def test_step_that_does_not_fit_the_unit_is_passed_over() -> None:
    """An air heater's question is not asked for a coolant heater."""
    air = at_dose().answer("none")
    assert air.question.no == 204
    coolant = at_dose().set_family("water5").reading("30")  # 30 ml as the plate's figure
    assert coolant.answer("none").question.no == 205


def test_tick_list_says_something_only_when_confirmed() -> None:
    """Ticked items hint; unticked ones speak through `else`; an item that stands alone excludes others."""
    walk = at_dose().answer("none").answer("no")
    assert walk.tick(["low"]).findings["low_by_habit"].state == "hinted"
    assert walk.tick([]).observations["low_fire"].level == "no"
    assert "low_fire" not in walk.cannot_tell().observations
    with pytest.raises(WalkError, match="can't go with others"):
        walk.tick(["low", "none"])


def test_unknown_finds_and_rules_out_nothing() -> None:
    """Cannot tell changes no finding and no observation."""
    walk = at_supply()
    after = walk.cannot_tell()
    assert (after.findings, after.observations) == (walk.findings, walk.observations)


def test_set_of_readings() -> None:
    """A check may take several readings; one may stay empty, not all."""
    walk = begin().leave_for("hours")
    assert walk.readings({"low": "1190", "high": ""}).now.givens[-1].values == {"low": 1190.0}
    with pytest.raises(WalkError, match="at least one"):
        walk.readings({"low": " ", "high": ""})


# ── phone ───────────────────────────────────────────────────────────────────


def test_phone_walk_meets_no_check_outside_its_place() -> None:
    """A shared tree comes back, a step takes its `instead`, the rest leaves by the phone exit."""
    walk = begin("phone").acknowledge("gas").answer("stays")
    assert walk.question.check.id == "blown"  # type: ignore[union-attr]
    walk = walk.answer("no").answer("no").tick([])
    assert (walk.question.kind, walk.question.end, walk.question.bring) == (
        "end",
        "to_workshop",
        ("the unit with its tubes",),
    )


def test_caller_can_only_hint() -> None:
    """What an answer finds by phone counts as a hint."""
    walk = begin("phone").acknowledge("gas").answer("stays").answer("yes")
    assert walk.findings["cable_thin"].state == "hinted"


def test_installation_is_ruled_out_only_where_it_is_fitted() -> None:
    """A good voltage at the bench says nothing of the cable on the boat; at the site it does."""
    bench = at_supply().reading("12.7").reading("12.5")
    assert "cable_thin" not in bench.findings
    site = begin("site").acknowledge("gas").answer("stays").reading("12.7").reading("12.5")
    assert site.findings["cable_thin"].state == "ruled_out"


def test_hand_over_from_phone_to_bench_keeps_the_trail() -> None:
    """The job goes on at the bench with what the caller said."""
    walk = begin("phone").acknowledge("gas").answer("stays").set_place("bench")
    assert walk.now.givens[2].answer == "stays"
    assert walk.question.no == 301


# ── changing ────────────────────────────────────────────────────────────────


def test_back_takes_the_last_answer_back() -> None:
    """The answer stays in the trail, struck out; the question is asked again."""
    walk = at_supply().back()
    assert walk.question.no == 201
    struck = [item for item in walk.trail if item.struck]
    assert [(item.step_no, item.struck) for item in struck] == [(201, "taken back")]


def test_taking_back_restores_the_state() -> None:
    """An answer and its taking back leave the state as it was."""
    walk = at_supply()
    again = walk.reading("12.7").back()
    assert (again.findings, again.observations, again.question, again.now.minutes) == (
        walk.findings,
        walk.observations,
        walk.question,
        walk.now.minutes,
    )


def test_changing_an_earlier_answer_replays() -> None:
    """Answers that still apply are kept; those off the new way are struck out and no longer count."""
    walk = at_dose().reading("6.6").answer("no")
    assert walk.question.no == 205
    changed = walk.answer("short", visit="smoke_on_start.watch")
    assert changed.question.no == 205, "dose and outlet still apply"
    off = [item for item in changed.trail if item.struck == "off the way"]
    assert [item.step_no for item in off] == [301, 302, 302]
    assert "cable_thin" not in changed.findings
    back_again = changed.answer("stays", visit="smoke_on_start.watch")
    assert back_again.findings["cable_thin"].state == "found"


def test_known_answer_is_taken_over_with_one_key() -> None:
    """A check that was answered before is not asked again; one key lets it count."""
    book = small_book()
    twice = Tree(
        id="twice", title="Twice", begin="a", complaint_words=("x",),
        steps=by_id(
            Step(id="a", no=1, kind="check", refers="blown", then="b"),
            Step(id="b", no=2, kind="check", refers="blown", then="c"),
            Step(id="c", no=3, kind="end", refers="no_fault"),
        ),
    )  # fmt: skip
    walk = Walk.begin(small_book(trees={**book.trees, "twice": twice}), words="x", tree="twice")
    walk = walk.taken_up(*TODAY).answer("no").answer("no").answer("yes")
    assert walk.question.known is not None
    assert walk.take_over().question.kind == "end"


def test_reading_after_a_repair_is_asked_anew() -> None:
    """A reading from before the repair is shown beside the question and not taken over."""
    walk = at_dose().reading("6.6").answer("no").tick([]).answer("coked").answer("cured")
    assert walk.question.no == 401
    assert walk.question.known is None
    assert walk.question.before_repair is not None
    handed = walk.reading("12.1")
    assert (handed.question.kind, handed.question.end) == ("end", "released")
    assert "volts_low" not in handed.observations or handed.observations["volts_low"].given.no != len(handed.entries)  # type: ignore[union-attr]


def test_aside_leaves_the_tree_and_comes_back() -> None:
    """A check outside the tree counts, and the tree goes on where it waited."""
    walk = at_supply().leave_for("insert")
    assert walk.question.aside
    done = walk.answer("coked")
    assert done.question.no == 301
    assert done.findings["insert_coked"].state == "found"
    assert walk.return_to_tree().question.no == 301


def test_same_entries_give_the_same_state() -> None:
    """Replay needs no clock and no settings."""
    walk = at_dose().reading("6.6").back().answer("none")
    again = Walk.resume(small_book(), walk.entries)
    assert (again.now.givens, again.question, again.findings) == (walk.now.givens, walk.question, walk.findings)


def test_changed_book_under_an_open_job_says_where_it_differs() -> None:
    """A reading is read by the present edition's bands, and the trail marks it."""
    walk = at_dose().reading("6.0")
    book = small_book()
    dose = book.checks["dose"]
    sharper = replace(dose, bands=(replace(dose.bands[0], upto=0.95), *dose.bands[1:]))
    newer = Walk.resume(small_book(checks={**book.checks, "dose": sharper}), walk.entries)
    assert newer.now.givens[-1].answer == "low"
    assert [item.step_no for item in newer.trail if item.reads_otherwise] == [203]


def test_step_that_is_gone_leaves_the_job_readable() -> None:
    """A job whose tree lost a step stands still with a sentence instead of breaking."""
    walk = at_supply()
    trees = dict(small_book().trees)
    del trees["supply_voltage"]
    newer = Walk.resume(small_book(trees=trees), walk.entries)
    assert newer.question.kind == "nothing"


# ── conclusion ──────────────────────────────────────────────────────────────


def test_consequence_without_a_root_is_told() -> None:
    """A found consequence names the causes that could have led to it and were not ruled out."""
    walk = begin().acknowledge("gas").answer("short").reading("6.6").answer("no").tick([]).answer("coked")
    result = walk.conclusion
    assert result.consequences == ("insert_coked",)
    assert result.unexplained["insert_coked"] == ("battery_flat", "cable_thin", "low_by_habit")
    assert not result.root_found


def test_consequence_asks_for_its_root_before_the_job_is_called_solved() -> None:
    """Released without the root only with a word on why; put off or handed on it may be; a found root frees the way."""
    rootless = begin().acknowledge("gas").answer("short").reading("6.6").answer("no").tick([]).answer("coked")
    rootless = rootless.answer("cured").reading("12.6")
    assert rootless.question.end == "released"
    assert rootless.asks_root("released")
    with pytest.raises(WalkError, match=r"^Insert coked has no root yet\. It may come from: .*thin.* closes"):
        rootless.close("released", "  ")
    told = rootless.close("released", "The root sits in the boat, the owner was told.")
    assert (told.now.closed, told.now.close_text) == ("released", "The root sits in the boat, the owner was told.")
    assert not told.conclusion.root_found
    assert not rootless.asks_root("to_workshop")
    assert rootless.close("to_workshop").now.closed == "to_workshop"
    rooted = at_supply().reading("12.1").cannot_tell().cannot_tell().answer("none").answer("no").tick([])
    rooted = rooted.answer("coked").answer("cured").reading("12.6")
    assert rooted.close("released").now.closed == "released"


def test_several_causes_are_concluded_together() -> None:
    """Root, contributing and consequence are three lists."""
    walk = at_supply().reading("12.1").cannot_tell().cannot_tell().answer("none").answer("no").tick(["low"])
    walk = walk.answer("coked").answer("cured")
    result = walk.conclusion
    assert (result.roots, result.contributing, result.consequences) == (
        ("battery_flat",),
        ("low_by_habit",),
        ("insert_coked",),
    )
    assert result.root_found


def test_found_and_ruled_out_is_shown_as_contradicted() -> None:
    """A found cause stays found, with both answers beside it."""
    walk = at_supply().reading("12.1").leave_for("rested").reading("12.8")
    finding = walk.findings["battery_flat"]
    assert (finding.state, finding.contradicted) == ("found", True)


def test_minutes_count_a_check_once_and_the_opening_once() -> None:
    """Smoke 6, rested 3, loaded 5, insert 20 with 15 for opening the unit, the figure its two."""
    walk = at_dose().leave_for("insert").answer("coked").leave_for("insert").answer("clean")
    assert walk.now.minutes == pytest.approx(6 + 3 + 5 + 2 + 20 + 15)


# ── what a second pair of eyes found ────────────────────────────────────────


def test_callers_word_is_no_look_at_the_bench() -> None:
    """After the hand-over a step asks its own check, though another one was answered there by phone."""
    walk = begin("phone").acknowledge("gas").answer("short")
    assert walk.question.check.id == "blown"  # type: ignore[union-attr]
    bench = walk.answer("no").set_place("bench")
    assert (bench.question.no, bench.question.check.id) == (203, "dose")  # type: ignore[union-attr]
    assert begin("phone").acknowledge("gas").answer("short").cannot_tell().set_place("bench").question.no == 203


@pytest.mark.parametrize("typed", ["11800", "-3", "99 V"])
def test_implausible_reading_needs_a_second_word(typed: str) -> None:
    """A reading that probably lacks its unit finds nothing until it is confirmed."""
    with pytest.raises(ImplausibleError):
        at_supply().reading(typed)
    assert at_supply().reading(typed, sure=True).now.givens[-1].verdict.implausible  # type: ignore[union-attr]


def test_no_infinite_reading() -> None:
    """What overflows is no reading, confirmed or not."""
    with pytest.raises(ReadingError):
        at_supply().reading("1e309 V", sure=True)


def test_struck_answer_is_told_in_words() -> None:
    """A taken back answer is shown with the book's words, not with its id."""
    struck = next(item for item in at_supply().back().trail if item.struck)
    assert struck.answered == "Never clears"
