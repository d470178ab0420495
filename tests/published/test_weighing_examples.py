"""The worked examples of weighing a tree, each with its source in reasoning_examples.yaml, to a relative 1e-8."""

from __future__ import annotations

from itertools import accumulate, permutations
from pathlib import Path
from typing import Any

import pytest
import yaml
from decisive import Matrix, entropy, huffman, huffman_minutes, nested, optimum, workshop

from trees.book.model import Fix
from trees.book.tree import Step
from trees.walk.weighing import Weighing, weigh_tree

EXAMPLES = {
    example["id"][:3]: example
    for example in yaml.safe_load(Path(__file__).with_name("reasoning_examples.yaml").read_text())["examples"]
}


def close(expected: Any) -> Any:
    return pytest.approx(expected, rel=1e-8, abs=1e-12)


def weigh(matrix: Matrix, steps: dict[str, Step], **more: Any) -> Weighing:
    """Weigh one tree with sure answers."""
    book, network = workshop(matrix, steps, **more)
    found = weigh_tree(book, "tree", network=network)
    assert not found.author.error
    assert found.limit_minutes <= found.best.value <= found.author.value
    return found


def d_matrix(p: list[float], rows: list[list[int]], minutes: list[float]) -> Matrix:
    columns = zip(*rows, strict=True)
    return Matrix(tuple(p), tuple(frozenset(i for i, x in enumerate(c) if x) for c in columns), tuple(minutes))


@pytest.mark.parametrize("calls_after", range(5))
def test_e02_inspect_repair_and_call(calls_after: int) -> None:
    """Inspect in order, repair what is found, call for help after so many inspections: minutes by hand."""
    given, expect = EXAMPLES["E02"]["inputs"], EXAMPLES["E02"]["expect"]
    count = len(given["p"])
    steps: dict[str, Step] = {}
    for k in range(calls_after):
        onward = f"i{k + 1}" if k + 1 < calls_after else "call"
        steps[f"i{k}"] = Step(id=f"i{k}", no=k, kind="check", refers=f"t{k}", go={"fail": f"r{k}", "pass": onward})
        steps[f"r{k}"] = Step(id=f"r{k}", no=10 + k, kind="do", refers=f"f{k}", go={"cured": "end", "still": "call"})
    steps["call"] = Step(id="call", no=20, kind="do", refers="help", then="end")
    steps["end"] = Step(id="end", no=21, kind="end", refers="released")
    repair = enumerate(given["repair_minutes"])
    fixes = {f"f{k}": Fix(id=f"f{k}", do="", minutes=minutes, cures=(f"c{k}",)) for k, minutes in repair}
    everything = tuple(f"c{i}" for i in range(count))
    fixes["help"] = Fix(id="help", do="", minutes=given["call_minutes"], cures=everything)
    matrix = Matrix(tuple(given["p"]), tuple(frozenset([i]) for i in range(count)), tuple(given["inspect_minutes"]))
    found = weigh(matrix, steps, fixes=fixes)
    assert found.author.value == close(expect["expected_minutes_if_call_after_k_inspections"][calls_after])
    assert found.right.value == close(1.0)


@pytest.mark.parametrize(("minutes", "tree", "total"), [
    ("minutes_unit", "tree", "optimal_expected_tests"),
    ("minutes", "tree_minutes", "optimal_expected_minutes"),
])  # fmt: skip
def test_e08_the_best_tree_of_five_tests(minutes: str, tree: str, total: str) -> None:
    """The given tree weighs what exhaustive search finds to be the least, and the bounds lie below it."""
    given, expect = EXAMPLES["E08"]["inputs"], EXAMPLES["E08"]["expect"]
    matrix = d_matrix(given["p"], given["D"], given[minutes])
    found = weigh(matrix, nested(expect[tree]))
    assert found.author_checks.value == close(expect[total])
    assert optimum(matrix) == close(expect[total])
    assert huffman(matrix.p) == close(expect["huffman_bound_tests"])
    assert entropy(matrix.p) == close(expect["entropy_bits"])
    assert huffman_minutes(matrix.p, matrix.minutes) <= optimum(matrix)


def test_e09_halving_a_chain() -> None:
    """Probing a chain of six: the best tree, the half-mass rule and the middle of the wire, in minutes."""
    given, expect = EXAMPLES["E09"]["inputs"], EXAMPLES["E09"]["expect"]
    p, count = given["p"], len(given["p"])
    positive = tuple(frozenset(range(k + 1)) for k in range(count - 1))
    matrix = Matrix(tuple(p), positive, tuple(given["probe_minutes"]))
    sums = [0.0, *accumulate(p)]

    def halve(low: int, high: int, by_mass: bool) -> Any:
        if high - low == 1:
            return [low]
        between = range(low + 1, high)
        middle = (sums[low] + sums[high]) / 2 if by_mass else (low + high) / 2
        cut = min(between, key=lambda at: abs((sums[at] if by_mass else at) - middle))
        return {"test": cut - 1, "fail": halve(low, cut, by_mass), "pass": halve(cut, high, by_mass)}

    for by_mass, name in ((True, "greedy_half_mass_minutes"), (False, "geometric_midpoint_minutes")):
        assert weigh(matrix, nested(halve(0, count, by_mass))).author_checks.value == close(expect[name])
    assert optimum(matrix) == close(expect["optimal_minutes"])
    assert entropy(p) == close(expect["entropy_bits"])
    assert entropy(p) * 4 == close(expect["entropy_bound_minutes"])
    assert huffman_minutes(p, matrix.minutes) == close(expect["huffman_bound_minutes"])


def test_e13_an_authors_tree_against_the_optimum() -> None:
    """The author's tree, the least that any tree needs, and the bound below both."""
    given, expect = EXAMPLES["E13"]["inputs"], EXAMPLES["E13"]["expect"]
    tests = list(given["tests"].values())
    matrix = Matrix(
        tuple(given["p"]),
        tuple(frozenset(test["positive_for"]) for test in tests),
        tuple(test["minutes"] for test in tests),
    )
    b = {"test": 1, "fail": [0], "pass": [1]}
    a = {"test": 0, "fail": b, "pass": [2]}
    author = weigh(matrix, nested({"test": 2, "fail": [3], "pass": a}))
    assert author.author_checks.value == close(expect["author_minutes"])
    best = weigh(matrix, nested(expect["optimal_tree"]))
    assert best.author_checks.value == close(expect["optimal_minutes"])
    assert optimum(matrix) == close(expect["optimal_minutes"])
    assert huffman(matrix.p) == close(expect["huffman_tests"])
    assert huffman_minutes(matrix.p, matrix.minutes) == close(expect["huffman_bound_minutes"])


def test_e16_opening_is_paid_once() -> None:
    """Opening the unit is charged to the first thing inside only: the best of six orders, and the naive one."""
    given, expect = EXAMPLES["E16"]["inputs"], EXAMPLES["E16"]["expect"]
    count = len(given["p"])
    matrix = Matrix(tuple(given["p"]), tuple(frozenset([i]) for i in range(count)), tuple(given["minutes"]))

    def minutes(order: tuple[int, ...]) -> float:
        tree: Any = [-1]
        for k in reversed(order):
            tree = {"test": k, "fail": [k], "pass": tree}
        opening = {"inside": given["needs_open"], "opening_minutes": given["open_minutes"]}
        return weigh(matrix, nested(tree), **opening).author_checks.value

    every = {order: minutes(order) for order in permutations(range(count))}
    assert every[tuple(expect["best_order"])] == close(min(every.values()))  # another order ties with it
    assert min(every.values()) == close(expect["expected_minutes"])
    naive = tuple(sorted(range(count), key=lambda k: -given["p"][k] / given["minutes"][k]))
    assert every[naive] == close(expect["naive_p_over_C_minutes"])
