"""Large random models for timing, as this program and as general libraries for such networks take them."""

from __future__ import annotations

import random
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import product
from typing import Any

from bare_book import bare_book

from trees.book.model import Answer, Book, Cause, Check, Fix, Sign
from trees.suspects import Evidence, Network, Row, SignNode

LEVELS = ("no", "yes")
WORDS = (0.95, 0.80, 0.55, 0.25)


@dataclass(frozen=True, slots=True)
class Job:
    """A model of yes/no signs with what was answered."""

    network: Network
    said: Mapping[str, str]

    @property
    def evidence(self) -> Evidence:
        """The answers as this program takes them."""
        return Evidence.of(dict(self.said))


def draw(seed: int, *, causes: int = 40, signs: int = 120, answered: int = 30, striking: int = 6) -> Job:
    """
    Draw a model in which each sign is shown by one to four causes, and answers of which so many are striking.

    The striking ones hang together: each shares a cause with one before, as the signs of one trouble do.
    """
    rng = random.Random(seed)
    nodes = {}
    for k in range(signs):
        shown = {i: Row.of([rng.choice(WORDS)]) for i in rng.sample(range(causes), rng.randint(1, 4))}
        nodes[f"s{k}"] = SignNode(f"s{k}", LEVELS, Row.of([rng.choice((0.01, 0.03, 0.05))]), shown)
    priors = tuple(rng.choice((0.01, 0.02, 0.04, 0.08)) for _ in range(causes))
    network = Network(tuple(f"c{i}" for i in range(causes)), priors, nodes, at_least_one=False)
    chosen = [rng.choice(sorted(nodes))]
    while len(chosen) < striking:
        touched = {i for sign in chosen for i in nodes[sign].links}
        near = [sign for sign in sorted(nodes) if sign not in chosen and touched & nodes[sign].links.keys()]
        chosen.append(rng.choice(near or [sign for sign in sorted(nodes) if sign not in chosen]))
    normal = rng.sample([sign for sign in sorted(nodes) if sign not in chosen], answered - striking)
    return Job(network, dict.fromkeys(chosen, "yes") | dict.fromkeys(normal, "no"))


def book_of(job: Job, checks: int) -> Book:
    """Return a book with checks for so many signs not asked yet, and a fix for every cause."""
    rng = random.Random(checks)
    causes = job.network.causes
    open_signs = [sign for sign in job.network.signs if sign not in job.said][:checks]
    asked = [
        Check(
            id=f"k_{sign}", form="look", wording="", minutes=rng.uniform(1, 8),
            answers=tuple(Answer(id=level, means=level, says={sign: level}) for level in LEVELS),
        )
        for sign in open_signs
    ]  # fmt: skip
    return bare_book(
        signs=[Sign(id=sign, name="") for sign in job.network.signs],
        causes=[Cause(id=c, name="", kind="root", lives="unit", share=1.0) for c in causes],
        checks=asked,
        fixes=[Fix(id=f"f_{c}", do="", minutes=rng.uniform(5, 60), cures=(c,)) for c in causes],
    )


def folded(job: Job) -> Job:
    """Return the same job with its normal answers worked into the priors: only striking signs are left."""
    network = job.network
    odds = [p / (1 - p) for p in network.priors]
    for sign, level in job.said.items():
        if level == LEVELS[0]:
            for i, row in network.signs[sign].links.items():
                odds[i] *= row.upto[0]
    left = {sign: network.signs[sign] for sign, level in job.said.items() if level != LEVELS[0]}
    priors = tuple(odd / (1 + odd) for odd in odds)
    return Job(Network(network.causes, priors, left, at_least_one=False), dict.fromkeys(left, LEVELS[1]))


def chances_of(node: SignNode, acting: Sequence[int]) -> list[float]:
    """Return the chance of each level by the definition of the noisy-MAX."""
    upto = list(node.leak.upto)
    for i in acting:
        upto = [a * b for a, b in zip(upto, node.links[i].upto, strict=True)]
    return [high - low for high, low in zip(upto, [0.0, *upto[:-1]], strict=True)]


def table_of(node: SignNode) -> list[tuple[tuple[int, ...], list[float]]]:
    """Return the levels' chances for each combination of the linked causes, 0 or 1 each in the order of the links."""
    return [
        (present, chances_of(node, [i for i, there in zip(node.links, present, strict=True) if there]))
        for present in product((0, 1), repeat=len(node.links))
    ]


def net_of_causes(gum: Any, network: Network) -> Any:
    """Return a network of pyAgrum with the causes and their priors, no sign yet."""
    net = gum.BayesNet("job")
    for cause, prior in zip(network.causes, network.priors, strict=True):
        net.add(gum.LabelizedVariable(cause, cause, 2))
        net.cpt(cause).fillWith([1 - prior, prior])
    return net


def pyagrum_net(gum: Any, network: Network) -> Any:
    """Write a network for pyAgrum as its documentation does: `addNoisyORNet` for yes/no signs, tables for others."""
    net = net_of_causes(gum, network)
    for node in network.signs.values():
        variable = gum.LabelizedVariable(node.id, node.id, len(node.levels))
        if len(node.levels) == 2:
            net.addNoisyORNet(variable, node.leak.chances[1])
            for i, row in node.links.items():
                if row.chances[1]:  # a weight of 0 is refused; it is no arc
                    net.addWeightedArc(network.causes[i], node.id, row.chances[1])
            continue
        net.add(variable)
        for i in node.links:
            net.addArc(network.causes[i], node.id)
        for present, chances in table_of(node):
            where = {network.causes[i]: there for i, there in zip(node.links, present, strict=True)}
            net.cpt(node.id)[where or {}] = chances
    return net
