"""The beta distribution without a library: its cumulative share, its quantiles, and tails of the beta-binomial."""

from __future__ import annotations

import math

_ROUNDS = 400
_TINY = 1e-300
_HALVINGS = 200


def beta_cdf(x: float, a: float, b: float) -> float:
    """
    Return the share of Beta(a, b) below x: the regularised incomplete beta function I_x(a, b).

    Continued fraction of the Digital Library of Mathematical Functions, 8.17.22, taken on the side where it converges
    fast; relative error about 1e-14.
    """
    if x <= 0.0:
        return 0.0
    if x >= 1.0:
        return 1.0
    if x > (a + 1.0) / (a + b + 2.0):
        return 1.0 - _lower(1.0 - x, b, a)
    return _lower(x, a, b)


def beta_quantile(share: float, a: float, b: float) -> float:
    """Return x below which a share (0..1) of Beta(a, b) lies, by bisection to the last digit."""
    low, high = 0.0, 1.0
    for _ in range(_HALVINGS):
        middle = (low + high) / 2
        if middle in {low, high}:
            break
        if beta_cdf(middle, a, b) < share:
            low = middle
        else:
            high = middle
    return (low + high) / 2


def beta_binomial_tail(seen: int, jobs: int, a: float, b: float) -> float:
    """
    Return how likely it is to see a count at least as far out, on its own side of the mean.

    The count of `jobs` draws, each with one chance drawn from Beta(a, b).
    """
    side = range(seen, jobs + 1) if seen > jobs * a / (a + b) else range(seen + 1)
    return min(1.0, math.fsum(_beta_binomial(k, jobs, a, b) for k in side))


def _lower(x: float, a: float, b: float) -> float:
    front = math.exp(a * math.log(x) + b * math.log1p(-x) - math.log(a) - _log_beta(a, b))
    return front * _fraction(x, a, b)


def _fraction(x: float, a: float, b: float) -> float:
    """Return the continued fraction by Lentz's method."""
    value, c = 1.0, 1.0
    d = 1.0 - (a + b) * x / (a + 1.0)
    d = 1.0 / (d if abs(d) > _TINY else _TINY)
    value = d
    for m in range(1, _ROUNDS):
        for term in (
            m * (b - m) * x / ((a + 2 * m - 1) * (a + 2 * m)),
            -(a + m) * (a + b + m) * x / ((a + 2 * m) * (a + 2 * m + 1)),
        ):
            d = 1.0 + term * d
            d = 1.0 / (d if abs(d) > _TINY else _TINY)
            c = 1.0 + term / c
            c = c if abs(c) > _TINY else _TINY
            step = c * d
            value *= step
        if abs(step - 1.0) < 1e-16:
            break
    return value


def _log_beta(a: float, b: float) -> float:
    return math.lgamma(a) + math.lgamma(b) - math.lgamma(a + b)


def _beta_binomial(k: int, n: int, a: float, b: float) -> float:
    ways = math.lgamma(n + 1) - math.lgamma(k + 1) - math.lgamma(n - k + 1)
    return math.exp(ways + _log_beta(k + a, n - k + b) - _log_beta(a, b))
