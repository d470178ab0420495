"""Which causes can no check tell apart: nothing finds or rules out one of them alone, and they show alike."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations

from trees.book.draft import Draft
from trees.book.model import Alike, Book, Cause
from trees.book.records import find
from trees.book.source import spot_of

Pair = tuple[str, str]
_Signature = tuple[frozenset[tuple[str, str, str]], frozenset[tuple[str, str, float]]]


def alike(book: Book) -> tuple[Pair, ...]:
    """Return the pairs of causes that no check tells apart, in order; both must be possible in one unit."""
    place = {name: number for number, name in enumerate(book.causes)}
    pairs = [
        (one.id, other.id)
        for group in _groups(book)
        for one, other in combinations(group, 2)
        if _in_one_unit(one, other)
    ]
    return tuple(sorted(pairs, key=lambda pair: (place[pair[0]], place[pair[1]])))


def explained(book: Book, pair: Pair) -> Alike | None:
    """Return what the book itself says of a pair that it can't tell apart; None if it says nothing."""
    return next((note for note in book.alike if set(note.causes) == set(pair)), None)


def told(book: Book, pairs: tuple[Pair, ...]) -> str:
    """Return the pairs for people, one a line, with what the book says of them."""
    if not pairs:
        return "Every cause can be told from every other by some check.\n"
    rows = []
    for pair in pairs:
        note = explained(book, pair)
        rows.append(f"  {pair[0]} and {pair[1]}" + ("" if note else ": the book does not say why"))
        if note is not None:
            rows.append(f"    {note.because} What would tell: {note.told_by}")
    return "\n".join(["No check tells these causes apart:", *rows, ""])


def prove_pairs(draft: Draft, book: Book) -> None:
    """Warn of causes that no check tells apart without a word on it, and of such words that are not true."""
    for cause, twin in _twins(book):
        draft.findings.add(
            "causes-alike",
            f"no check tells the cause `{cause.id}` from `{twin.id}`",
            draft.key_spot("cause", cause.id),
            "let a look or a reading find one of them, or say under `alike` in book.yaml why and what would tell",
            [(draft.key_spot("cause", twin.id), "the other")],
        )
    pairs = {frozenset(pair) for pair in alike(book)} if book.alike else set()
    for number, note in enumerate(book.alike):
        if frozenset(note.causes) not in pairs:
            at = find(draft.head_root, "alike", number, "causes")
            draft.findings.add(
                "pair-told-apart",
                f"some check tells `{note.causes[0]}` from `{note.causes[1]}`",
                spot_of(at) if at is not None else draft.key_spot("cause", note.causes[0]),
                "take the pair out",
            )


def _twins(book: Book) -> Iterator[tuple[Cause, Cause]]:
    """Yield each cause that is like an earlier one with nothing said of it, with the first such."""
    said = {frozenset(note.causes) for note in book.alike}
    for group in _groups(book):
        for number, cause in enumerate(group):
            for twin in group[:number]:
                if _in_one_unit(cause, twin) and frozenset((cause.id, twin.id)) not in said:
                    yield cause, twin
                    break


def _in_one_unit(one: Cause, other: Cause) -> bool:
    return all(one.applies.get(limit, value) == value for limit, value in other.applies.items())


def _groups(book: Book) -> list[list[Cause]]:
    """Return the causes that show alike and are found, ruled out and hinted at by the same answers."""
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
    return list(groups.values())
