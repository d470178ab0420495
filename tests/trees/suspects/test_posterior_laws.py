"""Laws that hold for every model and every order of answers."""

from __future__ import annotations

import math
import random
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from trees.suspects import Evidence, Network, Observed, Row, SignNode, Tried, posterior, why

SEEDS = st.integers(0, 2**32 - 1)
FEW = settings(max_examples=60, deadline=None)


def _drawn(lab: Any, seed: int, **size: int) -> tuple[Network, Evidence, random.Random]:
    rng = random.Random(seed)
    network = lab.random_network(rng, **({"causes": 6, "signs": 7} | size))
    return network, lab.random_evidence(rng, network), rng


@FEW
@given(seed=SEEDS)
def test_the_order_of_answers_never_matters(lab: Any, seed: int) -> None:
    """The same answers in another order give the same numbers, bit for bit."""
    network, evidence, rng = _drawn(lab, seed)
    shuffled = list(evidence.items)
    rng.shuffle(shuffled)
    assert posterior(network, Evidence(tuple(shuffled))) == posterior(network, evidence)


@FEW
@given(seed=SEEDS)
def test_taking_back_restores(lab: Any, seed: int) -> None:
    """An answer taken back leaves no trace, bit for bit."""
    network, evidence, _ = _drawn(lab, seed)
    extra = Observed(next(iter(network.signs)), network.signs["sign0"].levels[0], by="mistake")
    before = Evidence(tuple(item for item in evidence.items if item.answer != "sign0"))
    with_it = before.adding([extra])
    assert posterior(network, with_it) is not None
    assert posterior(network, with_it.without("mistake")) == posterior(network, before)


@FEW
@given(seed=SEEDS, at=st.integers(0, 7))
def test_unknown_changes_nothing(lab: Any, seed: int, at: int) -> None:
    """`unknown` is no answer: the numbers stay the same, bit for bit, wherever it stands."""
    network, evidence, rng = _drawn(lab, seed)
    asked = Observed(rng.choice(tuple(network.signs)), "unknown", by="cannot_tell")
    with_unknown = Evidence((*evidence.items[:at], asked, *evidence.items[at:]))
    assert posterior(network, with_unknown) == posterior(network, evidence)
    assert evidence.adding([asked]) == evidence
    assert Evidence.of({asked.sign: "unknown"}) == Evidence()


@settings(max_examples=25, deadline=None)
@given(seed=SEEDS)
def test_chances_stay_chances_with_25_striking_answers(lab: Any, seed: int) -> None:
    """With 25 striking answers every chance lies in 0..1 and every odds fits it."""
    rng = random.Random(seed)
    network = lab.random_network(rng, causes=14, signs=25)
    said = {node.id: rng.choice(node.levels[1:]) for node in network.signs.values()}
    found = posterior(network, Evidence.of(said))
    assert all(0.0 <= chance <= 1.0 for chance in found.marginals.values())
    assert 0.0 < found.p_evidence <= 1.0


@FEW
@given(seed=SEEDS)
def test_decibans_sum(lab: Any, seed: int) -> None:
    """The weights of all answers sum to the whole move within 1e-9, trials between them included."""
    network, evidence, rng = _drawn(lab, seed)
    half = len(evidence.items) // 2
    items = (*evidence.items[:half], Tried((rng.choice(network.causes),), "still", by="fix"), *evidence.items[half:])
    for cause in network.causes:
        reasons = why(network, Evidence(items), cause, without=False)
        if math.isfinite(reasons.total_db):
            assert sum(w.db for w in reasons.weights) == pytest.approx(reasons.total_db, abs=1e-9)


@FEW
@given(seed=SEEDS)
def test_a_normal_answer_weighs_f0_where_nothing_is_open(lab: Any, seed: int) -> None:
    """Without a striking answer and before a complaint, each normal answer moves each cause by 10 log10 F(0)."""
    network, _, _ = _drawn(lab, seed)
    network = Network(network.causes, network.priors, network.signs, at_least_one=False)
    evidence = Evidence.of({node.id: node.levels[0] for node in network.signs.values()})
    for i, cause in enumerate(network.causes):
        for weight in why(network, evidence, cause, without=False).weights:
            row = network.signs[weight.answer].links.get(i)
            expected = 10 * math.log10(row.upto[0]) if row else 0.0
            assert weight.db == pytest.approx(expected, abs=1e-9)


@FEW
@given(seed=SEEDS, shown=st.floats(0.01, 0.99))
def test_a_normal_answer_of_one_cause_weighs_f0_whatever_is_known(lab: Any, seed: int, shown: float) -> None:
    """A sign that one cause alone shows moves that cause by 10 log10 F(0), whatever other answers are striking."""
    network, evidence, rng = _drawn(lab, seed)
    i = rng.randrange(len(network.causes))
    if network.causes[i] in {c for c, odds in posterior(network, evidence).odds.items() if odds in {0.0, math.inf}}:
        return
    signs = {**network.signs, "own": SignNode("own", ("no", "yes"), Row.of([0.05]), {i: Row.of([shown])})}
    network = Network(network.causes, network.priors, signs, at_least_one=network.at_least_one)
    for cause_evidence in (evidence, Evidence()):
        reasons = why(network, cause_evidence.adding([Observed("own", "no")]), network.causes[i], without=False)
        last = reasons.weights[-1]
        assert last.db == pytest.approx(10 * math.log10(1 - shown), abs=1e-9)
        assert last.own_db == pytest.approx(last.db, abs=1e-9)
        assert last.rival is None
