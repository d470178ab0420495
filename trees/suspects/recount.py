"""Shares of causes counted anew from closed jobs: the author's estimate is worth some jobs, old jobs fade.

The book's own shares stay as they are; what is counted here goes into an overlay that the author accepts or not.
Source: reasoning/REASONING.md section 6, worked example E12.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from trees.errors import SuspectsError
from trees.language import _
from trees.suspects.beta import beta_binomial_tail, beta_quantile

PRIOR_JOBS = 25.0
"""An author's share counts as much as so many jobs: measured in REASONING section 6."""
FEWEST_PRIOR_JOBS, MOST_PRIOR_JOBS = 10.0, 100.0
HALF_LIFE_YEARS = 2.0
PROBABLE = 0.5
"""What a cause counts that was likely but not confirmed by a cure."""
LEVEL = 0.9
"""Of the interval, equal tails."""
CONFLICT = 0.01
"""Counts less likely than this under the author's share are flagged."""


@dataclass(frozen=True, slots=True)
class ClosedJob:
    """One closed job: which causes it had, and how long ago it was closed."""

    causes: Mapping[str, float]
    """Cause → 1 if a cure confirmed it, PROBABLE if it was likely; several may be there."""
    age_years: float = 0.0


@dataclass(frozen=True, slots=True)
class Recounted:
    """One cause counted anew; shares 0..1."""

    cause: str
    author: float
    """The author's share."""
    seen: float
    """Jobs that had it, old and unconfirmed ones counting less."""
    jobs: float
    """All jobs, old ones counting less."""
    share: float
    """What the author's share and the jobs make together."""
    low: float
    high: float
    """Ends of the interval that holds the share with 90 %."""
    tail: float
    """How likely a count at least so far out is if the author is right."""

    @property
    def conflict(self) -> bool:
        """The jobs contradict the author: worth a look before accepting."""
        return self.tail < CONFLICT

    @property
    def sentence(self) -> str:
        """What was counted, in one line."""
        flag = _(" The jobs contradict the author.") if self.conflict else ""
        return (
            _(
                "{seen} of {jobs} jobs; author {author:.0%}; now used {share:.0%} ({low:.0%} to {high:.0%}).{flag}"
            ).format(
                seen=_count(self.seen),
                jobs=_count(self.jobs),
                author=self.author,
                share=self.share,
                low=self.low,
                high=self.high,
                flag=flag,
            )
        ).replace("%", " %")


def recount(
    shares: Mapping[str, float], jobs: Sequence[ClosedJob], *, prior_jobs: float = PRIOR_JOBS
) -> tuple[Recounted, ...]:
    """
    Count every cause anew: a beta distribution per cause, several causes may share a job.

    `shares` are the author's, 0..1. alpha = N0 m + k and beta = N0 (1 - m) + N - k, with each job weighing
    0.5**(age / 2 years). Raises SuspectsError for a share outside 0..1, a job from the future, or prior jobs outside
    10..100.
    """
    if not FEWEST_PRIOR_JOBS <= prior_jobs <= MOST_PRIOR_JOBS:
        raise SuspectsError(
            _(
                "The author's shares can't be worth {prior_jobs:g} jobs; give {FEWEST_PRIOR_JOBS:g} to "
                "{MOST_PRIOR_JOBS:g}."
            ).format(prior_jobs=prior_jobs, FEWEST_PRIOR_JOBS=FEWEST_PRIOR_JOBS, MOST_PRIOR_JOBS=MOST_PRIOR_JOBS)
        )
    if any(job.age_years < 0 for job in jobs):
        raise SuspectsError(
            _("A job is closed in the future. Look at the clock of this machine, or of the other seat.")
        )
    weights = [0.5 ** (job.age_years / HALF_LIFE_YEARS) for job in jobs]
    total = sum(weights)
    return tuple(
        _recounted(
            cause,
            share,
            sum(w * job.causes.get(cause, 0.0) for w, job in zip(weights, jobs, strict=True)),
            total,
            prior_jobs,
        )
        for cause, share in shares.items()
    )


def _recounted(cause: str, author: float, seen: float, jobs: float, prior_jobs: float) -> Recounted:
    if not 0.0 < author < 1.0:
        raise SuspectsError(
            _("The share of {cause} is {author:.0%}; a share to be counted lies between 0 and 100 %.").format(
                cause=cause, author=author
            )
        )
    before = (prior_jobs * author, prior_jobs * (1.0 - author))
    alpha, beta = before[0] + seen, before[1] + jobs - seen
    return Recounted(
        cause=cause,
        author=author,
        seen=seen,
        jobs=jobs,
        share=alpha / (alpha + beta),
        low=beta_quantile((1.0 - LEVEL) / 2, alpha, beta),
        high=beta_quantile((1.0 + LEVEL) / 2, alpha, beta),
        tail=beta_binomial_tail(round(seen), round(jobs), *before),
    )


def _count(number: float) -> str:
    return f"{number:.0f}" if abs(number - round(number)) < 0.05 else f"{number:.1f}"
