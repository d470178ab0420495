"""What a closed job tells the author: of the shares of causes, and of how often a cause shows its signs."""

from __future__ import annotations

from trees.suspects.links import SingleJob
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


def single_job(walk: Walk) -> SingleJob | None:
    """Return the signs of a closed job in which exactly one cause was found and a cure confirmed it, else None."""
    found = [finding for finding in walk.findings.values() if finding.state == "found"]
    if walk.now.closed is None or len(found) != 1 or not any(r.proof == "cure" for r in found[0].reasons):
        return None
    levels = {sign: seen.level for sign, seen in walk.observations.items() if seen.given is not None}
    return SingleJob(found[0].cause, levels)
