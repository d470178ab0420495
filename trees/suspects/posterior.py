"""How likely each cause is, given all answers: exact for the model."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field

from trees.errors import SuspectsError
from trees.language import _
from trees.suspects.case import Case, case_of
from trees.suspects.cover import Joint, run
from trees.suspects.evidence import Evidence, Observed
from trees.suspects.network import Network
from trees.suspects.plan import Plan, plan_of


@dataclass(frozen=True, slots=True)
class Posterior:
    """The suspects after all answers; the marginals may add past 1, several causes can be true at once."""

    marginals: Mapping[str, float]
    """Cause → chance that it was there when the unit came in."""
    still_there: Mapping[str, float]
    """Cause → chance that it is there now; differs only after a trial fix."""
    odds: Mapping[str, float]
    """Cause → P(there) / P(not there), without the loss of digits near 1; inf if certain."""
    p_evidence: float
    """P(all these answers), given at least one cause unless the network says otherwise."""
    width: int = 0
    """Striking answers open at once while it was worked out."""

    def ranked(self) -> tuple[tuple[str, float], ...]:
        """Return causes with their chance, likeliest first, the author's order where equal."""
        return tuple(sorted(self.marginals.items(), key=lambda pair: -pair[1]))

    def decibans(self, cause: str) -> float:
        """Return 10 log10 of the odds: 10 dB is ten to one, 3 dB about two to one."""
        return decibans(self.odds[cause])


def decibans(odds: float) -> float:
    """Return 10 log10(odds); -inf and inf at 0 and inf."""
    if odds == 0:
        return -math.inf
    return 10 * math.log10(odds) if math.isfinite(odds) else math.inf


@dataclass(frozen=True, slots=True)
class Weighed:
    """Evidence worked into a network, ready to be weighed again with other factors."""

    network: Network
    case: Case = field(repr=False)
    plan: Plan = field(repr=False)
    joint: Joint = field(repr=False)


_last: list[tuple[Network, Evidence, Weighed]] = []
"""What was weighed last: the suspects and the next check of one answer ask for the same."""


def weigh(network: Network, evidence: Evidence) -> Weighed:
    """Weigh all causes with the evidence; SuspectsError for a contradiction or too wide a case."""
    for of, told, weighed in _last:
        if of is network and told == evidence:
            return weighed
    weighed = _weigh(network, evidence)
    _last[:] = [(network, evidence, weighed)]
    return weighed


def _weigh(network: Network, evidence: Evidence) -> Weighed:
    case = case_of(network, evidence)
    plan = plan_of(case)
    joint = run(case, plan, case.factors)
    if not joint.total > 0:
        raise SuspectsError(_contradiction(network, evidence))
    return Weighed(network, case, plan, joint)


def posterior(network: Network, observations: Evidence | None = None) -> Posterior:
    """
    Return the exact chance of every cause given all observations and trials.

    Raises SuspectsError where the answers exclude each other under this model, where too many striking answers hang
    together, or where a sign or level is not in the network.
    """
    weighed = weigh(network, observations or Evidence())
    joint = weighed.joint
    chances = [here / (here + away) for here, away in zip(joint.present, joint.absent, strict=True)]
    odds = [here / away if away else math.inf for here, away in zip(joint.present, joint.absent, strict=True)]
    now = [0.0 if i in weighed.case.gone else chance for i, chance in enumerate(chances)]
    return Posterior(
        marginals=dict(zip(network.causes, chances, strict=True)),
        still_there=dict(zip(network.causes, now, strict=True)),
        odds=dict(zip(network.causes, odds, strict=True)),
        p_evidence=joint.total / (p_any_cause(network) if network.at_least_one else 1.0),
        width=weighed.plan.width,
    )


def p_any_cause(network: Network) -> float:
    """Return P(at least one cause) before any answer."""
    some, none = 0.0, 1.0
    for prior in network.priors:
        some, none = some + none * prior, none * (1.0 - prior)
    return some


def _contradiction(network: Network, evidence: Evidence) -> str:
    """Name the first answer with which nothing can explain the answers any more."""
    if not any(network.priors):
        return _("No cause is possible for this unit, so there are no suspects.")
    for count in range(1, len(evidence.items) + 1):
        case = case_of(network, Evidence(evidence.items[:count]))
        if run(case, plan_of(case), case.factors).total > 0:
            continue
        item = evidence.items[count - 1]
        told = (
            f"{item.sign}: {item.level or _('unsure')}"
            if isinstance(item, Observed)
            else _("tried fix: {result}").format(result=item.result)
        )
        return _(
            "The answers contradict each other: no cause of the book explains them all once {answer} "
            "({told}) is added. Look at that answer again and take back the one that is wrong."
        ).format(answer=item.answer, told=told)
    return _("The answers are too unlikely to be weighed. Take back the ones that are not sure.")
