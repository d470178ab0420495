"""How fast the suspects are weighed: ratios against general libraries and plain ways, timed in turn in one run.

pyAgrum is used in two ways of its documentation (3.3, pages "Bayesian network" and "Exact inference"), on a network
written with `addNoisyORNet` and `addWeightedArc`: as its first example does, one propagation by `LazyPropagation` for
all nodes; and the quickest way we found there, any of its exact engines told by `setTargets` that only the causes are
asked for. Run with `-s` to see the figures.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from large_network import Job, alternately, book_of, draw, folded, pyagrum_net

from trees.suspects import Evidence, posterior, rank_checks

pytestmark = pytest.mark.bench


def batch() -> Any:
    """Return the batch engine, or skip."""
    pytest.importorskip("numpy", reason="the batch engine needs the extra `batch` (numpy)")
    from trees.suspects import batch as engine

    return engine


def library() -> Any:
    """Return pyAgrum, or skip."""
    return pytest.importorskip("pyagrum", reason="pyAgrum is not installed: `uv sync --group compare`")


ENGINES = ("LazyPropagation", "ShaferShenoyInference", "VariableElimination")
Way = Callable[[], list[float]]


def propagation(gum: Any, job: Job, engine: str, *, targets: bool) -> Way:
    """Return one propagation, ready to be called; it gives the chance of every cause."""
    net = pyagrum_net(gum, job.network)
    said = {sign: int(level == "yes") for sign, level in job.said.items()}

    def run() -> list[float]:
        inference = getattr(gum, engine)(net)
        inference.setEvidence(said)
        if targets:
            inference.setTargets(set(job.network.causes))
        inference.makeInference()
        return [float(inference.posterior(cause)[1]) for cause in job.network.causes]

    return run


def quickest(gum: Any, job: Job) -> tuple[str, Way]:
    """Return the engine that is quickest on this job, told which nodes are asked for."""
    ways = {engine: propagation(gum, job, engine, targets=True) for engine in ENGINES}
    seconds = alternately(*ways.values(), rounds=3)
    name = min(zip(seconds, ways, strict=True))[1]
    return name, ways[name]


def same(found: list[float], job: Job) -> None:
    """Assert that a library and this program weigh the same thing."""
    assert found == pytest.approx(list(posterior(job.network, job.evidence).marginals.values()), abs=1e-9)


def test_whole_network_as_a_user_writes_it() -> None:
    """The batch engine takes at most a three-hundredth of pyAgrum's time for all nodes of the whole network."""
    gum, engine = library(), batch()
    job = draw(2, striking=6)
    theirs = propagation(gum, job, "LazyPropagation", targets=False)
    found: list[float] = []
    engine.batch_posterior(job.network, job.evidence)  # the first call loads parts of numpy
    slow, fast, plain = alternately(
        lambda: found.extend(theirs()),
        lambda: engine.batch_posterior(job.network, job.evidence),
        lambda: posterior(job.network, job.evidence),
        rounds=1,
    )
    same(found, job)
    print(f"\nall nodes: pyAgrum {slow * 1e3:.0f} ms, batch {fast * 1e3:.2f} ms, plain {plain * 1e3:.2f} ms")
    assert slow >= 300 * fast


@pytest.mark.parametrize("striking", [6, 12])
def test_whole_network_in_the_quickest_way_found(striking: int) -> None:
    """Even told that only the causes are asked for, pyAgrum takes at least three times as long as the plain engine."""
    gum = library()
    job = draw(5, striking=striking)
    name, theirs = quickest(gum, job)
    same(theirs(), job)
    slow, plain = alternately(theirs, lambda: posterior(job.network, job.evidence), rounds=15)
    print(f"\ncauses alone, {striking} striking: {name} {slow * 1e3:.2f} ms, plain {plain * 1e3:.2f} ms")
    assert slow >= 3 * plain


@pytest.mark.parametrize("striking", [6, 10])
def test_network_with_normal_answers_folded_away(striking: int) -> None:
    """Given only the striking signs pyAgrum still takes at least twice the time that this takes for everything."""
    gum = library()
    job = draw(6, striking=striking)
    small = folded(job)
    name, theirs = quickest(gum, small)
    same(theirs(), job)
    slow, plain = alternately(theirs, lambda: posterior(job.network, job.evidence), rounds=60)
    print(f"\nfolded, {striking} striking: {name} {slow * 1e3:.2f} ms, plain {plain * 1e3:.2f} ms")
    assert slow >= 2 * plain


def test_time_grows_with_the_causes_no_faster_than_they_do() -> None:
    """Four times as many causes and signs take at most five times as long, with as many answers."""
    sizes = (40, 160)
    jobs = {n: [draw(seed, causes=n, signs=3 * n, striking=10) for seed in range(8)] for n in sizes}

    def weigh(n: int) -> None:
        for job in jobs[n]:
            posterior(job.network, job.evidence)

    small, large = alternately(*(lambda n=n: weigh(n) for n in sizes), rounds=7)
    print(f"\n40 causes {small / 8 * 1e3:.2f} ms, 160 causes {large / 8 * 1e3:.2f} ms")
    assert large <= 5 * small


@pytest.mark.parametrize("striking", [3, 5, 10])
def test_ranking_beats_weighing_every_answer_anew(striking: int) -> None:
    """The plain ranking of 60 checks takes at most two thirds of the time of a posterior for each answer."""
    job = draw(7, striking=striking)
    book = book_of(job, 60)

    def anew() -> None:
        for check in book.checks.values():
            for answer in check.answers:
                posterior(job.network, job.evidence.adding(Evidence.of(dict(answer.says)).items))

    slow, plain = alternately(anew, lambda: rank_checks(book, job.network, job.evidence), rounds=7)
    print(f"\n60 checks, {striking} striking: anew {slow * 1e3:.0f} ms, plain {plain * 1e3:.1f} ms")
    assert slow >= 1.5 * plain


@pytest.mark.parametrize("striking", [12, 16])
def test_batch_ranking_pays(striking: int) -> None:
    """With many striking answers the batch engine ranks 60 checks in at most two thirds of the plain one's time."""
    engine = batch()
    job = draw(8, striking=striking)
    book = book_of(job, 60)
    plain, fast = alternately(
        lambda: rank_checks(book, job.network, job.evidence),
        lambda: engine.batch_rank_checks(book, job.network, job.evidence),
        rounds=7,
    )
    print(f"\n60 checks, {striking} striking: plain {plain * 1e3:.0f} ms, batch {fast * 1e3:.1f} ms")
    assert plain >= 1.5 * fast
