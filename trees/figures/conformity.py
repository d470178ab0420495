"""Whether a reading keeps a limit, given its uncertainty: the rule by name, and when it is too close to call."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from enum import Enum

from trees.errors import FigureError
from trees.figures.plain import plain_number
from trees.figures.registry import Detail, Details, Input, Output, figure
from trees.language import N_, Said, _

JCGM_106 = "JCGM 106:2012, normal distribution"


class DecisionRule(Enum):
    """A named way to turn reading, uncertainty and limit into a verdict."""

    CONFIDENT_BOTH_WAYS = N_("confident both ways")
    """Pass and fail each need the confidence asked for (JCGM 106); else too close to call. The default."""
    SIMPLE = N_("simple acceptance")
    """The reading alone decides; up to 50 % false acceptance (ILAC-G8, w = 0)."""
    GUARDED_ACCEPTANCE = N_("guarded acceptance")
    """Pass only with the confidence asked for; else fail (JCGM 106)."""
    GUARDED_REJECTION = N_("guarded rejection")
    """Fail only with the confidence asked for; else pass (JCGM 106)."""
    RELAXED = N_("relaxed: reading less expanded uncertainty")
    """Pass if the reading less U = 2u keeps the limit (1. BImSchV Annex 2 no. 2.3)."""
    FOUR_STATES = N_("pass, conditional pass, conditional fail, fail")
    """Guard band w = U = 2u on both sides (ILAC-G8:09/2019, non-binary)."""


@dataclass(frozen=True, slots=True)
class Decision:
    """A verdict that says how it came about."""

    verdict: str
    """`pass`, `fail`, `too close to call`, `conditional pass` or `conditional fail`."""
    probability: float
    """That the true value keeps the limits."""
    rule: DecisionRule
    confidence: float
    sentence: str
    settled_by: str
    """What would settle a verdict that is too close to call or conditional; else empty."""


def normal_cdf(z: float) -> float:
    """Share of a standard normal distribution below z."""
    return 0.5 * math.erfc(-z / math.sqrt(2.0))


def normal_quantile(probability: float) -> float:
    """Return z below which this share of a standard normal distribution lies; 0.95 gives 1.645."""
    from statistics import NormalDist

    if not 0.0 < probability < 1.0:
        raise FigureError(_("A confidence lies between 0 and 1, without the ends."))
    return NormalDist().inv_cdf(probability)


def probability_between(value: float, uncertainty: float, low: float | None, high: float | None) -> float:
    """Probability that the true value lies above `low` and not above `high` (None: open), JCGM 106 clause 7.

    Φ((high − y)/u) − Φ((low − y)/u) with standard uncertainty u in the unit of the value. With u = 0 it is 0 or 1,
    and an edge belongs to the band below it.
    """
    if uncertainty < 0 or not math.isfinite(uncertainty):
        raise FigureError(_("An uncertainty is a finite number, not below 0."))
    if uncertainty == 0:
        return float((low is None or value > low) and (high is None or value <= high))
    if low is not None and high is not None and (low - value) > 0:
        # Upper tails keep their digits where 1 − Φ would lose them.
        return normal_cdf((value - low) / uncertainty) - normal_cdf((value - high) / uncertainty)
    below_high = 1.0 if high is None else normal_cdf((high - value) / uncertainty)
    if high is None and low is not None:
        return normal_cdf((value - low) / uncertainty)
    return below_high - (0.0 if low is None else normal_cdf((low - value) / uncertainty))


def probability_of_conformity(
    value: float, uncertainty: float, lower: float | None = None, upper: float | None = None
) -> float:
    """Probability that the true value keeps the limits, both included: Φ((T_U − y)/u) − Φ((T_L − y)/u) (JCGM 106)."""
    if lower is None and upper is None:
        raise FigureError(_("A conformity needs a limit."))
    if lower is not None and upper is not None and lower > upper:
        raise FigureError(_("The lower limit lies above the upper one."))
    if uncertainty == 0:
        return float((lower is None or value >= lower) and (upper is None or value <= upper))
    return probability_between(value, uncertainty, lower, upper)


def standard_uncertainty(half_width: float, coverage_factor: float | None = None) -> float:
    """Return the standard uncertainty from a data sheet's ±a: a/√3 (JCGM 100), or a/k where the sheet names k."""
    return half_width / (coverage_factor or math.sqrt(3.0))


def decide(
    value: float,
    uncertainty: float,
    *,
    lower: float | None = None,
    upper: float | None = None,
    rule: DecisionRule = DecisionRule.CONFIDENT_BOTH_WAYS,
    confidence: float = 0.95,
    unit: str = "",
) -> Decision:
    """Judge a reading with its standard uncertainty against limits by a named rule; numbers in one unit.

    Raises FigureError without a limit, with a negative uncertainty or a confidence outside 0.5 to 1.
    """
    if not 0.5 < confidence < 1.0:
        raise FigureError(_("A confidence for a verdict lies between 0.5 and 1."))
    limits = _Limits(lower, upper)
    probability = probability_of_conformity(value, uncertainty, lower, upper)
    if rule in _BY_GUARD_BAND:
        verdict = _by_guard_band(value, uncertainty, limits, rule)
    else:
        verdict = _by_probability(probability, confidence, rule)
    settled = "" if verdict in {"pass", "fail"} else _settled_by(limits.distance(value), uncertainty, confidence, unit)
    sentence = _("{capitalize}: {probability} probable that the limit is kept (rule: {value}).").format(
        capitalize=VERDICTS[verdict], probability=_percent(probability), value=_(rule.value)
    )
    return Decision(verdict, probability, rule, confidence, sentence, settled)


@dataclass(frozen=True, slots=True)
class _Limits:
    lower: float | None
    upper: float | None

    def kept(self, value: float, guard: float = 0.0) -> bool:
        """Tell whether a value keeps limits that are narrowed (or, negative, widened) by a guard band."""
        above = self.lower is None or value >= self.lower + guard
        return above and (self.upper is None or value <= self.upper - guard)

    def distance(self, value: float) -> float:
        """Return how far the nearest limit is."""
        return min(abs(value - limit) for limit in (self.lower, self.upper) if limit is not None)


def _percent(probability: float) -> str:
    if probability > 0.999:
        return _("more than 99.9 %")
    return _("less than 0.1 %") if probability < 0.001 else f"{100.0 * probability:.1f} %"


VERDICTS = Said(
    {
        "pass": N_("Pass"),
        "fail": N_("Fail"),
        "conditional pass": N_("Conditional pass"),
        "conditional fail": N_("Conditional fail"),
        "too close to call": N_("Too close to call"),
    }
)
"""Verdicts as a sentence begins with them."""

_BY_GUARD_BAND = {DecisionRule.SIMPLE, DecisionRule.RELAXED, DecisionRule.FOUR_STATES}


def _by_guard_band(value: float, uncertainty: float, limits: _Limits, rule: DecisionRule) -> str:
    expanded = 2.0 * uncertainty
    if rule is DecisionRule.SIMPLE:
        return "pass" if limits.kept(value) else "fail"
    if rule is DecisionRule.RELAXED:
        return "pass" if limits.kept(value, -expanded) else "fail"
    if limits.kept(value, expanded):
        return "pass"
    if limits.kept(value):
        return "conditional pass"
    return "conditional fail" if limits.kept(value, -expanded) else "fail"


def _by_probability(probability: float, confidence: float, rule: DecisionRule) -> str:
    surely_kept, surely_broken = probability >= confidence, 1.0 - probability >= confidence
    if rule is DecisionRule.GUARDED_ACCEPTANCE:
        return "pass" if surely_kept else "fail"
    if rule is DecisionRule.GUARDED_REJECTION:
        return "fail" if surely_broken else "pass"
    if surely_kept:
        return "pass"
    return "fail" if surely_broken else "too close to call"


def _settled_by(distance: float, uncertainty: float, confidence: float, unit: str) -> str:
    needed = distance / normal_quantile(confidence)
    if needed < 0.1 * uncertainty:
        return _(
            "The reading lies on the limit: no better instrument will settle it. "
            "Treat it as a fail, or look for other proof."
        )
    times = math.ceil((uncertainty / needed) ** 2 - 1e-9)
    step = 10.0 ** (math.floor(math.log10(needed)) - 1)
    size = f"{plain_number(math.floor(needed / step) * step, 2)} {unit}".strip()
    return _(
        "A standard uncertainty of {size} or less would settle it: a better instrument, or the mean "
        "of {value} readings where scatter is what makes it uncertain."
    ).format(size=size, value=max(2, times))


_ANY = (-1e9, 1e9)
_VALUE = Input("1", "Reading; reading, uncertainty and limit in one unit", _ANY)
_U = Input("1", "Standard uncertainty; a data sheet's ±a is a/√3", (0.0, 1e9))
_LIMIT = Input("1", "Limit that must not be passed", _ANY)


def _upper_details(given: Mapping[str, float]) -> Details:
    decision = decide(given["value"], given["uncertainty"], upper=given["limit"])
    return _decision_details(decision, guarded_limit(given["limit"], given["uncertainty"]))


def _lower_details(given: Mapping[str, float]) -> Details:
    decision = decide(given["value"], given["uncertainty"], lower=given["limit"])
    return _decision_details(decision, 2.0 * given["limit"] - guarded_limit(given["limit"], given["uncertainty"]))


def _decision_details(decision: Decision, guarded: float) -> Details:
    remarks = tuple(text for text in (decision.sentence, decision.settled_by) if text)
    return Details((Detail(_("Reading that would pass with 95 %"), guarded, "1"),), remarks)


@figure(
    name="conformity_upper",
    title="Is an upper limit kept?",
    meaning="Probability that the true value does not exceed the limit",
    inputs={"value": _VALUE, "uncertainty": _U, "limit": _LIMIT},
    result=Output("1", "Probability that the limit is kept"),
    formula="p = Φ((T_U − y)/u)",
    source=JCGM_106,
    accuracy="as good as the uncertainty; above 0.95 pass, below 0.05 fail, between too close to call",
    example={"value": 950, "uncertainty": 50, "limit": 1000},
    curve="value",
    details=_upper_details,
)
def conformity_upper(value: float, uncertainty: float, limit: float) -> float:
    """Probability that an upper limit is kept: Φ((T_U − y)/u) (JCGM 106); all in one unit; u = 0 gives 0 or 1."""
    return probability_of_conformity(value, uncertainty, upper=limit)


@figure(
    name="conformity_lower",
    title="Is a lower limit kept?",
    meaning="Probability that the true value does not fall below the limit",
    inputs={"value": _VALUE, "uncertainty": _U, "limit": _LIMIT},
    result=Output("1", "Probability that the limit is kept"),
    formula="p = Φ((y − T_L)/u)",
    source=JCGM_106,
    accuracy="as good as the uncertainty; above 0.95 pass, below 0.05 fail, between too close to call",
    example={"value": 11.2, "uncertainty": 0.1, "limit": 11},
    curve="value",
    details=_lower_details,
)
def conformity_lower(value: float, uncertainty: float, limit: float) -> float:
    """Probability that a lower limit is kept: Φ((y − T_L)/u) (JCGM 106); all in one unit; u = 0 gives 0 or 1."""
    return probability_of_conformity(value, uncertainty, lower=limit)


@figure(
    name="guarded_limit",
    title="Guarded upper limit",
    meaning="The highest reading that still passes with the wanted confidence",
    inputs={
        "limit": _LIMIT,
        "uncertainty": _U,
        "confidence": Input("1", "Confidence that is wanted", (0.5001, 0.9999)),
    },
    result=Output("1", "Highest reading that passes"),
    formula="A_U = T_U − z_p·u",
    source=JCGM_106,
    accuracy="exact for a normal distribution",
    example={"limit": 1000, "uncertainty": 50},
)
def guarded_limit(limit: float, uncertainty: float, confidence: float = 0.95) -> float:
    """Highest reading that passes with a confidence: A_U = T_U − z_p·u (JCGM 106); z 1.645 for 0.95."""
    return limit - normal_quantile(confidence) * uncertainty


def guarded_rejection_limit(limit: float, relative_uncertainty: float, confidence: float) -> float:
    """Lowest reading that fails with a confidence when u is a share of the reading: y = T_U/(1 − z_p·u_rel).

    The uncertainty is that at the reading, not at the limit (JCGM 106 clause 8): 2 % and 99.9 % make 100 into 106.6.
    """
    return limit / (1.0 - normal_quantile(confidence) * relative_uncertainty)
