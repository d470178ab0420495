"""Which two causes likely act together."""

from __future__ import annotations

from dataclasses import dataclass

from trees.errors import SuspectsError
from trees.suspects.evidence import Evidence
from trees.suspects.network import Network
from trees.suspects.posterior import Posterior, posterior

LIKELIEST = 12
"""Only pairs among so many causes are looked at; a pair is never likelier than its weaker cause."""


@dataclass(frozen=True, slots=True)
class Pair:
    """Two causes and the chance that both were there, whatever else was."""

    causes: tuple[str, str]
    chance: float


def pairs(network: Network, evidence: Evidence, *, count: int = 3, least: float = 0.01) -> tuple[Pair, ...]:
    """Return the likeliest pairs of causes, best first: at most `count`, each at least `least` likely (1 %)."""
    now = posterior(network, evidence)
    likely = [cause for cause, chance in now.ranked() if chance >= least][:LIKELIEST]
    found = []
    for i, second in enumerate(likely):
        if firsts := likely[:i]:
            found += [Pair((first, second), p) for first, p in _both(network, evidence, now, firsts, second)]
    found.sort(key=lambda pair: -pair.chance)
    return tuple(pair for pair in found[:count] if pair.chance >= least)


def _both(
    network: Network, evidence: Evidence, now: Posterior, firsts: list[str], second: str
) -> list[tuple[str, float]]:
    """Return P(first and second) for each first: P(first) less the part of it without the second."""
    without_second = 1.0 / (1.0 + now.odds[second])
    try:
        alone = posterior(network.without(second), evidence).marginals
    except SuspectsError:  # without it nothing explains the answers: the second is certain
        return [(first, now.marginals[first]) for first in firsts]
    return [(first, max(0.0, now.marginals[first] - alone[first] * without_second)) for first in firsts]
