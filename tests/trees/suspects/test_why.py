"""The account of a cause: own part and rivals told apart, and every number in a sentence."""

from __future__ import annotations

import math

import pytest

from trees.errors import SuspectsError
from trees.suspects import Evidence, Network, Observed, Row, SignNode, in_words, percent, posterior, why


def _sign(name: str, links: dict[int, float], leak: float = 0.02) -> SignNode:
    return SignNode(name, ("no", "yes"), Row.of([leak]), {i: Row.of([q]) for i, q in links.items()})


@pytest.fixture
def network() -> Network:
    """Two causes of coke on the insert; the damp store makes the fuel cloudy, the other cause does not."""
    signs = [_sign("coke", {0: 0.8, 1: 0.7}), _sign("cloudy", {1: 0.6}, 0.01), _sign("low_fire", {0: 0.9})]
    return Network(("oversized", "damp_fuel"), (0.14, 0.08), {s.id: s for s in signs})


def test_a_rival_is_named_for_a_cause_without_a_link(network: Network) -> None:
    """Cloudy fuel says nothing of the unit's size; it moves it only because damp fuel explains the coke."""
    reasons = why(network, Evidence.of({"coke": "yes", "cloudy": "yes"}), "oversized")
    cloudy = reasons.weights[1]
    assert not cloudy.linked
    assert cloudy.db < -1
    assert (cloudy.rival, cloudy.rival_rose) == ("damp_fuel", True)
    assert reasons.weights[0].rival is None


def test_a_rival_that_is_cleared_makes_a_cause_likelier(network: Network) -> None:
    """Clear fuel raises the other cause that does not show in the fuel: own part 0 dB, the rest a rival's."""
    reasons = why(network, Evidence.of({"coke": "yes", "cloudy": "no"}), "oversized")
    clear = reasons.weights[1]
    assert clear.own_db == 0.0
    assert clear.db > 1
    assert (clear.rival, clear.rival_rose) == ("damp_fuel", False)


def test_own_part_of_a_normal_answer(network: Network) -> None:
    """A normal answer's own part is 10 log10 F(0) although rivals change the whole move."""
    reasons = why(network, Evidence.of({"cloudy": "yes", "coke": "no"}), "damp_fuel")
    assert reasons.weights[1].own_db == pytest.approx(10 * math.log10(1 - 0.7), abs=1e-9)


def test_without_this_answer(network: Network) -> None:
    """Each answer tells where the cause would stand without it: exactly the posterior of the others."""
    evidence = Evidence.of({"coke": "yes", "cloudy": "yes", "low_fire": "yes"})
    for weight in why(network, evidence, "oversized").weights:
        expected = posterior(network, evidence.without(weight.answer)).marginals["oversized"]
        assert weight.without == expected


def test_signs_of_one_answer_count_together(network: Network) -> None:
    """An answer that speaks of two signs is one line of the account."""
    evidence = Evidence.of({"coke": "yes", "cloudy": "no"}, by="look at the insert").adding(
        [Observed("low_fire", "yes")]
    )
    reasons = why(network, evidence, "oversized")
    assert [w.answer for w in reasons.weights] == ["look at the insert", "low_fire"]
    assert reasons.weights[0].signs == ("coke", "cloudy")
    assert sum(w.db for w in reasons.weights) == pytest.approx(reasons.total_db, abs=1e-9)


def test_words_carry_their_numbers(network: Network) -> None:
    """Every line names the answer, the size in a word and in dB, both chances, the rival, and the chance without it."""
    evidence = Evidence.of({"coke": "yes", "cloudy": "yes"})
    lines = in_words(
        why(network, evidence, "oversized"),
        {"oversized": "Unit too large", "damp_fuel": "Damp fuel"},
        {"coke": "Coke on the insert", "cloudy": "Fuel is cloudy"},
    )
    assert lines[0] == "Unit too large: 67 % before any answer."
    assert lines[2].startswith("Fuel is cloudy: ")
    assert "against it (\u2212" in lines[2]
    assert "it makes Damp fuel likelier, which explains the same, so Unit too large is needed less" in lines[2]
    assert "Without this answer it would be" in lines[2]
    assert lines[-1].startswith("Together ")


@pytest.mark.parametrize(
    ("chance", "text"),
    [(0.0, "0 %"), (1.0, "100 %"), (0.004, "under 1 %"), (0.9999, "over 99 %"), (0.355, "36 %"), (0.12, "12 %")],
)
def test_percent(chance: float, text: str) -> None:
    """Only what is certain is written as 0 % or 100 %."""
    assert percent(chance) == text


def test_a_cause_that_is_no_suspect(network: Network) -> None:
    """A cause that this unit can't have is refused in a sentence."""
    with pytest.raises(SuspectsError, match="water_pump is not among the suspects"):
        why(network, Evidence(), "water_pump")
