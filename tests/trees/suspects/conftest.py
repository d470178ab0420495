"""The referee of the reasoning: plain enumeration of all sets of causes, and random models to hold against it."""

from __future__ import annotations

import random
from collections.abc import Callable, Iterator
from itertools import product
from typing import NamedTuple

import pytest
from bare_book import bare_book

from trees.book.model import Book
from trees.suspects import Evidence, Network, Observed, Row, SignNode


class Truth(NamedTuple):
    """What the enumeration finds."""

    marginals: dict[str, float]
    p_evidence: float


def _chance_of(node: SignNode, item: Observed, acting: list[int]) -> float:
    upto = list(node.leak.upto)
    for i in acting:
        if i in node.links:
            upto = [a * b for a, b in zip(upto, node.links[i].upto, strict=True)]
    levels = [high - low for high, low in zip(upto, [0.0, *upto[:-1]], strict=True)]
    if item.level:
        return levels[node.levels.index(item.level)]
    return sum((item.weights.get(name, 0.0) + item.rest) * p for name, p in zip(node.levels, levels, strict=True))


def _weight(network: Network, evidence: Evidence, present: tuple[bool, ...]) -> float:
    weight = 1.0
    for prior, there in zip(network.priors, present, strict=True):
        weight *= prior if there else 1.0 - prior
    acting = [i for i, there in enumerate(present) if there]
    for item in evidence.items:
        if isinstance(item, Observed):
            weight *= _chance_of(network.signs[item.sign], item, acting)
            continue
        acting = [i for i in acting if network.causes[i] not in item.cures]
        if item.result != "not_tried" and bool(acting) == (item.result == "cured"):
            return 0.0
    return weight


def enumerate_all(network: Network, evidence: Evidence) -> Truth:
    """Weigh every set of causes by the definition of the model: 2**n of them."""
    total = anything = 0.0
    with_cause = dict.fromkeys(network.causes, 0.0)
    for present in product((False, True), repeat=len(network.causes)):
        if network.at_least_one and not any(present):
            continue
        weight = _weight(network, evidence, present)
        anything += _weight(network, Evidence(), present)
        total += weight
        for cause, there in zip(network.causes, present, strict=True):
            if there:
                with_cause[cause] += weight
    return Truth({cause: weight / total for cause, weight in with_cause.items()}, total / anything)


def random_network(rng: random.Random, causes: int, signs: int, links: int = 3) -> Network:
    """Draw a model: two to four levels a sign, each shown by up to `links` causes."""
    nodes = {}
    for number in range(signs):
        levels = rng.choice((2, 2, 3, 4))
        rows = {}
        for i in rng.sample(range(causes), min(causes, rng.randint(1, links))):
            shown = [rng.choice((0.0, 0.08, 0.3, 0.6, 0.8, 0.95)) for _ in range(levels - 1)]
            scale = 0.99 / max(0.99, sum(shown))
            rows[i] = Row.of([chance * scale for chance in shown])
        leak = Row.of([rng.choice((0.01, 0.03, 0.1)) for _ in range(levels - 1)])
        names = tuple(f"level{k}" for k in range(levels))
        nodes[f"sign{number}"] = SignNode(f"sign{number}", names, leak, rows)
    names = tuple(f"cause{i}" for i in range(causes))
    priors = tuple(rng.choice((0.02, 0.05, 0.1, 0.2, 0.4)) for _ in names)
    return Network(names, priors, nodes, at_least_one=rng.random() < 0.7)


def random_evidence(rng: random.Random, network: Network, share: float = 0.7) -> Evidence:
    """Answer most signs: a level each, a few unsure ones with weights over all levels."""
    items = []
    for node in network.signs.values():
        if rng.random() > share:
            continue
        if rng.random() < 0.15:
            weights = {level: rng.choice((0.0, 0.2, 0.5, 1.0)) for level in node.levels}
            items.append(Observed(node.id, weights=weights, rest=rng.choice((0.0, 0.1)) or (not any(weights.values()))))
        else:
            items.append(Observed(node.id, rng.choice(node.levels)))
    rng.shuffle(items)
    return Evidence(tuple(items))


class Lab(NamedTuple):
    """Tools of these tests."""

    enumerate_all: Callable[[Network, Evidence], Truth]
    random_network: Callable[..., Network]
    random_evidence: Callable[..., Evidence]
    bare_book: Callable[..., Book]


@pytest.fixture(scope="session")
def lab() -> Iterator[Lab]:
    """Give the referee and the drawing of random models."""
    yield Lab(enumerate_all, random_network, random_evidence, bare_book)
