"""General libraries for such networks weigh small models to the same chances, to 1e-9; skipped where not installed."""

from __future__ import annotations

import random
import warnings
from collections.abc import Iterator
from dataclasses import replace
from typing import Any

import pytest
from large_network import pyagrum_net, table_of
from measured import measured

from trees.suspects import Evidence, Network, Observed, Row, SignNode, posterior

ANY = "something_is_there"
CLOSE = 1e-9


def models(lab: Any, seed: int, count: int, causes: int, signs: int) -> Iterator[tuple[Network, Network, Evidence]]:
    """Draw models with signs of two to four levels: as this program takes them, as a library does, and the answers."""
    rng = random.Random(seed)
    for _ in range(count):
        network = lab.random_network(rng, causes=causes, signs=signs)
        said = [item for item in lab.random_evidence(rng, network).items if item.level]
        # "at least one cause" is a sign of its own for a library: surely there with any cause, never without
        surely = SignNode(ANY, ("no", "yes"), Row.of([0.0]), dict.fromkeys(range(causes), Row.of([1.0])))
        plain = replace(network, at_least_one=False, signs={**network.signs, ANY: surely})
        yield network, plain, Evidence(tuple(said))


def levels(network: Network, evidence: Evidence) -> dict[str, int]:
    """Return sign → place of its level, with the sign for `at least one`."""
    said = {o.sign: network.signs[o.sign].level_index(o.level) for o in evidence.items if isinstance(o, Observed)}
    return said | ({ANY: 1} if network.at_least_one else {})


def test_pyagrum_agrees(lab: Any) -> None:
    """On 60 models of 8 causes and 12 signs pyAgrum finds the same posteriors."""
    gum = pytest.importorskip("pyagrum", reason="pyAgrum is not installed: `uv sync --group compare`")
    largest = 0.0
    for network, plain, evidence in models(lab, seed=21, count=60, causes=8, signs=12):
        inference = gum.LazyPropagation(pyagrum_net(gum, plain))
        inference.setEvidence(levels(network, evidence))
        inference.makeInference()
        found = {cause: float(inference.posterior(cause)[1]) for cause in network.causes}
        ours = posterior(network, evidence).marginals
        largest = max(largest, *(abs(found[cause] - ours[cause]) for cause in network.causes))
        assert largest <= CLOSE
    measured("two_libraries", largest=largest, models=60)


def test_pgmpy_agrees(lab: Any) -> None:
    """On 12 models of 5 causes and 7 signs pgmpy finds the same posteriors."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # what a library warns of at import is its own affair
        pytest.importorskip("pgmpy", reason="pgmpy is not installed: `uv sync --group compare`")
        from pgmpy.inference import VariableElimination

        largest = 0.0
        for network, plain, evidence in models(lab, seed=22, count=12, causes=5, signs=7):
            said = levels(network, evidence)
            inference = VariableElimination(_pgmpy_net(plain))
            expected = posterior(network, evidence).marginals
            for cause in network.causes:
                found = inference.query([cause], evidence=said, show_progress=False).values
                largest = max(largest, abs(float(found[1] / sum(found)) - expected[cause]))
                assert largest <= CLOSE
        measured("two_libraries", largest=largest, models=12)


def _pgmpy_net(network: Network) -> Any:
    from pgmpy.factors.discrete import TabularCPD
    from pgmpy.models import DiscreteBayesianNetwork

    arcs = [(network.causes[i], node.id) for node in network.signs.values() for i in node.links]
    net = DiscreteBayesianNetwork(arcs)
    net.add_nodes_from([*network.causes, *network.signs])
    for cause, prior in zip(network.causes, network.priors, strict=True):
        net.add_cpds(TabularCPD(cause, 2, [[1 - prior], [prior]]))
    for node in network.signs.values():
        columns = [chances for _, chances in table_of(node)]
        rows = [list(row) for row in zip(*columns, strict=True)]
        parents = [network.causes[i] for i in node.links]
        net.add_cpds(TabularCPD(node.id, len(node.levels), rows, parents, [2] * len(parents)))
    return net
