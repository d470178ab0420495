"""How likely each cause is before anything is known: shares of jobs turned into independent priors, exactly."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from trees.errors import SuspectsError
from trees.language import _

MEAN_CAUSES_WITH_REST = 1.02
"""Causes per job once a rest had to be added: common practice, no source (two at once in 2 of 100 jobs)."""

_BARELY_MORE_THAN_ONE = 1e-6
_HALVINGS = 200


@dataclass(frozen=True, slots=True)
class Priors:
    """Independent chances of the causes, in the order of the shares."""

    p: tuple[float, ...]
    """P(cause i), so that P(cause i | at least one cause) is its share."""
    unlisted: float | None
    """P(a cause that the book does not list); None where the shares alone make up more than one cause a job."""
    any_cause: float
    """Z = P(at least one cause), the unlisted one included."""


def priors_of(shares: Sequence[float]) -> Priors:
    """
    Turn shares of jobs (0..1 each; several causes may share a job) into priors.

    Solves Z = 1 - prod(1 - m_i Z) and gives p_i = m_i Z: then P(cause i | at least one) = m_i exactly. This needs a sum
    above 1 (more than one cause a job on average). Where the shares stay below that, an unlisted cause takes the rest
    up to MEAN_CAUSES_WITH_REST. Raises SuspectsError for no share at all or one outside 0..1.
    Source: reasoning/REASONING.md section 2.2, worked example E07.
    """
    if not shares or not any(shares):
        raise SuspectsError(_("The book has no cause with a share, so there are no suspects. Add causes with shares."))
    for share in shares:
        if not 0.0 <= share <= 1.0:
            raise SuspectsError(
                _("A cause can't be there in {share:g} of 100 jobs. Write a share from 0 to 100.").format(
                    share=share * 100
                )
            )
    mean = math.fsum(shares)
    rest = 0.0 if mean > 1.0 + _BARELY_MORE_THAN_ONE else MEAN_CAUSES_WITH_REST - mean
    any_cause = _at_least_one((*shares, rest))
    return Priors(
        p=tuple(share * any_cause for share in shares),
        unlisted=rest * any_cause if rest else None,
        any_cause=any_cause,
    )


def _at_least_one(shares: Sequence[float]) -> float:
    """Return the positive root of Z = 1 - prod(1 - m Z) by bisection, kept below 1 so that odds stay finite."""
    low, high = 0.0, 1.0 - 1e-9
    for _other in range(_HALVINGS):
        middle = (low + high) / 2
        if middle in {low, high}:
            break
        # expm1 and log1p keep the digits that 1 - prod(1 - x) would lose for small priors
        gap = middle + math.expm1(math.fsum(math.log1p(-share * middle) for share in shares))
        low, high = (middle, high) if gap < 0 else (low, middle)
    return high
