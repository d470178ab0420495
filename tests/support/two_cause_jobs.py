"""Jobs with two causes, drawn from a book's own model: what the engine makes of them when everything was answered.

This measures the engine, not the book: the jobs are drawn from the same shares and chances that weigh them.
Run as a program for more of them: `python tests/support/two_cause_jobs.py 2000`.
"""

from __future__ import annotations

import random
import sys
from dataclasses import dataclass
from itertools import combinations

from trees.book import load_book, shipped_book_path
from trees.book.model import Book
from trees.errors import SuspectsError
from trees.suspects import UNLISTED, Evidence, Network, SignNode, posterior

SAYS = "This measures the engine, not the book: jobs and suspects come from the same shares and chances."


@dataclass(frozen=True, slots=True)
class Score:
    """How often the true causes were among the first suspects."""

    jobs: int
    both_in_three: float
    first_is_true: float
    too_wide: float
    """Jobs whose answers hang together too much to be weighed; they count as not found."""

    def __str__(self) -> str:
        return (
            f"{self.jobs} jobs with two causes, all answers given: both among the first three in "
            f"{self.both_in_three:.1%}, the first suspect true in {self.first_is_true:.1%}, "
            f"too wide to be weighed {self.too_wide:.1%}. {SAYS}"
        )


def answerable(book: Book, network: Network) -> list[str]:
    """Return the signs that some check of the book can tell."""
    told = {
        sign
        for check in book.checks.values()
        for answer in (*check.routes(), *check.items)
        for sign in (*answer.says, *answer.otherwise)
    }
    return [sign for sign in network.signs if sign in told]


def throw(rng: random.Random, node: SignNode, acting: tuple[int, ...]) -> str:
    """Draw a sign by the definition of the model: causes and chance throw a level each, the most striking wins."""
    rows = [node.leak, *(node.links[i] for i in acting if i in node.links)]
    return node.levels[max(rng.choices(range(len(node.levels)), row.chances)[0] for row in rows)]


def score(book: Book, jobs: int, seed: int = 1) -> Score:
    """Draw jobs with exactly two causes, answer all signs and rank the causes."""
    rng = random.Random(seed)
    network = Network.of(book)
    signs = answerable(book, network)
    listed = [i for i, cause in enumerate(network.causes) if cause != UNLISTED]
    pairs = list(combinations(listed, 2))
    odds = [p / (1.0 - p) for p in network.priors]
    both = first = wide = 0
    for pair in rng.choices(pairs, [odds[i] * odds[j] for i, j in pairs], k=jobs):
        said = {sign: throw(rng, network.signs[sign], pair) for sign in signs}
        try:
            ranked = [cause for cause, _ in posterior(network, Evidence.of(said)).ranked()]
        except SuspectsError:
            wide += 1
            continue
        true = {network.causes[i] for i in pair}
        both += true <= set(ranked[:3])
        first += ranked[0] in true
    return Score(jobs, both / jobs, first / jobs, wide / jobs)


if __name__ == "__main__":
    print(score(load_book(shipped_book_path()), int(sys.argv[1])))
