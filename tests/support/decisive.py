"""Decisive answers: the exact optimum of isolating one cause, its bounds, and trees of records to be weighed."""

from __future__ import annotations

import heapq
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from typing import Any

from bare_book import bare_book

from trees.book.model import Answer, Book, Check, Fix
from trees.book.tree import Step, Tree
from trees.suspects import Network, Row, SignNode


@dataclass(frozen=True, slots=True)
class Matrix:
    """Which test is positive for which cause, with the chances of the causes and the minutes of the tests."""

    p: tuple[float, ...]
    positive: tuple[frozenset[int], ...]
    minutes: tuple[float, ...]


def optimum(matrix: Matrix) -> float:
    """Return the fewest expected minutes of any tree of tests that tells all causes apart: all subsets are tried."""

    @cache
    def best(causes: frozenset[int]) -> float:
        if len(causes) < 2:
            return 0.0
        mass = sum(matrix.p[i] for i in causes)
        found = math.inf
        for positive, minutes in zip(matrix.positive, matrix.minutes, strict=True):
            yes = causes & positive
            if yes and yes != causes:
                found = min(found, minutes * mass + best(yes) + best(causes - yes))
        return found

    return best(frozenset(range(len(matrix.p))))


def huffman(p: Sequence[float]) -> float:
    """Return the expected number of tests if every split were possible: no tree of yes/no tests needs fewer."""
    heap, total = list(p), 0.0
    heapq.heapify(heap)
    while len(heap) > 1:
        joined = heapq.heappop(heap) + heapq.heappop(heap)
        total += joined
        heapq.heappush(heap, joined)
    return total


def huffman_minutes(p: Sequence[float], minutes: Sequence[float]) -> float:
    """Return a bound in minutes: so many tests as by `huffman` on average, the cheapest tests first."""
    left, total = huffman(p), 0.0
    for cost in sorted(minutes):
        part = min(1.0, left)
        total, left = total + part * cost, left - part
    return total + left * max(minutes)


def entropy(p: Sequence[float]) -> float:
    """Return the bits open about which cause it is."""
    return -sum(x * math.log2(x) for x in p if x)


def workshop(
    matrix: Matrix,
    steps: Mapping[str, Step],
    *,
    fixes: Mapping[str, Fix] | None = None,
    inside: Sequence[bool] = (),
    opening_minutes: float = 0.0,
) -> tuple[Book, Network]:
    """Return a book with one tree, and the network whose answers are sure."""
    count = len(matrix.positive)
    checks = {
        f"t{k}": Check(
            id=f"t{k}",
            form="look",
            wording=f"Test {k}",
            minutes=matrix.minutes[k],
            inside=bool(inside and inside[k]),
            answers=(
                Answer(id="pass", means="", says={f"s{k}": "no"}),
                Answer(id="fail", means="", says={f"s{k}": "yes"}),
            ),
        )
        for k in range(count)
    }
    nodes = {
        f"s{k}": SignNode(f"s{k}", ("no", "yes"), Row.of([0.0]), {i: Row.of([1.0]) for i in sorted(matrix.positive[k])})
        for k in range(count)
    }
    tree = Tree(id="tree", title="", begin=next(iter(steps)), steps=steps)
    book = bare_book(unprompted=0.0, opening_minutes=opening_minutes, checks=checks, fixes=fixes or {}, trees=[tree])
    return book, Network(tuple(f"c{i}" for i in range(len(matrix.p))), matrix.p, nodes)


def nested(tree: Any) -> dict[str, Step]:
    """Turn {test, pass, fail} into steps; a list of causes is an end."""
    steps: dict[str, Step] = {}

    def add(node: Any) -> str:
        name = f"n{len(steps)}"
        steps[name] = Step(id=name, no=len(steps) + 1, kind="end", refers="no_fault")
        if isinstance(node, dict):
            go = {answer: add(node[answer]) for answer in ("pass", "fail")}
            steps[name] = Step(id=name, no=steps[name].no, kind="check", refers=f"t{node['test']}", go=go)
        return name

    add(tree)
    return steps
