"""Which complaint fits what a caller says? Over complaints, signs and answers; misspelt and half words count too."""

from __future__ import annotations

import math
import unicodedata
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from trees.book.model import Book, Check
from trees.book.tree import Tree
from trees.language import N_

LIKE = 0.6
"""Two words that share less of their letters are different words."""
SWAPPED = 0.9
"""How much a word is like one with two letters that changed places."""
COMPLAINT, OPENS, SIGN, ANSWER = 1.0, 0.9, 0.6, 0.5
"""Weight of a hit: in the complaint's own words, a sign that it says, a sign or an answer met on the way."""
LEAST = 0.12
"""A fit below this is none: then the author's order stands."""


@dataclass(frozen=True, slots=True)
class Phrase:
    """Words of the book that lead to a tree."""

    text: str
    where: str
    """Empty for the complaint's own words, else what kind of phrase it is."""
    weight: float


@dataclass(frozen=True, slots=True)
class Fit:
    """A complaint's tree, how well it fits, and by which phrase."""

    tree: Tree
    score: float
    by: Phrase | None


class Finder:
    """The phrases of one book, cut into letters once; asked at every key."""

    def __init__(self, book: Book) -> None:
        self.complaints = book.complaints()
        self.phrases = {tree.id: tuple(_phrases(book, tree)) for tree in self.complaints}
        self.words = {p.text: tuple(words_of(p.text)) for rows in self.phrases.values() for p in rows}
        counted = Counter(word for words in self.words.values() for word in set(words))
        total = max(1, len(self.words))
        self.rarity = {word: 1.0 + math.log(total / count) for word, count in counted.items()}
        self.cut = {word: letters(word) for word in counted}
        self.met: dict[str, Mapping[str, float]] = {}
        """What was said before: at the next key all words but one are the same."""

    def fits(self, said: str) -> Sequence[Fit]:
        """Return the complaints, best first; where nothing fits, or nothing is said, in the author's order."""
        wanted = [self._alike(word) for word in dict.fromkeys(words_of(said))]
        scored = [self._fit(tree, wanted) for tree in self.complaints]
        return sorted(scored, key=lambda fit: -fit.score)

    def _alike(self, said: str) -> Mapping[str, float]:
        """Return word of the book → how much it is like one that was said."""
        if said not in self.met:
            cut = letters(said)
            hits = {word: alike(said, cut, word, there) for word, there in self.cut.items()}
            self.met[said] = {word: like for word, like in hits.items() if like >= LIKE}
        return self.met[said]

    def _fit(self, tree: Tree, wanted: Sequence[Mapping[str, float]]) -> Fit:
        best, by = 0.0, None
        for phrase in self.phrases[tree.id]:
            score = phrase.weight * self._score(self.words[phrase.text], wanted)
            if score > best:
                best, by = score, phrase
        return Fit(tree, best + self._covered(tree, wanted), by) if best >= LEAST else Fit(tree, 0.0, None)

    def _covered(self, tree: Tree, wanted: Sequence[Mapping[str, float]]) -> float:
        """Return 0 to 1/2: how much of what was said the complaint's own phrases hold, taken together."""
        own = {word for p in self.phrases[tree.id] if p.weight >= OPENS for word in self.words[p.text]}
        most = [max(hits.values(), default=0.0) for hits in wanted]
        held = [max((like for word, like in hits.items() if word in own), default=0.0) for hits in wanted]
        return 0.5 * sum(held) / sum(most) if sum(most) else 0.0

    def _score(self, words: tuple[str, ...], wanted: Sequence[Mapping[str, float]]) -> float:
        """Return how much of what was said the phrase holds, the rare words above the common, short phrases first."""
        hit = 0.0
        for alike_to in wanted:
            hit += max((alike_to.get(word, 0.0) * self.rarity[word] for word in words), default=0.0)
        whole = sum(self.rarity[word] for word in words)
        return hit / math.sqrt(whole * sum(self.rarity.values()) / len(self.rarity)) if hit else 0.0


def words_of(text: str) -> Iterator[str]:
    """Yield the words of a text in small letters without accents; single letters say nothing."""
    apart = unicodedata.normalize("NFKD", text.casefold())
    plain = "".join(c if c.isalnum() else " " for c in apart if not unicodedata.combining(c))
    return (word for word in plain.split() if len(word) > 1 and word not in EMPTY)


# fmt: off
EMPTY = frozenset((
    "the", "and", "it", "is", "at", "in", "on", "of", "to", "or", "an", "when", "with", "how", "does", "do",
    "what", "has", "have", "was", "be", "my", "we", "he", "she", "me", "off", "went", "goes", "go", "gets",
    "time",
    "es", "ist", "der", "die", "das", "den", "dem", "und", "ein", "eine", "im", "am",
))
# fmt: on
"""Words that stand in every sentence."""


def letters(word: str) -> frozenset[str]:
    """Return the pairs of letters of a word, its ends marked."""
    framed = f"^{word}$"
    return frozenset(framed[i : i + 2] for i in range(len(framed) - 1))


def alike(said: str, cut: frozenset[str], word: str, there: frozenset[str]) -> float:
    """
    Return how much two words are alike, 0 to 1.

    They are the same, or two letters changed places; one is the beginning of the other; or they share pairs of letters.
    """
    if said == word:
        return 1.0
    if _swapped(said, word):
        return SWAPPED
    short, long = sorted((said, word), key=len)
    if len(short) >= 3 and long.startswith(short):
        return 0.6 + 0.4 * len(short) / len(long)
    return 2.0 * len(cut & there) / (len(cut) + len(there))


def _swapped(said: str, word: str) -> bool:
    """Tell whether two neighbouring letters changed places, which short words don't survive by their pairs."""
    if len(said) != len(word) or len(said) < 4:
        return False
    at = next((i for i, (one, other) in enumerate(zip(said, word, strict=True)) if one != other), -1)
    return 0 <= at < len(said) - 1 and said[at : at + 2] == word[at + 1] + word[at] and said[at + 2 :] == word[at + 2 :]


def _phrases(book: Book, tree: Tree) -> Iterator[Phrase]:
    yield from (Phrase(text, "", COMPLAINT) for text in (*tree.complaint_words, tree.title))
    says = [book.signs[sign] for sign, level in tree.complaint_says.items() if sign in book.signs and level != "no"]
    yield from (Phrase(sign.name, N_("sign"), OPENS) for sign in says)
    for check in _checks(book, tree, set()):
        for answer in (*check.routes(), *check.items):
            yield Phrase(answer.means, N_("answer"), ANSWER)
            signs = (book.signs[sign] for sign, level in answer.says.items() if sign in book.signs and level != "no")
            yield from (Phrase(sign.name, N_("sign"), SIGN) for sign in signs)


def _checks(book: Book, tree: Tree, seen: set[str]) -> Iterator[Check]:
    """Yield the checks of a tree and of the shared trees that it runs, each tree once."""
    seen.add(tree.id)
    for step in tree.steps.values():
        wanted = (step.refers, *(instead.check for instead in step.instead.values()))
        yield from (book.checks[check] for check in wanted if step.kind == "check" and check in book.checks)
        if step.kind == "run" and step.refers in book.trees and step.refers not in seen:
            yield from _checks(book, book.trees[step.refers], seen)
