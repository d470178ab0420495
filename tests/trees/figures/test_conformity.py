"""A verdict on a reading names its rule, and says when it is too close to call and what would settle it."""

from __future__ import annotations

import itertools

import pytest
from hypothesis import given
from hypothesis import strategies as st

from trees.errors import FigureError
from trees.figures import work_out_in_full
from trees.figures.conformity import (
    DecisionRule,
    conformity_lower,
    conformity_upper,
    decide,
    guarded_limit,
    normal_quantile,
    probability_between,
    probability_of_conformity,
    standard_uncertainty,
)

READING = st.floats(min_value=-1000, max_value=1000)
U = st.floats(min_value=0.01, max_value=500)


@given(READING, U, READING)
def test_pass_and_fail_make_one(value: float, u: float, limit: float) -> None:
    """The probabilities of keeping and of breaking a limit sum to one."""
    assert conformity_upper(value, u, limit) + conformity_lower(value, u, limit) == pytest.approx(1.0)


@given(READING, U)
def test_on_the_limit_it_is_even(value: float, u: float) -> None:
    """A reading on the limit keeps it with probability one half."""
    assert conformity_upper(value, u, value) == pytest.approx(0.5)
    assert conformity_lower(value, u, value) == pytest.approx(0.5)


@given(READING, U, READING)
def test_more_uncertainty_pulls_to_even(value: float, u: float, limit: float) -> None:
    """A wider uncertainty brings the probability nearer to one half, never past it."""
    narrow, wide = conformity_upper(value, u, limit), conformity_upper(value, 2 * u, limit)
    assert abs(wide - 0.5) <= abs(narrow - 0.5) + 1e-12
    assert (wide - 0.5) * (narrow - 0.5) >= 0


@given(READING, U, st.lists(READING, min_size=1, max_size=5, unique=True))
def test_bands_share_out_the_whole_probability(value: float, u: float, edges: list[float]) -> None:
    """Bands without gap or overlap get probabilities that sum to one, none below zero."""
    ends = [None, *sorted(edges), None]
    parts = [probability_between(value, u, low, high) for low, high in itertools.pairwise(ends)]
    assert sum(parts) == pytest.approx(1.0)
    assert min(parts) >= 0.0
    exact = [probability_between(value, 0.0, low, high) for low, high in itertools.pairwise(ends)]
    assert sorted(exact)[-1] == 1.0
    assert sum(exact) == 1.0


def test_far_bands_keep_their_small_probability() -> None:
    """Eight standard uncertainties above the reading a band still has its 6e-16, not zero."""
    for value in (-20.0, 0.0, 20.0):
        for near, far in ((8.0, 9.0), (-9.0, -8.0)):
            found = probability_between(value, 1.0, value + near, value + far)
            assert found == pytest.approx(6.22e-16, rel=1e-2, abs=0)


def test_without_uncertainty_it_is_yes_or_no() -> None:
    """An exact reading gives 0 or 1; on the limit it keeps it, and as a band edge it belongs to the band below."""
    assert probability_of_conformity(5.0, 0.0, upper=5.0) == 1.0
    assert probability_of_conformity(5.0, 0.0, lower=5.0) == 1.0
    assert probability_of_conformity(5.1, 0.0, upper=5.0) == 0.0
    assert probability_of_conformity(4.9, 0.0, lower=5.0) == 0.0
    assert probability_between(5.0, 0.0, 4.0, 5.0) == 1.0
    assert probability_between(5.0, 0.0, 5.0, 6.0) == 0.0


@pytest.mark.parametrize(
    ("rule", "verdicts"),
    [
        # readings 880, 910, 999, 1001, 1090, 1101 with u = 50 against an upper limit of 1000; 82.2 is 1.645 u
        (DecisionRule.SIMPLE, ["pass", "pass", "pass", "fail", "fail", "fail"]),
        (DecisionRule.RELAXED, ["pass", "pass", "pass", "pass", "pass", "fail"]),
        (DecisionRule.GUARDED_ACCEPTANCE, ["pass", "pass", "fail", "fail", "fail", "fail"]),
        (DecisionRule.GUARDED_REJECTION, ["pass", "pass", "pass", "pass", "fail", "fail"]),
        (
            DecisionRule.FOUR_STATES,
            ["pass", "conditional pass", "conditional pass", "conditional fail", "conditional fail", "fail"],
        ),
        (DecisionRule.CONFIDENT_BOTH_WAYS, ["pass", "pass", *["too close to call"] * 2, "fail", "fail"]),
    ],
    ids=lambda part: part.name if isinstance(part, DecisionRule) else "",
)
def test_each_rule_decides_as_it_is_named(rule: DecisionRule, verdicts: list[str]) -> None:
    """Six readings around a limit get the verdicts that each rule is known for, from either side."""
    readings = [880, 910, 999, 1001, 1090, 1101]
    decisions = [decide(y, 50, upper=1000, rule=rule) for y in readings]
    assert [d.verdict for d in decisions] == verdicts
    assert all(rule.value in d.sentence for d in decisions)
    mirrored = [decide(-y, 50, lower=-1000, rule=rule).verdict for y in readings]
    assert mirrored == verdicts
    assert all(bool(d.settled_by) == (d.verdict not in {"pass", "fail"}) for d in decisions)


def test_too_close_says_probability_and_what_settles_it() -> None:
    """950 ± 50 against 1000 is kept with 84.1 %; u of 30 or three readings would settle it (50 / 1.645 = 30.4)."""
    decision = decide(950, 50, upper=1000, unit="ppm")
    assert decision.verdict == "too close to call"
    assert "84.1 %" in decision.sentence
    assert "30 ppm" in decision.settled_by
    assert "3 readings" in decision.settled_by
    assert decide(950, 30, upper=1000).verdict == "pass"


def test_a_reading_on_the_limit_can_not_be_settled() -> None:
    """No instrument settles a reading on the limit; the advice says so."""
    assert "no better instrument" in decide(1000, 50, upper=1000).settled_by
    assert "no better instrument" not in decide(990, 50, upper=1000).settled_by


def test_extreme_probabilities_are_never_called_certain() -> None:
    """Far from the limit the sentence says more than 99.9 % or less than 0.1 %, never 100 or 0."""
    assert "more than 99.9 %" in decide(100, 50, upper=1000).sentence
    assert "less than 0.1 %" in decide(1900, 50, upper=1000).sentence


def test_a_window_has_two_limits() -> None:
    """Inside both limits is a pass, outside either a fail; limits that cross are refused."""
    assert decide(10.0, 0.1, lower=9.0, upper=11.0).verdict == "pass"
    assert decide(8.5, 0.1, lower=9.0, upper=11.0).verdict == "fail"
    assert decide(11.5, 0.1, lower=9.0, upper=11.0).verdict == "fail"
    assert "0.06" in decide(10.9, 0.1, lower=9.0, upper=11.0).settled_by
    with pytest.raises(FigureError, match="above the upper"):
        decide(10.0, 0.1, lower=11.0, upper=9.0)


def test_what_is_no_question_is_refused() -> None:
    """No limit, a negative uncertainty and a confidence of one are refused with a sentence."""
    with pytest.raises(FigureError, match="needs a limit"):
        decide(1.0, 0.1)
    with pytest.raises(FigureError, match="not below 0"):
        decide(1.0, -0.1, upper=2.0)
    assert decide(1.0, 0.1, upper=2.0, confidence=0.51).verdict == "pass"
    for confidence in (0.5, 1.0):
        with pytest.raises(FigureError, match="confidence"):
            decide(1.0, 0.1, upper=2.0, confidence=confidence)
    with pytest.raises(FigureError, match="between 0 and 1"):
        normal_quantile(1.0)


def test_the_guarded_limit_passes_with_just_the_confidence() -> None:
    """At the guarded limit the probability is the confidence that was asked for."""
    edge = guarded_limit(1000.0, 50.0, 0.99)
    assert conformity_upper(edge, 50.0, 1000.0) == pytest.approx(0.99)
    assert guarded_limit(1000.0, 50.0) == pytest.approx(1000 - 1.645 * 50, abs=0.02)


def test_a_data_sheet_is_turned_into_a_standard_uncertainty() -> None:
    """±3 without more is 3/√3; with k = 2 it is 1.5."""
    assert standard_uncertainty(3.0) == pytest.approx(3.0**0.5)
    assert standard_uncertainty(3.0, 2.0) == 1.5


def test_the_figures_tell_the_reading_that_would_pass() -> None:
    """Beside the probability stands the guarded limit: below an upper limit, above a lower one, by 1.645 u."""
    for name, side in (("conformity_upper", -1), ("conformity_lower", 1)):
        worked = work_out_in_full(name, {"value": 12.0, "uncertainty": 0.1, "limit": 11.0})
        assert [detail.value for detail in worked.details] == pytest.approx([11.0 + side * 0.1645], abs=1e-3)
        assert "confident both ways" in worked.remarks[0]
    assert "Fail" in work_out_in_full("conformity_upper", {"value": 12.0, "uncertainty": 0.1, "limit": 11.0}).remarks[0]
    assert "Pass" in work_out_in_full("conformity_lower", {"value": 12.0, "uncertainty": 0.1, "limit": 11.0}).remarks[0]
