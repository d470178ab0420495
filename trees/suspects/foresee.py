"""What the causes would look like after an answer that was not given yet."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import product

from trees.suspects.cover import run
from trees.suspects.evidence import Evidence
from trees.suspects.posterior import Weighed

_NO_ROW: Sequence[float] = ()
NEVER = 1e-12
"""An answer of so small a share is left out: its digits are lost in the difference."""

Says = Mapping[str, str]
"""Sign → level."""
Corner = tuple[tuple[str, int], ...]
"""Signs with the level that each is at most."""


@dataclass(frozen=True, slots=True)
class Outcome:
    """One way in which a check can come out."""

    says: tuple[tuple[str, str], ...]
    """Sign and level, sorted; only what is not known yet."""
    chance: float
    marginals: tuple[float, ...]
    """Chance of each cause after it, in the network's order; causes that trials removed are 0."""


class Foresight:
    """
    Weighs possible answers on top of the evidence without planning anew.

    P(sign = level) is P(at most level) less P(at most the level below), and "at most" only changes factors of single
    causes, so the plan of the given evidence serves all. The difference may lose digits where a level is very unlikely;
    it is for advice, never for the suspects themselves.
    """

    def __init__(self, weighed: Weighed, evidence: Evidence) -> None:
        self._weighed = weighed
        self._open = weighed.network.signs.keys() - evidence.signs()
        """Signs of this unit that are not known yet."""
        self._corners: dict[Corner, tuple[tuple[float, ...], float]] = {
            (): (weighed.joint.present, weighed.joint.total)
        }

    def tells(self, says: Says) -> dict[str, str]:
        """Return the part of an answer that is not known yet and belongs to this unit."""
        return {sign: level for sign, level in says.items() if sign in self._open}

    def now(self) -> tuple[float, ...]:
        """Return the chances of the causes as they stand."""
        joint = self._weighed.joint
        return self._marginals(joint.present, joint.total)

    def outcomes(self, answers: Collection[Says]) -> list[Outcome]:
        """
        Return the ways in which a check can tell something; answers that say the same count once.

        The chances add up to 1 or less: the rest is left to answers that tell nothing new. Answers that overlap are
        scaled down to 1.
        """
        told = {tuple(sorted(self.tells(says).items())) for says in answers}
        raw = [(says, *self._weigh(says)) for says in sorted(told) if says]
        everything = max(self._weighed.joint.total, sum(weight for _, weight, _ in raw))
        return [
            Outcome(says, weight / everything, self._marginals(row, weight))
            for says, weight, row in raw
            if weight > NEVER * everything
        ]

    def _marginals(self, present: Sequence[float], total: float) -> tuple[float, ...]:
        gone = self._weighed.case.gone
        # the differences may leave the range by a rounding
        shares = [0.0 if weight <= 0.0 else weight / total if weight < total else 1.0 for weight in present]
        return tuple(0.0 if i in gone else share for i, share in enumerate(shares)) if gone else tuple(shares)

    def _weigh(self, says: tuple[tuple[str, str], ...]) -> tuple[float, Sequence[float]]:
        """Add and subtract the corners of one answer; return its weight and that of each cause with it."""
        total, row = 0.0, _NO_ROW
        for corner, adds in self.terms(says):
            here, weight = self._corner(corner)
            if adds:
                total += weight
                row = [x + y for x, y in zip(row, here, strict=True)] if row else here
            else:
                total, row = total - weight, [x - y for x, y in zip(row, here, strict=True)]
        return max(0.0, total), row

    def terms(self, says: tuple[tuple[str, str], ...]) -> Iterator[tuple[Corner, bool]]:
        """Yield the corners of which an answer is made, and whether each is added or taken off; the first is added."""
        signs = self._weighed.network.signs
        tops = [(sign, signs[sign].level_index(level)) for sign, level in says]
        for below in product((0, 1), repeat=len(tops)):
            if any(level < less for (_, level), less in zip(tops, below, strict=True)):
                continue
            corner = ((sign, level - less) for (sign, level), less in zip(tops, below, strict=True))
            # at most the highest level is no condition
            yield tuple((s, level) for s, level in corner if level < len(signs[s].levels) - 1), sum(below) % 2 == 0

    def _corner(self, corner: Corner) -> tuple[tuple[float, ...], float]:
        if corner not in self._corners:
            factors, leak = self._factors(corner)
            joint = run(self._weighed.case, self._weighed.plan, factors, absent=False)
            self._corners[corner] = (tuple(leak * weight for weight in joint.present), leak * joint.total)
        return self._corners[corner]

    def _factors(self, corner: Corner) -> tuple[list[float], float]:
        """Return the factors of the causes at a corner, and what it leaves of the chance that no cause acts."""
        signs, case = self._weighed.network.signs, self._weighed.case
        factors, leak = list(case.factors), 1.0
        for sign, level in corner:
            leak *= signs[sign].leak.upto[level]
            for i, row in signs[sign].links.items():
                if i not in case.gone:
                    factors[i] *= row.upto[level]
        return factors, leak
