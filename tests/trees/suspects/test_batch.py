"""The batch engine gives the figures of the plain one: posteriors, weights of many rows, and the whole ranking."""

from __future__ import annotations

import random
import subprocess
import sys
from dataclasses import replace
from typing import Any

import pytest
from exact_advice import draw
from single_runs import assert_rows_are_single_runs

from trees.book.model import Book
from trees.errors import SuspectsError
from trees.suspects import Advice, Evidence, Network, Observed, Tried, posterior, rank_checks
from trees.suspects.case import case_of
from trees.suspects.plan import plan_of

np = pytest.importorskip("numpy", reason="the batch engine needs the extra `batch` (numpy)")

from trees.suspects.batch import batch_posterior, batch_rank_checks  # noqa: E402

EXACT = 1e-12


def drawn_case(lab: Any, rng: random.Random) -> tuple[Network, Evidence]:
    """Draw a model with answers, unsure ones and failed trials among them."""
    network = lab.random_network(rng, causes=rng.randint(2, 9), signs=rng.randint(1, 12))
    evidence = lab.random_evidence(rng, network)
    if rng.random() < 0.4:
        result = rng.choice(("still", "not_tried"))
        trial = Tried((network.causes[0],), result)
        items = list(evidence.items)
        items.insert(rng.randint(0, len(items)), trial)
        evidence = Evidence(tuple(items))
    return network, evidence


def test_posteriors_are_the_same(lab: Any) -> None:
    """On 300 random models every chance, odds ratio and P(answers) agrees to 1e-12."""
    rng = random.Random(11)
    for _ in range(300):
        network, evidence = drawn_case(lab, rng)
        plain, batch = posterior(network, evidence), batch_posterior(network, evidence)
        assert dict(batch.marginals) == pytest.approx(dict(plain.marginals), abs=EXACT)
        assert dict(batch.still_there) == pytest.approx(dict(plain.still_there), abs=EXACT)
        assert dict(batch.odds) == pytest.approx(dict(plain.odds), rel=1e-10)
        assert batch.p_evidence == pytest.approx(plain.p_evidence, rel=EXACT)
        assert batch.width == plain.width


def test_many_rows_are_as_many_single_runs(lab: Any) -> None:
    """Each row of factors weighs what the plain program makes of it alone, zeros among them."""
    rng = random.Random(12)
    for _ in range(60):
        network, evidence = drawn_case(lab, rng)
        case = case_of(network, evidence)
        plan = plan_of(case)
        rows = [[f * rng.choice((0.0, 0.3, 1.0, rng.random())) for f in case.factors] for _ in range(7)]
        assert_rows_are_single_runs(case, plan, rows)


def same_advice(plain: Advice, batch: Advice) -> None:
    """Assert that two pieces of advice say the same."""
    assert batch.minutes_now == pytest.approx(plain.minutes_now, abs=EXACT)
    by_check = {worth.check: worth for worth in (*plain.checks, *plain.elsewhere)}
    assert {worth.check for worth in (*batch.checks, *batch.elsewhere)} == by_check.keys()
    for worth in (*batch.checks, *batch.elsewhere):
        other = by_check[worth.check]
        assert worth.saves == pytest.approx(other.saves, abs=1e-9)
        assert worth.bits == pytest.approx(other.bits, abs=1e-9)
        assert (worth.minutes, worth.blocked) == (other.minutes, other.blocked)
    for name in ("check", "opening", "fix", "tells_most"):
        assert (getattr(batch, name) is None) == (getattr(plain, name) is None), name
    if plain.opening is not None and batch.opening is not None:
        assert batch.opening.saves == pytest.approx(plain.opening.saves, abs=1e-9)
        assert batch.opening.minutes == plain.opening.minutes


@pytest.mark.parametrize("several", [True, False])
def test_rankings_are_the_same(several: bool) -> None:
    """Every check is worth the same minutes and bits, and the advice is the same, along whole jobs."""
    rng = random.Random(13)
    for _ in range(6):
        workshop = draw(rng, causes=8, checks=10, several=several)
        said: dict[str, str] = {}
        for k in range(5):
            evidence = Evidence.of(said)
            same_advice(
                rank_checks(workshop.book, workshop.network, evidence),
                batch_rank_checks(workshop.book, workshop.network, evidence),
            )
            said[f"s{k}"] = rng.choice(("no", "yes"))


def test_bundles_filters_and_trials_are_the_same() -> None:
    """With checks inside, blocked ones, done ones and a failed fix the two engines still agree."""
    rng = random.Random(14)
    for seed in range(6):
        workshop = draw(rng, causes=7, checks=9, several=True)
        inside = {
            name: replace(check, inside=k % 2 == 0) for k, (name, check) in enumerate(workshop.book.checks.items())
        }
        book: Book = replace(workshop.book, checks=inside, opening_minutes=float(seed))
        evidence = Evidence((Observed("s1", "yes"), Tried(("c0",), "still")))
        options: dict[str, Any] = {
            "blocked": lambda check: "elsewhere" if check.id == "k3" else "",
            "done": ("k1",),
            "fixes_done": ("f0",),
            "unit_open": seed == 0,
        }
        same_advice(
            rank_checks(book, workshop.network, evidence, **options),
            batch_rank_checks(book, workshop.network, evidence, **options),
        )


def test_a_contradiction_is_the_same_sentence() -> None:
    """Where the answers exclude each other both engines say so in the same words."""
    network = Network(("a", "b"), (0.3, 0.2), {})
    evidence = Evidence((Tried(("a", "b"), "still"),))
    said = []
    for engine in (posterior, batch_posterior):
        with pytest.raises(SuspectsError) as refused:
            engine(network, evidence)
        said.append(str(refused.value))
    assert said[0] == said[1]


def test_the_live_program_does_not_load_numpy() -> None:
    """Suspects, walk and their advice are imported without numpy."""
    code = "import sys, trees.suspects, trees.walk.reasons, trees.walk.weighing; print('numpy' in sys.modules)"
    run_ = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert run_.stdout.strip() == "False"
