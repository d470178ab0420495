"""The posterior equals plain enumeration, whatever the model and the answers."""

from __future__ import annotations

import math
import random
from typing import Any

import pytest

from trees.errors import SuspectsError
from trees.suspects import Evidence, Network, Observed, Row, SignNode, Tried, posterior

CLOSE = 1e-12


def _differences(lab: Any, network: Network, evidence: Evidence) -> float:
    truth = lab.enumerate_all(network, evidence)
    found = posterior(network, evidence)
    assert math.isclose(found.p_evidence, truth.p_evidence, rel_tol=1e-9)
    return max(abs(found.marginals[cause] - truth.marginals[cause]) for cause in network.causes)


def test_equals_enumeration_on_a_thousand_random_models(lab: Any) -> None:
    """All marginals agree with the sum over every set of causes to 1e-12, with several levels and unsure answers."""
    rng = random.Random(20260101)
    worst = 0.0
    for _ in range(1000):
        network = lab.random_network(rng, causes=rng.randint(1, 9), signs=rng.randint(1, 10))
        worst = max(worst, _differences(lab, network, lab.random_evidence(rng, network)))
    assert worst < CLOSE


def test_equals_enumeration_with_trial_fixes(lab: Any) -> None:
    """Fixes that were tried and failed, or cured, weigh as the model defines it, also between other answers."""
    rng = random.Random(7)
    compared = 0
    for _ in range(200):
        network = lab.random_network(rng, causes=rng.randint(2, 6), signs=rng.randint(1, 6))
        items = list(lab.random_evidence(rng, network).items)
        for _ in range(rng.randint(1, 2)):
            cures = tuple(rng.sample(network.causes, rng.randint(1, 2)))
            items.insert(rng.randint(0, len(items)), Tried(cures, rng.choice(("still", "still", "not_tried"))))
        if rng.random() < 0.5:
            cured = Tried(tuple(rng.sample(network.causes, rng.randint(1, 2))), "cured")
            items.insert(rng.randint(len(items) // 2, len(items)), cured)
        evidence = Evidence(tuple(items))
        try:
            truth = lab.enumerate_all(network, evidence)
        except ZeroDivisionError:
            with pytest.raises(SuspectsError, match="contradict"):
                posterior(network, evidence)
            continue
        compared += 1
        found = posterior(network, evidence)
        assert found.marginals == pytest.approx(truth.marginals, abs=CLOSE)
        gone = {cause for item in items if isinstance(item, Tried) for cause in item.cures}
        assert all(found.still_there[cause] == 0.0 for cause in gone)
    assert compared > 120


def test_equals_enumeration_with_many_striking_answers(lab: Any) -> None:
    """Where an inclusion-exclusion sum would lose all digits, 16 striking answers still agree to 1e-12."""
    rng = random.Random(3)
    for _ in range(3):
        network = lab.random_network(rng, causes=9, signs=16, links=4)
        evidence = Evidence(tuple(Observed(n.id, n.levels[-1]) for n in network.signs.values()))
        assert _differences(lab, network, evidence) < CLOSE


def test_odds_belong_to_the_marginals(lab: Any) -> None:
    """P(there) / P(not there) is what the marginal says, without losing the digits near certainty."""
    rng = random.Random(11)
    for _ in range(50):
        network = lab.random_network(rng, causes=6, signs=8)
        found = posterior(network, lab.random_evidence(rng, network))
        for cause, odds in found.odds.items():
            assert odds / (1 + odds) == pytest.approx(found.marginals[cause], rel=1e-12)


def _yes_no(links: dict[int, float], leak: float) -> SignNode:
    return SignNode("s", ("no", "yes"), Row.of([leak]), {i: Row.of([q]) for i, q in links.items()})


def test_contradiction_is_told_in_a_sentence() -> None:
    """A striking answer that nothing can bring about is refused with the answer named."""
    network = Network(("a", "b"), (0.1, 0.2), {"s": _yes_no({}, 0.0)})
    with pytest.raises(SuspectsError, match=r"contradict each other.*answer7.*s: yes"):
        posterior(network, Evidence((Observed("s", "yes", by="answer7"),)))


def test_one_sign_given_in_two_ways() -> None:
    """Two levels of one sign exclude each other: the sentence names both."""
    network = Network(("a",), (0.1,), {"s": _yes_no({0: 0.5}, 0.01)})
    with pytest.raises(SuspectsError, match="s was given as no and yes"):
        posterior(network, Evidence((Observed("s", "no"), Observed("s", "yes"))))


def test_the_same_level_twice_counts_once() -> None:
    """A level that is told twice is the same observation."""
    network = Network(("a", "b"), (0.1, 0.2), {"s": _yes_no({0: 0.5}, 0.01)})
    once = posterior(network, Evidence((Observed("s", "yes"),)))
    assert posterior(network, Evidence((Observed("s", "yes", by="x"), Observed("s", "yes", by="y")))) == once


def test_too_wide_a_case_is_refused() -> None:
    """Dozens of striking answers that all hang together end in a sentence, not in an endless sum."""
    causes = tuple(f"c{i}" for i in range(30))
    links = {i: Row.of([0.5]) for i in range(30)}
    signs = {f"s{k}": SignNode(f"s{k}", ("no", "yes"), Row.of([0.01]), links) for k in range(30)}
    network = Network(causes, (0.05,) * 30, signs)
    with pytest.raises(SuspectsError, match="Too many striking answers"):
        posterior(network, Evidence.of(dict.fromkeys(signs, "yes")))


def test_unknown_signs_and_levels_are_named() -> None:
    """A sign or level that the model does not have is refused with what it has."""
    network = Network(("a",), (0.1,), {"s": _yes_no({0: 0.5}, 0.01)}, left_out=frozenset({"elsewhere"}))
    with pytest.raises(SuspectsError, match="no sign smoke"):
        posterior(network, Evidence.of({"smoke": "yes"}))
    with pytest.raises(SuspectsError, match=r"no level much\. Its levels are: no, yes"):
        posterior(network, Evidence.of({"s": "much"}))
    assert posterior(network, Evidence.of({"elsewhere": "yes"})) == posterior(network)
