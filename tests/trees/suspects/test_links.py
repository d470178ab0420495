"""What closed jobs say of a link is counted beside the author's word, and only a contradiction is flagged."""

from __future__ import annotations

import pytest
from shipped_book import shipped

from trees.suspects.links import LinkSeen, SingleJob, binomial_tail, links_seen


def test_tail_of_a_binomial_count_is_that_worked_by_hand() -> None:
    """Four of four at one half: 1/16. None of two at 0.2: 0.64. One of two at 0.5 lies on the mean: 0.75."""
    assert binomial_tail(4, 4, 0.5) == pytest.approx(1 / 16, abs=1e-15)
    assert binomial_tail(0, 2, 0.2) == pytest.approx(0.64, abs=1e-15)
    assert binomial_tail(1, 2, 0.5) == pytest.approx(0.75, abs=1e-15)


def test_link_is_counted_only_where_somebody_asked() -> None:
    """Three jobs had the cause; in two its sign was asked, in one it showed; a sign that it lacks is no link."""
    book = shipped()
    cause = book.causes["screen_blocked"]
    sign = next(iter(cause.shows))
    foreign = next(name for name in book.signs if name not in cause.shows)
    normal, striking = book.signs[sign].levels[0], book.signs[sign].levels[-1]
    jobs = [
        SingleJob(cause.id, {sign: striking}),
        SingleJob(cause.id, {sign: normal}),
        SingleJob(cause.id, {foreign: "x"}),
    ]
    (row,) = links_seen(book, jobs)
    assert (row.cause, row.sign, row.seen, row.asked) == (cause.id, sign, 1, 2)
    link, unprompted = sum(cause.shows[sign].values()), sum(book.signs[sign].unprompted)
    assert row.expected == pytest.approx(1 - (1 - link) * (1 - unprompted), abs=1e-12)
    assert not row.conflict


def test_count_far_from_the_word_is_flagged_and_said() -> None:
    """Seen in 3 of 14 where the book says usually (0.8): the tail is far below one in a hundred."""
    row = LinkSeen("c", "s", "usually", 0.8, 3, 14, binomial_tail(3, 14, 0.8))
    assert row.tail < 1e-4
    assert row.sentence == "usually, seen in 3 of 14 single-cause jobs. The jobs contradict the author."


def test_no_jobs_no_links() -> None:
    """Nothing closed, nothing told."""
    assert links_seen(shipped(), []) == ()
