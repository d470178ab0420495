"""What one slip of a key must not do: each asks for a second, different key, or is out of reach."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Any

import pytest
from screen_jobs import past_gate
from small_book import small_book

from trees.book.model import Answer
from trees.casebook import Casebook
from trees.errors import CasebookError
from tui.screens.conclusion import ConclusionScreen
from tui.screens.emergency import EmergencyCard
from tui.workshop import Workshop

Open = Callable[..., Any]


def with_items(count: int) -> Any:
    """Return the small book with a long list to tick, the last of which stands alone."""
    book = small_book()
    items = tuple(Answer(id=f"i{n}", means=f"Item number {n}") for n in range(1, count))
    habits = replace(book.checks["habits"], items=(*items, Answer(id="none", means="None of these", alone=True)))
    return small_book(checks={**book.checks, "habits": habits})


async def test_implausible_reading_waits_for_space(open_screen: Open, workshop: Workshop) -> None:
    """11800 without its unit is not taken by Enter; Esc goes back to the field with the text, Space takes it."""
    async with open_screen(workshop) as screen:
        job = await past_gate(screen)
        await screen.press("r", "2", "enter", "1")
        await screen.type("11800")
        await screen.press("enter")
        assert job.walk.question.no == 301
        assert "Space confirms it" in screen.text()
        await screen.press("escape")
        assert "11800" in screen.text()
        await screen.press("enter", "space")
        assert job.walk.now.givens[-1].values[""] == pytest.approx(11800)


async def test_reading_that_stops_the_job_waits_for_space(open_screen: Open, workshop: Workshop) -> None:
    """A band that stops takes a second, different key like any stopping answer."""
    book = small_book()
    rested = book.checks["rested"]
    bands = (replace(rested.bands[0], stop="gas"), rested.bands[1])
    workshop.book = small_book(checks={**book.checks, "rested": replace(rested, bands=bands)})
    async with open_screen(workshop) as screen:
        job = await past_gate(screen)
        await screen.press("r", "2", "enter", "1")
        await screen.type("12.0")
        await screen.press("enter")
        assert job.walk.now.stopped is None
        assert "this stops the job" in screen.text()
        await screen.press("space")
        assert job.walk.now.stopped == "gas"


async def test_empty_list_waits_for_space(open_screen: Open, workshop: Workshop) -> None:
    """That nothing of a list is true says something, so Enter twice does not say it."""
    async with open_screen(workshop) as screen:
        job = await past_gate(screen)
        await screen.press("r", "1", "enter", "escape", "0")
        while job.walk.question.form != "tick":
            await screen.press("escape", "0") if job.walk.question.form == "reading" else await screen.press("0")
        await screen.press("enter", "enter")
        assert job.walk.question.form == "tick"
        await screen.press("space")
        assert job.walk.question.no == 206


async def test_answers_beyond_nine_have_their_own_page(open_screen: Open, workshop: Workshop) -> None:
    """Space turns the page; a digit ticks what stands beside it and nothing else."""
    workshop.book = with_items(12)
    async with open_screen(workshop) as screen:
        job = await past_gate(screen)
        await screen.press("m")
        await screen.type("what is true")
        await screen.press("enter")
        await screen.until(lambda: job.walk.question.form == "tick")
        await screen.settle()
        assert "page 1 of 2" in screen.text()
        await screen.press("space")
        text = screen.text()
        assert "1  [ ] Item number 10" in text
        assert "Item number 1 " not in text
        await screen.press("1")
        assert job.ticked == frozenset({"i10"})
        await screen.press("enter")
        assert [item.id for item in job.walk.now.givens[-1].chosen] == ["i10"]


async def test_keys_do_not_answer_what_is_covered(open_screen: Open, workshop: Workshop) -> None:
    """While the window is too small no key answers; made larger, the field has its text and the keys again."""
    async with open_screen(workshop) as screen:
        job = await past_gate(screen)
        await screen.press("r", "2", "enter", "1")
        await screen.type("12")
        await screen.pilot.resize_terminal(50, 14)
        await screen.settle()
        before = len(job.walk.entries)
        await screen.press("1", "enter", "0", "escape")
        assert len(job.walk.entries) == before
        await screen.pilot.resize_terminal(80, 24)
        await screen.settle()
        await screen.type(".7")
        await screen.press("enter")
        assert job.walk.now.givens[-1].values[""] == pytest.approx(12.7)


async def test_emergency_card_opens_even_if_nothing_can_be_written(
    open_screen: Open, workshop: Workshop, casebook: Casebook, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The card comes first; that it could not be recorded is only a sentence. It opens over a small card too."""
    async with open_screen(workshop) as screen:
        await past_gate(screen)

        def refuse(*_arguments: object, **_named: object) -> None:
            raise CasebookError("The casebook is held by another program.")

        monkeypatch.setattr(casebook, "append", refuse)
        await screen.press("f2")
        assert isinstance(screen.app.screen, EmergencyCard)
        await screen.press("f2", "f", "f2")
        assert isinstance(screen.app.screen, EmergencyCard)


async def test_stopped_job_offers_a_follow_up_and_no_good_end(
    open_screen: Open, workshop: Workshop, casebook: Casebook
) -> None:
    """After a stop: the conclusion says so and can't release; a follow-up is a new, linked job with its own gate."""
    async with open_screen(workshop) as screen:
        await screen.press("n")
        await screen.type("smokes white")
        await screen.press("enter", "2", "enter", "c")
        assert isinstance(screen.app.screen, ConclusionScreen)
        text = screen.text().replace("\u00a0", " ")
        assert "STOPPED FOR SAFETY" in text
        assert "Released" not in text.replace("Not released", "")
        await screen.press("1", "enter")
        assert casebook.jobs()[0].closed is None
        await screen.press("escape", "u")
        await screen.type("technician on site, aired")
        await screen.press("enter")
        await screen.until(lambda: len(casebook.jobs()) == 2)
        await screen.settle()
        entries = [stored.entry for stored in casebook.entries(casebook.job("J-0002"))]
        assert next(e for e in entries if e.kind == "follow_up_of").data["job"] == "J-0001"
        assert "Safety first" in screen.text()


async def test_reopened_job_needs_a_reason(open_screen: Open, workshop: Workshop, casebook: Casebook) -> None:
    """A closed job is opened again only with a reason."""
    async with open_screen(workshop) as screen:
        await past_gate(screen)
        await screen.press("c", "4", "enter")
        assert casebook.jobs()[0].closed == "to_workshop"
        await screen.press("z", "enter")
        await screen.settle()
        assert casebook.jobs()[0].closed == "to_workshop"
        await screen.press("z")
        await screen.type("parts came")
        await screen.press("enter")
        await screen.until(lambda: casebook.jobs()[0].closed is None)


async def test_changing_a_reading_shows_what_was_typed(open_screen: Open, workshop: Workshop) -> None:
    """The field of an earlier reading holds its text, so that nothing is dropped by changing it."""
    async with open_screen(workshop) as screen:
        job = await past_gate(screen)
        await screen.press("r", "2", "enter", "1")
        await screen.type("12,75 V")
        await screen.press("enter", "escape", "t", "enter")
        assert job.changing is not None
        assert "12,75 V" in screen.text()


async def test_one_key_makes_the_proposed_check_and_the_tree_waits(open_screen: Open, workshop: Workshop) -> None:
    """The next check worth its minutes stands under the suspects; a makes it, the tree goes on where it waited."""
    async with open_screen(workshop, size=(120, 40)) as screen:
        job = await past_gate(screen)
        await screen.until(lambda: job.proposal is not None)
        assert job.proposal is not None
        assert "Next: " in screen.text()
        wanted, stood = job.proposal, job.walk.question.no
        await screen.press("a")
        assert job.walk.question.aside
        assert job.walk.question.check is not None
        assert job.walk.question.check.id == wanted or wanted in job.walk.question.visit
        await screen.press("escape") if job.walk.question.form == "reading" else None
        await screen.press("g")
        assert job.walk.question.no == stood


@pytest.mark.parametrize("size", [(60, 20), (80, 24), (120, 40)])
async def test_emergency_card_shows_carbon_monoxide_and_the_way_out(
    open_screen: Callable[..., Any], workshop: Workshop, size: tuple[int, int]
) -> None:
    """Whom to call, all that helps against carbon monoxide and fire, and the key that closes stand in sight at once."""
    async with open_screen(workshop, size=size) as screen:
        await screen.press("f2")
        text = " ".join(screen.text().replace("█", " ").split())
        for wanted in ("Emergency number:", "4 Nobody goes back in.", "3 Do not open flap", "Esc closes."):
            assert wanted in text, wanted
        if size != (60, 20):
            assert "3 Larger than the hand" in text, "all four hazards stand on the card without scrolling"
        await screen.press("end")
        assert "3 Larger than the hand" in screen.text()
