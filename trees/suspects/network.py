"""What the reasoning weighs: causes with priors and signs with their chances, drawn from a book for one unit."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from itertools import accumulate

from trees.book.model import Book, Cause, Sign
from trees.errors import SuspectsError
from trees.language import _
from trees.suspects.priors import priors_of

UNLISTED = "unlisted"
"""Id of the cause that stands for all that the book does not list."""
MOST = 0.99
"""The chances of one cause for one sign may not add past this: no single answer is final."""


@dataclass(frozen=True, slots=True)
class Row:
    """The chance of each level of a sign if one cause alone acts, or none: levels run from normal to most striking."""

    chances: tuple[float, ...]
    upto: tuple[float, ...]
    """Running sums: P(level at most this one); the last is 1."""

    @classmethod
    def of(cls, striking: Sequence[float]) -> Row:
        """Build a row from the chances of the levels above normal; normal takes what is left."""
        chances = (1.0 - sum(striking), *striking)
        return cls(chances, (*accumulate(chances[:-1]), 1.0))


@dataclass(frozen=True, slots=True)
class SignNode:
    """One sign as a noisy-MAX: each acting cause and chance itself throw a level, the most striking wins."""

    id: str
    levels: tuple[str, ...]
    leak: Row
    """With none of the causes acting (the sign's `unprompted`)."""
    links: Mapping[int, Row]
    """Cause index → its row; causes that never show the sign are not in it."""

    def level_index(self, level: str) -> int:
        """Return the place of a level, 0 for normal; SuspectsError if the sign has none of that name."""
        try:
            return self.levels.index(level)
        except ValueError:
            known = ", ".join(self.levels)
            raise SuspectsError(
                _("The sign {id} has no level {level}. Its levels are: {known}.").format(
                    id=self.id, level=level, known=known
                )
            ) from None


@dataclass(frozen=True, slots=True)
class Network:
    """The model of one unit: independent causes, several may be present; one noisy-MAX node per sign."""

    causes: tuple[str, ...]
    priors: tuple[float, ...]
    """P(cause), 0 <= p < 1, in the order of `causes`."""
    signs: Mapping[str, SignNode]
    at_least_one: bool = True
    """A unit was brought in, so at least one cause is there."""
    left_out: frozenset[str] = frozenset()
    """Causes and signs of the book that don't apply to this unit."""
    notes: tuple[str, ...] = ()
    """Sentences for the author: what had to be scaled or added."""
    index: Mapping[str, int] = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        object.__setattr__(self, "index", {cause: i for i, cause in enumerate(self.causes)})
        for cause, prior in zip(self.causes, self.priors, strict=True):
            if not 0.0 <= prior < 1.0:
                raise SuspectsError(
                    _("The prior of {cause} is {prior:g}; it must be at least 0 and less than 1.").format(
                        cause=cause, prior=prior
                    )
                )

    @classmethod
    def of(cls, book: Book, applies: Mapping[str, str] | None = None) -> Network:
        """
        Draw the network of one unit from a book.

        `applies` is what is known of the unit: {"medium": "air", "voltage": "24"}; what is not known leaves nothing
        out. Priors come from the shares of the whole book, so a cause that this unit can't have counts as known absent
        and the others keep their odds. Raises SuspectsError for a book without causes or with none that applies.
        """
        unit = applies or {}
        priors = priors_of([cause.share / 100 for cause in book.causes.values()])
        pairs = [(c, p) for c, p in zip(book.causes.values(), priors.p, strict=True) if _fits(c.applies, unit)]
        if not pairs:
            raise SuspectsError(_("No cause of the book applies to this unit. Check its family, or the causes' `for`."))
        kept = [cause for cause, _other in pairs]
        notes: list[str] = []
        signs = {sign.id: _sign_node(sign, kept, notes) for sign in book.signs.values() if _fits(sign.applies, unit)}
        causes = tuple(cause.id for cause in kept)
        values = tuple(p for _other, p in pairs)
        if priors.unlisted is not None:
            causes, values = (*causes, UNLISTED), (*values, priors.unlisted)
            notes.append(
                _("The shares add up to 100 or less, so the rest counts as a cause that the book does not list.")
            )
        everything = {*book.causes, *book.signs}
        return cls(causes, values, signs, left_out=frozenset(everything - {*causes, *signs}), notes=tuple(notes))

    def without(self, cause: str) -> Network:
        """Return the same network with one cause known to be absent."""
        at = self.index[cause]
        return replace(self, priors=(*self.priors[:at], 0.0, *self.priors[at + 1 :]))

    def linked(self, sign: str) -> frozenset[str]:
        """Return the causes that show a sign."""
        return frozenset(self.causes[i] for i in self.signs[sign].links)


def _fits(applies: Mapping[str, str], unit: Mapping[str, str]) -> bool:
    return all(wanted == "any" or unit.get(name, wanted) == wanted for name, wanted in applies.items())


def _sign_node(sign: Sign, causes: Sequence[Cause], notes: list[str]) -> SignNode:
    above = sign.levels[1:]
    leak = sign.unprompted
    if len(leak) == 1 < len(above):
        leak = tuple(leak[0] / len(above) for _other in above)
    if len(leak) != len(above):
        raise SuspectsError(
            _("The sign {id} has {n} levels above normal but {n_2} unprompted chances. Write one for each.").format(
                id=sign.id, n=len(above), n_2=len(leak)
            )
        )
    links: dict[int, Row] = {}
    for i, cause in enumerate(causes):
        shown = cause.shows.get(sign.id)
        if shown:
            striking = [shown.get(level, 0.0) for level in above]
            links[i] = Row.of(
                _at_most(striking, _("the words of {id} for {id_2}").format(id=cause.id, id_2=sign.id), notes)
            )
    return SignNode(
        sign.id,
        sign.levels,
        Row.of(_at_most(leak, _("the unprompted chances of {id}").format(id=sign.id), notes)),
        links,
    )


def _at_most(striking: Sequence[float], whose: str, notes: list[str]) -> Sequence[float]:
    total = sum(striking)
    if any(chance < 0 for chance in striking):
        raise SuspectsError(
            _("A chance below zero in {whose}. Write a number from 0 to 1 or a word of the book.").format(whose=whose)
        )
    if total <= MOST + 1e-12:
        return striking
    notes.append(
        _("{whose} add up to {total:.2f}; they were scaled to {MOST:.2f}.").format(
            whose=whose[0].upper() + whose[1:], total=total, MOST=MOST
        )
    )
    return [chance * MOST / total for chance in striking]
