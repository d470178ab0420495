"""What a book holds once it is read: plain frozen records, ids as strings, mappings in the author's order.

Trees and their steps are in `tree.py`, worked jobs in `worked.py`. Reading is in `reader.py`, proving in `prove.py`;
nothing here knows about YAML.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Literal

from trees.book.tree import Tree
from trees.book.words import MEDIA, PLACES, UNKNOWN, Form, Grade, Kind, Lives, Place, Proof, Who
from trees.book.worked import WorkedJob


@dataclass(frozen=True, slots=True)
class Spot:
    """Where something stands in a file; line and column count from 1, `end_column` is exclusive."""

    file: str
    line: int
    column: int
    end_column: int


@dataclass(frozen=True, slots=True)
class Source:
    """The standing of a number: `published` needs a name; `practice` and `memory` don't."""

    standing: Literal["published", "practice", "memory"]
    name: str = ""
    clause: str = ""
    seen: str = ""


@dataclass(frozen=True, slots=True)
class FamilyValue:
    """A band edge that stands with the family: `family.dose_max`."""

    name: str


@dataclass(frozen=True, slots=True)
class ByVoltage:
    """A band edge that differs with the supply voltage: `{12: 11.5, 24: 23.0}`."""

    volts: Mapping[str, float]


Edge = float | FamilyValue | ByVoltage


@dataclass(frozen=True, slots=True, kw_only=True)
class Answer:
    """One answer, band or ticked item of a check, and what it says."""

    id: str
    means: str
    says: Mapping[str, str] = field(default_factory=dict)
    """Sign id → level of that sign."""
    finds: tuple[str, ...] = ()
    rules_out: tuple[str, ...] = ()
    hints: tuple[str, ...] = ()
    upto: Edge | None = None
    """Upper edge of a band (the value itself belongs to this band)."""
    above: Edge | None = None
    """Lower edge of the last band."""
    group: str = ""
    """Ticked items of one group are shown together."""
    alone: bool = False
    """A ticked item that excludes all others (none of these)."""
    otherwise: Mapping[str, str] = field(default_factory=dict)
    """What an unticked item says of signs, once the list was confirmed (`else` in YAML)."""
    stop: str | None = None
    """Caution id: this answer is danger now and stops the job."""
    forbids_starts: bool = False
    """No start in this job from here on."""
    no_start_until: tuple[str, ...] = ()
    """Fixes: no start until one of them was made, or the same check tells otherwise."""
    made: tuple[str, ...] = ()
    """Fixes: the answer shows that they were made, in whatever way."""
    opens: str | None = None
    """Gate only: the tree that this answer opens instead of the complaint's own."""
    source: Source | None = None


@dataclass(frozen=True, slots=True)
class ReadingField:
    """One of several readings that one check takes."""

    name: str
    unit: str
    label: str = ""
    plausible: tuple[float, float] | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Propose:
    """
    When a question has a sense beside the tree: what went out before it smoked, nobody asks of a unit that runs.

    Jobs of these trees, or with one of these signs seen; never with one of the signs that it is pointless with.
    """

    trees: tuple[str, ...] = ()
    """Trees of complaints (`in` in YAML)."""
    after: Mapping[str, str] = field(default_factory=dict)
    """Sign → level."""
    never_after: Mapping[str, str] = field(default_factory=dict)
    """Sign → level."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Check:
    """One thing to ask, look at, measure, work out or tick off."""

    id: str
    form: Form
    wording: str
    """What the bench reads; `phone` is what the operator reads aloud."""
    phone: str = ""
    may_mistake: str = ""
    """What a caller may misunderstand."""
    how: str = ""
    proof: Proof = "look"
    caller_proves: bool = False
    """A caller's answer can prove or exclude; otherwise it only hints."""
    place: tuple[Place, ...] = PLACES
    inside: bool = False
    minutes: float = 2.0
    needs: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    uses_start: bool = False
    while_running: bool = False
    intake: bool = False
    acts: tuple[str, ...] = ()
    """What a caller does for it, from the book's `caller_may`."""
    applies: Mapping[str, str] = field(default_factory=dict)
    """Limits to a kind of unit: `{medium: air}`, `{voltage: "24"}` (`for` in YAML)."""
    unit: str = ""
    plausible: tuple[Edge, Edge] | None = None
    uncertainty: float | None = None
    of: tuple[str, ...] = ()
    """Band edges are fractions of the first of these that is known."""
    repeat: int = 1
    spread: Answer | None = None
    """The answer when repeated readings scatter; its `above` is the relative spread."""
    bands: tuple[Answer, ...] = ()
    answers: tuple[Answer, ...] = ()
    extra: tuple[Answer, ...] = ()
    """Answers beside the bands, without a number (`or` in YAML)."""
    items: tuple[Answer, ...] = ()
    readings: tuple[ReadingField, ...] = ()
    figure: str = ""
    inputs: Mapping[str, str] = field(default_factory=dict)
    """Figure input → `check`, `check.reading`, `family.value` (`from` in YAML)."""
    propose: Propose | None = None
    """When it may be proposed beside the tree; None: always. A step that asks it asks it in any case."""
    source: Source | None = None
    spot: Spot | None = None

    def routes(self) -> tuple[Answer, ...]:
        """Every answer by which a step can be left, in order, without `unknown`."""
        spread = (self.spread,) if self.spread else ()
        return (*self.answers, *self.bands, *spread, *self.extra)

    def answer(self, answer_id: str) -> Answer:
        """Return the answer, band or item of that id; KeyError if there is none."""
        for found in (*self.routes(), *self.items):
            if found.id == answer_id:
                return found
        raise KeyError(answer_id)


@dataclass(frozen=True, slots=True, kw_only=True)
class Sign:
    """One physical thing that can be observed, its levels running from normal to most striking."""

    id: str
    name: str
    levels: tuple[str, ...] = ("no", "yes")
    unprompted: tuple[float, ...] = (0.03,)
    """Chance of each level above normal with none of our causes acting."""
    excludes: tuple[str, ...] = ()
    applies: Mapping[str, str] = field(default_factory=dict)
    source: Source | None = None
    """What a chance in figures rests on."""
    spot: Spot | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Cause:
    """A reason for trouble; several may be present in one job."""

    id: str
    name: str
    kind: Kind
    lives: Lives
    share: float
    """A cause in that many of 100 jobs."""
    shows: Mapping[str, Mapping[str, float]] = field(default_factory=dict)
    """Sign id → level → chance that this level shows if this cause alone acts."""
    words: Mapping[str, Mapping[str, str]] = field(default_factory=dict)
    """The same as the author wrote it, for the screen."""
    leads_to: tuple[str, ...] = ()
    fixes: tuple[str, ...] = ()
    prevent: str = ""
    inside: str = ""
    """What happens inside, in a sentence or two."""
    applies: Mapping[str, str] = field(default_factory=dict)
    source: Source | None = None
    """What a chance in figures rests on."""
    spot: Spot | None = None


@dataclass(frozen=True, slots=True)
class Alike:
    """Two causes that no check of the book tells apart, and what would."""

    causes: tuple[str, str]
    because: str
    told_by: str
    """The check that would tell, though the book does not ask it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Caution:
    """What may hurt: shown before the act, in full the first time; DANGER is acknowledged."""

    id: str
    word: str
    """The hazard in one or two words, as printed beside the triangle."""
    grade: Grade
    text: str
    phone: str = ""
    stop_line: str = ""
    """The big line when a job is stopped for it."""
    then: tuple[str, ...] = ()
    """Short numbered lines under a stop."""
    source: Source | None = None
    spot: Spot | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Fix:
    """One thing to do that cures one or more causes."""

    id: str
    do: str
    how: str = ""
    phone: str = ""
    minutes: float = 10.0
    cures: tuple[str, ...] = ()
    who: Who = "technician"
    place: tuple[Place, ...] = ("bench", "site")
    cautions: tuple[str, ...] = ()
    parts: tuple[str, ...] = ()
    needs: tuple[str, ...] = ()
    uses_start: bool = False
    spot: Spot | None = None


@dataclass(frozen=True, slots=True)
class Rated:
    """One figure of a unit's plate: a class value, the maker's data come first."""

    value: float
    unit: str
    source: Source | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Family:
    """A class of unit with its rated data."""

    id: str
    name: str
    medium: str
    """One of `Book.media`."""
    voltage: int
    outputs: Mapping[str, float]
    """Output step → kW, lowest first."""
    rated: Mapping[str, Rated] = field(default_factory=dict)
    source: Source | None = None
    spot: Spot | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class GateQuestion:
    """One safety question, asked before anything else."""

    id: str
    no: int
    ask: str
    phone: str = ""
    place: tuple[Place, ...] = PLACES
    cautions: tuple[str, ...] = ()
    answers: tuple[Answer, ...] = ()
    unknown: str = ""
    """The answer that cannot-tell counts as: the most dangerous one."""
    spot: Spot | None = None

    def answer(self, answer_id: str) -> Answer:
        """Return the answer of that id, cannot-tell already resolved; KeyError if there is none."""
        wanted = self.unknown if answer_id == UNKNOWN else answer_id
        return next(a for a in self.answers if a.id == wanted)


@dataclass(frozen=True, slots=True, kw_only=True)
class Book:
    """All that a workshop knows."""

    title: str
    edition: str
    language: str
    reviewed: str
    fingerprint: str
    """Hash of all files of the book, without its texts in other languages: twelve hexadecimal digits."""
    words: Mapping[str, float]
    unprompted: float
    tools: Mapping[str, str]
    caller_may: Mapping[str, str]
    start_limit: Mapping[str, int]
    opening_minutes: float
    source: Source
    families: Mapping[str, Family]
    signs: Mapping[str, Sign]
    causes: Mapping[str, Cause]
    cautions: Mapping[str, Caution]
    checks: Mapping[str, Check]
    fixes: Mapping[str, Fix]
    gate: tuple[GateQuestion, ...]
    trees: Mapping[str, Tree]
    worked: Mapping[str, WorkedJob] = field(default_factory=dict)
    media: tuple[str, ...] = MEDIA
    """What units heat or work with: one of them is `medium` of each family."""
    highest_no: int = 0
    """Numbers of steps up to this one were given once and are never given again; kept by `sootline number`."""
    alike: tuple[Alike, ...] = ()
    """Pairs of causes that the book itself says it can't tell apart."""
    own: Book | None = field(default=None, repr=False, compare=False)
    """The book as it is written, where texts of another language are laid over it."""
    not_translated: int = 0
    """So many of its texts have none in the language that is shown."""

    @classmethod
    def load(cls, folder: str | Path, language: str = "") -> Book:
        """
        Read and prove the book in a folder, shown in another language as far as texts in it lie beside it.

        Raises BookError with all problems if it can't be used.
        """
        from trees.book.check import load_book

        return load_book(folder, language)

    @property
    def own_language(self) -> str:
        """The language in which it is written."""
        return self.own.language if self.own is not None else self.language

    def complaints(self) -> tuple[Tree, ...]:
        """Return the trees that a complaint opens, in the author's order."""
        return tuple(tree for tree in self.trees.values() if tree.complaint_words)
