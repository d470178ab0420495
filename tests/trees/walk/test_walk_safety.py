"""What keeps a job safe: the gate, cautions, the start limit, and stops that nothing undoes."""

from __future__ import annotations

from dataclasses import replace

import pytest
from small_book import small_book
from small_walk import TODAY, at_dose, at_supply, begin

from trees.book.model import Answer, Book, GateQuestion
from trees.errors import WalkError
from trees.walk import Entry, Walk

# ── steps ───────────────────────────────────────────────────────────────────


# ── gate ────────────────────────────────────────────────────────────────────


def test_gate_comes_first() -> None:
    """The safety questions are asked before the first step of the tree."""
    walk = Walk.begin(small_book(), words="smokes", tree="smoke_on_start").taken_up(*TODAY)
    assert [walk.question.kind, walk.question.no] == ["gate", 1]
    walk = walk.answer("no")
    assert [walk.question.kind, walk.question.no] == ["gate", 2]
    assert walk.answer("no").question.no == 201


def test_danger_now_stops_for_good() -> None:
    """A stopping answer ends the job: no answer, take-back, skip or change leads past it."""
    walk = Walk.begin(small_book(), words="smokes", tree="smoke_on_start").taken_up(*TODAY).answer("yes")
    assert (walk.question.kind, walk.question.wording) == ("stop", "STOP: carbon monoxide")
    for attempt in (walk.back, walk.skip, lambda: walk.answer("no"), lambda: walk.take_back(3), walk.cannot_tell):
        with pytest.raises(WalkError, match="stopped for safety"):
            attempt()
    assert walk.note("ambulance came").now.notes[0][1] == "ambulance came"
    with pytest.raises(WalkError, match="can't be closed as: Released"):
        walk.close("released")
    assert walk.close("out_of_service").question.kind == "closed"


def test_cannot_tell_at_the_gate_takes_the_dangerous_way() -> None:
    """Not knowing whether there is danger counts as danger."""
    walk = Walk.begin(small_book(), words="smokes", tree="smoke_on_start").taken_up(*TODAY).cannot_tell()
    assert walk.now.stopped == "gas"


def test_history_opens_the_matching_tree_and_forbids_starts() -> None:
    """An alarm of the past walks the exhaust tree; what needs a start is blocked with its reason."""
    walk = Walk.begin(small_book(), words="smokes", tree="smoke_on_start").taken_up(*TODAY).answer("no").answer("yes")
    assert (walk.now.tree, walk.now.complaint, walk.question.no) == ("exhaust_inside", "smoke_on_start", 501)
    walk = walk.answer("clean")
    assert walk.question.no == 503
    assert "No start in this job: an alarm sounded" in walk.question.blocked
    with pytest.raises(WalkError, match="No start in this job"):
        walk.answer("short")
    assert walk.cannot_tell().question.kind == "end"


def test_gate_is_asked_again_on_another_day_or_by_another_seat() -> None:
    """Danger now is asked anew; history is not, and the walk goes on where it stood."""
    walk = at_supply().taken_up(*TODAY)
    assert walk.question.no == 301, "same seat, same day"
    for seat, day in (("bench one", "2026-01-06"), ("bench two", "2026-01-05")):
        again = walk.taken_up(seat, day)
        assert (again.question.kind, again.question.no) == ("gate", 1)
        assert again.answer("no").question.no == 301


# ── cautions ────────────────────────────────────────────────────────────────


def test_danger_is_read_before_the_act() -> None:
    """An answer that means the act was done is refused until the DANGER caution was acknowledged."""
    walk = begin()
    assert [c.id for c in walk.question.unread] == ["gas"]
    with pytest.raises(WalkError, match="acknowledge the caution first: CO"):
        walk.answer("stays")
    assert walk.cannot_tell().question.no == 301, "not doing it needs no reading"
    assert walk.acknowledge("gas").answer("stays").question.no == 301


def test_another_seat_reads_the_caution_itself() -> None:
    """What one person read does not count for the next."""
    walk = begin().acknowledge("gas").taken_up("bench two", "2026-01-05").answer("no")
    assert [c.id for c in walk.question.unread] == ["gas"]


# ── start limit ─────────────────────────────────────────────────────────────


def test_start_limit_blocks_with_its_reason() -> None:
    """When the allowed starts are used up the next one is blocked, and says why."""
    walk = begin(start_limit={"bench": 0})
    assert walk.question.blocked == "0 starts were made in this job; the book allows 0 at the bench."


# ── stops ───────────────────────────────────────────────────────────────────


def stopping_book() -> Book:
    """Return the small book with a stop behind an answer that another place does not meet."""
    book = small_book()
    insert = replace(
        book.checks["insert"], answers=(*book.checks["insert"].answers, Answer(id="fuel", means="Petrol", stop="gas"))
    )
    tree = replace(
        book.trees["smoke_on_start"],
        steps={
            **book.trees["smoke_on_start"].steps,
            "insert": replace(
                book.trees["smoke_on_start"].steps["insert"], go={"clean": "done", "coked": "work", "fuel": "done"}
            ),
        },
    )
    return small_book(checks={**book.checks, "insert": insert}, trees={**book.trees, "smoke_on_start": tree})


def stopped_by_a_look() -> Walk:
    """Return a job that a bench look stopped."""
    walk = Walk.begin(stopping_book(), words="x", tree="smoke_on_start", family="air2").taken_up(*TODAY)
    walk = walk.answer("no").answer("no").acknowledge("gas").answer("short").answer("none").answer("no").tick(["low"])
    return walk.answer("fuel")


def test_stop_survives_hand_over_family_and_another_edition() -> None:
    """Once written, a stop stays whatever is replayed, and nothing can be changed behind it."""
    walk = stopped_by_a_look()
    assert (walk.now.stopped, walk.entries[-1].kind) == ("gas", "stopped")
    for attempt in (lambda: walk.set_place("phone"), lambda: walk.set_family("water5"), lambda: walk.work("x")):
        with pytest.raises(WalkError, match="stopped for safety"):
            attempt()
    forced = Walk.resume(
        walk.book, (*walk.entries, Entry("place", {"place": "phone"}), Entry("family", {"family": None}))
    )
    assert forced.question.kind == "stop"
    assert Walk.resume(small_book(), walk.entries).now.stopped == "gas", "another edition without that answer"


@pytest.mark.parametrize("end", ["released", "no_fault", "settled_by_phone"])
def test_stopped_job_is_closed_only_as_what_keeps_it_off(end: str) -> None:
    """A stop is never closed as if all were well."""
    with pytest.raises(WalkError, match="can't be closed as"):
        stopped_by_a_look().close(end)
    assert stopped_by_a_look().close("out_of_service").now.closed == "out_of_service"


def test_released_only_behind_the_handover_readings() -> None:
    """Before the gate, after it, and in the middle of a tree nothing is released; no end of one's own either."""
    begun = Walk.begin(small_book(), words="x", tree="smoke_on_start").taken_up(*TODAY)
    with pytest.raises(WalkError, match="safety questions come first"):
        begun.close("no_fault")
    with pytest.raises(WalkError, match="this job is not there"):
        at_dose().close("released")
    with pytest.raises(WalkError, match="no end named"):
        at_dose().close("banana")
    assert at_dose().close("to_workshop").now.closed == "to_workshop"


def test_history_taken_back_is_asked_again_on_any_day() -> None:
    """Taking back an answer of the gate leaves its question open, also on a later day."""
    walk = Walk.begin(small_book(), words="x", tree="smoke_on_start").taken_up(*TODAY).answer("no").answer("yes")
    later = walk.taken_up("bench one", "2026-01-06").answer("no")
    history = next(g.no for g in later.now.givens if g.subject == "alarm_before")
    assert later.now.starts_forbidden
    again = later.take_back(history)
    assert (again.question.kind, again.question.no) == ("gate", 2)


def test_place_of_a_run_is_asked_again_and_the_newest_answer_counts() -> None:
    """A gate question about now is asked each day; yesterday's enclosed place does not forbid starts for ever."""
    where = GateQuestion(
        id="run_place", no=3, ask="Where would it run?",
        answers=(Answer(id="open", means="Open"), Answer(id="shut", means="Enclosed", forbids_starts=True)),
        unknown="shut",
    )  # fmt: skip
    walk = Walk.begin(small_book(gate=(*small_book().gate, where)), words="x", tree="smoke_on_start").taken_up(*TODAY)
    walk = walk.answer("no").answer("no").answer("shut")
    assert walk.now.starts_forbidden == "Enclosed"
    later = walk.taken_up("bench one", "2026-01-06").answer("no")
    assert later.question.no == 3
    assert later.answer("open").now.starts_forbidden == ""


def test_back_never_reaches_over_open_safety_questions() -> None:
    """On a new day `back` does not take yesterday's answer back."""
    with pytest.raises(WalkError, match="safety questions come first"):
        at_supply().taken_up("bench one", "2026-01-06").back()
