"""What is known of the signs, in the order of the answers, and what was tried; `unknown` is nothing."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Literal

from trees.book.model import Answer
from trees.book.words import UNKNOWN


@dataclass(frozen=True, slots=True)
class Observed:
    """One sign as an answer tells it: a level, or weights over levels where the answer is not sure."""

    sign: str
    level: str = ""
    """The level; empty where `weights` speak, `unknown` for nothing known."""
    weights: Mapping[str, float] = field(default_factory=dict)
    """Level → how well the answer fits it; only the ratios count."""
    rest: float = 0.0
    """Added to the weight of every level, also of those not named."""
    by: str = ""
    """Which answer said so; observations of one answer are explained together. The sign's own id if empty."""

    @property
    def answer(self) -> str:
        """The answer that this observation belongs to."""
        return self.by or self.sign

    @property
    def says_nothing(self) -> bool:
        """True for `unknown`."""
        return self.level == UNKNOWN or not (self.level or self.weights)


@dataclass(frozen=True, slots=True)
class Tried:
    """A sure fix was made; since then the unit works, still fails, or was not tried. Earlier answers stand."""

    cures: tuple[str, ...]
    """The causes that are gone since."""
    result: Literal["cured", "still", "not_tried"]
    by: str = ""

    @property
    def answer(self) -> str:
        """The step that this trial belongs to."""
        return self.by or "+".join(self.cures)


@dataclass(frozen=True, slots=True)
class Evidence:
    """Observations and trials in order; the order of observations between two trials never matters for the result."""

    items: tuple[Observed | Tried, ...] = ()

    @classmethod
    def of(cls, says: Mapping[str, str], by: str = "") -> Evidence:
        """Take sign → level, as an answer or a complaint says it; `unknown` does not enter."""
        return cls().adding(Observed(sign, level, by=by) for sign, level in says.items())

    def adding(self, items: Iterable[Observed | Tried]) -> Evidence:
        """Return the evidence with more at its end, without what says nothing."""
        told = (item for item in items if isinstance(item, Tried) or not item.says_nothing)
        return Evidence((*self.items, *told))

    def without(self, answer: str) -> Evidence:
        """Return the evidence without one answer."""
        return Evidence(tuple(item for item in self.items if item.answer != answer))

    def answers(self) -> tuple[str, ...]:
        """Return the answers in the order in which each first spoke."""
        return tuple(dict.fromkeys(item.answer for item in self.items))

    def signs(self) -> frozenset[str]:
        """Return the signs of which something is known."""
        return frozenset(item.sign for item in self.items if isinstance(item, Observed))


def blend(answers: Iterable[tuple[Answer, float]], by: str = "") -> tuple[Observed, ...]:
    """
    Weigh what several answers say, each with the probability that it is the true one.

    For a reading near a band edge: bands with the probability that the true value lies in each (JCGM 106:2012). An
    answer that is silent on a sign fits all its levels alike, so its weight goes to every level that is named.
    """
    weighted = [(answer, weight) for answer, weight in answers if weight > 0]
    signs = dict.fromkeys(sign for answer, _ in weighted for sign in answer.says)
    observed = []
    for sign in signs:
        levels: dict[str, float] = {}
        for answer, weight in weighted:
            if sign in answer.says:
                levels[answer.says[sign]] = levels.get(answer.says[sign], 0.0) + weight
        silent = sum(weight for answer, weight in weighted if sign not in answer.says)
        if len(levels) == 1 and not silent:
            observed.append(Observed(sign, next(iter(levels)), by=by))
        else:
            observed.append(Observed(sign, weights=levels, rest=silent, by=by))
    return tuple(observed)
