"""How much the advice costs against the exact optimum on small workshops, drawn with a fixed seed."""

from __future__ import annotations

import random

import pytest
from exact_advice import Exact, advised, draw, losses, optimum

from trees.suspects import Evidence, posterior


@pytest.mark.parametrize(("several", "mean", "p95"), [(True, 0.02, 0.05), (False, 0.03, 0.06)])
def test_the_advice_stays_close_to_the_optimum(several: bool, mean: float, p95: float) -> None:
    """Following the advice costs on average at most 2 % more than the best plan there is (one cause only: 3 %)."""
    measured = losses(2026, 30, several=several, checks=6)
    assert min(measured) > -1e-9, "nothing is better than the optimum"
    assert sum(measured) / len(measured) <= mean
    assert measured[int(0.95 * len(measured))] <= p95


def test_the_yardstick_agrees_with_the_posterior() -> None:
    """The exact sums over sets of causes give the same chances as the program, so both weigh the same model."""
    exact = Exact(draw(random.Random(4), causes=5, checks=5, several=True))
    weights = exact.start
    for check, level in enumerate(("yes", "no", "yes", "yes", "no")):
        weights = exact.after(weights, check, level)
    said = Evidence.of({f"s{k}": level for k, level in enumerate(("yes", "no", "yes", "yes", "no"))})
    found = posterior(exact.workshop.network, said)
    assert found.p_evidence == pytest.approx(sum(weights), rel=1e-9)
    for i in range(5):
        here = sum(w for present, w in enumerate(weights) if present >> i & 1)
        assert found.marginals[f"c{i}"] == pytest.approx(here / sum(weights), abs=1e-12)
    assert advised(exact) >= optimum(exact) - 1e-9
