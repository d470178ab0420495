"""pyAgrum's ways to weigh rows of answers, as version 3.3 documents them: its readme and the docstrings named here."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from large_network import net_of_causes, pyagrum_net, table_of

from trees.suspects import Network

Rows = Sequence[Mapping[str, Any]]
"""Per row the evidence: node to level, or to a weight for each level."""
Weighed = list[list[float]]
"""Rows by causes."""


@dataclass(frozen=True, slots=True)
class Way:
    """One way to use the library."""

    name: str
    source: str
    """Where its documentation shows it."""
    run: Callable[[Rows], Weighed]


def net_of_tables(gum: Any, network: Network) -> Any:
    """Write a network as the readme does: a node for each sign, its causes as parents, a table."""
    net = net_of_causes(gum, network)
    for node in network.signs.values():
        net.add(gum.LabelizedVariable(node.id, node.id, len(node.levels)))
        for i in node.links:
            net.addArc(network.causes[i], node.id)
        for present, chances in table_of(node):
            net.cpt(node.id)[{network.causes[i]: there for i, there in zip(node.links, present, strict=True)}] = chances
    return net


def quick_ways(gum: Any, network: Network) -> list[Way]:
    """Return all ways with an engine for many nodes that is told to give the causes alone."""
    ways = []
    nets = {"tables": net_of_tables(gum, network), "addNoisyORNet": pyagrum_net(gum, network)}
    for written, net in nets.items():
        for name in ("LazyPropagation", "ShaferShenoyInference"):
            ways += [
                Way(f"{name}, {written}, {how}", f"{name}.setTargets, {source}", made(getattr(gum, name), net, network))
                for how, source, made in (
                    ("new for each row", "class docstring", _anew),
                    ("kept, setEvidence", "readme, setEvidence", _kept),
                    ("kept, changed in place", "addEvidence, chgEvidence, eraseEvidence", _changed),
                )
            ]
    return ways


def slow_ways(gum: Any, network: Network) -> list[Way]:
    """Return the ways that ask for more than was wanted, or for one cause at a time."""
    net, causes = net_of_tables(gum, network), network.causes

    def one_by_one(rows: Rows) -> Weighed:
        return [[float(gum.getPosterior(net, target=cause, evs=dict(row))[1]) for cause in causes] for row in rows]

    elimination = _anew(gum.VariableElimination, net, network)
    return [
        Way("LazyPropagation, tables, all nodes", "readme", _kept(gum.LazyPropagation, net, network, targets=False)),
        Way("VariableElimination, tables, new for each row", "VariableElimination.setTargets", elimination),
        Way("getPosterior of each cause, tables", "getPosterior", one_by_one),
    ]


def _read(engine: Any, network: Network) -> list[float]:
    engine.makeInference()
    return [float(engine.posterior(cause)[1]) for cause in network.causes]


def _made(kind: Any, net: Any, network: Network, *, targets: bool) -> Any:
    engine = kind(net)
    if targets:
        engine.setTargets(set(network.causes))
    return engine


def _anew(kind: Any, net: Any, network: Network) -> Callable[[Rows], Weighed]:
    def run(rows: Rows) -> Weighed:
        weighed = []
        for row in rows:
            engine = _made(kind, net, network, targets=True)
            engine.setEvidence(dict(row))
            weighed.append(_read(engine, network))
        return weighed

    return run


def _kept(kind: Any, net: Any, network: Network, *, targets: bool = True) -> Callable[[Rows], Weighed]:
    engine = _made(kind, net, network, targets=targets)

    def run(rows: Rows) -> Weighed:
        weighed = []
        for row in rows:
            engine.setEvidence(dict(row))
            weighed.append(_read(engine, network))
        return weighed

    return run


def _changed(kind: Any, net: Any, network: Network) -> Callable[[Rows], Weighed]:
    engine = _made(kind, net, network, targets=True)
    now: dict[str, Any] = {}

    def run(rows: Rows) -> Weighed:
        weighed = []
        for row in rows:
            for node in [node for node in now if node not in row]:
                engine.eraseEvidence(node)
                del now[node]
            for node, level in row.items():
                if node not in now:
                    engine.addEvidence(node, level)
                elif now[node] != level:
                    engine.chgEvidence(node, level)
                now[node] = level
            weighed.append(_read(engine, network))
        return weighed

    return run
