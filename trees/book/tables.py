"""Which keys each kind of record may have, as plain data: read by `reader.py`, and the base of editors' schemas."""

from __future__ import annotations

from collections.abc import Mapping
from typing import get_args

from trees.book.fields import Forms, Items, Key, OneOrMore, Pairs, Table
from trees.book.model import Alike, Answer, Propose, Rated
from trees.book.shapes import (
    FRACTION,
    AppliesShape,
    Chance,
    EdgeShape,
    GivenShape,
    GoShape,
    LevelMap,
    Link,
    MediumShape,
    NumberOrPairs,
    SourceShape,
)
from trees.book.tree import Instead, Slower
from trees.book.values import Choice, Name, Number, Text, Truth
from trees.book.words import PLACES, PROOFS, EndKind, Grade, Kind, Lives, Who
from trees.book.worked import JOB_KINDS, Expected, Least

TEXT, LINES, TRUTH, NAME = Text(), Text(lines=True), Truth(), Name()
MINUTES = Number(0, 10_000)
POSITIVE = Number(1, 1_000_000, whole=True)
COUNT = Number(0, 10_000, whole=True)
SOURCE = Key(SourceShape())
FOR = Key(AppliesShape(), into="applies")
PLACE = Key(Items(Choice(PLACES), least=1))


def names(of: str) -> Key:
    """Return a key that holds a list of names of one kind."""
    return Key(Items(Name(of)))


_ALIKE = Table(
    "pair of causes that no check tells apart",
    {
        "causes": Key(Items(Name("cause"), exactly=2), needed=True),
        "because": Key(TEXT, needed=True),
        "told_by": Key(TEXT, needed=True),
    },
    make=Alike,
)

BOOK = Table(
    "book",
    {
        "title": Key(TEXT, needed=True),
        "edition": Key(TEXT, needed=True),
        "language": Key(TEXT, needed=True),
        "reviewed": Key(TEXT, needed=True),
        "words": Key(Pairs(NAME, FRACTION, least=1), needed=True),
        "unprompted": Key(FRACTION),
        "tools": Key(Pairs(NAME, TEXT)),
        "caller_may": Key(Pairs(NAME, TEXT), says="what a caller may be asked to do, for `acts` of checks"),
        "start_limit": Key(Table("start limit", {place: Key(COUNT, needed=True) for place in PLACES}), needed=True),
        "opening_minutes": Key(MINUTES, says="to open the unit, charged once a job"),
        "highest_no": Key(POSITIVE),
        "alike": Key(Items(_ALIKE, most=10)),
        "media": Key(Items(NAME, least=1), says="what units heat or work with; left out: air and coolant"),
        "source": Key(SourceShape(), needed=True),
    },
)

SIGN = Table(
    "sign",
    {
        "name": Key(TEXT, needed=True),
        "levels": Key(Items(NAME, least=2)),
        "unprompted": Key(NumberOrPairs(FRACTION)),
        "excludes": names("sign"),
        "for": FOR,
        "source": SOURCE,
    },
)

CAUSE = Table(
    "cause",
    {
        "name": Key(TEXT, needed=True),
        "kind": Key(Choice(get_args(Kind)), needed=True),
        "lives": Key(Choice(get_args(Lives)), needed=True),
        "share": Key(Number(0, 100), needed=True),
        "shows": Key(Pairs(Name("sign"), NumberOrPairs(Chance()))),
        "leads_to": names("cause"),
        "fixes": names("fix"),
        "prevent": Key(LINES),
        "inside": Key(LINES),
        "for": FOR,
        "source": SOURCE,
    },
)

CAUTION = Table(
    "caution",
    {
        "word": Key(TEXT, needed=True),
        "grade": Key(Choice(get_args(Grade)), needed=True),
        "text": Key(LINES, needed=True),
        "phone": Key(LINES),
        "stop_line": Key(TEXT),
        "then": Key(Items(TEXT)),
        "source": SOURCE,
    },
)

FIX = Table(
    "fix",
    {
        "do": Key(TEXT, needed=True),
        "how": Key(LINES),
        "phone": Key(LINES),
        "minutes": Key(MINUTES, needed=True),
        "cures": Key(Items(Name("cause")), needed=True),
        "who": Key(Choice(get_args(Who))),
        "place": PLACE,
        "cautions": names("caution"),
        "parts": Key(Items(TEXT)),
        "needs": names("tool"),
        "uses_start": Key(TRUTH),
    },
)

_RATED = Table(
    "rated value", {"value": Key(Number(), needed=True), "unit": Key(TEXT, needed=True), "source": SOURCE}, make=Rated
)

FAMILY = Table(
    "family",
    {
        "name": Key(TEXT, needed=True),
        "medium": Key(MediumShape(), needed=True),
        "voltage": Key(Number(0, 1000, whole=True), needed=True, says="0 for a unit without a supply"),
        "outputs": Key(Pairs(NAME, Number(0, 1000), least=1), needed=True),
        "rated": Key(Pairs(NAME, _RATED)),
        "source": SOURCE,
    },
)

_ID = Key(NAME, needed=True)
_MEANS = Key(TEXT, needed=True)
_ANSWER = {
    "id": _ID,
    "means": _MEANS,
    "says": Key(LevelMap()),
    "finds": names("cause"),
    "rules_out": names("cause"),
    "hints": names("cause"),
    "stop": Key(Name("caution")),
    "forbids_starts": Key(TRUTH),
    "no_start_until": Key(
        Items(Name("fix"), least=1), says="no start until one of these was made, or the check tells otherwise"
    ),
    "made": Key(Items(Name("fix"), least=1), says="fixes that were made, as the answer shows"),
    "source": SOURCE,
}
ANSWER = Table("answer", _ANSWER, make=Answer)
BAND = Table("band", {**_ANSWER, "upto": Key(EdgeShape()), "above": Key(EdgeShape())}, make=Answer)
SPREAD = Table("spread", {**_ANSWER, "above": Key(FRACTION, needed=True)}, make=Answer)
ITEM = Table(
    "item",
    {
        "id": _ID,
        "means": _MEANS,
        "group": Key(TEXT, says="a heading: items of one group stand together"),
        "alone": Key(TRUTH, says="it excludes all others, as none-of-these does"),
        "says": Key(LevelMap()),
        "finds": names("cause"),
        "hints": names("cause"),
        "else": Key(LevelMap(), into="otherwise", says="what the item says where it is left unticked"),
        "source": SOURCE,
    },
    make=Answer,
)
GATE_ANSWER = Table(
    "answer",
    {
        "id": _ID,
        "means": _MEANS,
        "stop": Key(Name("caution")),
        "forbids_starts": Key(TRUTH),
        "opens": Key(Name("tree")),
        "says": Key(LevelMap()),
        "hints": names("cause"),
        "source": SOURCE,
    },
    make=Answer,
)
READING = Table(
    "reading",
    {"unit": Key(TEXT, needed=True), "label": Key(TEXT), "plausible": Key(Items(Number(), exactly=2))},
)

GATE = Table(
    "gate question",
    {
        "no": Key(POSITIVE, needed=True, says="its number; `sootline number` writes one"),
        "ask": Key(TEXT, needed=True),
        "phone": Key(LINES),
        "place": PLACE,
        "cautions": names("caution"),
        "answers": Key(Items(GATE_ANSWER, least=2), needed=True),
        "unknown": Key(NAME, needed=True),
    },
)

_PROPOSE = Table(
    "proposal",
    {
        "in": Key(Items(Name("tree"), least=1), into="trees", says="in jobs of these trees only, or `after` a sign"),
        "after": Key(LevelMap(), says="only once one of these signs was seen, or `in` these trees"),
        "never_after": Key(LevelMap(), says="not once one of these signs was seen"),
    },
    make=Propose,
)
_CHECK = {
    "phone": Key(LINES),
    "may_mistake": Key(LINES),
    "how": Key(LINES),
    "proof": Key(Choice(PROOFS), says="how much its answer proves; left out, by the form"),
    "caller_proves": Key(TRUTH, says="by phone too its answer proves; otherwise it hints only"),
    "place": PLACE,
    "inside": Key(TRUTH, says="the unit must be opened for it"),
    "minutes": Key(MINUTES),
    "needs": names("tool"),
    "cautions": names("caution"),
    "uses_start": Key(TRUTH, says="it starts the unit, and counts against `start_limit`"),
    "while_running": Key(TRUTH, says="it needs the unit running"),
    "intake": Key(TRUTH, says="one of the questions of the intake, asked before the first step"),
    "acts": Key(Items(Name("caller act")), says="what a caller does for it"),
    "propose": Key(_PROPOSE, says="when it is proposed beside the tree; left out: always"),
    "for": FOR,
    "source": SOURCE,
}
_BANDS = {
    "unit": Key(TEXT),
    "plausible": Key(Items(EdgeShape(), exactly=2)),
    "uncertainty": Key(Number(0), says="one standard uncertainty of a reading, in the unit of the check"),
    "of": Key(Items(Link(figure=True), least=1), says="edges are fractions of the first of these that is known"),
    "bands": Key(Items(BAND, least=2)),
    "or": Key(Items(ANSWER), into="extra", says="answers beside the bands, without a number"),
}
_CHOICES = Key(Items(ANSWER, least=2), needed=True)

_CHECK_FORMS: dict[str, tuple[str, dict[str, Key]]] = {
    "ask": ("question", {"ask": Key(TEXT, needed=True, into="wording"), "answers": _CHOICES}),
    "look": ("look", {"look": Key(TEXT, needed=True, into="wording"), "answers": _CHOICES}),
    "measure": (
        "measurement",
        {
            "measure": Key(TEXT, needed=True, into="wording"),
            **_BANDS,
            "repeat": Key(Number(1, 20, whole=True), says="how many times it is measured"),
            "spread": Key(
                SPREAD, says="the answer when they scatter; `above`: largest less smallest, as a fraction of their mean"
            ),
            "readings": Key(Pairs(NAME, READING, least=1)),
        },
    ),
    "tick": (
        "list to tick",
        {"tick": Key(TEXT, needed=True, into="wording"), "items": Key(Items(ITEM, least=1), needed=True)},
    ),
    "figure": (
        "figure",
        {
            "figure": Key(Name("figure"), needed=True),
            "from": Key(Pairs(NAME, Link()), into="inputs", needed=True),
            **_BANDS,
        },
    ),
}

_GO, _TO = Key(GoShape()), Key(Name("step"))
_INSTEAD = Table(
    "question at another place",
    {
        "check": Key(Name("check"), needed=True),
        "go": Key(GoShape(), needed=True),
        "unknown": Key(Name("step")),
    },
    make=lambda check, go, unknown=None: Instead(check=check, go=go, unknown=unknown),
)
_STEP = {
    "no": Key(POSITIVE, needed=True, says="its number on paper and by phone; `sootline number` writes one"),
    "text": Key(LINES),
}

_STEP_KINDS: dict[str, tuple[str, dict[str, Key]]] = {
    "check": (
        "step that checks",
        {
            "check": Key(Name("check"), needed=True, into="refers"),
            "go": _GO,
            "then": _TO,
            "unknown": _TO,
            "instead": Key(Pairs(Choice(PLACES), _INSTEAD, least=1)),
            "for": FOR,
        },
    ),
    "run": ("step that runs a tree", {"run": Key(Name("tree"), needed=True, into="refers"), "then": _TO}),
    "over_to": ("step that hands over", {"over_to": Key(Name("tree"), needed=True, into="refers")}),
    "do": (
        "step that does a fix",
        {"do": Key(Name("fix"), needed=True, into="refers"), "go": _GO, "then": _TO},
    ),
    "return": ("step that returns", {"return": Key(TRUTH, needed=True, into="refers")}),
    "end": (
        "step that ends",
        {"end": Key(Choice(get_args(EndKind)), needed=True, into="refers"), "bring": Key(Items(TEXT))},
    ),
    "stop": ("step that stops", {"stop": Key(Name("caution"), needed=True, into="refers")}),
}

_LEAST = Table("least standing", {"probability": Key(FRACTION), "rank": Key(POSITIVE)}, make=Least)
_GIVEN = Key(Pairs(Text(), GivenShape()))
WORKED = Table(
    "worked job",
    {
        "title": Key(TEXT, needed=True),
        "words": Key(LINES, needed=True),
        "tree": Key(Name("tree")),
        "place": Key(Choice(PLACES)),
        "family": Key(Name("family")),
        "answers": _GIVEN,
        "after_repair": _GIVEN,
        "at_most": Key(POSITIVE),
        "notes": Key(Items(LINES)),
        "close": Key(Choice(get_args(EndKind))),
        "demo": Key(TRUTH),
        "expect": Key(
            Table(
                "expectation",
                {
                    "main": Key(OneOrMore(Name("cause"))),
                    "contributing": names("cause"),
                    "kind": Key(Items(Choice(JOB_KINDS))),
                    "found": names("cause"),
                    "end": Key(Choice(get_args(EndKind))),
                    "stopped": Key(Name("caution")),
                    "least": Key(Pairs(Name("cause"), _LEAST)),
                },
                make=Expected,
            )
        ),
    },
)

TREE_KEYS = {
    "title": Key(TEXT, needed=True),
    "complaint": Key(Table("complaint", {"words": Key(Items(TEXT, least=1), needed=True), "says": Key(LevelMap())})),
    "shared": Key(TRUTH),
    "handover": Key(TRUTH),
    "begin": Key(Name("step"), needed=True),
    "phone_exit": Key(Name("step")),
    "slower": Key(
        Table(
            "note why a tree is slower",
            {"per_cent": Key(Number(0, 10_000), needed=True), "because": Key(TEXT, needed=True)},
            make=Slower,
        )
    ),
    "source": SOURCE,
}


def _sisters(what: str, common: Mapping[str, Key], kinds: Mapping[str, tuple[str, dict[str, Key]]]) -> Forms:
    """Make one table for each kind; a key of a sister is told from one that is unknown."""
    homes: dict[str, list[str]] = {}
    for kind, (_, own) in kinds.items():
        for key in own:
            homes.setdefault(key, []).append(f"`{kind}`")
    tables = {
        kind: Table(
            called,
            {**own, **common},
            elsewhere={key: " and ".join(where) for key, where in homes.items() if key not in own and key not in kinds},
        )
        for kind, (called, own) in kinds.items()
    }
    return Forms(what, tables, make=lambda form, values: (form, values))


CHECK = _sisters("check", _CHECK, _CHECK_FORMS)
STEP = _sisters("step", _STEP, _STEP_KINDS)
TREE = Table("tree", {**TREE_KEYS, "steps": Key(Pairs(NAME, STEP, least=1), needed=True)})
