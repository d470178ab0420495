"""How fast the suspects are weighed: ratios against general libraries and plain ways, in turn in one run.

pyAgrum is used in every way that its readme and docstrings (version 3.3) show for many nodes and many rows:
`tests/support/agrum_ways.py` has them with their sources. Each figure is held against the quickest of them in that very
run. Seconds are processor time of this process, medians of rounds in turn: neither side is charged for what else the
machine does, threads of numpy are charged to us, and pyAgrum used none on these networks. Rows are what one call of the
batch engine takes; for a single row it has no advantage over the plain engine. Run with `-s` to see the figures.
"""

from __future__ import annotations

import random
import time
from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from statistics import median
from typing import Any

import pytest
from agrum_ways import Way, quick_ways, slow_ways
from large_network import Job, book_of, draw, folded

from trees.suspects import Evidence, posterior, rank_checks
from trees.suspects.posterior import weigh

pytestmark = pytest.mark.bench

Says = Mapping[str, str]


def batch() -> Any:
    """Return the batch engine, or skip."""
    pytest.importorskip("numpy", reason="the batch engine needs the extra `batch` (numpy)")
    from trees.suspects import batch as engine

    return engine


def library() -> Any:
    """Return pyAgrum, or skip."""
    return pytest.importorskip("pyagrum", reason="pyAgrum is not installed: `uv sync --group compare`")


def in_turn(*ways: Callable[[], object], rounds: int) -> list[float]:
    """Run several ways in turn and return the median processor seconds of each."""
    seconds: list[list[float]] = [[] for _ in ways]
    for _ in range(rounds):
        for row, way in zip(seconds, ways, strict=True):
            began = time.process_time()
            way()
            row.append(time.process_time() - began)
    return [median(row) for row in seconds]


def levels(rows: Sequence[Says]) -> list[dict[str, int]]:
    """Return rows of answers as the library takes them."""
    return [{sign: int(level == "yes") for sign, level in row.items()} for row in rows]


def day_of(job: Job, rows: int) -> list[Says]:
    """Return jobs with the striking answers of this one, and each with other normal ones, thirty answers in all."""
    rng = random.Random(rows)
    shown = {sign: level for sign, level in job.said.items() if level == "yes"}
    rest = [sign for sign in job.network.signs if sign not in shown]
    return [shown | dict.fromkeys(rng.sample(rest, 30 - len(shown)), "no") for _ in range(rows)]


def next_answers(job: Job, checks: int) -> list[Says]:
    """Return the possible answers of so many checks not done yet."""
    asked = [sign for sign in job.network.signs if sign not in job.said][:checks]
    return [{sign: level} for sign in asked for level in ("no", "yes")]


def show(title: str, ways: Sequence[Way], seconds: Sequence[float], ours: Mapping[str, float]) -> float:
    """Print what each way takes for a row beside what we take; return the quickest of theirs."""
    print(f"\n{title}")
    for name, mine in ours.items():
        print(f"  here, {name}: {mine * 1e6:.1f} us; pyAgrum's quickest takes {min(seconds) / mine:.1f} times as long")
    for spent, way in sorted(zip(seconds, ways, strict=True), key=lambda pair: pair[0]):
        print(f"  {spent * 1e3:9.2f} ms  {way.name} ({way.source})")
    return min(seconds)


def same(found: Sequence[Sequence[float]], job: Job, rows: Sequence[Says]) -> None:
    """Assert that a library and this program weigh the same thing."""
    for theirs, row in zip(found, rows, strict=True):
        ours = posterior(job.network, Evidence.of(row)).marginals
        assert list(theirs) == pytest.approx(list(ours.values()), abs=1e-9)


@pytest.mark.parametrize("striking", [5, 10, 14])
def test_a_day_of_jobs_on_the_whole_network(striking: int) -> None:
    """For a thousand rows in a call the batch engine takes at most a three-hundredth of the quickest way's time."""
    gum, _ = library(), batch()
    from trees.suspects.batch_rows import batch_marginals

    job = draw(2, striking=striking)
    ways, sample = quick_ways(gum, job.network), day_of(job, 4)
    for way in ways:
        same(way.run(levels(sample)), job, sample)
    counts = (1, 60, 200, 1000)
    days = [day_of(job, count) for count in counts]
    calls = [lambda rows=rows: batch_marginals(job.network, rows) for rows in days]
    seconds = in_turn(*(lambda way=way: way.run(levels(sample)) for way in ways), *calls, rounds=5)
    theirs = [spent / len(sample) for spent in seconds[: len(ways)]]
    ours = {f"{n} rows a call": spent / n for n, spent in zip(counts, seconds[len(ways) :], strict=True)}
    quickest = show(f"a day's jobs, {striking} striking, each row", ways, theirs, ours)
    assert quickest >= 300 * ours["1000 rows a call"]
    assert quickest >= 150 * ours["200 rows a call"]


@pytest.mark.parametrize("striking", [5, 10, 14])
def test_every_answer_of_sixty_checks_on_the_whole_network(striking: int) -> None:
    """All causes after each of 120 possible answers: at most a hundredth of the quickest way's time for each."""
    gum, engine = library(), batch()
    job = draw(2, striking=striking)
    answers = next_answers(job, 60)
    ways, sample = quick_ways(gum, job.network), [{**job.said, **answer} for answer in answers[:8]]
    for way in ways:
        same(way.run(levels(sample)), job, sample)

    def foresee() -> None:
        # the suspects of the job itself are on the screen before the ranking starts
        engine.BatchForesight(weighed, job.evidence).outcomes(answers)

    weighed = weigh(job.network, job.evidence)
    *seconds, ours = in_turn(*(lambda way=way: way.run(levels(sample)) for way in ways), foresee, rounds=5)
    theirs = [spent / len(sample) for spent in seconds]
    mine = {"120 answers a call": ours / len(answers)}
    quickest = show(f"every answer of 60 checks, {striking} striking, each answer", ways, theirs, mine)
    assert quickest >= 100 * mine["120 answers a call"]


@pytest.mark.parametrize("striking", [5, 10, 14])
def test_one_row_at_a_time_on_the_whole_network(striking: int) -> None:
    """With each answer of a walk weighed alone the quickest way still takes at least twice as long as lists do."""
    gum = library()
    jobs = [draw(seed, striking=striking) for seed in (2, 5, 6)]
    walks = []
    for job in jobs:
        said = random.Random(striking).sample(sorted(job.said.items()), len(job.said))
        walks.append([dict(said[:count]) for count in range(26, 31)])
    all_ways = [quick_ways(gum, job.network) for job in jobs]
    rows = sum(map(len, walks))

    def lists() -> None:
        for job, walk in zip(jobs, walks, strict=True):
            for row in walk:
                posterior(job.network, Evidence.of(row))

    def library_way(at: int) -> None:
        for ways, walk in zip(all_ways, walks, strict=True):
            ways[at].run(levels(walk))

    calls = [lambda at=at: library_way(at) for at in range(len(all_ways[0]))]
    *seconds, ours = in_turn(*calls, lists, rounds=3)
    theirs, mine = [spent / rows for spent in seconds], {"plain engine": ours / rows}
    quickest = show(f"one answer more each time, {striking} striking, each row", all_ways[0], theirs, mine)
    assert quickest >= 2 * mine["plain engine"]


def test_ways_that_the_documentation_warns_of() -> None:
    """For a single row all nodes take at least 300 times as long as here, one cause at a time at least 20 times."""
    gum, engine = library(), batch()
    job = draw(2, striking=6)
    ways = slow_ways(gum, job.network)
    found: list[list[list[float]]] = []
    *seconds, ours = in_turn(
        *(lambda way=way: found.append(way.run(levels([job.said]))) for way in ways),
        lambda: [engine.batch_posterior(job.network, job.evidence) for _ in range(20)],
        rounds=1,
    )
    for weighed in found:
        same(weighed, job, [job.said])
    quickest = show("slow ways, 6 striking, one row", ways, seconds, {"batch_posterior": ours / 20})
    assert quickest >= 20 * (ours / 20)
    assert seconds[0] >= 300 * (ours / 20)


@pytest.mark.parametrize("striking", [5, 10, 14])
def test_network_with_normal_answers_folded_away(striking: int) -> None:
    """Given the striking signs alone pyAgrum takes at least 20 times as long for a row of many, 1.5 times for one."""
    gum, _ = library(), batch()
    from trees.suspects.batch_rows import batch_marginals

    job = draw(2, striking=striking)
    shown = {sign: level for sign, level in job.said.items() if level == "yes"}
    bare = replace(job.network, signs={sign: job.network.signs[sign] for sign in shown})
    rows, sample = day_of(job, 1000), day_of(job, 6)
    ways = quick_ways(gum, bare)
    given = [levels([shown])[0] | left_of(job, row) for row in sample]
    for way in ways:
        same(way.run(given), job, sample)
    alone = [draw(seed, striking=striking) for seed in (2, 5, 6)]
    singles = [(quick_ways(gum, folded(one).network), levels([folded(one).said])) for one in alone]

    def lists() -> None:
        for one in alone:
            posterior(one.network, one.evidence)

    by_row = [lambda way=way: way.run(given) for way in ways]
    # a kept engine that is asked the same again has nothing to do, so for a single row each one is new
    fresh = [at for at, way in enumerate(ways) if "new" in way.name]
    by_one = [lambda at=at: [made[at].run(row) for made, row in singles] for at in fresh]
    ours, single, *seconds = in_turn(lambda: batch_marginals(job.network, rows), lists, *by_row, *by_one, rounds=5)
    theirs = [spent / len(sample) for spent in seconds[: len(ways)]]
    mine = {"1000 rows a call, not folded": ours / len(rows)}
    quickest = show(f"folded, {striking} striking, each row", ways, theirs, mine)
    alone_theirs = [spent / len(alone) for spent in seconds[len(ways) :]]
    one = {"plain engine, not folded": single / len(alone)}
    quickest_one = show(f"folded, {striking} striking, a single row", [ways[at] for at in fresh], alone_theirs, one)
    assert quickest >= 20 * ours / len(rows)
    assert quickest_one >= 1.5 * single / len(alone)


def left_of(job: Job, row: Says) -> dict[str, list[float]]:
    """Return what the normal answers of a row leave of each cause, as evidence on it (readme: soft evidence)."""
    left = dict.fromkeys(job.network.causes, 1.0)
    for sign, level in row.items():
        if level == "no":
            for i, link in job.network.signs[sign].links.items():
                left[job.network.causes[i]] *= link.upto[0]
    return {cause: [1.0, factor] for cause, factor in left.items()}


def test_time_grows_with_the_causes_no_faster_than_they_do() -> None:
    """Four times as many causes and signs take at most five times as long, with as many answers."""
    sizes = (40, 160)
    jobs = {n: [draw(seed, causes=n, signs=3 * n, striking=10) for seed in range(8)] for n in sizes}

    def lists(n: int) -> None:
        for job in jobs[n]:
            posterior(job.network, job.evidence)

    small, large = in_turn(*(lambda n=n: lists(n) for n in sizes), rounds=7)
    print(f"\n40 causes {small / 8 * 1e3:.2f} ms, 160 causes {large / 8 * 1e3:.2f} ms")
    assert large <= 5 * small


@pytest.mark.parametrize("striking", [3, 5, 10])
def test_ranking_beats_weighing_every_answer_anew(striking: int) -> None:
    """The plain ranking of 60 checks takes at most two thirds of the time of a posterior for each answer."""
    # two jobs by turns, so that neither finds the weights of the one before
    jobs = [draw(seed, striking=striking) for seed in (7, 8)]
    books = [book_of(job, 60) for job in jobs]

    def anew() -> None:
        for job in jobs:
            for answer in next_answers(job, 60):
                posterior(job.network, job.evidence.adding(Evidence.of(answer).items))

    def ranked() -> None:
        for job, book in zip(jobs, books, strict=True):
            rank_checks(book, job.network, job.evidence)

    slow, plain = in_turn(anew, ranked, rounds=5)
    print(f"\n60 checks, {striking} striking: anew {slow / 2 * 1e3:.0f} ms, plain {plain / 2 * 1e3:.1f} ms")
    assert slow >= 1.5 * plain


@pytest.mark.parametrize("striking", [5, 10, 14, 16])
def test_batch_ranking_pays(striking: int) -> None:
    """The batch engine ranks 60 checks in at most half of the plain one's time, both from the answers on."""
    engine = batch()
    jobs = [draw(seed, striking=striking) for seed in (7, 8)]
    books = [book_of(job, 60) for job in jobs]

    def ranked(rank: Callable[..., object]) -> None:
        for job, book in zip(jobs, books, strict=True):
            rank(book, job.network, job.evidence)

    plain, fast = in_turn(lambda: ranked(rank_checks), lambda: ranked(engine.batch_rank_checks), rounds=7)
    print(f"\n60 checks, {striking} striking: plain {plain / 2 * 1e3:.0f} ms, batch {fast / 2 * 1e3:.1f} ms")
    assert plain >= 2 * fast
