"""Jobs of the small book, walked to where tests begin."""

from __future__ import annotations

from small_book import small_book

from trees.walk import Walk

TODAY = ("bench one", "2026-01-05")


def begin(place: str = "bench", family: str | None = "air2", **changes: object) -> Walk:
    """Return a job that has passed the gate."""
    walk = Walk.begin(small_book(**changes), words="smokes", tree="smoke_on_start", place=place, family=family)  # type: ignore[arg-type]
    return walk.taken_up(*TODAY).answer("no").answer("no")


def at_supply() -> Walk:
    """Return a job that stands at the rested voltage inside the shared tree."""
    return begin().acknowledge("gas").answer("stays")


def at_dose() -> Walk:
    """Return a job that came back from the shared tree to the dose."""
    return at_supply().reading("12.7").reading("12.0").take_figure()
