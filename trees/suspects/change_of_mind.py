"""Which answer, not given yet, would move a suspect most: what would change my mind."""

from __future__ import annotations

import math
from collections.abc import Collection
from dataclasses import dataclass

from trees.book.model import Book, Check
from trees.errors import SuspectsError
from trees.language import _
from trees.suspects.evidence import Evidence
from trees.suspects.foresee import Foresight, Outcome
from trees.suspects.network import Network
from trees.suspects.next_check import Blocked, ways_out
from trees.suspects.posterior import decibans, weigh


@dataclass(frozen=True, slots=True)
class Turn:
    """One answer to one check, and where a cause would stand after it."""

    check: str
    answers: tuple[str, ...]
    """Ids of the answers that say this; empty for an item that is left unticked."""
    likely: float
    """Chance that the check comes out so."""
    after: float
    """Chance of the cause then."""
    db: float
    """The move, in dB."""


def turns(
    book: Book,
    network: Network,
    evidence: Evidence,
    cause: str,
    *,
    blocked: Blocked = lambda _check: "",
    done: Collection[str] = (),
    least_likely: float = 0.01,
) -> tuple[Turn, ...]:
    """
    Return what would move a cause, the greatest move first; one entry per check and way out.

    Leaves out checks that are done or blocked here, and answers less likely than `least_likely`. Raises SuspectsError
    for a cause that is no suspect, and as `posterior` does.
    """
    if cause not in network.index:
        raise SuspectsError(
            _("The cause {cause} is not among the suspects of this unit. Choose one that is listed.").format(
                cause=cause
            )
        )
    at = network.index[cause]
    foresight = Foresight(weigh(network, evidence), evidence)
    if not foresight.now()[at]:  # a trial removed it, or it can't be there: no answer changes that
        return ()
    before = _decibans(foresight.now()[at])
    found = [
        Turn(check.id, _answers(check, foresight, outcome), outcome.chance, outcome.marginals[at], move)
        for check in book.checks.values()
        if check.id not in done and not blocked(check)
        for look in ways_out(check)
        for outcome in foresight.outcomes(look)
        if outcome.chance >= least_likely and (move := _decibans(outcome.marginals[at]) - before)
    ]
    return tuple(sorted(found, key=lambda turn: -abs(turn.db)))


def _decibans(chance: float) -> float:
    return decibans(chance / (1.0 - chance)) if chance < 1.0 else math.inf


def _answers(check: Check, foresight: Foresight, outcome: Outcome) -> tuple[str, ...]:
    said = dict(outcome.says)
    return tuple(answer.id for answer in (*check.routes(), *check.items) if foresight.tells(answer.says) == said)
