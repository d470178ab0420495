"""Do the closed jobs show the signs as often as the book says? Told to the author, never learnt by itself.

Answers exist only where somebody asked, so what is counted here is a biased sample: it names links worth a look.
Source: reasoning/REASONING.md section 6.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from trees.book.model import Book
from trees.language import _
from trees.suspects.network import Network
from trees.suspects.recount import CONFLICT


@dataclass(frozen=True, slots=True)
class SingleJob:
    """One closed job in which a cure confirmed exactly one cause."""

    cause: str
    levels: Mapping[str, str]
    """Sign → the level that an answer gave it; the complaint itself is left out, it chose the job."""


@dataclass(frozen=True, slots=True)
class LinkSeen:
    """One link between a cause and a sign, as written and as seen."""

    cause: str
    sign: str
    word: str
    """What the author wrote: a likelihood word, or the number itself."""
    expected: float
    """Chance 0..1 that the sign is not normal if this cause alone acts, unprompted showing included."""
    seen: int
    asked: int
    tail: float
    """How likely a count at least so far out is if the author is right."""

    @property
    def conflict(self) -> bool:
        """The jobs contradict the author."""
        return self.tail < CONFLICT

    @property
    def sentence(self) -> str:
        """What was counted, in one line."""
        flag = _(" The jobs contradict the author.") if self.conflict else ""
        return _("{word}, seen in {seen} of {asked} single-cause jobs.{flag}").format(
            word=self.word, seen=self.seen, asked=self.asked, flag=flag
        )


def links_seen(book: Book, jobs: Iterable[SingleJob]) -> tuple[LinkSeen, ...]:
    """Count each link of the causes that the jobs had; those furthest out come first."""
    asked: dict[tuple[str, str], list[bool]] = {}
    for job in jobs:
        for sign, level in job.levels.items():
            if sign in book.causes[job.cause].shows:
                asked.setdefault((job.cause, sign), []).append(level != book.signs[sign].levels[0])
    network = Network.of(book) if asked else None
    rows = [_seen(book, network, cause, sign, seen) for (cause, sign), seen in asked.items() if network is not None]
    return tuple(sorted(rows, key=lambda row: (row.tail, row.cause, row.sign)))


def _seen(book: Book, network: Network, cause: str, sign: str, seen: list[bool]) -> LinkSeen:
    node = network.signs[sign]
    quiet = node.leak.chances[0] * node.links[network.index[cause]].chances[0]
    written = book.causes[cause].words.get(sign, {})
    word = ", ".join(written.values()) or f"{1.0 - node.links[network.index[cause]].chances[0]:g}"
    count = sum(seen)
    return LinkSeen(cause, sign, word, 1.0 - quiet, count, len(seen), binomial_tail(count, len(seen), 1.0 - quiet))


def binomial_tail(seen: int, asked: int, chance: float) -> float:
    """Return how likely a count at least as far out is, on its own side of the mean; `asked` draws of one chance."""
    side = range(seen, asked + 1) if seen > asked * chance else range(seen + 1)
    return min(1.0, math.fsum(math.comb(asked, k) * chance**k * (1.0 - chance) ** (asked - k) for k in side))
