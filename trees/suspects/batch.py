"""Posterior and ranking for batch work, with numpy: the same figures as the plain engine, all candidates at once.

Needs numpy. `trees.walk.reasons` advises with it where it is installed: the ranking takes a fifth to a ninth of the
plain engine's time. For many jobs in one call see `batch_rows`.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Iterable, Iterator, Sequence

import numpy as np

from trees.book.model import Book, Check
from trees.suspects.batch_cover import Array, run_rows
from trees.suspects.case import Case, case_of
from trees.suspects.cover import Joint, run
from trees.suspects.evidence import Evidence
from trees.suspects.fix_order import Action
from trees.suspects.foresee import NEVER, Corner, Foresight, Outcome, Says
from trees.suspects.network import Network
from trees.suspects.next_check import (
    MOST_IN_BUNDLE,
    MOST_OUTCOMES,
    Advice,
    Blocked,
    FixBlocked,
    Opening,
    Scales,
    Worth,
    advise,
    joint_answers,
    ways_out,
)
from trees.suspects.plan import Plan, plan_of
from trees.suspects.posterior import Posterior, Weighed, p_any_cause, posterior

_NARROW = 8
"""Answers open at once up to which lists weigh a single row quicker than arrays (measured)."""
_NEWTON = 80
_Told = tuple[tuple[str, str], ...]
"""Sign and level, sorted: what an answer tells that was not known."""
_Look = tuple[_Told, ...]
"""The answers that a look can have, sorted."""


def batch_posterior(network: Network, observations: Evidence | None = None) -> Posterior:
    """Return the same as `posterior`; raises SuspectsError as it does."""
    evidence = observations or Evidence()
    case = case_of(network, evidence)
    plan = plan_of(case)
    joint = run(case, plan, case.factors) if plan.width <= _NARROW else _one_row(case, plan)
    if not joint.total > 0:
        return posterior(network, evidence)  # it says which answer contradicts
    chances = [here / (here + away) for here, away in zip(joint.present, joint.absent, strict=True)]
    odds = [here / away if away else math.inf for here, away in zip(joint.present, joint.absent, strict=True)]
    now = [0.0 if i in case.gone else chance for i, chance in enumerate(chances)]
    return Posterior(
        marginals=dict(zip(network.causes, chances, strict=True)),
        still_there=dict(zip(network.causes, now, strict=True)),
        odds=dict(zip(network.causes, odds, strict=True)),
        p_evidence=joint.total / (p_any_cause(network) if network.at_least_one else 1.0),
        width=plan.width,
    )


def _one_row(case: Case, plan: Plan) -> Joint:
    joints = run_rows(case, plan, np.asarray([case.factors]), absent=True)
    absent = () if joints.absent is None else joints.absent[0].tolist()
    return Joint(tuple(joints.present[0].tolist()), tuple(absent), float(joints.total[0]))


def batch_rank_checks(
    book: Book,
    network: Network,
    evidence: Evidence,
    *,
    blocked: Blocked = lambda _check: "",
    fix_blocked: FixBlocked = lambda _fix: "",
    done: Collection[str] = (),
    fixes_done: Collection[str] = (),
    unit_open: bool = False,
) -> Advice:
    """Return the same as `rank_checks`, with all possible answers weighed in one go."""
    scales = BatchScales(book, network, evidence, fixes_done)
    scales.look_ahead([check for check in book.checks.values() if check.id not in done])
    return advise(scales, blocked=blocked, fix_blocked=fix_blocked, done=done, unit_open=unit_open)


class BatchForesight(Foresight):
    """Foresight that weighs many answers together."""

    def __init__(self, weighed: Weighed, evidence: Evidence) -> None:
        super().__init__(weighed, evidence)
        self._answers: dict[_Told, tuple[float, tuple[float, ...]]] = {}
        """Weight of an answer together with the evidence, and the chance of each cause after it."""
        self._looks: dict[_Look, list[Outcome]] = {}

    def look(self, answers: Iterable[Says]) -> _Look:
        """Return what the answers of a look tell that is not known, each once."""
        return tuple(sorted({self._told(says) for says in answers} - {()}))

    def outcomes(self, answers: Collection[Says]) -> list[Outcome]:
        """Return what `Foresight.outcomes` does."""
        return self.outcomes_of(self.look(answers))

    def outcomes_of(self, told: _Look) -> list[Outcome]:
        """Return the ways in which a look can come out."""
        if told not in self._looks:
            self.expect(told)
            raw = [(says, *self._answers[says]) for says in told]
            everything = max(self._weighed.joint.total, sum(weight for _, weight, _ in raw))
            self._looks[told] = [
                Outcome(says, weight / everything, marginals)
                for says, weight, marginals in raw
                if weight > NEVER * everything
            ]
        return self._looks[told]

    def _told(self, says: Says) -> _Told:
        told = [(sign, level) for sign, level in says.items() if sign in self._open]
        return tuple(sorted(told) if len(told) > 1 else told)

    def terms(self, says: _Told) -> Iterator[tuple[Corner, bool]]:
        """Yield what `Foresight.terms` does; most answers tell of one sign."""
        if len(says) != 1:
            yield from super().terms(says)
            return
        ((sign, level),) = says
        levels = self._weighed.network.signs[sign].levels
        top = levels.index(level)
        yield ((sign, top),) if top < len(levels) - 1 else (), True
        if top:
            yield ((sign, top - 1),), False

    def expect(self, told: Iterable[_Told]) -> None:
        """Weigh all these answers together."""
        wanted = [says for says in dict.fromkeys(told) if says and says not in self._answers]
        if not wanted:
            return
        terms = [list(self.terms(says)) for says in wanted]
        corners = {corner: k for k, corner in enumerate(dict.fromkeys(corner for row in terms for corner, _ in row))}
        weights = self._weights_at(corners)
        sums = weights[[corners[row[0][0]] for row in terms]]
        for turn in range(1, max(map(len, terms))):
            more = [(k, corners[row[turn][0]], row[turn][1]) for k, row in enumerate(terms) if len(row) > turn]
            places, parts, adds = (list(column) for column in zip(*more, strict=True))
            sums[places] += weights[parts] * np.where(adds, 1.0, -1.0)[:, np.newaxis]
        gone = sorted(self._weighed.case.gone)
        totals = np.maximum(0.0, sums[:, -1])
        with np.errstate(divide="ignore", invalid="ignore"):
            # the differences may leave the range by a rounding
            marginals = np.clip(sums[:, :-1] / totals[:, np.newaxis], 0.0, 1.0)
        marginals[:, gone] = 0.0
        self._answers |= {
            says: (total, tuple(row))
            for says, total, row in zip(wanted, totals.tolist(), marginals.tolist(), strict=True)
        }

    def _weights_at(self, corners: Collection[Corner]) -> Array:
        """Weigh each cause together with the evidence at these corners, and all of them in the last column."""
        signs, case = self._weighed.network.signs, self._weighed.case
        factors, leaks = np.tile(np.asarray(case.factors), (len(corners), 1)), []
        for row, corner in zip(factors, corners, strict=True):
            leak = 1.0
            for sign, level in corner:
                leak *= signs[sign].leak.upto[level]
                for i, link in signs[sign].links.items():
                    if i not in case.gone:
                        row[i] *= link.upto[level]
            leaks.append(leak)
        joints = run_rows(case, self._weighed.plan, factors)
        weights: Array = np.column_stack((joints.present, joints.total)) * np.asarray(leaks)[:, np.newaxis]
        return weights


class BatchScales(Scales):
    """Weighs what all checks are worth in a few array operations."""

    foresight: BatchForesight

    def __init__(self, book: Book, network: Network, evidence: Evidence, fixes_done: Collection[str]) -> None:
        super().__init__(book, network, evidence, fixes_done)
        self._fixes = _Fixes(self.actions, self.order_now)
        self._known_gains: dict[_Look, tuple[float, float]] = {}
        self._of_check: dict[str, list[tuple[float, float]]] = {}
        """What the looks of a check gain, once it was looked ahead."""

    def _look(self, weighed: Weighed, evidence: Evidence) -> Foresight:
        return BatchForesight(weighed, evidence)

    def look_ahead(self, checks: Sequence[Check]) -> None:
        """Work out every answer of these checks together."""
        looks = {check.id: [self.foresight.look(answers) for answers in ways_out(check)] for check in checks}
        self.foresight.expect(told for of_check in looks.values() for look in of_check for told in look)
        come_out = {
            check: [tuple(outcomes) for look in of_check if (outcomes := self.foresight.outcomes_of(look))]
            for check, of_check in looks.items()
        }
        self._learn([outcomes for of_check in come_out.values() for outcomes in of_check])
        self._of_check = {check: [self._gain(one) for one in of_check] for check, of_check in come_out.items()}

    def gains(self, check: Check) -> Sequence[tuple[float, float]]:
        """Return what `Scales.gains` does."""
        return self._of_check[check.id] if check.id in self._of_check else super().gains(check)

    def opening(self, inside: Sequence[Worth]) -> Opening | None:
        """Return the best first few of the inside checks, their joint answers weighed together."""
        groups: list[_Look] = []
        for count in range(2, min(MOST_IN_BUNDLE, len(inside)) + 1):
            answers = joint_answers([self.book.checks[worth.check] for worth in inside[:count]])
            if len(answers) > MOST_OUTCOMES:
                break
            groups.append(self.foresight.look(answers))
        self.foresight.expect(told for look in groups for told in look)
        self._learn([tuple(self.foresight.outcomes_of(look)) for look in groups])
        return super().opening(inside)

    def _gain(self, outcomes: Iterable[Outcome]) -> tuple[float, float]:
        look = tuple(outcomes)
        key = tuple(outcome.says for outcome in look)
        if key not in self._known_gains:
            self._learn([look])
        return self._known_gains[key]

    def _learn(self, looks: Sequence[tuple[Outcome, ...]]) -> None:
        """Work out minutes saved and bits gained of several looks."""
        outcomes = [outcome for look in looks for outcome in look]
        if not outcomes:
            return
        marginals = np.asarray([outcome.marginals for outcome in outcomes])
        chances = np.asarray([outcome.chance for outcome in outcomes])
        any_cause = any_causes_of(marginals)
        minutes = (chances * self._fixes.minutes_lost(marginals, any_cause)).tolist()
        bits = (chances * (self.bits_now - entropies_bits(marginals, any_cause))).tolist()
        at = 0
        for look in looks:
            end = at + len(look)
            self._known_gains[tuple(outcome.says for outcome in look)] = (
                sum(minutes[at:end]),
                max(0.0, sum(bits[at:end])),
            )
            at = end


class _Fixes:
    """The order of fixes for many rows of marginals."""

    def __init__(self, actions: Sequence[Action], order_now: Sequence[int]) -> None:
        self._causes = np.asarray([cause for action in actions for cause in action.causes], dtype=np.intp)
        """The causes, those of one fix side by side."""
        sizes = [len(action.causes) for action in actions]
        self._starts = np.cumsum([0, *sizes[:-1]])
        """Where the causes of each fix begin."""
        self._minutes = np.asarray([action.minutes for action in actions])
        self._now = np.asarray(order_now, dtype=np.intp)

    def minutes_lost(self, marginals: Array, any_cause: Array) -> Array:
        """Return, per row, how many minutes the present order of the fixes costs more than the best."""
        single = (any_cause == 0.0)[:, np.newaxis]
        scaled = (marginals * np.where(single, 1.0, any_cause[:, np.newaxis]))[:, self._causes]
        together = np.add.reduceat(scaled, self._starts, axis=1)
        none = np.multiply.reduceat(1.0 - scaled, self._starts, axis=1)
        chances = np.where(single, together, 1.0 - none)
        with np.errstate(divide="ignore", invalid="ignore"):
            odds = np.where(none > 0, (1.0 - none) / none, np.inf)
        worth = np.where(single, together, odds) / self._minutes
        best = np.argsort(-worth, axis=1, kind="stable")
        now = np.broadcast_to(self._now, best.shape)
        lost = self._expected(chances, now, single) - self._expected(chances, best, single)
        return np.maximum(0.0, lost)

    def _expected(self, chances: Array, order: np.ndarray, single: Array) -> Array:
        """Sum the minutes of each fix times the chance that a cause is left for it or for one after it."""
        backwards = order[:, ::-1]
        late = np.take_along_axis(chances, backwards, axis=1)
        left = np.where(single, late.cumsum(axis=1), 1.0 - (1.0 - late).cumprod(axis=1))
        total: Array = (self._minutes[backwards] * left).sum(axis=1)
        every = left[:, -1]
        return np.divide(total, every, out=np.zeros_like(total), where=every > 0)


def any_causes_of(marginals: Array) -> Array:
    """Return `any_cause_of` of every row: Z of the independent causes with these marginals given at least one."""
    found = np.ones(len(marginals))
    single = marginals.sum(axis=1) <= 1.0 + 1e-6
    sure = marginals.max(axis=1) >= 1.0 - 1e-12
    found[single] = 0.0
    at = np.flatnonzero(~single & ~sure)
    rows = marginals[at]
    z = np.ones(len(at))
    moving = np.ones(len(at), dtype=bool)
    for _ in range(_NEWTON):
        if not moving.any():
            break
        left = 1.0 - rows[moving] * z[moving, np.newaxis]
        none = left.prod(axis=1)
        slope = 1.0 - none * (rows[moving] / left).sum(axis=1)
        step = (z[moving] - 1.0 + none) / slope
        z[moving] -= step
        moving[moving] = step > 1e-13 * z[moving]
    found[at] = z
    return found


def entropies_bits(marginals: Array, any_cause: Array) -> Array:
    """Return `entropy_bits` of every row."""
    single = any_cause == 0.0
    scale = np.where(single, 1.0, any_cause)
    scaled = marginals * scale[:, np.newaxis]
    alone = -_x_log2_x(marginals).sum(axis=1)
    each = -(_x_log2_x(scaled) + _x_log2_x(1.0 - scaled)).sum(axis=1)
    whole = -(_x_log2_x(scale) + _x_log2_x(1.0 - scale))
    bits: Array = np.where(single, alone, (each - whole) / scale)
    return bits


def _x_log2_x(x: Array) -> Array:
    inside = (x > 0.0) & (x <= 1.0)
    return np.asarray(np.where(inside, x * np.log2(np.where(inside, x, 1.0)), 0.0))
