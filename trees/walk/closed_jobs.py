"""What a closed job tells of the shares of causes: those that a cure confirmed, and those that were likely."""

from __future__ import annotations

from trees.suspects.recount import PROBABLE, ClosedJob
from trees.walk.walk import Walk


def closed_job(walk: Walk, age_years: float) -> ClosedJob | None:
    """
    Return the causes of a closed job; None for an open one and for one in which nothing was found.

    A cause that its fix cured counts whole, one found by a look or a reading alone counts half.
    """
    if walk.now.closed is None:
        return None
    causes = {
        cause: 1.0 if any(r.proof == "cure" and r.state == "found" for r in finding.reasons) else PROBABLE
        for cause, finding in walk.findings.items()
        if finding.state == "found"
    }
    return ClosedJob(causes, age_years) if causes else None
