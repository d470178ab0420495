"""Which causes can no check tell apart: nothing finds or rules out one of them alone, and they show alike."""

from __future__ import annotations

from itertools import combinations

from trees.book.model import Book, Cause

Pair = tuple[str, str]
_Signature = tuple[frozenset[tuple[str, str, str]], frozenset[tuple[str, str, float]]]


def alike(book: Book) -> tuple[Pair, ...]:
    """Return the pairs of causes that no check tells apart, in order; both must be possible in one unit."""
    verdicts: dict[str, set[tuple[str, str, str]]] = {}
    observed: set[str] = set()
    for check in book.checks.values():
        for answer in (*check.routes(), *check.items):
            observed.update(answer.says, answer.otherwise)
            for verb, names in (("finds", answer.finds), ("rules out", answer.rules_out), ("hints", answer.hints)):
                for name in names:
                    verdicts.setdefault(name, set()).add((check.id, answer.id, verb))
    groups: dict[_Signature, list[Cause]] = {}
    for cause in book.causes.values():
        shown = frozenset(
            (sign, level, chance)
            for sign, levels in cause.shows.items()
            if sign in observed
            for level, chance in levels.items()
        )
        groups.setdefault((frozenset(verdicts.get(cause.id, ())), shown), []).append(cause)
    place = {name: number for number, name in enumerate(book.causes)}
    pairs = [
        (one.id, other.id)
        for group in groups.values()
        for one, other in combinations(group, 2)
        if all(one.applies.get(limit, value) == value for limit, value in other.applies.items())
    ]
    return tuple(sorted(pairs, key=lambda pair: (place[pair[0]], place[pair[1]])))


def told(pairs: tuple[Pair, ...]) -> str:
    """Return the pairs for people, one a line."""
    if not pairs:
        return "Every cause can be told from every other by some check.\n"
    rows = [f"  {one} and {other}" for one, other in pairs]
    return "\n".join(["No check tells these causes apart:", *rows, ""])
