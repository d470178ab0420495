"""The interval of a proportion agrees with published examples and an independent library."""

from __future__ import annotations

import pytest

from trees.casebook.lessons import wilson

# R. G. Newcombe, Two-sided confidence intervals for the single proportion, Statistics in Medicine 17 (1998) 857-872,
# table I, method 3 (score without continuity correction). Values from memory.
NEWCOMBE = (
    (81, 263, 0.2553, 0.3662),
    (15, 148, 0.0624, 0.1605),
    (0, 20, 0.0000, 0.1611),
    (1, 29, 0.0061, 0.1718),
)


@pytest.mark.memory_value
@pytest.mark.parametrize(("seen", "of", "low", "high"), NEWCOMBE)
def test_newcombe(seen: int, of: int, low: float, high: float) -> None:
    """The four examples of Newcombe come out to the last printed place."""
    assert wilson(seen, of) == (pytest.approx(low, abs=5.1e-5), pytest.approx(high, abs=5.1e-5))


def test_library() -> None:
    """SciPy's `binomtest(...).proportion_ci(method='wilson')` gives the same ends over many counts."""
    stats = pytest.importorskip("scipy.stats")
    for of in (1, 2, 7, 30, 400):
        for seen in range(0, of + 1, max(1, of // 7)):
            ends = stats.binomtest(seen, of).proportion_ci(method="wilson")
            assert wilson(seen, of) == (pytest.approx(ends.low, abs=1e-12), pytest.approx(ends.high, abs=1e-12))
