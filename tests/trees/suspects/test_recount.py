"""Shares counted anew: the author is worth some jobs, old jobs fade, contradictions are flagged."""

from __future__ import annotations

import math
import random

import pytest

from trees.errors import SuspectsError
from trees.suspects.beta import beta_binomial_tail, beta_cdf, beta_quantile
from trees.suspects.recount import PROBABLE, ClosedJob, recount


def jobs(seen: int, total: int, *, age_years: float = 0.0) -> list[ClosedJob]:
    """Return jobs of which some had the cause."""
    return [ClosedJob({"damp_fuel": 1.0} if k < seen else {}, age_years) for k in range(total)]


def test_without_jobs_the_author_stands() -> None:
    """With no closed job the share is the author's and nothing is in conflict."""
    (found,) = recount({"damp_fuel": 0.12}, [])
    assert found.share == pytest.approx(0.12)
    assert found.low < 0.12 < found.high
    assert (found.seen, found.jobs, found.tail) == (0, 0, 1.0)


def test_five_of_five_jobs_move_ten_percent_to_a_quarter_not_to_all() -> None:
    """The author's share is worth 25 jobs: (2.5 + 5) / 30."""
    (found,) = recount({"damp_fuel": 0.1}, jobs(5, 5))
    assert found.share == pytest.approx(0.25)


def test_old_jobs_fade_with_a_half_life_of_two_years() -> None:
    """Twenty jobs of two years ago count as ten of today, of four years ago as five."""
    for age, counted in ((2.0, 10.0), (4.0, 5.0)):
        (old,) = recount({"damp_fuel": 0.1}, jobs(8, 20, age_years=age))
        assert (old.seen, old.jobs) == (pytest.approx(0.4 * counted), pytest.approx(counted))


def test_probable_causes_count_half() -> None:
    """A cause that no cure confirmed counts half a job."""
    half = [ClosedJob({"damp_fuel": PROBABLE}) for _ in range(10)]
    (found,) = recount({"damp_fuel": 0.1}, half)
    assert (found.seen, found.jobs) == (5, 10)


def test_contradictions_are_flagged() -> None:
    """12 of 30 against 10 % worth 40 jobs has a tail of 0.0016: flagged. 2 of 30 against 12 % worth 50 is quiet (0.35).

    Both figures are those of the design note (REASONING section 6).
    """
    (loud,) = recount({"damp_fuel": 0.1}, jobs(12, 30), prior_jobs=40)
    assert loud.tail == pytest.approx(0.0016, abs=5e-5)
    assert loud.conflict
    assert loud.sentence == (
        "12 of 30 jobs; author 10 %; now used 23 % (15 % to 31 %). The jobs contradict the author."
    )
    (quiet,) = recount({"damp_fuel": 0.12}, jobs(2, 30), prior_jobs=50)
    assert quiet.tail == pytest.approx(0.35, abs=5e-3)
    assert not quiet.conflict


def test_several_causes_share_a_job() -> None:
    """Each cause is counted by itself; a job with two of them counts for both."""
    both = [ClosedJob({"damp_fuel": 1.0, "thin_cable": 1.0})] * 3
    found = {row.cause: row for row in recount({"damp_fuel": 0.2, "thin_cable": 0.1, "worn_pin": 0.1}, both)}
    assert [found[cause].seen for cause in ("damp_fuel", "thin_cable", "worn_pin")] == [3, 3, 0]


@pytest.mark.parametrize("prior_jobs", [9.0, 101.0])
def test_an_author_can_not_be_worth_any_number_of_jobs(prior_jobs: float) -> None:
    """Fewer than 10 or more than 100 jobs is refused with a sentence."""
    with pytest.raises(SuspectsError, match="give 10 to 100"):
        recount({"damp_fuel": 0.1}, [], prior_jobs=prior_jobs)


def test_bad_input_is_a_sentence() -> None:
    """A share of nothing or all, and a job of the future."""
    for share in (0.0, 1.0, -0.1):
        with pytest.raises(SuspectsError, match="between 0 and 100"):
            recount({"damp_fuel": share}, [])
    with pytest.raises(SuspectsError, match="in the future"):
        recount({"damp_fuel": 0.1}, [ClosedJob({}, -0.5)])


# ── the distribution ────────────────────────────────────────────────────────


def test_cumulative_share_is_the_binomial_tail() -> None:
    """For whole a and b, I_x(a, b) = P(at least a of a + b - 1 draws with chance x): summed without the fraction."""
    rng = random.Random(31)
    for _ in range(200):
        a, b, x = rng.randint(1, 60), rng.randint(1, 60), rng.random()
        n = a + b - 1
        tail = math.fsum(math.comb(n, k) * x**k * (1 - x) ** (n - k) for k in range(a, n + 1))
        assert beta_cdf(x, a, b) == pytest.approx(tail, rel=1e-10, abs=1e-14)


def test_quantiles_turn_the_cumulative_share_round() -> None:
    """The share below the quantile of a share is that share; the ends are 0 and 1."""
    rng = random.Random(32)
    for _ in range(200):
        a, b, share = rng.uniform(0.5, 200), rng.uniform(0.5, 200), rng.uniform(0.001, 0.999)
        assert beta_cdf(beta_quantile(share, a, b), a, b) == pytest.approx(share, rel=1e-9)
    assert (beta_cdf(0.0, 2, 3), beta_cdf(1.0, 2, 3)) == (0.0, 1.0)


def test_intervals_hold_the_truth_as_often_as_they_say() -> None:
    """Of shares drawn from the author's own distribution, the 90 % interval holds about 90 % of them."""
    rng = random.Random(33)
    held, total = 0, 1500
    for _ in range(total):
        truth = rng.betavariate(25 * 0.2, 25 * 0.8)
        seen = sum(rng.random() < truth for _ in range(40))
        (found,) = recount({"damp_fuel": 0.2}, jobs(seen, 40))
        held += found.low <= truth <= found.high
    assert 0.87 <= held / total <= 0.93


def test_tails_of_all_counts_cover_both_sides() -> None:
    """The tail of the least and the greatest count is that count's own chance; the whole sums to 1."""
    whole = beta_binomial_tail(0, 6, 2.0, 3.0) + math.fsum(
        beta_binomial_tail(k, 6, 2.0, 3.0) - beta_binomial_tail(k - 1, 6, 2.0, 3.0) for k in (1, 2)
    )
    assert whole + beta_binomial_tail(3, 6, 2.0, 3.0) == pytest.approx(1.0)
