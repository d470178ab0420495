"""The worked jobs of the shipped book: their true causes lead the suspects, and what must stop is stopped."""

from __future__ import annotations

from functools import cache

from measured import measured
from shipped_book import shipped

from trees.walk.standing import Placed, Tally, place_all


@cache
def placed() -> tuple[Placed, ...]:
    """Place every worked job, once."""
    return place_all(shipped(), shipped().worked.values())


def test_there_are_enough_jobs_of_every_kind() -> None:
    """At least 60 jobs, 20 with several causes, 15 by phone, 10 that must stop, 10 that mislead."""
    jobs = shipped().worked.values()
    kinds = [kind for job in jobs for kind in job.expect.kind]
    assert sum(1 for job in jobs if job.expect.main or job.expect.stopped) >= 60
    assert {kind: kinds.count(kind) >= least for kind, least in LEAST.items()} == dict.fromkeys(LEAST, True)
    assert all(job.place == "phone" for job in jobs if "phone" in job.expect.kind)
    assert all(job.expect.stopped for job in jobs if "stop" in job.expect.kind)


LEAST = {"multi": 20, "phone": 15, "stop": 10, "misleading": 10}


def test_true_causes_lead_the_suspects() -> None:
    """Main cause first in 85 of 100 jobs, among three in 97, contributing causes among eight in 90; each stop stops."""
    tally = Tally.of(placed())
    measured("worked_jobs", **{name: getattr(tally, name) for name in tally.__slots__})
    assert [row.job for row in placed() if row.trouble] == []
    assert tally.first >= 0.85 * tally.jobs
    assert tally.among_three >= 0.97 * tally.jobs
    assert tally.among_eight >= 0.90 * tally.contributing
    assert tally.stopped == tally.must_stop


def test_jobs_tell_only_what_their_place_may_tell() -> None:
    """Nearly all that a job tells is taken at its place; what is not would be a slip of the job's author."""
    told = sum(len(job.answers) for job in shipped().worked.values() if job.expect.main)
    untold = sum(len(row.untold) for row in placed() if row.must_stop is None)
    assert untold <= 0.05 * told


def test_unit_jobs_and_callers_jobs_cover_most_causes() -> None:
    """Two thirds of the causes are the truth of some job, so that few links are never tried."""
    tried = {cause for job in shipped().worked.values() for cause in (*job.expect.main, *job.expect.contributing)}
    assert len(tried) >= len(shipped().causes) * 2 / 3
