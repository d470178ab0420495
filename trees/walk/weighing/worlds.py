"""The sets of causes that a job may hide, and how likely each answer of a check is under each of them.

The reasoning proper (`trees.suspects`) never lists sets. Weighing a whole tree against other orders follows jobs from
complaint to repair, and for that the sets are listed: one cause each, or up to three, the likeliest of them.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations
from math import prod
from operator import mul

from trees.book.model import Answer, Book, Check
from trees.errors import SuspectsError
from trees.language import _
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
    silent: bool
    """Some answer speaks of no sign."""

    @property
    def is_item(self) -> bool:
        """An item of a list to tick."""
        return any(way.answer is None for way in self.ways)


class Worlds:
    """All sets of causes that are weighed for one unit with one complaint."""

    def __init__(self, book: Book, network: Network, complaint: Known, most_causes: int = 1) -> None:
        self.book, self.network, self.most_causes = book, network, most_causes
        self.complaint = {sign: level for sign, level in complaint.items() if sign in network.signs}
        self.sets, weights, self.covers = self._likeliest()
        total = sum(weights)
        self.start: Chances = tuple(weight / total for weight in weights)
        self._levels: dict[str, tuple[Chances, ...]] = {}
        self._looks: dict[str, tuple[Look, ...]] = {}
        self._chances: dict[tuple[str, tuple[tuple[str, str], ...]], tuple[Chances, ...]] = {}

    def _likeliest(self) -> tuple[tuple[tuple[int, ...], ...], list[float], float]:
        """Return the sets, their weights with the complaint, and what part of all weight they stand for."""
        network = self.network
        possible = [i for i, prior in enumerate(network.priors) if prior > 0]
        sizes = range(1, self.most_causes + 1)
        sets: list[tuple[int, ...]] = [causes for size in sizes for causes in combinations(possible, size)]
        if self.most_causes == 1:
            weights = [network.priors[i] for (i,) in sets]
        else:
            odds = [prior / (1.0 - prior) for prior in network.priors]
            weights = [prod(odds[i] for i in causes) for causes in sets]
        for sign, level in self.complaint.items():
            at = network.signs[sign].level_index(level)
            weights = [w * level_chances(network, sign, causes)[at] for w, causes in zip(weights, sets, strict=True)]
        everything = sum(weights)
        if not everything > 0:
            raise SuspectsError(
                _(
                    "No cause of the book explains this complaint, so the tree can't be weighed. "
                    "Look at what the complaint says of signs, and at the causes' `shows`."
                )
            )
        if self.most_causes > 1 and len(sets) > MOST_SETS:
            kept = sorted(sorted(range(len(sets)), key=lambda k: -weights[k])[:MOST_SETS])
            sets, weights = [sets[k] for k in kept], [weights[k] for k in kept]
        return tuple(sets), weights, sum(weights) / everything

    # ── what a check looks at ───────────────────────────────────────────────

    def looks(self, check: Check) -> tuple[Look, ...]:
        """Return what a check looks at; nothing where it takes readings that only figures use."""
        if check.id not in self._looks:
            self._looks[check.id] = tuple(self._looks_of(check))
        return self._looks[check.id]

    def _looks_of(self, check: Check) -> Iterator[Look]:
        if routes := check.routes():
            yield _look(check.id, [Way(answer, self._tells(answer.says)) for answer in routes])
        for item in check.items:
            if says := self._tells(item.says):
                ways = [Way(item, says), Way(None, self._tells(item.otherwise))]
                yield _look(f"{check.id}.{item.id}", ways)

    def _tells(self, says: Mapping[str, str]) -> dict[str, str]:
        return {sign: level for sign, level in says.items() if sign in self.network.signs}

    # ── how likely its answers are ──────────────────────────────────────────

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
        count = len(self.sets)
        rows: list[list[float] | None] = [
            None if way.answer is None or not way.says else self._of_signs(way.says, known) for way in look.ways
        ]
        told = [sum(column) for column in zip(*(row for row in rows if row is not None), strict=True)] or [0.0] * count
        left = [max(0.0, 1.0 - chance) for chance in told]
        silent = [self._at_its_word(way.answer) for way, row in zip(look.ways, rows, strict=True) if row is None]
        fits = [sum(column) for column in zip(*silent, strict=True)]
        shares = iter(
            [x * w / fit if fit else x / len(silent) for x, w, fit in zip(left, word, fits, strict=True)]
            for word in silent
        )
        filled = [next(shares) if row is None else row for row in rows]
        sums = [sum(column) for column in zip(*filled, strict=True)]
        if known and not any(sums):  # the answers have no word for what is known: ask as if it were not
            return self._work_out(look, {})
        return tuple(tuple(x / s if s else 1.0 / len(filled) for x, s in zip(row, sums, strict=True)) for row in filled)

    def _of_signs(self, says: Mapping[str, str], known: Known) -> list[float]:
        row = [1.0] * len(self.sets)
        for sign, level in says.items():
            if sign not in known:
                at = self.network.signs[sign].level_index(level)
                row = list(map(mul, row, self._level(sign)[at]))
            elif known[sign] != level:
                return [0.0] * len(self.sets)
        return row

    def _level(self, sign: str) -> tuple[Chances, ...]:
        if sign not in self._levels:
            rows = [level_chances(self.network, sign, causes) for causes in self.sets]
            self._levels[sign] = tuple(zip(*rows, strict=True))
        return self._levels[sign]

    def _at_its_word(self, answer: Answer | None) -> list[float]:
        """Return 1 where an answer without signs fits a set, else 0."""
        if answer is None:
            return [1.0] * len(self.sets)
        index = self.network.index
        finds = {index[name] for name in answer.finds if name in index}
        excludes = {index[name] for name in answer.rules_out if name in index}
        return [0.0 if (answer.finds and finds.isdisjoint(c)) or excludes & set(c) else 1.0 for c in self.sets]


def _look(key: str, ways: Sequence[Way]) -> Look:
    signs = frozenset(sign for way in ways for sign in way.says)
    return Look(key, tuple(ways), signs, any(way.answer is not None and not way.says for way in ways))


def level_chances(network: Network, sign: str, causes: Sequence[int]) -> list[float]:
    """Return the chance of each level of a sign if just these causes act; the most striking throw wins."""
    node = network.signs[sign]
    rows = [node.leak, *(node.links[i] for i in causes if i in node.links)]
    if len(rows) == 1:
        return list(node.leak.chances)
    upto = [prod(column) for column in zip(*(row.upto for row in rows), strict=True)]
    return [high - low for high, low in zip(upto, [0.0, *upto[:-1]], strict=True)]
