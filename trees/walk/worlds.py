"""The sets of causes that a job may hide, how likely each answer is under each of them, and what fixing it takes.

The reasoning proper (`trees.suspects`) never lists sets. Weighing a whole tree against other orders follows jobs from
complaint to repair, and for that the sets are listed: one cause each, or up to three, the likeliest of them.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations
from math import prod
from operator import mul

from trees.book.model import Answer, Book, Check, Fix
from trees.errors import SuspectsError
from trees.suspects.fix_order import LEAST_MINUTES, NO_FIX_MINUTES, Action, actions_of, any_cause_of
from trees.suspects.network import Network

MOST_SETS = 600
"""Sets of several causes that are followed; the likeliest ones."""

Chances = tuple[float, ...]
"""One number per set of causes."""
Known = Mapping[str, str]
"""Sign → its level, as the job knows it."""


@dataclass(frozen=True, slots=True)
class Way:
    """One way in which a look can come out."""

    answer: Answer | None
    """None for an item left unticked."""
    says: Mapping[str, str]
    """What the job knows of signs after it."""


@dataclass(frozen=True, slots=True)
class Look:
    """One thing that a check looks at: its answers, or one item of a list, ticked or not."""

    key: str
    ways: tuple[Way, ...]
    signs: frozenset[str]


@dataclass(frozen=True, slots=True)
class Order:
    """Fixes in the order in which they are made, the unit being tried after each."""

    actions: tuple[int, ...]
    ready_after: Mapping[int, float]
    """Action → minutes spent when it is done."""


class Worlds:
    """All sets of causes that are weighed for one unit with one complaint."""

    def __init__(self, book: Book, network: Network, complaint: Mapping[str, str], most_causes: int = 1) -> None:
        self.book, self.network, self.most_causes = book, network, most_causes
        self.actions: tuple[Action, ...] = actions_of(book, network)
        self._levels: dict[str, tuple[Chances, ...]] = {}
        self._chances: dict[tuple[str, tuple[tuple[str, str], ...]], tuple[Chances, ...]] = {}
        self.sets, weights, self.covers = self._likeliest(complaint)
        total = sum(weights)
        self.start: Chances = tuple(weight / total for weight in weights)
        action_of = {cause: k for k, action in enumerate(self.actions) for cause in action.causes}
        self.action_of = action_of
        self.needs = tuple(tuple(dict.fromkeys(action_of[cause] for cause in causes)) for causes in self.sets)
        self.least = tuple(self._least_minutes(causes) for causes in self.sets)

    # ── the sets ────────────────────────────────────────────────────────────

    def _likeliest(self, complaint: Mapping[str, str]) -> tuple[tuple[tuple[int, ...], ...], list[float], float]:
        """Return the sets, their weights with the complaint, and what part of all weight they stand for."""
        network = self.network
        possible = [i for i, prior in enumerate(network.priors) if prior > 0]
        sets: list[tuple[int, ...]] = [
            causes for size in range(1, self.most_causes + 1) for causes in combinations(possible, size)
        ]
        if self.most_causes == 1:
            weights = [network.priors[i] for (i,) in sets]
        else:
            odds = [prior / (1.0 - prior) for prior in network.priors]
            weights = [prod(odds[i] for i in causes) for causes in sets]
        for sign, level in complaint.items():
            node = network.signs.get(sign)
            if node is not None:
                at = node.level_index(level)
                rows = [_level_chances(network, sign, causes)[at] for causes in sets]
                weights = list(map(mul, weights, rows))
        everything = sum(weights)
        if not everything > 0:
            raise SuspectsError(
                "No cause of the book explains this complaint, so the tree can't be weighed. "
                "Look at what the complaint says of signs, and at the causes' `shows`."
            )
        if len(sets) > MOST_SETS and self.most_causes > 1:
            best = sorted(range(len(sets)), key=lambda k: -weights[k])[:MOST_SETS]
            sets, weights = [sets[k] for k in sorted(best)], [weights[k] for k in sorted(best)]
        return tuple(sets), weights, sum(weights) / everything

    def _least_minutes(self, causes: Sequence[int]) -> float:
        """Return the fewest minutes of fixes that together cure a set."""
        able = [self.able(cause) for cause in causes]
        without = sum(NO_FIX_MINUTES for fixes in able if not fixes)
        curable = [fixes for fixes in able if fixes]
        # one fix for each cause, counted once where it serves several: with up to three causes all can be tried
        best = [(0.0, frozenset[str]())]
        for fixes in curable:
            best = [
                (minutes + (0.0 if fix.id in done else fix_minutes(fix)), done | {fix.id})
                for minutes, done in best
                for fix in fixes
            ]
        return without + min(minutes for minutes, _ in best)

    def able(self, cause: int) -> tuple[Fix, ...]:
        """Return the fixes that cure a cause."""
        name = self.network.causes[cause]
        named = self.book.causes[name].fixes if name in self.book.causes else ()
        return tuple(fix for fix in self.book.fixes.values() if name in fix.cures or fix.id in named)

    def cured_by(self, fix: Fix) -> frozenset[int]:
        """Return the causes that a fix cures."""
        return frozenset(i for i in range(len(self.network.causes)) if fix in self.able(i))

    # ── answers ─────────────────────────────────────────────────────────────

    def looks(self, check: Check) -> tuple[Look, ...]:
        """Return what a check looks at; none where it can tell nothing (a figure's own readings)."""
        found = []
        if routes := check.routes():
            found.append(self._look(check.id, [Way(answer, self._tells(answer.says)) for answer in routes]))
        for item in check.items:
            if self._tells(item.says) or item.finds:
                ways = [Way(item, self._tells(item.says)), Way(None, self._tells(item.otherwise))]
                found.append(self._look(f"{check.id}.{item.id}", ways))
        return tuple(found)

    def _look(self, key: str, ways: Sequence[Way]) -> Look:
        return Look(key, tuple(ways), frozenset(sign for way in ways for sign in way.says))

    def _tells(self, says: Mapping[str, str]) -> dict[str, str]:
        return {sign: level for sign, level in says.items() if sign in self.network.signs}

    def chances(self, look: Look, known: Known) -> tuple[Chances, ...]:
        """
        Return, for each way out, its chance under each set of causes; they add up to 1 under each.

        The chances of the signs that an answer speaks of are multiplied; a sign that is known already says so again.
        Answers that speak of no sign share what is left. Among these a look is taken at its word: one that finds a
        cause comes with that cause and one that rules it out comes without.
        """
        told = tuple(sorted((sign, known[sign]) for sign in look.signs if sign in known))
        key = (look.key, told)
        if key not in self._chances:
            self._chances[key] = self._work_out(look, dict(told))
        return self._chances[key]

    def _work_out(self, look: Look, known: Known) -> tuple[Chances, ...]:
        unticked = any(way.answer is None for way in look.ways)
        silent = [k for k, way in enumerate(look.ways) if way.answer is None or not way.says]
        rows: list[list[float]] = [
            [] if k in silent else self._of_signs(way.says, known) for k, way in enumerate(look.ways)
        ]
        sums = [sum(column) for column in zip(*(row for row in rows if row), strict=True)] or [0.0] * len(self.sets)
        left = [max(0.0, 1.0 - told) for told in sums]
        words = {k: self._at_its_word(look.ways[k].answer) for k in silent if not unticked}
        for k in silent:
            share = [1.0 / len(silent)] * len(left)
            if not unticked:
                totals = [sum(column) for column in zip(*words.values(), strict=True)]
                share = [w / t if t else 1.0 / len(silent) for w, t in zip(words[k], totals, strict=True)]
            rows[k] = list(map(mul, left, share))
        sums = [sum(column) for column in zip(*rows, strict=True)]
        if known and not any(sums):  # the answers have no word for what is known: ask as if it were not
            return self._work_out(look, {})
        count = len(rows)
        return tuple(tuple(x / s if s else 1.0 / count for x, s in zip(row, sums, strict=True)) for row in rows)

    def _of_signs(self, says: Mapping[str, str], known: Known) -> list[float]:
        row = [1.0] * len(self.sets)
        for sign, level in says.items():
            if sign in known:
                if known[sign] != level:
                    return [0.0] * len(self.sets)
                continue
            at = self.network.signs[sign].level_index(level)
            row = list(map(mul, row, self._level(sign)[at]))
        return row

    def _level(self, sign: str) -> tuple[Chances, ...]:
        if sign not in self._levels:
            rows = [_level_chances(self.network, sign, causes) for causes in self.sets]
            self._levels[sign] = tuple(zip(*rows, strict=True))
        return self._levels[sign]

    def _at_its_word(self, answer: Answer | None) -> list[float]:
        """Return 1 where an answer without signs fits a set, else 0."""
        if answer is None:
            return [1.0] * len(self.sets)
        names = self.network.causes
        row = []
        for causes in self.sets:
            here = {names[i] for i in causes}
            false = (answer.finds and not here & set(answer.finds)) or here & set(answer.rules_out)
            row.append(0.0 if false else 1.0)
        return row

    # ── fixes ───────────────────────────────────────────────────────────────

    def marginals(self, weights: Sequence[float]) -> list[float]:
        """Return the chance of each cause from the weights of the sets."""
        found = [0.0] * len(self.network.causes)
        for causes, weight in zip(self.sets, weights, strict=True):
            for cause in causes:
                found[cause] += weight
        total = sum(weights)
        return [min(1.0, weight / total) for weight in found]

    def fix_order(
        self, weights: Sequence[float], first: Iterable[str] = (), cured: frozenset[int] = frozenset()
    ) -> Order:
        """
        Return all fixes, best odds per minute first; those of the causes `first` (found by name) before the others.

        A fix of which all causes were cured already is left out.
        """
        marginals = self.marginals(weights)
        any_cause = any_cause_of(marginals) if self.most_causes > 1 else 0.0
        found = {self.network.index[name] for name in first if name in self.network.index}
        rows = []
        for k, action in enumerate(self.actions):
            left = [i for i in action.causes if i not in cured]
            if left:
                worth = _worth([marginals[i] for i in left], any_cause) / action.minutes
                rows.append((not found & set(left), -worth, k))
        rows.sort()
        spent, ready = 0.0, {}
        for _, _, k in rows:
            spent += self.actions[k].minutes
            ready[k] = spent
        return Order(tuple(k for _, _, k in rows), ready)

    def minutes_of(self, at: int, order: Order, cured: frozenset[int] = frozenset()) -> float:
        """Return the minutes until one set is cured by fixes in an order."""
        if not cured:
            return max(order.ready_after[k] for k in self.needs[at])
        return max((order.ready_after[self.action_of[i]] for i in self.sets[at] if i not in cured), default=0.0)


def fix_minutes(fix: Fix) -> float:
    """Return the minutes charged for a fix; nothing is free."""
    return max(LEAST_MINUTES, fix.minutes)


def _worth(marginals: Sequence[float], any_cause: float) -> float:
    if not any_cause:
        return sum(marginals)
    none = prod(1.0 - m * any_cause for m in marginals)
    return (1.0 - none) / none if none > 0 else float("inf")


def _level_chances(network: Network, sign: str, causes: Sequence[int]) -> list[float]:
    """Return the chance of each level of a sign if just these causes act; the most striking throw wins."""
    node = network.signs[sign]
    rows = [node.leak, *(node.links[i] for i in causes if i in node.links)]
    if len(rows) == 1:
        return list(node.leak.chances)
    upto = [prod(column) for column in zip(*(row.upto for row in rows), strict=True)]
    return [high - low for high, low in zip(upto, [0.0, *upto[:-1]], strict=True)]
