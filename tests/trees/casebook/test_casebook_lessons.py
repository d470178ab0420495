"""What closed jobs teach, against numbers worked out by hand."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from small_book import small_book

from trees.casebook import Casebook
from trees.casebook.lessons import (
    CheckAnswer,
    Repeat,
    Told,
    first_visit,
    idle_checks,
    minutes_by_tree,
    pareto,
    repeats,
    told_jobs,
    wilson,
)
from trees.walk import Entry, Walk, beside


def told(
    number: int,
    *causes: str,
    day: int = 1,
    serial: str = "",
    end: str = "released",
    tree: str = "smoke",
    minutes: float = 30.0,
    reopened: bool = False,
    answers: tuple[CheckAnswer, ...] = (),
) -> Told:
    """Return a job that was opened on a day of 2026, counted from New Year, and closed a day later."""
    from datetime import date, timedelta

    first = date(2025, 12, 31) + timedelta(days=day)
    return Told(
        f"J-{number:04d}",
        f"{first}T08:00:00.000Z",
        f"{first + timedelta(days=1)}T08:00:00.000Z",
        end,
        tree,
        serial,
        frozenset(causes),
        minutes,
        reopened,
        answers,
    )


def test_interval_by_hand() -> None:
    """One of ten: (0.1 + 3.8415/20 ± 1.95996 √(0.09/10 + 3.8415/400)) / 1.38415 = 0.0179 to 0.4041."""
    low, high = wilson(1, 10)
    # z² = 3.841459; middle 0.2920729/1.3841459 = 0.2110131; reach 1.959964·√0.01860365/1.3841459 = 0.1931367
    assert low == pytest.approx(0.2110131 - 0.1931367, abs=2e-6)
    assert high == pytest.approx(0.2110131 + 0.1931367, abs=2e-6)
    # None of ten: the upper end is z²/(n + z²) = 3.841459/13.841459.
    assert wilson(0, 10) == (0.0, pytest.approx(3.841459 / 13.841459, abs=1e-6))
    assert wilson(0, 0) == (0.0, 1.0)
    for seen, of in ((-1, 3), (4, 3)):
        with pytest.raises(ValueError, match="is no count"):
            wilson(seen, of)


@given(st.integers(1, 2000).flatmap(lambda of: st.tuples(st.integers(0, of), st.just(of))))
def test_interval_holds_the_share(counts: tuple[int, int]) -> None:
    """The interval lies within 0 to 1, holds the share, and is that of the other outcome turned round."""
    seen, of = counts
    low, high = wilson(seen, of)
    assert 0.0 <= low <= seen / of <= high <= 1.0
    assert wilson(of - seen, of) == (pytest.approx(1.0 - high), pytest.approx(1.0 - low))


def test_pareto() -> None:
    """Ten jobs in which a cause was found, one more in which none was: coke in six, oversized in three, pump in one."""
    jobs = [told(n, "coke") for n in range(5)] + [told(5, "coke", "oversized"), told(6, "oversized")]
    jobs += [told(7, "oversized"), told(8, "pump"), told(9, "strainer"), told(10)]
    rows = pareto(jobs)
    # 6 + 3 + 1 + 1 = 11 findings in 10 jobs
    assert [(row.cause, row.jobs, row.of, row.share) for row in rows] == [
        ("coke", 6, 10, 0.6),
        ("oversized", 3, 10, 0.3),
        ("pump", 1, 10, 0.1),
        ("strainer", 1, 10, 0.1),
    ]
    assert [row.running for row in rows] == pytest.approx([6 / 11, 9 / 11, 10 / 11, 1.0])
    assert (rows[2].low, rows[2].high) == wilson(1, 10)
    assert pareto([told(1)]) == ()


def test_repeats() -> None:
    """Unit A came on days 1, 11 and 41: 9 and 29 days after each closing; coke was found twice."""
    jobs = [
        told(3, "coke", day=41, serial="A"),
        told(1, "coke", "oversized", day=1, serial="A"),
        told(2, "pump", day=11, serial="A"),
        told(4, "pump", day=2, serial="B"),
        told(5, day=3),
        told(6, day=4),
    ]
    assert repeats(jobs) == (Repeat("A", ("J-0001", "J-0002", "J-0003"), (9.0, 29.0), ("coke",)),)


def test_first_visit() -> None:
    """Of five settled jobs three were cured: one was reopened, one unit came back after 10 days, one after 101."""
    jobs = [
        told(1, serial="A", day=1),  # back after 10 days: not cured
        told(2, serial="A", day=12, end="to_workshop"),  # not settled: not counted
        told(3, serial="B", day=1),  # back after 101 days: cured
        told(4, serial="B", day=103),
        told(5, reopened=True),
        told(6, end="settled_by_phone"),
        told(7, end="out_of_service"),
    ]
    rate = first_visit(jobs)
    assert (rate.cured, rate.of, rate.per_100) == (3, 5, 60.0)
    low, high = wilson(3, 5)
    assert (rate.low, rate.high) == (100 * low, 100 * high)
    assert (first_visit([]).of, first_visit([]).low, first_visit([]).high) == (0, 0.0, 100.0)


def test_minutes_by_tree() -> None:
    """The median of 10, 20, 60 is 20 and of 5, 8 is 6.5; the most frequent complaint comes first."""
    jobs = [told(n, minutes=m) for n, m in enumerate((60.0, 10.0, 20.0))]
    jobs += [told(n, minutes=m, tree="no_start") for n, m in ((8, 5.0), (9, 8.0))]
    rows = minutes_by_tree(jobs)
    assert [(r.tree, r.jobs, r.median, r.lowest, r.highest) for r in rows] == [
        ("smoke", 3, 20.0, 10.0, 60.0),
        ("no_start", 2, 6.5, 5.0, 8.0),
    ]


def test_idle_checks() -> None:
    """Idle is what was answered alike in at least so many jobs and never pointed at a cause."""

    def job(n: int) -> Told:
        return told(
            n,
            answers=(
                CheckAnswer("always_good", "good", False, 6.0),
                CheckAnswer("varies", "good" if n else "low", False, 9.0),
                CheckAnswer("points", "yes", n == 3, 2.0),
                CheckAnswer("corrected", "low", False, 1.0),
                CheckAnswer("corrected", "good", False, 1.0),
            ),
        )

    rows = idle_checks([job(n) for n in range(5)], least=5)
    assert [(row.check, row.answer, row.asked, row.minutes) for row in rows] == [
        ("always_good", "good", 5, 30.0),
        ("corrected", "good", 5, 5.0),
    ]
    assert idle_checks([job(n) for n in range(4)], least=5) == ()


def test_jobs_of_a_casebook(tmp_path: Path) -> None:
    """A closed job of the store tells cause, minutes, tree, serial and answers; open and invented ones tell nothing."""
    book = small_book()
    walk = Walk.begin(book, words="smokes", tree="smoke_on_start", place="bench", family="air2")
    walk = beside.unit(walk.taken_up("bench", "2026-01-05").answer("no").answer("no"), "A-1")
    walk = walk.acknowledge("gas").answer("short").reading("6.6").answer("no").tick([]).answer("coked")
    closed = walk.answer("cured").reading("12.6").close("released", "Told the owner.")
    with Casebook.open(tmp_path / "casebook.sqlite3") as casebook:
        number = casebook.new_job(closed.entries).number
        casebook.new_job(walk.entries)
        casebook.new_job(closed.entries, invented=True)
        casebook.new_job([Entry("began", {"words": "x"}), Entry("rated", {}), Entry("closed", {"end": "released"})])
        (one,) = told_jobs(casebook, book)
        (shown,) = told_jobs(casebook, book, invented=True)
    assert (one.number, one.tree, one.end, one.serial, one.reopened) == (
        number,
        "smoke_on_start",
        "released",
        "A-1",
        False,
    )
    assert one.causes == {c for c, f in closed.findings.items() if f.state == "found"} == {"insert_coked"}
    assert one.minutes == closed.now.minutes > 0
    assert (one.answers[0].check, one.answers[0].answer, one.answers[0].pointed) == (
        "smoke",
        "short",
        False,
    )
    assert [answer.answer for answer in one.answers if answer.pointed] == ["coked"]
    assert shown.number != number
