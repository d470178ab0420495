"""Whole jobs by keys alone, on a real casebook."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Any

import pytest
from screen_jobs import begun, past_gate

from trees.casebook import Casebook
from trees.walk import Walk
from tui.screens.conclusion import ConclusionScreen
from tui.screens.day_list import DayList
from tui.screens.emergency import EmergencyCard
from tui.workshop import Workshop

Open = Callable[..., Any]


def on_disk(casebook: Casebook, number: str = "J-0001") -> list[str]:
    """Return the kinds of the entries that stand on disk."""
    return [stored.entry.kind for stored in casebook.entries(casebook.job(number))]


async def test_new_job_in_two_keys_and_the_words(open_screen: Open, workshop: Workshop, casebook: Casebook) -> None:
    """`n`, the complaint, Enter: the tree that fits is walked and the job is on disk."""
    async with open_screen(workshop) as screen:
        assert isinstance(screen.app.screen, DayList)
        assert "No job is open" in screen.text()
        job = await begun(screen)
        assert (job.walk.now.words, job.walk.now.tree) == ("smokes white", "smoke_on_start")
        assert on_disk(casebook) == ["began", "taken_up"]
        assert "Safety first" in screen.text()


async def test_empty_complaint_is_refused(open_screen: Open, workshop: Workshop, casebook: Casebook) -> None:
    """A job needs a few words."""
    async with open_screen(workshop) as screen:
        await screen.press("n", "enter")
        assert "Type the complaint" in screen.text()
        assert casebook.jobs() == ()


async def test_gate_answer_needs_digit_and_enter(open_screen: Open, workshop: Workshop, casebook: Casebook) -> None:
    """One slipped key never answers a safety question; the digit twice does not either."""
    async with open_screen(workshop) as screen:
        job = await begun(screen)
        await screen.press("2", "2")
        assert job.walk.now.stopped is None
        assert len(on_disk(casebook)) == 2
        await screen.press("1", "enter")
        assert job.walk.question.no == 2


async def test_stop_is_final_on_screen(open_screen: Open, workshop: Workshop, casebook: Casebook) -> None:
    """After a stop the screen says what to do and no key goes on."""
    async with open_screen(workshop) as screen:
        job = await begun(screen)
        await screen.press("2", "enter")
        text = screen.text()
        assert "STOP: carbon monoxide" in text
        assert "1 Out, air." in text
        before = on_disk(casebook)
        await screen.press("b", "s", "1", "enter", "escape")
        assert job.walk.now.stopped == "gas"
        assert on_disk(casebook) == before


async def test_cannot_tell_at_the_gate_marks_the_dangerous_answer(open_screen: Open, workshop: Workshop) -> None:
    """0 marks what it counts as; Enter takes it."""
    async with open_screen(workshop) as screen:
        job = await begun(screen)
        await screen.press("0")
        assert "▶ Yes" in screen.text()
        await screen.press("enter")
        assert job.walk.now.stopped == "gas"


async def test_danger_is_shown_before_the_answers(open_screen: Open, workshop: Workshop) -> None:
    """Until the DANGER is read the answers are not there; r reads it."""
    async with open_screen(workshop) as screen:
        job = await past_gate(screen)
        assert "DANGER · CO  Exhaust kills." in screen.text()
        assert "Never clears" not in screen.text()
        await screen.press("2", "enter")
        assert job.walk.question.no == 201
        await screen.press("r")
        assert "Never clears" in screen.text()


async def test_start_answer_needs_enter_then_reading_any_unit(
    open_screen: Open, workshop: Workshop, casebook: Casebook
) -> None:
    """An answer that cost a start waits for Enter; a reading is judged while typed and kept in the check's unit."""
    async with open_screen(workshop) as screen:
        job = await past_gate(screen)
        await screen.press("r", "2")
        assert job.walk.question.no == 201
        await screen.press("enter")
        assert "Is it a 12 V or a 24 V unit?" in screen.text()
        await screen.press("1")
        await screen.type("12100 mV")
        text = screen.text()
        assert "= 12.1 V" in text
        assert "▶ up to 12.2 V" in text
        assert "Battery flat" in text
        await screen.press("enter")
        given = job.walk.now.givens[-1]
        assert (given.values[""], given.answer) == (pytest.approx(12.1), "flat")
        stored = casebook.entries(casebook.job("J-0001"))[-1].entry
        assert stored.data["reading"]["typed"] == "12100 mV"


@pytest.mark.parametrize(("typed", "volts"), [("11,8 V", 11.8), ("11800 mV", 11.8), ("11.8", 11.8)])
async def test_sensible_units_give_one_reading(open_screen: Open, workshop: Workshop, typed: str, volts: float) -> None:
    """Comma, point, another unit or none: the same reading."""
    async with open_screen(workshop) as screen:
        job = await past_gate(screen)
        await screen.press("r", "2", "enter", "1")
        await screen.type(typed)
        await screen.press("enter")
        assert job.walk.now.givens[-1].values[""] == pytest.approx(volts)


async def test_nonsense_reading_is_told_and_not_kept(open_screen: Open, workshop: Workshop, casebook: Casebook) -> None:
    """What is no reading gets a sentence and stays in the field."""
    async with open_screen(workshop) as screen:
        await past_gate(screen)
        await screen.press("r", "2", "enter", "1")
        before = on_disk(casebook)
        await screen.type("5 mm")
        await screen.press("enter")
        assert on_disk(casebook) == before
        assert "5 mm" in screen.text()


async def test_field_is_left_with_escape_for_cannot_tell(open_screen: Open, workshop: Workshop) -> None:
    """Digits go into the field; after Esc they choose answers."""
    async with open_screen(workshop) as screen:
        job = await past_gate(screen)
        await screen.press("r", "2", "enter", "1", "escape", "0")
        assert job.walk.now.givens[-1].answer == "unknown"
        assert job.walk.now.givens[-1].subject == "rested"


async def test_back_and_changing_an_earlier_answer(open_screen: Open, workshop: Workshop) -> None:
    """Key b takes the last answer back; in the trail Enter changes an earlier one; both stay there, struck out."""
    async with open_screen(workshop, size=(120, 40)) as screen:
        job = await past_gate(screen)
        await screen.press("r", "1", "enter")
        assert job.walk.question.no == 203
        await screen.press("escape", "b")
        assert job.walk.question.no == 201
        assert "(taken back)" in screen.text()
        await screen.press("1", "enter", "escape", "t", "enter")
        assert job.changing == "smoke_on_start.watch"
        assert "Changing an earlier answer" in screen.text()
        await screen.press("2", "enter")
        assert job.walk.question.no == 301
        assert "(changed)" in screen.text()


async def test_skip_and_note(open_screen: Open, workshop: Workshop, casebook: Casebook) -> None:
    """Key s passes a step over and says so in the trail; j writes a note."""
    async with open_screen(workshop, size=(120, 40)) as screen:
        job = await past_gate(screen)
        await screen.press("s")
        assert "Skipped" in screen.text()
        assert job.walk.question.no == 301
        await screen.press("j")
        await screen.type("came in a carton")
        await screen.press("enter")
        await screen.until(lambda: bool(job.walk.now.notes))
        assert on_disk(casebook)[-1] == "note"
        assert "came in a carton" in screen.text()


async def test_whole_job_to_the_conclusion_and_close(open_screen: Open, workshop: Workshop, casebook: Casebook) -> None:
    """Choices, a reading, ticks, work, handover, conclusion, close: by keys alone at 80x24."""
    async with open_screen(workshop) as screen:
        job = await past_gate(screen)
        await screen.press("f", "enter")  # the first family
        await screen.until(lambda: job.walk.now.unit.family is not None)
        await screen.press("r", "1", "enter")
        await screen.type("6.6 6.5 6.7")
        await screen.press("enter")
        assert job.walk.now.givens[-1].answer == "good"
        await screen.press("1")  # no outlet shut
        await screen.press("1", "enter")  # nearly always on low
        await screen.press("2")  # hard coke
        assert job.walk.question.kind == "work"
        await screen.press("1")
        await screen.type("12.1")
        await screen.press("enter")
        assert (job.walk.question.kind, job.walk.question.end) == ("end", "released")
        await screen.press("c")
        assert isinstance(screen.app.screen, ConclusionScreen)
        text = screen.text()
        assert "Insert coked" in text
        assert "has no root yet" in text
        await screen.press("1", "enter")  # released: asks why without the root first
        await screen.press("escape")
        assert casebook.jobs()[0].closed is None
        await screen.press("enter")
        await screen.type("owner was told")
        await screen.press("enter")
        assert job.walk.now.close_text == "owner was told"
        assert casebook.jobs()[0].closed == "released"
        assert on_disk(casebook)[-2:] == ["release", "closed"]
        assert job.walk.now.beside.released_by == "bench one"
        await screen.press("escape", "escape")
        assert "No job is open" in screen.text()


async def test_job_stands_where_it_stood_when_taken_up_again(
    open_screen: Open, workshop: Workshop, casebook: Casebook
) -> None:
    """Leaving to the day list and coming back changes nothing and asks nothing twice."""
    async with open_screen(workshop) as screen:
        job = await past_gate(screen)
        await screen.press("r", "2", "enter")
        stood = job.walk.question.visit
        await screen.press("escape")
        assert isinstance(screen.app.screen, DayList)
        assert "J-0001" in screen.text()
        await screen.press("enter")
        assert screen.app.screen.walk.question.visit == stood
        assert on_disk(casebook).count("taken_up") == 1


async def test_another_seat_first_is_told_and_shown(open_screen: Open, workshop: Workshop, casebook: Casebook) -> None:
    """An answer that another seat gave first is not overwritten; the newer state is shown."""
    async with open_screen(workshop) as screen:
        job = await past_gate(screen)
        record = casebook.job("J-0001")
        elsewhere = Walk.resume(workshop.book, [s.entry for s in casebook.entries(record)]).cannot_tell()
        casebook.append(record, elsewhere.entries[-1], expected_no=len(elsewhere.entries))
        await screen.press("r")
        assert "first at job" in screen.text(), screen.text()
        assert job.walk.question.no == 301


async def test_emergency_card_from_everywhere_and_recorded(
    open_screen: Open, workshop: Workshop, casebook: Casebook
) -> None:
    """F2 opens the card over the day list, the new job, the question and the conclusion; a job records it."""
    async with open_screen(workshop) as screen:
        for keys in ((), ("n",)):
            await screen.press(*keys, "f2")
            assert isinstance(screen.app.screen, EmergencyCard)
            assert "Everybody out into fresh air now" in screen.text()
            await screen.press("escape")
        await screen.press("escape")
        await past_gate(screen)
        await screen.press("f2", "escape", "c", "f2")
        assert isinstance(screen.app.screen, EmergencyCard)
        assert "emergency_card" in on_disk(casebook)


async def test_report_is_written_from_the_conclusion(open_screen: Open, workshop: Workshop) -> None:
    """Key e and Enter write PDF and Markdown with the workshop's head; ticked, the other forms too."""
    workshop.settings = replace(workshop.settings, workshop="Invented quay workshop")
    async with open_screen(workshop) as screen:
        await past_gate(screen)
        await screen.press("c", "e", "enter")
        await screen.until((workshop.report_folder / "J-0001.md").exists)
        text = (workshop.report_folder / "J-0001.md").read_text()
        assert "# Report J-0001" in text
        assert "Invented quay workshop" in text
        assert (workshop.report_folder / "J-0001.pdf").exists()
        assert not (workshop.report_folder / "J-0001.html").exists()
        await screen.press("e", "space", "down", "space", "down", "space", "down", "space", "down", "space", "enter")
        sheet = workshop.report_folder / "J-0001-intake.pdf"
        await screen.until(sheet.exists)
        assert sheet.read_bytes().startswith(b"%PDF")
        assert "Invented quay workshop" in (workshop.report_folder / "J-0001.html").read_text()
        assert (workshop.report_folder / "J-0001.json").exists()


async def test_nothing_is_written_where_no_form_is_chosen(open_screen: Open, workshop: Workshop) -> None:
    """Esc leaves the card of forms without a file."""
    async with open_screen(workshop) as screen:
        await past_gate(screen)
        await screen.press("c", "e", "escape")
        assert not workshop.report_folder.exists()


async def test_too_small_window_says_so_and_comes_back(open_screen: Open, workshop: Workshop) -> None:
    """Below 60 by 20 one sentence stands there; made larger again, the job is as it was."""
    async with open_screen(workshop) as screen:
        job = await past_gate(screen)
        await screen.pilot.resize_terminal(50, 12)
        await screen.settle()
        assert "too small" in screen.text()
        await screen.pilot.resize_terminal(80, 24)
        await screen.settle()
        assert "How long does it smoke?" in screen.text()
        assert job.walk.question.no == 201


@pytest.mark.parametrize("size", [(60, 20), (80, 24), (120, 40)])
async def test_question_and_answers_are_in_sight(open_screen: Open, workshop: Workshop, size: tuple[int, int]) -> None:
    """At every size the number, the question and all answers stand on the screen without scrolling."""
    async with open_screen(workshop, size=size) as screen:
        await past_gate(screen)
        await screen.press("r")
        text = screen.text()
        for wanted in ("201", "How long does it smoke?", "1  Clears", "2  Never clears", "0  Cannot tell"):
            assert wanted in text, wanted
        assert "F2 Emergency" in text
