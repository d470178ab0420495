"""The phone place by keys alone: read aloud, safety opening, patience, held calls, call-backs, hand-over."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Any

import pytest
from small_book import small_book
from textual.widgets import Static

from trees.casebook import Casebook
from tui.calls import CallBoard
from tui.screens.job import JobScreen
from tui.screens.job_calls import CallsCard
from tui.screens.new_job import NewJob
from tui.workshop import Workshop

Open = Callable[..., Any]
SIZES = [(60, 20), (80, 24), (120, 40)]
MISTAKE = "Takes steam for smoke."


@pytest.fixture
def desk(workshop: Workshop) -> Workshop:
    """Return a seat that begins its jobs by phone."""
    book = small_book()
    checks = dict(book.checks)
    checks["smoke"] = replace(checks["smoke"], may_mistake=MISTAKE, how="White, and it smells of fuel.", cautions=())
    workshop.book = small_book(checks=checks)
    workshop.place = "phone"
    return workshop


async def call(screen: Any, words: str = "smokes white", *, gate: bool = True) -> JobScreen:
    """Take a call: the words, Enter, and the safety opening."""
    if not isinstance(screen.app.screen, NewJob):
        await screen.press("n")
    await screen.type(words)
    await screen.press("enter")
    if gate:
        await screen.press("1", "enter", "1", "enter")
    assert isinstance(screen.app.screen, JobScreen)
    return screen.app.screen  # type: ignore[no-any-return]


@pytest.mark.parametrize("size", SIZES)
async def test_question_is_read_aloud_with_what_they_see(open_screen: Open, desk: Workshop, size: Any) -> None:
    """The caller's wording stands in quotes under its label; what it looks like and is mixed up with stands below."""
    async with open_screen(desk, size=size) as screen:
        await call(screen)
        text = " ".join(screen.text().split())
        assert "Read aloud" in text
        assert "“Tell me when the smoke has gone.”" in text
        assert "How long does it smoke?" not in text
        assert f"Watch for: {MISTAKE}" in text
        assert "What it looks like: White, and it smells of fuel." in text


async def test_bench_reads_nothing_aloud(open_screen: Open, desk: Workshop) -> None:
    """With the unit in one's own hands the bench wording stands alone."""
    desk.place = "bench"
    async with open_screen(desk) as screen:
        await call(screen)
        assert "Read aloud" not in screen.text()
        assert "How long does it smoke?" in screen.text()


async def test_first_call_goes_through_the_safety_opening(
    open_screen: Open, desk: Workshop, casebook: Casebook
) -> None:
    """Nothing else is asked before it: no skip, no other check; it says how far it is."""
    async with open_screen(desk) as screen:
        job = await call(screen, gate=False)
        assert "Safety first  1 of 2" in screen.text()
        await screen.press("s", "g", "b", "a")
        assert job.walk.question.kind == "gate"
        await screen.press("1", "enter")
        assert "Safety first  2 of 2" in screen.text()
        await screen.press("0", "enter")
        assert job.walk.now.starts_forbidden
        assert [s.entry.kind for s in casebook.entries(casebook.job("J-0001"))][2:] == ["answer", "answer"]


@pytest.mark.parametrize("last", ["0", "enter"])
async def test_cannot_tell_helps_before_it_counts(open_screen: Open, desk: Workshop, last: str) -> None:
    """The first 0 says how to help; the second, or Enter, takes it. Another answer may still be given."""
    async with open_screen(desk) as screen:
        job = await call(screen)
        await screen.press("0")
        text = " ".join(screen.text().split())
        assert "No hurry" in text
        assert f"Perhaps: {MISTAKE}" in text
        assert job.walk.question.no == 201
        await screen.press(last)
        assert job.walk.now.givens[-1].answer == "unknown"
        assert "No hurry" not in screen.text() or job.patient is False


async def test_help_is_left_with_escape(open_screen: Open, desk: Workshop) -> None:
    """Esc closes the help and stays at the question."""
    async with open_screen(desk) as screen:
        job = await call(screen)
        await screen.press("0", "escape")
        assert screen.app.screen is job
        assert "No hurry" not in screen.text()
        assert job.walk.question.no == 201


async def test_start_by_the_callers_own_words(open_screen: Open, desk: Workshop) -> None:
    """Misspelt words of an answer lead to the complaint on whose way it is met, and it says by which words."""
    async with open_screen(desk) as screen:
        await screen.press("n")
        await screen.type("hrd coke")
        assert "answer “Hard coke”" in screen.text()
        await screen.press("enter")
        assert screen.app.screen.walk.now.tree == "smoke_on_start"
        assert screen.app.screen.walk.now.place == "phone"


@pytest.mark.parametrize("size", SIZES)
async def test_two_calls_are_held_and_changed(open_screen: Open, desk: Workshop, size: Any) -> None:
    """H and n hold the first call for a second one; h and Enter go back to it where it stood; who waits is in sight."""
    seconds = [50.0]
    desk.calls = CallBoard(lambda: seconds[0])
    async with open_screen(desk, size=size) as screen:
        await call(screen, "smokes white one")
        await screen.press("h")
        assert isinstance(screen.app.screen, CallsCard)
        await screen.press("n")
        await screen.until(lambda: isinstance(screen.app.screen, NewJob))
        seconds[0] += 65
        second = await call(screen, "smokes white two", gate=False)
        assert second.job.record.number == "J-0002"
        assert "held: J-0001 1:05" in screen.text()
        await screen.press("h")
        assert "waits 1:05" in screen.text()
        assert "smokes white one" in screen.text()
        await screen.press("enter")
        await screen.until(
            lambda: isinstance(screen.app.screen, JobScreen) and screen.app.screen.job.record.number == "J-0001"
        )
        await screen.settle()
        assert screen.app.screen.walk.question.no == 201
        assert "held: J-0002 0:00" in screen.text()
        await screen.press("h", "1")
        await screen.until(
            lambda: isinstance(screen.app.screen, JobScreen) and screen.app.screen.job.record.number == "J-0002"
        )
        assert screen.app.screen.walk.question.kind == "gate"


async def test_call_back_is_kept_and_reached(open_screen: Open, desk: Workshop, casebook: Casebook) -> None:
    """Q keeps a day and a note; the job waits for it in the casebook until the customer was reached."""
    async with open_screen(desk) as screen:
        job = await call(screen)
        await screen.press("q")
        await screen.type("2026-03-02 after lunch")
        await screen.press("enter")
        await screen.until(lambda: job.walk.now.beside.waiting is not None)
        waiting = job.walk.now.beside.waiting
        assert waiting is not None
        assert (waiting.for_what, waiting.due, waiting.text) == ("call_back", "2026-03-02", "after lunch")
        assert casebook.jobs()[0].waiting == "call_back"
        await screen.press("q", "enter")
        await screen.until(lambda: job.walk.now.beside.waiting is None)
        assert casebook.jobs()[0].waiting is None


async def test_bench_goes_on_with_the_same_job(open_screen: Open, desk: Workshop, casebook: Casebook) -> None:
    """P hands the call over to the bench: the same number, every answer still there, the next step in bench words."""
    async with open_screen(desk) as screen:
        job = await call(screen)
        await screen.press("2", "enter", "p")
        await screen.type("bench")
        await screen.press("enter")
        await screen.until(lambda: job.walk.now.place == "bench")
        await screen.settle()
        assert [g.subject for g in job.walk.now.givens] == ["alarm_now", "alarm_before", "smoke"]
        assert "at the bench" in screen.text()
        assert "Read aloud" not in screen.text()
        assert [row.number for row in casebook.jobs()] == ["J-0001"]
        assert casebook.jobs()[0].place == "bench"


async def test_help_says_what_the_keys_do_meanwhile(open_screen: Open, desk: Workshop) -> None:
    """While a caller is helped, the hint names Enter and 0 as cannot-tell and no key that does something else then."""
    async with open_screen(desk) as screen:
        job = await call(screen)
        await screen.press("0")
        hint = str(job.query_one("#q-hint", Static).render())
        assert "Enter or 0: they can't tell." in hint
        assert "b takes it back" not in hint


async def test_doubt_at_the_safety_opening_is_told_beside_the_answer(open_screen: Open, desk: Workshop) -> None:
    """0 marks the answer it counts as and says so in the hint; nothing floats over what is asked next."""
    async with open_screen(desk) as screen:
        job = await call(screen, gate=False)
        hint = job.query_one("#q-hint", Static)
        await screen.press("0")
        assert "Cannot tell counts as the marked answer." in str(hint.render())
        assert not screen.app._notifications
        await screen.press("1")
        assert "Cannot tell counts" not in str(hint.render())


def stop_lines(book: Any) -> Any:
    """Return a book whose stop has lines that a narrow column would break."""
    line = "Everybody and all animals out, doors left open. Count the people. Nobody goes back in."
    gas = replace(book.cautions["gas"], then=(line,) * 5)
    return replace(book, cautions={**book.cautions, "gas": gas})


@pytest.mark.parametrize("size", SIZES)
async def test_stop_is_read_line_by_line(open_screen: Open, desk: Workshop, size: Any) -> None:
    """At a stop the lines to read have the screen's whole width, and none is broken twice."""
    desk.book = stop_lines(desk.book)
    async with open_screen(desk, size=size) as screen:
        job = await call(screen, gate=False)
        await screen.press("2", "enter")
        assert job.walk.now.stopped == "gas"
        rows = screen.text().splitlines()
        assert any("Read aloud, and wait after each line" in row for row in rows)
        first = next(at for at, row in enumerate(rows) if " 1 Everybody" in row)
        broken = [row for row in rows[first : first + 2] if len(row.split()) < 3]
        assert not broken, broken
        if size != (60, 20):  # on the smallest screen the rest is turned to
            assert any(" 5 Everybody" in row for row in rows)
            assert "q keeps when to call back" in " ".join(" ".join(rows).split())


@pytest.mark.parametrize("size", SIZES)
async def test_last_word_of_a_call_is_read_aloud_and_leads_to_the_bench(
    open_screen: Open, desk: Workshop, size: Any
) -> None:
    """An end that sends the caller on is read aloud, says what to bring, and names the key of the hand-over."""
    last = "Please do not try again, not once."
    trees = dict(desk.book.trees)
    tree = trees["smoke_on_start"]
    ends = {
        key: replace(step, refers="to_workshop", text=last, bring=("the heater with its tubes",))
        if step.kind == "end"
        else step
        for key, step in tree.steps.items()
    }
    trees["smoke_on_start"] = replace(tree, steps=ends)
    desk.book = replace(desk.book, trees=trees)
    async with open_screen(desk, size=size) as screen:
        job = await call(screen)
        for _step in range(12):
            if job.walk.question.kind == "end":
                break
            await screen.press("0", "enter")
        assert job.walk.question.end == "to_workshop"
        text = " ".join(screen.text().split())
        assert f"“{last}”" in text
        assert "Read aloud" in text
        assert "To the workshop" in text
        assert "Bring: the heater with its tubes" in text
        assert "p hands the same job over to the bench." in text


async def test_keys_of_a_call_stand_in_the_line(open_screen: Open, desk: Workshop) -> None:
    """By phone the line of keys names hold and call back; at the bench it does not."""
    async with open_screen(desk) as screen:
        await call(screen)
        line = screen.text().splitlines()[-1]
        assert "h Hold" in line
        assert "q Call back" in line
        await screen.press("p")
        await screen.type("bench")
        await screen.press("enter")
        line = screen.text().splitlines()[-1]
        assert "q Call back" not in line
        assert "t Trail" in line


@pytest.mark.parametrize("size", SIZES)
async def test_many_held_calls_stay_in_their_lines(open_screen: Open, desk: Workshop, size: Any) -> None:
    """Three are named and the rest counted, the key stays in sight; a stopped caller is marked; words keep one line."""
    desk.calls = CallBoard(lambda: 50.0)
    for number in range(1, 13):
        desk.calls.hold(f"J-90{number:02}", "it smokes " * 200, stopped=number in {2, 12})
    async with open_screen(desk, size=size) as screen:
        await call(screen)
        held = next(row for row in screen.text().splitlines() if "held:" in row)
        assert held.split()[2:4] == ["J-9001", "0:00"]
        assert "▲J-9002" in held
        assert "J-9004" not in held
        assert held.endswith("+ ▲9  h")
        await screen.press("h")
        rows = screen.text().splitlines()
        shown = [row for row in rows if "waits" in row]
        assert len(shown) >= 4
        assert "▲ STOP" in shown[1]
        assert sum("it smokes" in row for row in rows) == len(shown)
        await screen.press("end")
        assert "A new call" in screen.text()
        assert "Enter takes the marked one" in screen.text()
        await screen.press("escape")


async def test_held_call_of_a_stopped_job_is_marked(open_screen: Open, desk: Workshop) -> None:
    """Who was told to get out is found again among those who wait."""
    async with open_screen(desk) as screen:
        await call(screen, gate=False)
        await screen.press("2", "enter", "h", "n")
        await screen.until(lambda: isinstance(screen.app.screen, NewJob))
        await call(screen, "smokes white two", gate=False)
        assert "held: ▲J-0001" in screen.text()


async def test_call_back_says_what_it_is_about(open_screen: Open, desk: Workshop) -> None:
    """When the call-back is made, its card tells day and reason."""
    async with open_screen(desk) as screen:
        job = await call(screen)
        await screen.press("q")
        await screen.type("2026-03-02 are they well")
        await screen.press("enter")
        await screen.until(lambda: job.walk.now.beside.waiting is not None)
        await screen.press("q")
        assert "Call-back 2026-03-02: are they well" in screen.text()
        await screen.press("escape")


async def test_what_was_marked_is_let_go_when_the_caller_cannot_tell_after_all(
    open_screen: Open, desk: Workshop
) -> None:
    """An answer that costs a start waits for Enter; 0 takes the mark away, so that Enter can mean one thing only."""
    async with open_screen(desk) as screen:
        job = await call(screen)
        await screen.press("1")
        assert "▶" in str(job.query_one("#q-options", Static).render())
        await screen.press("0")
        assert "▶" not in str(job.query_one("#q-options", Static).render())
        await screen.press("enter")
        assert job.walk.now.givens[-1].answer == "unknown"


async def test_danger_is_read_before_what_it_warns_of(open_screen: Open, desk: Workshop) -> None:
    """Until the caution was read the question is not marked to be read aloud, or the caller would have done it."""
    checks = dict(desk.book.checks)
    checks["smoke"] = replace(checks["smoke"], cautions=("gas",))
    desk.book = small_book(checks=checks)
    async with open_screen(desk) as screen:
        job = await call(screen)
        assert job.question.unread
        wording = job.query_one("#q-wording", Static)
        assert "Not yet: read the caution below first" in str(wording.render())
        await screen.press("1")
        assert "First the caution: read it, then press r." in told(screen)
        await screen.press("r")
        assert "Read aloud" in str(wording.render())


def told(screen: Any) -> str:
    """Return what floats over the screen."""
    return " ".join(note.message for note in screen.app._notifications)


@pytest.mark.parametrize(
    ("key", "why"),
    [
        ("7", "There is no answer 7 here now."),
        ("enter", "Choose an answer first; 0 is cannot tell."),
        ("g", "g (To tree) has nothing to do here now."),
        ("l", "l does nothing on this screen; F1 lists the keys."),
    ],
)
async def test_key_that_does_nothing_says_so(open_screen: Open, desk: Workshop, key: str, why: str) -> None:
    """An operator never wonders whether a key was heard; the next key takes the sentence away."""
    async with open_screen(desk) as screen:
        job = await call(screen, gate=False)
        await screen.press(key)
        assert told(screen) == why
        await screen.press(key)
        assert told(screen) == why, "one at a time"
        await screen.press("1")
        assert told(screen) == ""
        assert job.walk.question.kind == "gate"


async def test_caller_is_asked_for_the_voltage_aloud(open_screen: Open, desk: Workshop) -> None:
    """12 V or 24 V is a question that a caller can answer, so it is read aloud like the others."""
    checks = dict(desk.book.checks)
    checks["rested"] = replace(checks["rested"], place=("bench", "site", "phone"))
    desk.book = small_book(checks=checks)
    async with open_screen(desk) as screen:
        job = await call(screen)
        await screen.press("r", "2", "enter")
        assert (job.question.kind, job.question.form) == ("rated", "choice")
        text = screen.text()
        assert "Read aloud" in text
        assert "“Is it a 12 V or a 24 V unit?”" in text
        assert "What it looks like" not in text
