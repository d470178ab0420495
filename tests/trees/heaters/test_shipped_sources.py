"""What the shipped book calls published was really published, and is called opened only where its text was opened."""

from __future__ import annotations

from collections.abc import Iterator

from shipped_book import shipped

from trees.book.model import Source
from trees.book.standing import of_check, of_family

OPENED = {"Directive 2001/56/EC"}
"""Annex VI was retrieved in full when the check values of tests/published were gathered."""
QUOTED = {
    "EN 590",
    "EN 50291",
    "IEC 60751",
    "NIOSH values immediately dangerous to life or health",
    "Regulation (EC) 1272/2008",
}
"""Seen in public copies, summaries and guidance; the texts themselves were not opened. Add a source here with care."""


def sources() -> Iterator[Source]:
    """Yield what every number, answer and caution of the book rests on."""
    for check in shipped().checks.values():
        yield from (row.source for row in of_check(check, shipped().source))
        yield from (answer.source or shipped().source for answer in (*check.routes(), *check.items))
    for family in shipped().families.values():
        yield from (row.source for row in of_family(family, shipped().source))
    yield from (caution.source or shipped().source for caution in shipped().cautions.values())
    yield from (record.source or shipped().source for record in (*shipped().signs.values(), *shipped().causes.values()))


def test_published_sources_are_those_that_were_seen() -> None:
    """Nobody calls a number published by a source that nobody here has seen, nor opened what was only quoted."""
    published = {(source.name, source.seen) for source in sources() if source.standing == "published"}
    assert published <= {(name, "opened") for name in OPENED} | {(name, "quoted") for name in QUOTED}
    assert all(source.clause for source in sources() if source.standing == "published")


def test_limits_of_the_exhaust_are_those_of_the_directive() -> None:
    """Directive 2001/56/EC Annex VI, liquid fuel: CO 0.1 % by volume, smoke number 4: the edges that rest on it."""
    edges = {
        (check.id, band.upto if band.upto is not None else band.above)
        for check in shipped().checks.values()
        for band in check.bands
        if band.source is not None and band.source.name == "Directive 2001/56/EC"
    }
    assert edges == {("exhaust_co", 1000.0), ("smoke_number", 4.0)}


def test_rated_data_of_a_class_are_called_published_by_nobody() -> None:
    """Class values are generic: the unit's own plate and manual win, and no standard gives them."""
    rows = [row for family in shipped().families.values() for row in of_family(family, shipped().source)]
    assert rows
    assert {row.source.standing for row in rows} <= {"practice", "memory"}
