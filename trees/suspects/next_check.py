"""Which check next: minutes saved per minute spent, and the fix to make once no check pays for itself."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Sequence
from dataclasses import dataclass
from itertools import product

from trees.book.model import Book, Check, Fix
from trees.suspects.evidence import Evidence
from trees.suspects.fix_order import (
    LEAST_MINUTES,
    Action,
    FixAdvice,
    FixPlan,
    actions_of,
    any_cause_of,
    entropy_bits,
    fix_plan,
    minutes_lost,
    order_of,
)
from trees.suspects.foresee import Foresight, Outcome, Says
from trees.suspects.network import Network
from trees.suspects.posterior import Weighed, weigh

MOST_IN_BUNDLE = 4
MOST_OUTCOMES = 32

Blocked = Callable[[Check], str]
"""Why a check can't be done here and now (place, tools, start limit, hazard); empty if it can."""
FixBlocked = Callable[[Fix], str]
"""Why a fix can't be made here and now; empty if it can."""


@dataclass(frozen=True, slots=True)
class Worth:
    """What one check is worth now."""

    check: str
    minutes: float
    """That it takes, with the readings that it still needs; without opening the unit."""
    saves: float
    """Minutes that it saves on the way to a working unit, on average; its own minutes are not taken off."""
    bits: float
    """How much less is open about the causes after it, on average."""
    needs_first: tuple[str, ...] = ()
    """Checks whose readings a figure still wants."""
    inside: bool = False
    blocked: str = ""
    """Why it can't be done here and now."""

    @property
    def per_minute(self) -> float:
        """Minutes saved per minute spent."""
        return self.saves / self.minutes

    @property
    def pays(self) -> bool:
        """It saves more than it costs."""
        return self.saves > self.minutes


@dataclass(frozen=True, slots=True)
class Opening:
    """Opening the unit for the checks inside that then become possible, best first."""

    checks: tuple[str, ...]
    minutes: float
    """Of the opening and these checks."""
    saves: float

    @property
    def per_minute(self) -> float:
        """Minutes saved per minute spent."""
        return self.saves / self.minutes


@dataclass(frozen=True, slots=True)
class Advice:
    """What to do next; exactly one of `check`, `opening` and `fix` is the advice, or none is left."""

    minutes_now: float
    """Expected minutes to a working unit with fixes alone."""
    check: Worth | None
    opening: Opening | None
    """The next thing is to open the unit for these."""
    fix: FixAdvice | None
    """No check pays: make this fix, try the unit, ask again."""
    tells_most: Worth | None
    """The paying check with most bits per minute, where it is not the advice itself."""
    checks: tuple[Worth, ...]
    """All that can be done here and now, best first."""
    elsewhere: tuple[Worth, ...]
    """What can't, with its reason and what it would save, best first."""
    fixes: FixPlan


def rank_checks(
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
    """
    Rank every check of the book that still tells something, and say what to do next.

    `done` are checks already answered (also with `unknown`), `fixes_done` fixes already tried. Hazards, tools and
    places only filter, they are never weighed as minutes. Raises SuspectsError as `posterior` does.
    Source: reasoning/REASONING.md sections 4.1, 4.4 and 4.5.
    """
    scales = Scales(book, network, evidence, fixes_done)
    return advise(scales, blocked=blocked, fix_blocked=fix_blocked, done=done, unit_open=unit_open)


def advise(
    scales: Scales, *, blocked: Blocked, fix_blocked: FixBlocked, done: Collection[str], unit_open: bool
) -> Advice:
    """Say what to do next from what the scales show; `rank_checks` for any engine."""
    book = scales.book
    worths = [
        worth
        for check in book.checks.values()
        if check.id not in done and (worth := scales.worth(check, done, blocked(check))) is not None
    ]
    worths.sort(key=lambda worth: -worth.per_minute)
    here = [worth for worth in worths if not worth.blocked]
    opening = None if unit_open else scales.opening([worth for worth in here if worth.inside])
    ready = [worth for worth in here if worth.pays and (unit_open or not worth.inside)]
    best = ready[0] if ready else None
    if opening is not None and (opening.saves <= opening.minutes or (best and best.per_minute >= opening.per_minute)):
        opening = None
    if opening is not None:
        best = None
    plan = fix_plan(scales.actions, scales.now)
    fix = None
    if best is None and opening is None:
        fix = next((f for f in plan.order if f.fix and f.chance > 0 and not fix_blocked(book.fixes[f.fix])), None)
    telling = max(ready, key=lambda worth: worth.bits / worth.minutes, default=None)
    return Advice(
        minutes_now=plan.minutes,
        check=best,
        opening=opening,
        fix=fix,
        tells_most=telling if telling != best else None,
        checks=tuple(here),
        elsewhere=tuple(worth for worth in worths if worth.blocked),
        fixes=plan,
    )


class Scales:
    """Weighs what checks are worth on top of one state of a job."""

    def __init__(self, book: Book, network: Network, evidence: Evidence, fixes_done: Collection[str]) -> None:
        self.book = book
        self.actions: tuple[Action, ...] = actions_of(book, network, fixes_done)
        self.foresight = self._look(weigh(network, evidence), evidence)
        self.now = self.foresight.now()
        self.order_now = order_of(self.actions, self.now)
        self.bits_now = entropy_bits(self.now, any_cause_of(self.now))

    def _look(self, weighed: Weighed, evidence: Evidence) -> Foresight:
        return Foresight(weighed, evidence)

    def worth(self, check: Check, done: Collection[str], blocked: str) -> Worth | None:
        """Return what a check is worth; None if its answers tell the suspects nothing new."""
        gains = self.gains(check)
        if not gains:
            return None
        first = _needs_first(self.book, check, done)
        own = 0.0 if check.form == "figure" else check.minutes
        minutes = own + sum(self.book.checks[needed].minutes for needed in first)
        saves, bits = max(gains)
        return Worth(check.id, max(LEAST_MINUTES, minutes), saves, bits, first, check.inside, blocked)

    def gains(self, check: Check) -> Sequence[tuple[float, float]]:
        """Return minutes saved and bits gained on average for each look of a check that tells something new."""
        looks = [self.foresight.outcomes(answers) for answers in ways_out(check)]
        return [self._gain(outcomes) for outcomes in looks if outcomes]

    def opening(self, inside: Sequence[Worth]) -> Opening | None:
        """Return the best first few of the inside checks that share the minutes of opening."""
        best: Opening | None = None
        for count in range(1, min(MOST_IN_BUNDLE, len(inside)) + 1):
            chosen = inside[:count]
            answers = joint_answers([self.book.checks[worth.check] for worth in chosen])
            if count > 1 and len(answers) > MOST_OUTCOMES:
                break
            saves = chosen[0].saves if count == 1 else self._gain(self.foresight.outcomes(answers))[0]
            minutes = self.book.opening_minutes + sum(worth.minutes for worth in chosen)
            bundle = Opening(tuple(worth.check for worth in chosen), minutes, saves)
            if best is None or bundle.per_minute > best.per_minute:
                best = bundle
        return best

    def _gain(self, outcomes: Iterable[Outcome]) -> tuple[float, float]:
        """
        Return minutes saved and bits gained on average.

        A check saves what the fix order of now would lose after each answer against the order that is best then. For
        exact chances this is minutes now less minutes after; here it never counts a saving where the order stays.
        """
        minutes = bits = 0.0
        for outcome in outcomes:
            any_cause = any_cause_of(outcome.marginals)
            minutes += outcome.chance * minutes_lost(self.actions, outcome.marginals, any_cause, self.order_now)
            bits += outcome.chance * (self.bits_now - entropy_bits(outcome.marginals, any_cause))
        return minutes, max(0.0, bits)


def ways_out(check: Check) -> list[list[Says]]:
    """
    Return, for each look that a check takes, what its possible answers say of signs.

    A list to tick is one look per item, each ticked or not; the check then counts as its best item alone, which is less
    than it is worth.
    """
    looks: list[list[Says]] = [[answer.says for answer in check.routes()]]
    looks += [[item.says, item.otherwise] for item in check.items]
    return [look for look in looks if any(look)]


def joint_answers(checks: Sequence[Check]) -> list[Says]:
    """Return all combinations of what several checks may say that don't contradict each other on a sign."""
    combined: list[dict[str, str]] = []
    for parts in product(*(look for check in checks for look in ways_out(check)[:1])):
        merged: dict[str, str] = {}
        if all(merged.setdefault(sign, level) == level for says in parts for sign, level in says.items()):
            combined.append(merged)
    return [dict(says) for says in dict.fromkeys(tuple(sorted(merged.items())) for merged in combined)]


def _needs_first(book: Book, check: Check, done: Collection[str]) -> tuple[str, ...]:
    """Return the checks whose readings a figure still wants, through other figures."""
    wanted: dict[str, None] = {}
    for reference in check.inputs.values() if check.form == "figure" else ():
        source = book.checks.get(reference.partition(".")[0])
        if source is not None and source.id not in done:
            wanted.update(dict.fromkeys(_needs_first(book, source, done) if source.form == "figure" else (source.id,)))
    return tuple(wanted)
