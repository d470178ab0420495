"""Small random workshops, the exact optimum of checks and fixes for each, and what the advice costs on it.

Run as a program to measure more of them: `python tests/support/exact_advice.py 60 several`.
"""

from __future__ import annotations

import random
import sys
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache

from bare_book import bare_book

from trees.book.model import Answer, Book, Cause, Check, Fix, Sign
from trees.suspects import Evidence, Network, Row, SignNode, rank_checks

LEVELS = ("no", "yes")
WORDS = (0.98, 0.80, 0.60, 0.30, 0.08)


@dataclass(frozen=True, slots=True)
class Workshop:
    """A book with as many yes/no checks as signs, and its network."""

    book: Book
    network: Network


def draw(rng: random.Random, causes: int, checks: int, *, several: bool) -> Workshop:
    """Draw causes by a Zipf law, fixes of 25 and checks of 4 minutes in the median, a third of them inspections."""
    shares = [1 / (i + 1) ** 0.8 for i in range(causes)]
    total = sum(shares)
    shares = [share / total for share in shares]
    rng.shuffle(shares)
    if several:
        records = tuple(
            Cause(id=f"c{i}", name="", kind="root", lives="unit", share=min(95.0, 125 * s))
            for i, s in enumerate(shares)
        )
    else:
        records = tuple(
            Cause(id=f"c{i}", name="", kind="root", lives="unit", share=100 * s) for i, s in enumerate(shares)
        )
    nodes, asked = {}, {}
    for k in range(checks):
        inspection = rng.random() < 0.35
        links = {
            i: Row.of([0.98 if inspection else rng.choice(WORDS)])
            for i in rng.sample(range(causes), 1 if inspection else min(causes, rng.randint(2, 4)))
        }
        nodes[f"s{k}"] = SignNode(f"s{k}", LEVELS, Row.of([rng.uniform(0.01, 0.05)]), links)
        asked[f"k{k}"] = Check(
            id=f"k{k}",
            form="look",
            wording="",
            minutes=rng.lognormvariate(1.386, 0.6) * (2 if inspection else 1),
            answers=tuple(Answer(id=level, means=level, says={f"s{k}": level}) for level in LEVELS),
        )
    fixes = {
        f"f{i}": Fix(id=f"f{i}", do="", minutes=rng.lognormvariate(3.219, 0.6), cures=(f"c{i}",)) for i in range(causes)
    }
    signs = [Sign(id=sign, name="") for sign in nodes]
    book = bare_book(opening_minutes=0.0, signs=signs, causes=records, checks=asked, fixes=fixes)
    drawn = Network.of(book)
    # one cause only is the limit of vanishing priors given at least one
    priors = drawn.priors[:causes] if several else tuple(share * 1e-9 for share in shares)
    return Workshop(book, Network(drawn.causes[:causes], priors, nodes))


class Exact:
    """All sets of causes with their weights: what the model says by definition, without the program's own inference."""

    def __init__(self, workshop: Workshop) -> None:
        self.workshop = workshop
        network = workshop.network
        self.n = len(network.causes)
        self.checks = tuple(workshop.book.checks.values())
        self.minutes = [workshop.book.fixes[f"f{i}"].minutes for i in range(self.n)]
        weights = []
        for present in range(1 << self.n):
            weight = 1.0 if present else 0.0
            for i, p in enumerate(network.priors):
                weight *= p if present >> i & 1 else 1.0 - p
            weights.append(weight)
        total = sum(weights)
        self.start = tuple(weight / total for weight in weights)
        self.no = [self._normal(network.signs[f"s{k}"]) for k in range(len(self.checks))]

    def _normal(self, node: SignNode) -> list[float]:
        chances = []
        for present in range(1 << self.n):
            chance = node.leak.upto[0]
            for i, row in node.links.items():
                if present >> i & 1:
                    chance *= row.upto[0]
            chances.append(chance)
        return chances

    def after(self, weights: Sequence[float], check: int, level: str) -> tuple[float, ...]:
        """Return the weights times the chance of an answer."""
        if level == "no":
            return tuple(w * q for w, q in zip(weights, self.no[check], strict=True))
        return tuple(w * (1.0 - q) for w, q in zip(weights, self.no[check], strict=True))

    def not_cured(self, weights: Sequence[float]) -> list[float]:
        """Return, for every set of fixes made, the weight of the cause sets that it leaves something of."""
        within = list(weights)
        for i in range(self.n):
            for done in range(1 << self.n):
                if done >> i & 1:
                    within[done] += within[done ^ 1 << i]
        return [max(0.0, within[-1] - weight) for weight in within]

    def best_fixes(self, weights: Sequence[float]) -> float:
        """Return the minutes of the best fix order of all, times the weight."""
        left = self.not_cured(weights)
        full = (1 << self.n) - 1
        cost = [0.0] * (full + 1)
        for done in range(full - 1, -1, -1):
            cost[done] = min(
                self.minutes[i] * left[done] + cost[done | 1 << i] for i in range(self.n) if not done >> i & 1
            )
        return cost[0]

    def in_order(self, weights: Sequence[float], order: Sequence[int]) -> float:
        """Return the minutes of one fix order, times the weight."""
        left, done, total = self.not_cured(weights), 0, 0.0
        for i in order:
            total += self.minutes[i] * left[done]
            done |= 1 << i
        return total


def optimum(exact: Exact) -> float:
    """Return the fewest expected minutes of any plan that checks first and then fixes."""

    @cache
    def best(answers: tuple[str, ...]) -> float:
        weights = exact.start
        for check, level in enumerate(answers):
            if level:
                weights = exact.after(weights, check, level)
        total = sum(weights)
        lowest = exact.best_fixes(weights)
        for check, asked in enumerate(exact.checks):
            if not answers[check]:
                cost = asked.minutes * total
                for level in LEVELS:
                    if cost >= lowest:
                        break
                    cost += best((*answers[:check], level, *answers[check + 1 :]))
                lowest = min(lowest, cost)
        return lowest

    return best(("",) * len(exact.checks))


def advised(exact: Exact) -> float:
    """Return the expected minutes of a technician who does what the advice says: checks first, then its fix order."""
    workshop = exact.workshop

    def follow(said: dict[str, str], weights: tuple[float, ...]) -> float:
        advice = rank_checks(workshop.book, workshop.network, Evidence.of(said))
        if advice.check is None:
            return exact.in_order(weights, [int(fix.fix[1:]) for fix in advice.fixes.order])
        check = int(advice.check.check[1:])
        cost = exact.checks[check].minutes * sum(weights)
        return cost + sum(follow({**said, f"s{check}": level}, exact.after(weights, check, level)) for level in LEVELS)

    return follow({}, exact.start)


def losses(seed: int, count: int, *, several: bool, causes: int = 6, checks: int = 7) -> list[float]:
    """Return, for some drawn workshops, by what part the advice costs more than the optimum, smallest first."""
    rng = random.Random(seed)
    found = []
    for _ in range(count):
        exact = Exact(draw(rng, causes, checks, several=several))
        found.append(advised(exact) / optimum(exact) - 1.0)
    return sorted(found)


if __name__ == "__main__":
    measured = losses(1, int(sys.argv[1]), several=sys.argv[2] == "several", checks=int((*sys.argv, 7)[3]))
    middle = measured[len(measured) // 2]
    tail = measured[int(0.95 * len(measured))]
    print(f"{len(measured)} workshops: mean {sum(measured) / len(measured):.2%}, median {middle:.2%}, p95 {tail:.2%}")
