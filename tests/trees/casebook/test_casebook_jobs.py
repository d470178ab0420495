"""Jobs: numbers, the day list's summaries, and what a job is found by."""

from __future__ import annotations

import json
from datetime import UTC, datetime, timedelta

import pytest
from stores import Store

from trees.casebook import Casebook, JobSummary
from trees.errors import CasebookError
from trees.walk import Entry


def test_jobs_are_numbered_in_order(casebook: Casebook, began: Entry) -> None:
    """Jobs get J-0001, J-0002 … in the order in which they were begun."""
    assert [casebook.new_job([began]).number for _ in range(3)] == ["J-0001", "J-0002", "J-0003"]


def test_number_after_one_given_by_hand(casebook: Casebook, began: Entry) -> None:
    """The next number goes on from the highest J- number, also past J-9999 and past numbers of another form."""
    casebook.new_job([began], number="J-9999")
    casebook.new_job([began], number="J-0500")
    casebook.new_job([began], number="HUT-3")
    assert [casebook.new_job([began]).number for _ in range(2)] == ["J-10000", "J-10001"]


def test_number_that_is_taken(casebook: Casebook, began: Entry) -> None:
    """A number is given once; the second job of that number is refused and leaves nothing behind."""
    casebook.new_job([began], number="HUT-3")
    with pytest.raises(CasebookError, match=r"^There is a job HUT-3 in .* already; choose another\.$"):
        casebook.new_job([began], number="HUT-3")
    assert [row.number for row in casebook.jobs()] == ["HUT-3"]


@pytest.mark.parametrize("number", ["", "../J-1", "J 1", ".J", "J-1\n", "x" * 41, "Jé"])
def test_number_that_is_none(casebook: Casebook, began: Entry, number: str) -> None:
    """A number is fit for a file name: it can't lead to another folder."""
    with pytest.raises(CasebookError, match="is no number for a job"):
        casebook.new_job([began], number=number)


def test_job_begins_with_its_complaint(casebook: Casebook) -> None:
    """A job without `began` as its first entry is refused."""
    for entries in ([], [Entry("note", {"text": "first"})]):
        with pytest.raises(CasebookError, match="first entry must be `began`"):
            casebook.new_job(entries)


def test_new_job_is_kept_whole_or_not_at_all(casebook: Casebook, began: Entry) -> None:
    """Where one of the first entries can't be kept, no part of the job is there."""
    with pytest.raises(CasebookError, match="no plain JSON"):
        casebook.new_job([began, Entry("answer", {"check": object()})])
    assert casebook.jobs() == ()
    assert casebook.new_job([began]).number == "J-0001"


@pytest.mark.parametrize("asked", ["J-0012", " J-0012 ", "j-12", "J12", "12", "0012"])
def test_job_is_found_by_its_figure(casebook: Casebook, began: Entry, asked: str) -> None:
    """A job is found by its number as people say it."""
    made = casebook.new_job([began], number="J-0012")
    assert casebook.job(asked) == made


def test_exact_number_goes_first(casebook: Casebook, began: Entry) -> None:
    """Where one job is named 12 and another J-0012, each is found by its own number."""
    long, short = casebook.new_job([began], number="J-0012"), casebook.new_job([began], number="12")
    assert (casebook.job("12"), casebook.job("J-0012")) == (short, long)


@pytest.mark.parametrize("asked", ["J-0002", "", "'; DROP TABLE job; --", "\ud800", "\0"])
def test_job_that_is_not_there(casebook: Casebook, began: Entry, asked: str) -> None:
    """A number that no job has is answered with a sentence."""
    casebook.new_job([began])
    with pytest.raises(CasebookError, match=r"^There is no job .* in .*; `sootline jobs` lists them\.$"):
        casebook.job(asked)


def test_summary_of_a_new_job(casebook: Casebook, began: Entry) -> None:
    """A new job's summary says what the complaint was, where it is and who has it."""
    casebook.new_job([began], invented=True)
    assert casebook.jobs() == (
        JobSummary(
            number="J-0001",
            words="White smoke at the mooring",
            tree="smoke",
            place="bench",
            family="air_2_12",
            opened_at="2026-03-02T08:00:02.000Z",
            last_at="2026-03-02T08:00:02.000Z",
            closed=None,
            closed_at=None,
            seat="bench",
            entries=1,
            invented=True,
        ),
    )


def test_summary_follows_the_entries(casebook: Casebook, began: Entry) -> None:
    """Place, family, seat, closing and reopening are on the day list as soon as they are entered."""
    job = casebook.new_job([began])
    steps = [
        (Entry("place", {"place": "phone"}), ("place", "phone")),
        (Entry("family", {"family": "coolant_5_24"}), ("family", "coolant_5_24")),
        (Entry("family", {"family": None}), ("family", None)),
        (Entry("taken_up", {"seat": "helpline", "date": "2026-03-02"}), ("seat", "helpline")),
        (Entry("note", {"text": "Called back"}), ("seat", "helpline")),
        (Entry("closed", {"end": "released", "text": ""}), ("closed", "released")),
        (Entry("reopened", {"reason": "Smokes again"}), ("closed", None)),
    ]
    for no, (entry, (name, value)) in enumerate(steps, start=2):
        stored = casebook.append(job, entry, no)
        (row,) = casebook.jobs()
        assert (getattr(row, name), row.entries, row.last_at) == (value, no, stored.at)
    assert (row.closed_at, row.state, row.opened_at) == (None, "open", job.opened_at)


def test_summary_is_the_same_however_the_entries_came(casebook: Casebook, began: Entry) -> None:
    """A job that was kept with all its entries at once has the summary of one that was kept entry by entry."""
    rest = [
        Entry("taken_up", {"seat": "helpline", "date": "2026-03-02"}),
        Entry("place", {"place": "site"}),
        Entry("closed", {"end": "no_fault", "text": "Dry"}),
    ]
    casebook.new_job([began, *rest])
    job = casebook.new_job([began])
    for no, entry in enumerate(rest, start=2):
        casebook.append(job, entry, no)
    one, other = (row.as_json() for row in casebook.jobs())
    for time in ("opened_at", "last_at", "closed_at", "number"):
        del one[time], other[time]
    assert one == other


def test_closed_jobs_leave_the_day_list(casebook: Casebook, began: Entry) -> None:
    """The day list has the open jobs, the last touched first; all jobs can be had too."""
    first, second, third = (casebook.new_job([began]) for _ in range(3))
    casebook.append(second, Entry("closed", {"end": "released", "text": ""}), 2)
    casebook.append(first, Entry("note", {"text": "Waits for a pump"}), 2)
    assert [row.number for row in casebook.jobs(open_only=True)] == [first.number, third.number]
    assert [row.number for row in casebook.jobs()] == [first.number, second.number, third.number]


def test_job_open_at_another_seat(store: Store, casebook: Casebook, began: Entry) -> None:
    """An open job shows the other seat that has it; one's own and a closed one show none."""
    job = casebook.new_job([began])
    with Casebook.open(store.where, seat="helpline") as helpline:
        helpline.append(job, Entry("taken_up", {"seat": "helpline", "date": "2026-03-02"}), 2)
    (row,) = casebook.jobs()
    assert (row.elsewhere("bench"), row.elsewhere("helpline")) == ("helpline", None)
    casebook.append(job, Entry("closed", {"end": "released", "text": ""}), 3)
    (row,) = casebook.jobs()
    assert row.elsewhere("bench") is None


def test_summary_as_json(casebook: Casebook, began: Entry) -> None:
    """A summary is plain JSON under the names of its fields, with the state."""
    casebook.new_job([began])
    (row,) = casebook.jobs()
    found = json.loads(json.dumps(row.as_json()))
    assert (found["number"], found["words"], found["state"]) == ("J-0001", "White smoke at the mooring", "open")


def test_times_are_utc(store: Store, began: Entry) -> None:
    """An entry's time is UTC, whatever zone the clock tells it in."""
    from datetime import timezone

    def clock() -> datetime:
        return datetime(2026, 3, 2, 0, 30, tzinfo=timezone(timedelta(hours=2)))

    with Casebook.open(store.where, clock=clock) as casebook:
        assert casebook.new_job([began]).opened_at == "2026-03-01T22:30:00.000Z"


def test_clock_set_back(casebook: Casebook, began: Entry, clock) -> None:  # type: ignore[no-untyped-def]
    """A clock that was set back changes no order: entries stand as they were made."""
    job = casebook.new_job([began])
    clock.now = datetime(2001, 1, 1, tzinfo=UTC)
    casebook.append(job, Entry("note", {"text": "later"}), 2)
    stored = casebook.entries(job)
    assert [one.no for one in stored] == [1, 2]
    assert stored[1].at < stored[0].at


def test_jobs_stand_after_reopening(store: Store, began: Entry) -> None:
    """What one program kept, the next one finds, with its mark as invented."""
    with Casebook.open(store.where, seat="bench") as first:
        made = first.new_job([began], invented=True)
    with Casebook.open(store.where, create=False) as second:
        assert second.job("J-0001") == made
        assert second.jobs()[0].invented is True
