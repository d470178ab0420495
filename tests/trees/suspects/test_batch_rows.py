"""Many rows of answers in one call: the figures of enumeration and of the plain engine, and its sentences."""

from __future__ import annotations

import random
from typing import Any

import pytest
from large_network import draw
from single_runs import assert_rows_are_single_runs

from trees.errors import SuspectsError
from trees.suspects import Evidence, Network, Row, SignNode, posterior
from trees.suspects.case import case_of
from trees.suspects.plan import plan_of

np = pytest.importorskip("numpy", reason="the batch engine needs the extra `batch` (numpy)")

from trees.suspects.batch import batch_posterior  # noqa: E402
from trees.suspects.batch_rows import batch_marginals  # noqa: E402

EXACT = 1e-12


def tangled(causes: int, signs: int, *, at_least_one: bool) -> Network:
    """Return a model in which every cause shows every sign, so that all striking answers are open at once."""
    rng = random.Random(causes * signs)
    nodes = {
        f"s{k}": SignNode(
            f"s{k}", ("no", "yes"), Row.of([0.03]), {i: Row.of([rng.choice((0.1, 0.4, 0.8))]) for i in range(causes)}
        )
        for k in range(signs)
    }
    priors = tuple(rng.choice((0.02, 0.1, 0.3)) for _ in range(causes))
    return Network(tuple(f"c{i}" for i in range(causes)), priors, nodes, at_least_one=at_least_one)


def test_rows_equal_enumeration(lab: Any) -> None:
    """On 150 random models with signs of two to four levels every row agrees with 2**n enumeration to 1e-12."""
    rng = random.Random(21)
    for _ in range(150):
        network = lab.random_network(rng, causes=rng.randint(2, 7), signs=rng.randint(1, 9))
        rows = [
            {node.id: rng.choice(node.levels) for node in network.signs.values() if rng.random() < 0.7}
            for _ in range(4)
        ]
        found = batch_marginals(network, rows)
        for k, row in enumerate(rows):
            truth = lab.enumerate_all(network, Evidence.of(row))
            assert found.marginals[k] == pytest.approx(list(truth.marginals.values()), abs=EXACT)
            assert found.p_evidence[k] == pytest.approx(truth.p_evidence, rel=1e-11)


@pytest.mark.parametrize("striking", [0, 5, 14])
def test_rows_with_the_same_striking_answers_equal_the_plain_engine(striking: int) -> None:
    """In a large model rows weigh what they weigh alone, whatever stands beside them and in which order."""
    job = draw(3, striking=striking or 1)
    rng = random.Random(22)
    shown = {sign: level for sign, level in job.said.items() if level == "yes"} if striking else {}
    others = [sign for sign in job.network.signs if sign not in shown]
    rows = [shown | dict.fromkeys(rng.sample(others, rng.randint(0, 40)), "no") for _ in range(70)]
    rows[33] = {others[0]: "yes", others[1]: "unknown"}
    found = batch_marginals(job.network, rows)
    for k, row in enumerate(rows):
        plain = posterior(job.network, Evidence.of(row))
        assert found.marginals[k] == pytest.approx(list(plain.marginals.values()), abs=EXACT)
        assert found.p_evidence[k] == pytest.approx(plain.p_evidence, rel=1e-11)
    turned = batch_marginals(job.network, rows[::-1])
    assert turned.marginals[::-1] == pytest.approx(found.marginals, abs=1e-15)


@pytest.mark.parametrize("signs", [4, 5, 6, 10])
@pytest.mark.parametrize("at_least_one", [True, False])
def test_wide_cases_equal_enumeration(lab: Any, signs: int, *, at_least_one: bool) -> None:
    """Where few answers are open at once and where ten are, one row and many equal enumeration and the plain engine."""
    network = tangled(9, signs, at_least_one=at_least_one)
    answers = dict.fromkeys(network.signs, "yes")
    evidence = Evidence.of(answers)
    truth = lab.enumerate_all(network, evidence)
    assert dict(batch_posterior(network, evidence).marginals) == pytest.approx(truth.marginals, abs=EXACT)
    assert batch_marginals(network, [answers]).marginals[0] == pytest.approx(list(truth.marginals.values()), abs=EXACT)
    case = case_of(network, evidence)
    plan = plan_of(case)
    assert plan.width == signs
    rng = random.Random(23)
    assert_rows_are_single_runs(case, plan, [[f * rng.random() for f in case.factors] for _ in range(40)])


def test_nothing_known_and_no_rows() -> None:
    """An empty row is the chances before any answer; no rows give no rows."""
    network = draw(4).network
    found = batch_marginals(network, [{}])
    assert found.marginals[0] == pytest.approx(network.priors, abs=EXACT)
    assert found.p_evidence[0] == pytest.approx(1.0, abs=EXACT)
    assert batch_marginals(network, []).marginals.shape == (0, len(network.causes))


def test_what_can_not_be_is_said_as_the_plain_engine_says_it() -> None:
    """What the book has not, and answers that exclude each other, end in the sentence of the plain engine."""
    sure = SignNode("sure", ("no", "yes"), Row.of([0.0]), {0: Row.of([1.0])})
    never = SignNode("never", ("no", "yes"), Row.of([0.0]), {0: Row.of([0.5])})
    network = Network(("a",), (0.3,), {"sure": sure, "never": never}, at_least_one=False)
    good = {"sure": "yes"}
    assert batch_marginals(network, [good, {"sure": "no"}]).marginals.tolist() == [[1.0], [0.0]]
    for bad in ({"nowhere": "yes"}, {"sure": "loud"}, {"sure": "no", "never": "yes"}):
        with pytest.raises(SuspectsError) as plain:
            posterior(network, Evidence.of(bad))
        with pytest.raises(SuspectsError) as many:
            batch_marginals(network, [good, bad])
        assert str(many.value) == str(plain.value)
