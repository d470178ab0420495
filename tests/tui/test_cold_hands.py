"""At the bench with cold hands: what is wanted next is in sight, and a key that does nothing says why."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Any

import pytest
from screen_jobs import past_gate, to_hours
from small_book import small_book

from trees.book.model import Book
from trees.casebook import Casebook
from trees.suspects.next_check import Worth
from tui.panels.proposal import ProposalPanel
from tui.panels.side import TrailPanel
from tui.screens.choose import ChooseCard
from tui.screens.job import JobScreen
from tui.settings import Instrument, Settings
from tui.workshop import Workshop

Open = Callable[..., Any]
SIZES = [(60, 20), (80, 24)]


def wordy_book() -> Book:
    """Return the small book with a reading whose directions fill more than a small screen."""
    book = small_book()
    told = replace(book.checks["rested"], how=" ".join(["Hold the probes to the posts, not to the clamps."] * 20))
    return small_book(checks={**book.checks, "rested": told})


def last_line(screen: Any) -> str:
    """Return the line of keys."""
    return screen.text().splitlines()[-1]  # type: ignore[no-any-return]


async def to_reading(screen: Any) -> JobScreen:
    """Come to the reading of the rested voltage."""
    job = await past_gate(screen)
    await screen.press("r", "2", "enter", "1")
    await screen.until(lambda: job.walk.question.form == "reading")
    await screen.settle()
    return job


@pytest.mark.parametrize("size", SIZES)
async def test_what_waits_for_a_second_key_is_in_sight(open_screen: Open, workshop: Workshop, size: Any) -> None:
    """However long the question is, the sentence that asks for Space is seen; the footer has Space and no Enter."""
    workshop.book = wordy_book()
    async with open_screen(workshop, size=size) as screen:
        await to_reading(screen)
        assert "Rested voltage" in screen.text()
        await screen.type("11800")
        await screen.press("enter")
        await screen.until(lambda: "Space confirms it" in " ".join(screen.text().split()))
        assert "Space Confirm" in last_line(screen)
        assert "Enter" not in last_line(screen)
        await screen.press("escape")
        await screen.until(lambda: "Rested voltage" in screen.text())
        assert "11800" in screen.text()
        assert "Enter Take" in last_line(screen)


async def test_question_is_in_sight_behind_the_instruments_of_the_day(open_screen: Open, workshop: Workshop) -> None:
    """The card that asks for the instruments gives way to the question from its beginning, not from its field on."""
    workshop.book = wordy_book()
    workshop.settings = Settings(instruments=(Instrument("meter", "V", 0.1),))
    async with open_screen(workshop, size=(80, 24)) as screen:
        job = await past_gate(screen)
        await screen.press("r", "2", "enter", "1")
        await screen.until(lambda: screen.app.screen is not job)
        await screen.press("escape")
        await screen.until(lambda: screen.app.screen is job)
        await screen.press("escape", "escape", "enter")
        await screen.until(lambda: isinstance(screen.app.screen, JobScreen))
        await screen.settle()
        assert "Rested voltage" in screen.text()


async def test_enter_on_an_empty_field_says_so(open_screen: Open, workshop: Workshop, casebook: Casebook) -> None:
    """Nothing typed is nothing taken, and the key that was pressed is answered."""
    async with open_screen(workshop) as screen:
        await to_reading(screen)
        before = len(casebook.entries(casebook.job("J-0001")))
        await screen.press("enter")
        await screen.until(lambda: "Nothing is typed yet" in screen.text())
        assert len(casebook.entries(casebook.job("J-0001"))) == before


async def test_enter_on_what_is_no_answer_says_so(open_screen: Open, workshop: Workshop) -> None:
    """A line of the trail that is no answer, such as the complaint, can't be changed; Enter tells it."""
    async with open_screen(workshop) as screen:
        await past_gate(screen)
        await screen.press("t", "home", "enter")
        await screen.until(lambda: "This line is no answer" in screen.text())
        assert isinstance(screen.app.screen.focused, TrailPanel)


async def test_back_is_offered_only_where_it_works(open_screen: Open, workshop: Workshop) -> None:
    """While the safety questions are asked anew no older answer can be taken back, so the footer has no Back."""
    async with open_screen(workshop) as screen:
        job = await past_gate(screen)
        assert " b Back" in last_line(screen)
        await job.job.keep(job.walk.taken_up("another seat", "2030-01-01"))
        job.show_walk()
        await screen.until(lambda: job.walk.question.kind == "gate")
        await screen.until(lambda: " b Back" not in last_line(screen))
        await screen.press("1", "enter")  # of yet another day: it is asked once more
        assert " b Back" not in last_line(screen)
        await screen.press("1", "enter")
        await screen.until(lambda: " b Back" in last_line(screen))
        await screen.press("b")
        await screen.until(
            lambda: job.walk.now.givens[-1].visit.startswith("gate") and " b Back" not in last_line(screen)
        )


async def test_two_numbers_in_a_row_of_the_grid_are_refused(open_screen: Open, workshop: Workshop) -> None:
    """`1 5` is no count of starts: no mean of both is taken unseen."""
    workshop.book = with_hours()
    async with open_screen(workshop) as screen:
        job = await to_hours(screen)
        await screen.type("1 5")
        await screen.until(lambda: "is 2 readings; one is wanted here" in " ".join(screen.text().split()))
        await screen.press("enter", "enter")
        assert job.walk.question.check is not None
        assert job.walk.question.check.id == "hours"
        await screen.press("up", "ctrl+u")
        await screen.type("1 500")
        await screen.press("enter", "enter")
        await screen.until(lambda: job.walk.now.givens[-1].values.get("low") == pytest.approx(1500))


async def test_intake_says_how_to_leave_a_field(open_screen: Open, workshop: Workshop) -> None:
    """In a field s and g are typed, so Esc stands before them."""
    workshop.book = with_hours()
    async with open_screen(workshop, size=(120, 40)) as screen:
        job = await past_gate(screen)
        await screen.press("plus")
        await screen.until(lambda: isinstance(screen.app.screen, ChooseCard))
        assert "(open)" in screen.text()
        await screen.press("enter")
        await screen.until(lambda: job.walk.question.form == "readings")
        await screen.settle()
        assert "Esc leaves the field: then s passes it over" in " ".join(screen.text().split())


async def test_a_figure_says_which_reading_it_lacks(open_screen: Open, workshop: Workshop) -> None:
    """What can't be worked out names the check that was not made."""
    async with open_screen(workshop) as screen:
        job = await past_gate(screen)
        check = next(c for c in workshop.book.checks.values() if c.form == "figure")
        await job.take(lambda: job.walk.leave_for(check.id))
        await screen.until(lambda: job.walk.question.form == "figure")
        await screen.settle()
        lacking = [
            workshop.book.checks[r.partition(".")[0]].wording for r in check.inputs.values() if "family" not in r
        ]
        text = " ".join(screen.text().split())
        assert "This needs what was not taken: " in text
        assert any(wording in text for wording in lacking)


def with_hours() -> Book:
    """Return the small book whose run hours and habits are asked at the intake."""
    checks = dict(small_book().checks)
    for name in ("hours", "habits"):
        checks[name] = replace(checks[name], intake=True)
    return small_book(checks=checks)


async def test_changing_a_list_begins_with_what_was_ticked(open_screen: Open, workshop: Workshop) -> None:
    """An earlier list is changed, not begun anew: its ticks stand, and the hint says what was answered."""
    workshop.book = with_hours()
    async with open_screen(workshop, size=(120, 40)) as screen:
        job = await past_gate(screen)
        await job.take(lambda: job.walk.leave_for("habits"))
        items = workshop.book.checks["habits"].items
        await screen.press("1", "enter")
        await screen.until(lambda: job.walk.question.check is None or job.walk.question.check.id != "habits")
        await screen.press("t", "end", "enter")
        await screen.until(lambda: job.changing is not None)
        await screen.settle()
        assert job.ticked == {items[0].id}
        text = " ".join(screen.text().split())
        assert f"Changing an earlier answer: {items[0].means}" in text
        assert f"[x] {items[0].means}" in text


async def test_proposal_tells_as_much_as_there_is_room_for(open_screen: Open, workshop: Workshop) -> None:
    """What could be done elsewhere is told where it fits; made narrow, no half of it is left."""
    async with open_screen(workshop, size=(120, 40)) as screen:
        job = await past_gate(screen)
        panel = job.query_one(ProposalPanel)
        await screen.until(lambda: panel.shown is not None)
        book, advice, _asked = panel.shown
        elsewhere = Worth("rested", 5.0, 16.0, 0.5, blocked="This is done by phone, not at the bench.")
        panel.show(book, replace(advice, elsewhere=(elsewhere,)))
        await screen.until(lambda: "Not here, though it would save 16 min" in " ".join(screen.text().split()))
        await screen.pilot.resize_terminal(80, 24)
        await screen.until(lambda: "Not here" not in screen.text())


async def test_card_does_not_jump_while_its_list_gets_shorter(open_screen: Open, workshop: Workshop) -> None:
    """The list keeps its height while typing leaves fewer lines, so the field stays where it is."""
    async with open_screen(workshop) as screen:
        await past_gate(screen)
        await screen.press("plus")
        await screen.until(lambda: isinstance(screen.app.screen, ChooseCard))
        await screen.settle()
        before = screen.app.screen.query_one("#part").region
        await screen.type("zzzz")
        await screen.until(lambda: "No line holds that" in screen.text())
        await screen.settle()
        assert screen.app.screen.query_one("#part").region == before


async def test_why_a_check_is_refused_stands_above_its_cautions(open_screen: Open, workshop: Workshop) -> None:
    """What can't be done says so first: long cautions of the act must not push the reason out of sight."""
    book = small_book()
    checks = dict(book.checks)
    cautions = tuple(c.id for c in book.cautions.values() if c.grade == "DANGER")
    checks["loaded"] = replace(checks["loaded"], uses_start=True, cautions=cautions)
    look = checks["insert"]
    answers = tuple(replace(a, no_start_until=("replace_insert",)) if a.id == "coked" else a for a in look.answers)
    checks["insert"] = replace(look, answers=answers)
    workshop.book = small_book(checks=checks)
    async with open_screen(workshop, size=(80, 24)) as screen:
        job = await past_gate(screen)
        await job.take(lambda: job.walk.leave_for("insert").answer("coked").leave_for("loaded"))
        await screen.until(lambda: "No start in this job" in screen.text())
        text = screen.text()
        assert text.index("No start in this job") < text.index("▲ DANGER")
        assert "What lifts it: replace the insert" in " ".join(line[:44].strip() for line in text.splitlines())


async def test_a_field_that_was_left_stays_left(open_screen: Open, workshop: Workshop) -> None:
    """Behind a card the keys are commands as before, the answers bear plain digits, and Tab goes back to the field."""
    async with open_screen(workshop) as screen:
        job = await to_reading(screen)
        assert " Esc 0 " in screen.text()
        await screen.press("escape")
        await screen.until(lambda: "Tab goes back into the field" in " ".join(screen.text().split()))
        assert " Esc 0 " not in screen.text()
        await screen.press("j")
        await screen.type("asked again")
        await screen.press("enter")
        await screen.until(lambda: screen.app.screen is job and "asked again" in screen.text())
        await screen.press("j")
        await screen.until(lambda: screen.app.screen is not job)
        await screen.press("escape", "tab")
        await screen.until(lambda: " Esc 0 " in screen.text())
        await screen.type("12.7")
        await screen.press("enter")
        await screen.until(lambda: job.walk.now.givens[-1].typed == "12.7")


async def test_another_row_of_the_grid_keeps_the_keys_behind_a_card(open_screen: Open, workshop: Workshop) -> None:
    """The emergency card over a half-filled grid comes and goes; typing goes on in the row where it was."""
    workshop.book = with_hours()
    async with open_screen(workshop) as screen:
        job = await to_hours(screen)
        await screen.type("900")
        await screen.press("enter")
        await screen.press("f2")
        await screen.until(lambda: screen.app.screen is not job)
        await screen.press("escape")
        await screen.until(lambda: screen.app.screen is job)
        await screen.settle()
        await screen.type("300")
        rows = screen.text().splitlines()
        assert any("Lowest" in row and "900 " in row for row in rows)
        assert any("300 " in row and "Lowest" not in row for row in rows)
