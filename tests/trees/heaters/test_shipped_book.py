"""The book that ships: its worked jobs end where they say, and no walk through it breaks."""

from __future__ import annotations

import random

import pytest
from measured import measured
from safe_gate import behind_gate
from shipped_book import shipped

from trees.book import check_book, shipped_book_path
from trees.book.words import END_NAMES, PLACES, Place
from trees.walk import Walk
from trees.walk.play import GIVE_UP, play

GIVE_UP_AT = 300
LEAST = {"trees": 21, "steps": 350, "checks": 90, "causes": 50, "signs": 80, "families": 8, "worked": 72}


WORKED = tuple(shipped().worked)


def test_it_is_clean_and_large_enough() -> None:
    """No problem, not even a warning; as many trees, steps, checks, causes, signs and worked jobs as were asked for."""
    checked = check_book(shipped_book_path())
    measured("book", **checked.counts)
    assert checked.problems == ()
    for what, least in {
        "trees": 21,
        "steps": 350,
        "checks": 90,
        "causes": 50,
        "signs": 80,
        "families": 8,
        "worked": 72,
    }.items():
        assert checked.counts[what] >= least, what


def test_it_uses_every_kind_of_step_and_check() -> None:
    """Choices, readings, figures, ticks, work, shared trees, handing over, ends; several outputs in the families."""
    forms = {check.form for check in shipped().checks.values()}
    kinds = {step.kind for tree in shipped().trees.values() for step in tree.steps.values()}
    assert forms == {"ask", "look", "measure", "tick", "figure"}
    assert kinds >= {"check", "run", "over_to", "do", "return", "end"}
    assert any(check.readings for check in shipped().checks.values())
    assert any(check.of and check.repeat > 1 and check.spread for check in shipped().checks.values())


def test_danger_now_stops_and_cannot_tell_counts_as_danger() -> None:
    """Each gate question about now stops on its dangerous answer and on cannot tell."""
    stopping = [question for question in shipped().gate if any(a.stop for a in question.answers)]
    assert len(stopping) >= 3
    for question in stopping:
        assert question.answer("unknown").stop is not None, question.id


def test_no_work_or_question_asks_for_what_is_never_done() -> None:
    """Nothing asks to bridge a safety device, to use starting spray, or to run in an enclosed place."""
    for fix in shipped().fixes.values():
        told = f"{fix.do} {fix.how} {fix.phone}".lower()
        assert "starting spray" not in told, fix.id
        assert "bridge" not in told or "never" in told or "not" in told, fix.id


@pytest.mark.parametrize("job_id", WORKED)
def test_worked_job_ends_where_it_says(job_id: str) -> None:
    """The causes that must be found are found, the end is the one that is named, a stop has stopped it."""
    job = shipped().worked[job_id]
    walk = play(
        shipped(),
        words=job.words,
        tree=job.tree,
        place=job.place,
        family=job.family,
        answers=job.answers,
        after_repair=job.after_repair,
        at_most=job.at_most or GIVE_UP,
    )
    found = {cause for cause, finding in walk.findings.items() if finding.state == "found"}
    assert set(job.expect.found) <= found
    assert walk.now.stopped == job.expect.stopped
    if job.expect.end is not None:
        assert (walk.question.kind, walk.question.end) == ("end", job.expect.end)
    assert not [cause for cause, finding in walk.findings.items() if finding.contradicted]


def random_answer(walk: Walk, dice: random.Random) -> Walk:
    """Answer the present question in one of the ways that it takes."""
    question = walk.question
    for caution in question.unread:
        walk = walk.acknowledge(caution.id)
    if question.blocked or dice.random() < 0.1 or (question.form == "figure" and question.value is None):
        return walk.cannot_tell() if question.kind != "gate" else walk.answer(dice.choice(question.options).id)
    if question.known is not None and dice.random() < 0.7:
        return walk.take_over()
    if question.form == "figure":
        return walk.take_figure()
    if question.form == "tick":
        return walk.tick(dice.sample([o.id for o in question.options if o.id != "none"], k=1))
    if question.form == "readings" and question.check is not None:
        ranges = {field.name: field.plausible or (1.0, 500.0) for field in question.check.readings}
        return walk.readings({name: f"{dice.uniform(*ends):.1f}" for name, ends in ranges.items()})
    if question.form == "reading" and (not question.options or dice.random() < 0.8):
        return walk.reading(f"{dice.uniform(0.1, 30):.2f}", sure=True)
    return walk.answer(dice.choice(question.options).id)


@pytest.mark.parametrize("place", PLACES)
@pytest.mark.parametrize("tree", [tree.id for tree in shipped().complaints()])
def test_random_walks_end_and_replay_to_the_same_state(tree: str, place: Place) -> None:
    """Whatever is answered, a walk comes to an end or a stop; its entries replay to the same state."""
    for seed in range(4):
        dice = random.Random(f"{tree} {place} {seed}")
        family = dice.choice([None, *shipped().families])
        walk = Walk.begin(shipped(), words="x", tree=tree, place=place, family=family).taken_up("one", "2026-01-05")
        for _ in range(GIVE_UP_AT):
            if walk.question.kind not in {"gate", "check", "work", "rated"}:
                break
            if place == "phone" and walk.question.check is not None and not walk.question.blocked:
                assert "phone" in walk.question.check.place, walk.question.check.id
            walk = random_answer(walk, dice)
        assert walk.question.kind in {"end", "stop"}, walk.question
        if walk.question.kind == "end":
            assert walk.question.end in END_NAMES
        again = Walk.resume(shipped(), walk.entries)
        assert (again.now.givens, again.findings, again.question) == (walk.now.givens, walk.findings, walk.question)


@pytest.mark.parametrize(
    ("check", "typed", "value", "band"),
    [
        ("impeller_clearance", "0.012 in", 0.3048, "good"),  # 1 in is 25.4 mm by definition
        ("impeller_clearance", "0,15", 0.15, "rubbing"),
        ("battery_rest", "11,8 V", 11.8, "low"),
        ("battery_rest", "12700 mV", 12.7, "good"),
    ],
)
def test_readings_typed_as_they_stand_on_the_instrument(check: str, typed: str, value: float, band: str) -> None:
    """Another unit, a comma or no unit at all: the reading is kept in the check's unit and falls into its band."""
    walk = Walk.begin(shipped(), words="x", tree="smoke_on_start", place="bench", family="air_2kw_12v")
    walk = behind_gate(walk.taken_up("one", "2026-01-05")).leave_for(check)
    for caution in walk.question.unread:
        walk = walk.acknowledge(caution.id)
    given = walk.reading(typed).now.givens[-1]
    assert given.values[""] == pytest.approx(value)
    assert given.answer == band
