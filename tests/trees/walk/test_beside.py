"""What a job holds beside its answers: each kind of entry, what it amounts to, and where it is refused."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import pytest
from small_book import small_book

from trees.book.model import Book
from trees.errors import WalkError
from trees.walk import Entry, Walk, beside
from trees.walk.entries import KINDS, EntryKind

HASH = "0123456789abcdef" * 4


def book(**changes: object) -> Book:
    """Return the small book with two tools and one question of the intake."""
    small = small_book(tools={"multimeter": "Multimeter", "feeler_gauge": "Feeler gauge"}, **changes)
    checks = {**small.checks, "habits": replace(small.checks["habits"], intake=True)}
    return replace(small, checks=checks)


def begun(place: str = "bench") -> Walk:
    """Return a job that has passed the gate."""
    walk = Walk.begin(book(), words="smokes", tree="smoke_on_start", place=place, family="air2")  # type: ignore[arg-type]
    return walk.taken_up("bench", "2026-01-05").answer("no").answer("no")


def at_release() -> Walk:
    """Return a job that stands at its release."""
    entries = [e for e in begun().entries if e.kind != "began"]
    small = small_book()
    tree = next(
        t for t in small.trees.values() if any(s.kind == "end" and s.refers == "released" for s in t.steps.values())
    )
    end = next(s for s in tree.steps.values() if s.kind == "end" and s.refers == "released")
    only = replace(tree, begin=end.id)
    there = replace(small, trees={**small.trees, tree.id: only})
    return Walk(there, (Entry("began", {"words": "x", "tree": tree.id, "place": "bench"}), *entries))


def brought(walk: Walk, kind: EntryKind, data: dict[str, object], visit: str = "") -> Walk:
    """Return a walk with an entry as only a file from elsewhere brings it."""
    return replace(walk, entries=(*walk.entries, Entry(kind, data, visit)))


def closed(walk: Walk) -> Walk:
    return walk.close("to_workshop")


def test_plate_of_the_unit() -> None:
    """The serial number is kept as typed without double blanks; the last one counts."""
    walk = beside.unit(beside.unit(begun(), "A-1"), " B  2 ", "plate bent")
    assert (walk.now.beside.serial, walk.now.beside.unit_text) == ("B 2", "plate bent")
    with pytest.raises(WalkError, match="Type the serial number"):
        beside.unit(walk, " ")


def test_tools_that_are_not_at_hand() -> None:
    """The last word on tools counts; a tool that the book does not have is refused."""
    walk = beside.tools(begun(), ["multimeter", "feeler_gauge"])
    assert walk.now.beside.tools_missing == {"multimeter", "feeler_gauge"}
    assert beside.tools(walk, []).now.beside.tools_missing == frozenset()
    with pytest.raises(WalkError, match="no tool named spoon"):
        beside.tools(walk, ["spoon"])


def test_fact_of_the_intake_is_an_answer() -> None:
    """An answer of the intake that a file brings counts as one: known, it speaks of causes, it can be taken back."""
    walk = brought(begun(), "fact", {"check": "habits", "ticked": ["low"]}, "fact:habits")
    given = walk.now.givens[-1]
    assert (given.subject, [a.id for a in given.chosen], given.visit) == ("habits", ["low"], "fact:habits")
    assert walk.now.known is not None
    assert walk.now.known.of("habits") == given
    assert walk.findings != begun().findings
    assert walk.trail[-1].answered == given.means
    back = walk.take_back(given.no)
    assert back.findings == begun().findings
    again = brought(walk, "fact", {"check": "habits", "ticked": []}, "fact:habits")
    assert [s.why for s in again.now.struck] == ["changed"]


def test_waiting_and_the_call_that_ends_it() -> None:
    """A job waits for one thing until a day; a call that reaches the customer ends it, another moves the day."""
    walk = beside.wait(begun(), "call_back", "2026-01-07", "owner at sea")
    assert walk.now.beside.waiting == beside.Waiting("call_back", "2026-01-07", "owner at sea")
    later = beside.call_back(walk, reached=False, due="2026-01-09T08:00+01:00")
    assert later.now.beside.waiting == beside.Waiting("call_back", "2026-01-09T08:00+01:00", "owner at sea")
    reached = beside.call_back(later, reached=True, text="comes on Friday")
    assert (reached.now.beside.waiting, reached.now.beside.called_back) == (None, True)
    parts = beside.wait(reached, "parts")
    assert beside.wait(parts, "").now.beside.waiting is None
    assert closed(parts).now.beside.waiting is None
    with pytest.raises(WalkError, match="waits for nothing"):
        beside.wait(reached, "")
    with pytest.raises(WalkError, match="waits for one of: parts, questionnaire, call_back"):
        beside.wait(walk, "spring")
    with pytest.raises(WalkError, match="tomorrow is no day"):
        beside.wait(walk, "parts", "tomorrow")


def test_remark_names_its_step() -> None:
    """A remark goes to the present step, to one passed before, or to the book; also after the job was closed."""
    walk = begun()
    here = beside.remark(walk, " Ask for the age ")
    (said,) = here.now.beside.remarks
    step = walk.book.trees["smoke_on_start"].steps[said.step]
    assert (said.tree, said.text, said.step_no) == ("smoke_on_start", "Ask for the age", step.no)
    assert said.step == walk.book.trees["smoke_on_start"].begin
    on = walk.acknowledge("gas").answer("stays")
    passed = beside.remark(on, "x", on.now.travel.passed[0].key).now.beside.remarks[0]
    assert (passed.tree, passed.step) == (said.tree, said.step)
    at_gate = beside.remark(walk, "x", "gate1:co").now.beside.remarks[0]
    assert (at_gate.tree, at_gate.step, at_gate.step_no) == ("", "", None)
    assert beside.remark(closed(walk), "x").now.beside.remarks[0].text == "x"
    with pytest.raises(WalkError, match="empty"):
        beside.remark(walk, " ")


def test_photo_is_a_path_and_a_hash() -> None:
    """A photo is kept as the place of its file and the hash of its bytes, at the step where it was taken."""
    walk = beside.photo(begun(), "/photos/insert.jpg", HASH, "coked")
    assert [(p.path, p.sha256, p.text) for p in walk.now.beside.photos] == [("/photos/insert.jpg", HASH, "coked")]
    assert walk.entries[-1].visit == walk.now.travel.visit.key  # type: ignore[union-attr]
    with pytest.raises(WalkError, match="64 hexadecimal"):
        beside.photo(walk, "x", "abc")


def test_numbers_beside_the_steps() -> None:
    """A figure keeps what was typed for it, a reading brought in what was measured; neither is evidence of a cause."""
    walk = beside.figure(begun(), "supply_drop", 1.5, "V", {"source_v": "12.4 V", "load_v": "10.9 V"})
    walk = brought(walk, "handover", {"what": "CO at the exhaust", "value": 0.004, "unit": "%"})
    (figure,), (reading,) = walk.now.beside.figures, walk.now.beside.handover
    assert (figure.what, figure.value, figure.unit, figure.inputs["load_v"]) == ("supply_drop", 1.5, "V", "10.9 V")
    assert (reading.what, reading.value, reading.unit) == ("CO at the exhaust", 0.004, "%")
    assert walk.findings == begun().findings
    assert walk.now.travel == begun().now.travel
    with pytest.raises(WalkError, match="finite"):
        beside.figure(walk, "x", float("nan"), "V", {})


def test_release_stands_behind_the_handover() -> None:
    """A unit is released by a role only where the walk stands at that end; reopening or a stop takes it away."""
    with pytest.raises(WalkError, match="behind its readings"):
        beside.release(begun(), "master")
    walk = beside.release(at_release(), "master of the workshop")
    assert walk.now.beside.released_by == "master of the workshop"
    with pytest.raises(WalkError, match="by what role"):
        beside.release(at_release(), " ")
    for kind, data in (("reopened", {"reason": "x"}), ("stopped", {"caution": "gas"})):
        assert replace(walk, entries=(*walk.entries, Entry(kind, data))).now.beside.released_by == ""  # type: ignore[arg-type]


def test_shares_in_force_and_the_card() -> None:
    """A closed job knows by which counted shares its suspects were weighed; the emergency card is counted."""
    walk = beside.shares_in_force(begun(), "0123456789ab", "2026-01-01")
    assert closed(walk).now.beside.shares == "0123456789ab"
    assert closed(walk).reopen("again").now.beside.shares == ""
    assert walk.emergency_card().emergency_card().now.beside.emergency_card == 2
    assert walk.follow_up_of("J-0007", "role").now.beside.follows == "J-0007"


REFUSED: tuple[Callable[[Walk], Walk], ...] = (
    lambda walk: beside.unit(walk, "A-1"),
    lambda walk: beside.tools(walk, ["multimeter"]),
    lambda walk: beside.figure(walk, "x", 1, "V", {}),
    lambda walk: beside.wait(walk, "parts"),
    lambda walk: beside.call_back(walk, reached=True),
)


@pytest.mark.parametrize("act", REFUSED)
def test_closed_job_takes_no_more(act: Callable[[Walk], Walk]) -> None:
    """A closed job is reopened before anything but a remark or a photo is added."""
    with pytest.raises(WalkError, match="closed; reopen it first"):
        act(closed(begun()))


def test_trail_says_every_kind() -> None:
    """Each of these entries stands in the trail in words, and none of them moves the job on."""
    walk = begun()
    made = [
        beside.unit(walk, "A-1", "bent"),
        beside.tools(walk, ["feeler_gauge"]),
        beside.remark(walk, "Say more"),
        beside.photo(walk, "/p.jpg", HASH),
        beside.figure(walk, "supply_drop", 1.5, "V", {}),
        brought(walk, "handover", {"what": "CO", "value": 4.0, "unit": "ppm"}),
        beside.wait(walk, "parts", "2026-02-01"),
        beside.call_back(walk, reached=False, due="2026-02-01"),
        beside.shares_in_force(walk, "abc", "2026-01-01"),
        walk.emergency_card(),
        beside.release(at_release(), "master"),
    ]
    assert [(one.trail[-1].asked, one.trail[-1].answered) for one in made] == [
        ("Unit", "A-1. bent"),
        ("Tools not at hand", "feeler gauge"),
        ("Remark for the author", "Say more"),
        ("Photo", "/p.jpg"),
        ("Worked out: supply drop", "1.5 V"),
        ("At handover: CO", "4 ppm"),
        ("Waits", "for parts, until 2026-02-01"),
        ("Called back", "not reached, again 2026-02-01"),
        ("Shares in force", "counted 2026-01-01, abc"),
        ("Emergency card", "opened"),
        ("Released by", "master"),
    ]
    assert all(one.question == walk.question for one in made[:-1])


def test_every_kind_is_replayed_without_its_texts() -> None:
    """A job from which the personal texts were erased still replays: whatever is missing reads as empty."""
    for kind in KINDS:
        data = {"place": "bench", "what": "x", "value": 1, "name": "x", "entry": 1, "caution": "gas", "check": "habits"}
        Walk(book(), (*begun().entries, Entry(kind, data))).now.beside  # type: ignore[arg-type]  # noqa: B018
