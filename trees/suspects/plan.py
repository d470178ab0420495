"""In which order the causes are taken, so that few striking answers are open at once."""

from __future__ import annotations

from dataclasses import dataclass
from math import prod

from trees.errors import SuspectsError
from trees.language import _
from trees.suspects.case import Case, Striking

MAX_WIDTH = 16
"""Bits open at once: 2**16 states for each of 47 causes took up to 0.6 s in plain Python (measured)."""


@dataclass(frozen=True, slots=True)
class Close:
    """An answer of which all causes were taken: keep each state with its end weight, without the answer's bits."""

    parts: tuple[tuple[float, tuple[int, ...]], ...]
    """End weight, and for every state that is left the state that it comes from."""
    size: int
    """Number of states before."""


@dataclass(frozen=True, slots=True)
class Step:
    """One cause in its turn."""

    cause: int
    opens: tuple[float, ...]
    """Start chances of the bits that open before it, appended on top."""
    sets: tuple[tuple[int, float], ...]
    """Stride of a bit that the cause sets, and the chance."""
    closes: tuple[Close, ...]


@dataclass(frozen=True, slots=True)
class Plan:
    """In which order the causes are taken, and what opens and closes on the way."""

    steps: tuple[Step, ...]
    apart: tuple[int, ...]
    """Causes without a striking answer: closed form."""
    unexplained: float
    """Weight of the striking answers that no cause can explain."""
    width: int
    """Most bits open at once."""


def plan_of(case: Case) -> Plan:
    """Choose an order of the causes; SuspectsError if more than MAX_WIDTH answers would be open at once."""
    order = _order(case)
    last: dict[int, int] = {}
    for cause in order:
        for b, answer in enumerate(case.striking):
            if cause in answer.fires:
                last[b] = cause
    frontier: list[tuple[int, int]] = []
    steps, width = [], 0
    for cause in order:
        touched = [b for b, answer in enumerate(case.striking) if cause in answer.fires]
        opening = [b for b in touched if not any(at == b for at, _other in frontier)]
        opens = tuple(chance for b in opening for chance in case.striking[b].start)
        frontier += [(b, bit) for b in opening for bit in range(len(case.striking[b].start))]
        width = max(width, len(frontier))
        if width > MAX_WIDTH:
            raise SuspectsError(
                _(
                    "Too many striking answers hang together ({n}, {width} open at once) to weigh them exactly. "
                    "The walk goes on without suspects; take back an answer that is not sure."
                ).format(n=len(case.striking), width=width)
            )
        sets = tuple(
            (1 << place, case.striking[b].fires[cause][bit])
            for place, (b, bit) in enumerate(frontier)
            if cause in case.striking[b].fires and case.striking[b].fires[cause][bit]
        )
        closes = tuple(_close(frontier, b, case.striking[b]) for b in touched if last[b] == cause)
        steps.append(Step(cause, opens, sets, closes))
    unexplained = 1.0
    for b, answer in enumerate(case.striking):
        if b not in last:
            unexplained *= _by_chance(answer)
    taken = set(order)
    apart = tuple(i for i in range(len(case.odds)) if i not in taken)
    return Plan(tuple(steps), apart, unexplained, width)


def _order(case: Case) -> list[int]:
    """Take next the answer that opens fewest others, and of its causes first those that open least."""
    touches: dict[int, int] = {}
    for b, answer in enumerate(case.striking):
        for cause in answer.fires:
            touches[cause] = touches.get(cause, 0) | 1 << b
    waiting = {b: set(answer.fires) for b, answer in enumerate(case.striking) if answer.fires}
    order: list[int] = []
    opened = 0
    while waiting:
        best, best_key = -1, (1 << 30, 0)
        for b, causes in waiting.items():
            reach = opened
            for cause in causes:
                reach |= touches[cause]
            key = (reach.bit_count(), len(causes))
            if key < best_key:
                best, best_key = b, key
        causes = set(waiting[best])
        while causes:
            cause = min(causes, key=lambda c: ((touches[c] | opened).bit_count(), c))
            causes.remove(cause)
            order.append(cause)
            opened |= touches[cause]
            for b in [b for b, left in waiting.items() if cause in left]:
                waiting[b].discard(cause)
                if not waiting[b]:
                    del waiting[b]
                    opened &= ~(1 << b)
    return order


def _close(frontier: list[tuple[int, int]], answer: int, striking: Striking) -> Close:
    size = 1 << len(frontier)
    places = [place for place, (b, _other) in enumerate(frontier) if b == answer]
    first, count = places[0], len(places)
    low = (1 << first) - 1
    kept = range(size >> count)
    parts = tuple(
        (weight, tuple((s & low) | bits << first | (s & ~low) << count for s in kept))
        for bits, weight in enumerate(striking.ends)
        if weight
    )
    frontier[:] = [pair for pair in frontier if pair[0] != answer]
    return Close(parts, size)


def _by_chance(answer: Striking) -> float:
    """Chance of an answer that no cause can explain."""
    total = 0.0
    for bits, weight in enumerate(answer.ends):
        chances = [chance if bits >> bit & 1 else 1.0 - chance for bit, chance in enumerate(answer.start)]
        total += weight * prod(chances)
    return total
