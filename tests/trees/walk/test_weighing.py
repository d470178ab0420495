"""Weighing a tree: nothing beats knowing the cause, the tree's own order is beaten or kept, and memory is free."""

from __future__ import annotations

import random
from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise
from typing import Any

import pytest
from decisive import Matrix, huffman_minutes, nested, optimum, workshop
from exact_advice import Exact, draw
from exact_advice import optimum as advice_optimum
from shipped_book import shipped
from small_book import small_book

from trees.book.model import Book, Fix
from trees.book.tree import Step, Tree
from trees.errors import SuspectsError, WalkError
from trees.suspects import Network
from trees.walk.unit import UnitFacts
from trees.walk.weighing import Estimate, Weighing, weigh_tree
from trees.walk.weighing.best_order import BestOrder
from trees.walk.weighing.branches import Draw
from trees.walk.weighing.drawn_order import DrawnOrder
from trees.walk.weighing.repairs import Repairs
from trees.walk.weighing.worlds import Worlds

ROUNDING = 1e-9


def chain(checks: Sequence[str], **more: Any) -> Tree:
    """Return a tree that makes checks one after the other, whatever comes out."""
    steps = {
        f"n{k}": Step(id=f"n{k}", no=k + 1, kind="check", refers=check, then=f"n{k + 1}")
        for k, check in enumerate(checks)
    }
    end = f"n{len(checks)}"
    steps[end] = Step(id=end, no=len(checks) + 1, kind="end", refers="no_fault")
    return Tree(id="tree", title="Chain", begin="n0", steps=steps, **more)


def drawn_workshop(seed: int, *, several: bool, causes: int = 6, checks: int = 6) -> tuple[Book, Network, Exact]:
    """Return a random workshop with a tree that makes all its checks, and its exact sums."""
    exact = Exact(draw(random.Random(seed), causes, checks, several=several))
    book, network = exact.workshop.book, exact.workshop.network
    return replace(book, trees={"tree": chain(tuple(book.checks))}), network, exact


def limits_hold(found: Weighing) -> None:
    """Knowing the causes costs least, and the best order found is never worse than the tree's own."""
    assert found.limit_minutes <= found.best.value + ROUNDING
    assert found.best.value <= found.author.value + ROUNDING
    assert found.best_checks.value <= found.best.value
    assert 0 <= found.nothing.value <= 1 - found.right.value + ROUNDING


# ── invariants ──────────────────────────────────────────────────────────────


@pytest.mark.parametrize("tree", ["supply_voltage", "ignition_parts", "exhaust_inside", "smoke_on_start"])
def test_limits_hold_on_the_shipped_book(tree: str) -> None:
    """Limit ≤ best ≤ author, with shared trees run inside and branches drawn."""
    limits_hold(weigh_tree(shipped(), tree))


@pytest.mark.parametrize("causes", [1, 2, 3])
def test_limits_hold_on_random_books(causes: int) -> None:
    """Limit ≤ best ≤ author, whatever the book says and however many causes a job has."""
    for seed in range(6):
        book, network, _ = drawn_workshop(seed, several=causes > 1)
        limits_hold(weigh_tree(book, "tree", causes=causes, network=network))


def test_rules_stay_close_to_the_exact_optimum() -> None:
    """No order found beats the best plan there is, and on average the better rule costs at most 3 % more."""
    losses = []
    for seed in range(12):
        book, network, exact = drawn_workshop(100 + seed, several=False)
        repairs = Repairs(Worlds(book, network, {}))
        order = BestOrder(book, repairs, tuple(book.checks.values()), "bench")
        found = min(sum(order.minutes(rule, Draw(0.0, 0))) + repairs.limit() for rule in ("minutes", "bits"))
        least = advice_optimum(exact)
        assert found >= least * (1 - ROUNDING)
        losses.append(found / least - 1)
    assert sum(losses) / len(losses) <= 0.03


def test_a_written_order_is_the_one_that_was_weighed() -> None:
    """Written to the last turn, shares times minutes add up to the minutes of its checks; no way gains jobs."""
    for seed in range(6):
        book, network, _ = drawn_workshop(200 + seed, several=False)
        order = BestOrder(book, Repairs(Worlds(book, network, {})), tuple(book.checks.values()), "bench")
        for rule in ("minutes", "bits"):
            turnings = list(order.written_out(rule, 0.0))
            assert sum(turning.share * turning.minutes for turning in turnings) == pytest.approx(
                order.minutes(rule, Draw(0.0, 0))[0], rel=1e-9
            )
            for above, turning in pairwise(turnings):
                assert turning.depth <= above.depth + 1
            ends = sum(turning.share for turning in turnings if turning.check is None)
            assert ends == pytest.approx(1.0)
            assert all(turning.fixes for turning in turnings if turning.check is None)


def test_a_written_order_leaves_rare_ways_out() -> None:
    """What fewer jobs take is not written, and what is written is as in the whole order."""
    book, network, _ = drawn_workshop(7, several=False)
    order = BestOrder(book, Repairs(Worlds(book, network, {})), tuple(book.checks.values()), "bench")
    whole, often = (list(order.written_out("bits", least)) for least in (0.0, 0.2))
    assert 0 < len(often) < len(whole)
    assert all(turning.share >= 0.2 for turning in often)
    assert [turning for turning in whole if turning.share >= 0.2] == often


def test_rollout_is_no_worse_than_its_rule() -> None:
    """Looking ahead by a rule costs at most what the rule costs on these books, where every branch is followed."""
    for seed in (3, 4, 5):
        book, network, _ = drawn_workshop(seed, several=False, causes=5, checks=4)
        plain = weigh_tree(book, "tree", network=network)
        ahead = weigh_tree(book, "tree", network=network, rollout=True)
        assert plain.limit_minutes <= ahead.best.value + ROUNDING
        assert ahead.best.value <= plain.best.value + 3 * plain.best.error + ROUNDING


def test_decisive_answers_lie_between_the_bounds() -> None:
    """Huffman's bound ≤ the optimum by exhaustive search ≤ any tree that tells all causes apart."""
    rng = random.Random(7)
    for _ in range(20):
        count = 5
        weights = [rng.random() + 0.05 for _ in range(count)]
        p = tuple(w / sum(weights) for w in weights)
        singles = [frozenset([i]) for i in range(count)]  # so that all causes can be told apart
        others = [frozenset(rng.sample(range(count), 2)) for _ in range(3)]
        minutes = tuple(float(rng.randint(1, 9)) for _ in range(count + 3))
        matrix = Matrix(p, (*singles, *others), minutes)
        tree: Any = [count - 1]
        for i in rng.sample(range(count - 1), count - 1):
            tree = {"test": i, "fail": [i], "pass": tree}
        book, network = workshop(matrix, nested(tree))
        author = weigh_tree(book, "tree", network=network).author_checks.value
        assert huffman_minutes(p, minutes) <= optimum(matrix) + ROUNDING
        assert optimum(matrix) <= author + ROUNDING


# ── the job's memory ────────────────────────────────────────────────────────


def test_a_known_answer_costs_nothing() -> None:
    """A tree that makes the same checks twice costs as much as one that makes them once."""
    book, network, _ = drawn_workshop(1, several=False, checks=4)
    once = weigh_tree(book, "tree", network=network)
    twice = replace(book, trees={"tree": chain((*book.checks, *book.checks))})
    again = weigh_tree(twice, "tree", network=network)
    assert again.author.value == pytest.approx(once.author.value, rel=1e-12)
    assert again.author_checks.value == pytest.approx(sum(check.minutes for check in book.checks.values()))


def test_a_known_sign_is_not_drawn_again() -> None:
    """Two checks of one sign give the same answer, so the second tells nothing and moves no fix."""
    book, network, _ = drawn_workshop(2, several=False, checks=3)
    first = book.checks["k0"]
    book = replace(book, checks={**book.checks, "again": replace(first, id="again", minutes=7.0)})
    one = weigh_tree(replace(book, trees={"tree": chain(("k0",))}), "tree", network=network)
    both = weigh_tree(replace(book, trees={"tree": chain(("k0", "again"))}), "tree", network=network)
    assert both.author.value == pytest.approx(one.author.value + 7.0, rel=1e-12)


def test_a_shared_tree_counts_where_it_is_run() -> None:
    """The checks of a shared tree are paid in the tree that runs it, and paid once where two steps run it."""
    book, network, _ = drawn_workshop(3, several=False, checks=4)
    part = chain(("k1", "k2"), shared=True)
    steps = {**part.steps, "n2": Step(id="n2", no=9, kind="return")}
    shared = replace(part, id="part", steps=steps)
    outer = {
        "a": Step(id="a", no=1, kind="check", refers="k0", then="b"),
        "b": Step(id="b", no=2, kind="run", refers="part", then="c"),
        "c": Step(id="c", no=3, kind="run", refers="part", then="d"),
        "d": Step(id="d", no=4, kind="end", refers="no_fault"),
    }
    trees = {"tree": Tree(id="tree", title="", begin="a", steps=outer), "part": shared}
    found = weigh_tree(replace(book, trees=trees), "tree", network=network)
    plain = weigh_tree(replace(book, trees={"tree": chain(("k0", "k1", "k2"))}), "tree", network=network)
    assert found.checks == ("k0", "k1", "k2")
    assert found.author.value == pytest.approx(plain.author.value, rel=1e-12)


def test_opening_is_charged_once() -> None:
    """Two checks inside pay for one opening."""
    book, network, _ = drawn_workshop(4, several=False, checks=2)
    inside = {name: replace(check, inside=True) for name, check in book.checks.items()}
    found = weigh_tree(replace(book, checks=inside, opening_minutes=11.0), "tree", network=network)
    assert found.author_checks.value == pytest.approx(11.0 + sum(check.minutes for check in book.checks.values()))


def test_what_the_place_forbids_is_passed_over() -> None:
    """A check of another place is passed as cannot-tell, costs nothing and is not offered to the best order."""
    book, network, _ = drawn_workshop(5, several=False, checks=3)
    checks = {**book.checks, "k1": replace(book.checks["k1"], place=("site",))}
    steps = dict(book.trees["tree"].steps)
    steps["n1"] = replace(steps["n1"], unknown="n3")
    tree = replace(book.trees["tree"], steps=steps)
    found = weigh_tree(replace(book, checks=checks, trees={"tree": tree}), "tree", network=network)
    assert found.author_checks.value == pytest.approx(book.checks["k0"].minutes)


# ── findings ────────────────────────────────────────────────────────────────


def test_a_wrong_finding_is_told_with_its_step() -> None:
    """How often a finding is wrong follows from the chances: a sign without its cause is a false find."""
    matrix = Matrix((0.25, 0.75), (frozenset([0, 1]), frozenset([0])), (2.0, 3.0))
    book, network = workshop(matrix, nested({"test": 0, "fail": {"test": 1, "fail": [0], "pass": [1]}, "pass": [1]}))
    fails = book.checks["t0"].answer("fail")
    accuses = replace(book.checks["t0"], answers=(book.checks["t0"].answers[0], replace(fails, finds=("c0",))))
    fixes = {"f0": Fix(id="f0", do="", minutes=10, cures=("c0",)), "f1": Fix(id="f1", do="", minutes=20, cures=("c1",))}
    found = weigh_tree(replace(book, checks={**book.checks, "t0": accuses}, fixes=fixes), "tree", network=network)
    assert found.right.value == pytest.approx(0.25)
    assert found.nothing.value == 0
    assert {cost.step: cost.finds_wrong for cost in found.steps} == {"n0": pytest.approx(0.75), "n2": 0.0}
    assert found.missed == (("c1", pytest.approx(0.75)),)
    # the accused cause is fixed first although the second test tells which it is
    assert found.author.value == pytest.approx(5 + 0.25 * 10 + 0.75 * (10 + 20))
    assert found.limit_minutes == pytest.approx(0.25 * 10 + 0.75 * 20)


def test_what_ends_the_weighing_is_told() -> None:
    """An unknown tree, a tree of the handover, and a complaint that no cause explains: a sentence each."""
    book = small_book()
    with pytest.raises(WalkError, match="no tree named nix"):
        weigh_tree(book, "nix")
    with pytest.raises(WalkError, match="readings after a repair"):
        weigh_tree(book, "handover")
    with pytest.raises(SuspectsError, match="give 1 to 3"):
        weigh_tree(book, "smoke_on_start", causes=4)
    made, network = workshop(Matrix((0.5, 0.5), (frozenset([0]), frozenset()), (1.0, 1.0)), nested([0]))
    complaint = replace(made.trees["tree"], complaint_says={"s1": "yes"})
    with pytest.raises(SuspectsError, match="No cause of the book explains this complaint"):
        weigh_tree(replace(made, trees={"tree": complaint}), "tree", network=network)


def test_the_small_book_is_weighed() -> None:
    """A tree with a shared tree, a figure and its readings, a list, work and a handover comes to its figures."""
    for place in ("bench", "site", "phone"):
        limits_hold(weigh_tree(small_book(), "smoke_on_start", place=place))


# ── draws ───────────────────────────────────────────────────────────────────


def test_a_draw_keeps_the_weight() -> None:
    """Whatever is left out, the weights that go on add up to the weight that came."""
    rng = random.Random(1)
    draw_some = Draw(0.1, 2)
    for _ in range(300):
        chances = [rng.random() ** 3 for _ in range(rng.randint(1, 9))]
        chances = [c / sum(chances) for c in chances]
        weight = rng.random()
        followed = draw_some.split(weight, chances)
        assert sum(share for _, share in followed) == pytest.approx(weight)
        assert len({k for k, _ in followed}) == len(followed)
    assert draw_some.drew


def test_a_draw_is_fair() -> None:
    """Over many draws each way is followed with its own share: within five standard errors."""
    chances = [0.04, 0.01, 0.55, 0.03, 0.07, 0.3]
    sums: list[list[float]] = [[] for _ in chances]
    draws = Draw(0.2, 5)
    for _ in range(4000):
        got = dict(draws.split(1.0, chances))
        for k, row in enumerate(sums):
            row.append(got.get(k, 0.0))
    for chance, row in zip(chances, sums, strict=True):
        mean = Estimate.of(row)
        assert abs(mean.value - chance) <= 5 * mean.error + 1e-12


def test_drawn_minutes_agree_with_all_branches() -> None:
    """The drawn minutes of a tree lie within five standard errors of those with every branch followed."""
    book, network, _ = drawn_workshop(8, several=False, causes=6, checks=7)
    repairs = Repairs(Worlds(book, network, {}))
    followed = DrawnOrder(book, repairs, book.trees["tree"], "bench", UnitFacts())
    whole = followed.tally(Draw(0.0, 0))
    some = Estimate.of([followed.tally(Draw(0.2, seed)).fix_minutes_more for seed in range(60)])
    assert some.error > 0
    assert abs(some.value - whole.fix_minutes_more) <= 5 * some.error


def test_the_same_book_gives_the_same_figures() -> None:
    """What is drawn is drawn with fixed seeds."""
    assert weigh_tree(shipped(), "exhaust_inside") == weigh_tree(shipped(), "exhaust_inside")
