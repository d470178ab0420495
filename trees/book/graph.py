"""Do the steps of a book go round in a circle, and can each be reached? Which circle is shortest, networkx tells."""

from __future__ import annotations

from collections.abc import Hashable, Iterable, Mapping, Sequence
from graphlib import CycleError, TopologicalSorter
from typing import TYPE_CHECKING, Any, TypeVar

from trees.book.model import Book
from trees.book.tree import Tree

if TYPE_CHECKING:
    import networkx as nx

N = TypeVar("N", bound=Hashable)
StepKey = tuple[str, str]
"""Tree id and step id."""
Graph = Mapping[N, Sequence[N]]
"""Each node, in the author's order, with those it leads to."""

_MOST_SEARCHES = 256
"""Closing edges from which a shortest way round is searched; beyond that the shortest of these is good enough."""


def step_graph(book: Book) -> Graph[StepKey]:
    """Join every step to those it may lead to, also into trees that it runs or hands over to.

    Coming back from a shared tree is the edge from the running step to its `then`: an edge from the `return` would join
    every caller with every other and make circles that nobody can walk.
    """
    graph: dict[StepKey, list[StepKey]] = {}
    for tree in book.trees.values():
        for step in tree.steps.values():
            ends = [(tree.id, target) for _, target in step.targets() if target in tree.steps]
            other = book.trees.get(step.refers) if step.kind in {"run", "over_to"} else None
            if other is not None and other.begin in other.steps:
                ends.append((other.id, other.begin))
            graph[(tree.id, step.id)] = ends
    return graph


def name_graph(links: Mapping[str, Iterable[str]]) -> Graph[str]:
    """Join names to the names they point at; names that point nowhere are left out."""
    return {name: [other for other in others if other in links] for name, others in links.items()}


def circles(graph: Graph[N]) -> list[list[N]]:
    """Return the shortest circle of each knot of steps that lead round to one another; empty if there is none."""
    try:
        TopologicalSorter(graph).prepare()
    except CycleError:
        return _circles(graph)
    return []


def _circles(graph: Graph[N]) -> list[list[N]]:
    import networkx as nx  # takes as long to load as all the rest; only a book that goes round in circles waits for it

    place = {node: number for number, node in enumerate(graph)}
    joined: nx.DiGraph[N] = nx.DiGraph()
    joined.add_nodes_from(graph)
    joined.add_edges_from((node, end) for node, ends in graph.items() for end in ends)
    found = []
    for knot in nx.strongly_connected_components(joined):
        if len(knot) > 1:
            found.append(_shortest(joined.subgraph(knot).copy(), place))
        else:
            found += [[node] for node in knot if joined.has_edge(node, node)]
    return sorted(found, key=lambda circle: place[circle[0]])


def _shortest(knot: nx.DiGraph[N], place: Mapping[N, int]) -> list[N]:
    """Return the shortest circle of a strongly connected graph, begun at the node that the author wrote first."""
    import networkx as nx

    loop = next((node for node in knot if knot.has_edge(node, node)), None)
    if loop is not None:
        return [loop]
    best: list[N] = []
    begin = min(knot, key=place.__getitem__)
    # Every circle holds an edge that closes back on a depth-first way, so only these need a search.
    for tail, head in _closing_edges(knot, begin)[:_MOST_SEARCHES]:
        circle: list[N] = nx.shortest_path(knot, head, tail)
        if not best or len(circle) < len(best):
            best = circle
            if len(best) == 2:
                break
    first = best.index(min(best, key=place.__getitem__))
    return best[first:] + best[:first]


def _closing_edges(knot: nx.DiGraph[N], begin: N) -> list[tuple[N, N]]:
    import networkx as nx

    on_way: set[N] = set()
    closing: list[tuple[N, N]] = []
    edges: Iterable[Any] = nx.dfs_labeled_edges(knot, begin)
    for tail, head, label in edges:
        if label == "forward":
            on_way.add(head)
        elif label == "reverse":
            on_way.discard(head)
        elif head in on_way:
            closing.append((tail, head))
    return closing


def unreached(graph: Graph[StepKey], tree: Tree) -> list[str]:
    """Return the steps of a tree that nothing leads to, without those that only hang on such a step."""
    waiting = [(tree.id, begin) for begin in (tree.begin, tree.phone_exit or "") if begin in tree.steps]
    reached = set(waiting)
    while waiting:
        new = {end for end in graph[waiting.pop()] if end[0] == tree.id} - reached
        reached |= new
        waiting += new
    left = [(tree.id, step) for step in tree.steps if (tree.id, step) not in reached]
    led_to = {end for key in left for end in graph[key]}
    heads = [key for key in left if key not in led_to]
    return [step for _, step in heads or left[:1]]
