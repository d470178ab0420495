"""What a screen says at the place where somebody looks: the proposal, the way back to the tree, what Enter does."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Any

import pytest
from screen_jobs import begun, past_gate
from small_book import small_book
from textual.content import Content

from trees.language import speaking
from trees.walk import Walk
from trees.walk.ranking import Suspect, apart, rank
from tui import plain_lines
from tui.before_after import pairs_of_readings, table
from tui.concluded import findings_text
from tui.draw import heading, hung, lines
from tui.panels.suspects import panel_rows
from tui.workshop import Workshop

Open = Callable[..., Any]


def footer(screen: Any) -> str:
    """Return the line of keys."""
    return str(screen.text().splitlines()[-1])


# ── the proposal ────────────────────────────────────────────────────────────


@pytest.mark.parametrize("size", [(80, 24), (120, 40)])
async def test_the_check_that_is_asked_is_not_proposed_once_more(
    open_screen: Open, workshop: Workshop, size: tuple[int, int]
) -> None:
    """Once the proposed check is asked there is nothing to leave the tree for: it is said so, and a makes nothing."""
    async with open_screen(workshop, size=size) as screen:
        job = await past_gate(screen)
        await screen.until(lambda: job.proposal is not None)
        wanted = job.walk.book.checks[job.proposal].wording
        assert f"a  Next: {wanted}"[:28] in screen.text()
        await screen.press("a")
        assert job.walk.question.wording == wanted
        await screen.until(lambda: "what is asked now" in " ".join(screen.text().split()))
        assert "a  Next:" not in screen.text()
        kept = len(job.walk.entries)
        await screen.press("escape", "a")
        assert "No other check is proposed now." in screen.text()
        assert len(job.walk.entries) == kept


# ── a cause that was ruled out ──────────────────────────────────────────────


def ruled_out() -> Walk:
    """Return a job whose smoke points at the battery, which its rested voltage of 12.7 V then rules out."""
    walk = Walk.begin(small_book(), words="smokes", tree="smoke_on_start", place="bench", family="air2")
    walk = walk.taken_up("bench one", "2026-01-05").answer("no").answer("no").acknowledge("gas")
    return walk.answer("stays").reading("12.7")


def test_a_cause_that_was_ruled_out_has_no_chance() -> None:
    """Panel, plain mode and conclusion say in words that it is ruled out, last of all and without any per cent."""
    walk = ruled_out()
    suspects, _trouble = rank(walk)
    battery = next(s for s in suspects if s.cause == "battery_flat")
    assert battery.state == "ruled_out"
    assert (battery.probability or 0.0) > 0.1, "else a low number would be no harm"
    assert suspects[-1] == battery
    panel = [row.plain for row in panel_rows(suspects, (), "", {"battery_flat": 9}, width=34, height=10)]
    plain = list(plain_lines.suspect_lines(walk))
    page = findings_text(walk).plain.splitlines()
    for rows in (panel, plain, page):
        (row,) = [row for row in rows if "Battery flat" in row]
        assert "%" not in row
        assert "▲" not in row
    assert panel[-1].split() == ["✕", "ruled", "out", "Battery", "flat"]
    assert plain[-1].endswith("Battery flat, ruled out")


def test_a_cause_that_was_found_is_no_question_of_chance() -> None:
    """Coke that was seen stands there as found, whatever its per cent would be: 51 % would make one doubt the look."""
    walk = ruled_out().cannot_tell().cannot_tell().reading("6.6 6.6 6.6").answer("no").tick(["low"]).answer("coked")
    roots, consequences = apart(walk, rank(walk)[0])
    rows = [row.plain for row in panel_rows(roots, consequences, "", {"insert_coked": 9}, width=34, height=10)]
    (row,) = [row for row in rows if "Insert coked" in row]
    assert row.split() == ["●", "found", "Insert", "coked"]


def test_a_long_name_that_was_ruled_out_fits_the_panel() -> None:
    """No line of the panel is wider than the panel."""
    long = Suspect("x", "x" * 60, "root", 0.9, "ruled_out")
    assert [len(row.plain) for row in panel_rows([long], (), "", {}, width=32, height=10)][1] == 32


# ── back to the tree ────────────────────────────────────────────────────────


@pytest.mark.parametrize("size", [(60, 20), (80, 24), (120, 40)])
async def test_aside_of_the_tree_the_question_says_the_way_back(
    open_screen: Open, workshop: Workshop, size: tuple[int, int]
) -> None:
    """In the head of a check made aside stands g, behind Esc while a field has the keys; in the tree it does not."""
    async with open_screen(workshop, size=size) as screen:
        job = await past_gate(screen)
        assert "to the tree" not in screen.text()
        await screen.press("m")
        await screen.type("voltage under")
        await screen.press("enter")
        await screen.until(lambda: job.walk.question.aside)
        assert "Esc, g  to the tree" in screen.text()
        await screen.press("escape")
        assert "g To tree" in footer(screen)
        await screen.press("g")
        assert not job.walk.question.aside
        assert "to the tree" not in screen.text()
        assert "To tree" not in footer(screen)


def test_what_a_check_aside_asks_first_is_aside_too() -> None:
    """The voltage that a reading is judged by belongs to no step: no number stands there, and g leads back."""
    walk = Walk.begin(small_book(), words="smokes", tree="smoke_on_start", place="bench")
    walk = walk.taken_up("bench one", "2026-01-05").answer("no").answer("no").leave_for("rested")
    assert walk.question.kind == "rated"
    assert (walk.question.no, walk.question.aside) == (None, True)
    assert heading(walk.question).plain.split() == ["aside", "g", "to", "the", "tree"]


def test_plain_mode_says_the_way_back_too() -> None:
    """Aside of the tree the first line of the question names the word that goes back."""
    walk = ruled_out().leave_for("loaded")
    assert "`tree` goes back" in next(iter(plain_lines.question_lines(walk, walk.question)))


# ── what Enter does ─────────────────────────────────────────────────────────


async def test_enter_says_what_it_does_at_a_stop(open_screen: Open, workshop: Workshop) -> None:
    """A stop asks nothing that could be taken: Enter goes to the conclusion and is called so, in the palette too."""
    async with open_screen(workshop, size=(120, 40)) as screen:
        job = await begun(screen)
        await screen.press("2")
        assert "Enter Take" in footer(screen)
        await screen.press("enter")
        assert "Enter Conclude" in footer(screen)
        assert footer(screen).count("Conclude") == 1, "c does the same, so it needs no place of its own"
        assert "Conclude  (Enter)" in {title for _command, title in job.possible()}


@pytest.mark.parametrize("size", [(60, 20), (80, 24), (120, 40)])
async def test_a_stop_says_whom_to_call_and_weighs_nothing(
    open_screen: Open, workshop: Workshop, size: tuple[int, int]
) -> None:
    """The workshop's own emergency number stands first under STOP; no chance of anything stands beside it."""
    workshop.settings = replace(workshop.settings, emergency_number="0 999 1")
    async with open_screen(workshop, size=size) as screen:
        await begun(screen)
        await screen.press("2", "enter")
        rows = [row.strip() for row in screen.text().splitlines()]
        at = next(n for n, row in enumerate(rows) if row.startswith("▲ STOP"))
        assert rows[at + 1].startswith("Emergency number: 0 999 1")
        assert rows[at + 2].startswith("1 Out, air.")
        assert "%" not in screen.text()
        assert "Suspects" not in screen.text()
        await screen.press("enter")
        await screen.until(lambda: "STOPPED FOR SAFETY" in screen.text())
        await screen.settle()
        assert "would still change the result" not in screen.text()
        await screen.press("i")
        await screen.until(lambda: "▲ STOPPED FOR SAFETY" in screen.text())
        assert "> STOPPED" not in screen.text()


async def test_enter_says_what_it_does_at_an_end_and_in_a_closed_job(open_screen: Open, workshop: Workshop) -> None:
    """At an end Enter concludes; in a closed job it reads the conclusion."""
    walk = ruled_out()
    while walk.question.kind != "end":
        walk = walk.cannot_tell()
    workshop.casebook.new_job(walk.taken_up(workshop.seat, workshop.today()).entries)
    async with open_screen(workshop, size=(120, 40)) as screen:
        await screen.press("enter", "1", "enter")  # a new day: what could hurt now is asked again
        await screen.until(lambda: "Enter Conclude" in footer(screen))
        await screen.press("enter", "6", "enter", "escape")
        await screen.until(lambda: "Closed" in screen.text())
        assert "Enter Read" in footer(screen)


async def test_enter_is_not_offered_where_there_is_nothing_to_take(open_screen: Open, workshop: Workshop) -> None:
    """A figure whose reading is missing can only be passed over with 0: Enter stands neither in footer nor palette."""
    walk = Walk.begin(workshop.book, words="smokes", tree="smoke_on_start", place="bench", family="air2")
    walk = walk.taken_up(workshop.seat, workshop.today()).answer("no").answer("no").acknowledge("gas")
    walk = walk.answer("stays").cannot_tell().cannot_tell()
    assert (walk.question.form, walk.question.value) == ("figure", None)
    workshop.casebook.new_job(walk.entries)
    async with open_screen(workshop) as screen:
        await screen.press("enter")
        await screen.until(lambda: "Volts lost on the way" in screen.text())
        assert "Enter" not in footer(screen)
        kept = len(screen.app.screen.walk.entries)
        await screen.press("enter")
        assert len(screen.app.screen.walk.entries) == kept


@pytest.mark.parametrize("size", [(80, 24), (120, 40)])
async def test_who_walks_the_trail_sees_its_keys(open_screen: Open, workshop: Workshop, size: tuple[int, int]) -> None:
    """On the trail Enter changes, x takes back, Esc leaves; t, which leads there, is not offered once more."""
    async with open_screen(workshop, size=size) as screen:
        await past_gate(screen)
        assert "t Trail" in footer(screen)
        await screen.press("t")
        for shown in ("Enter Change", "x Take back", "Esc Leave the trail"):
            assert shown in footer(screen)
        assert "t Trail" not in footer(screen)


# ── pages and cards ─────────────────────────────────────────────────────────


@pytest.mark.parametrize("size", [(60, 20), (80, 24), (120, 40)])
async def test_the_page_of_keys_shows_its_way_out(open_screen: Open, workshop: Workshop, size: tuple[int, int]) -> None:
    """However many keys there are the line with Esc is in sight; what goes on stands under its sentence."""
    async with open_screen(workshop, size=size) as screen:
        await past_gate(screen)
        await screen.press("f1")
        rows = screen.text().splitlines()
        assert any("Esc closes it." in row for row in rows)
        column = next(row.index("Choose an answer") for row in rows if "Choose an answer" in row)
        told = [
            row[:column].strip(" ▊█▄▁▂▃▅▆▇") for row in rows if len(row) > column and row[column : column + 3].isalpha()
        ]
        assert "more" not in told  # no word of a sentence in the column of keys
        await screen.press("end")
        assert any("Ctrl+Z" in row for row in screen.text().splitlines())
        assert any("Esc closes it." in row for row in screen.text().splitlines())


@pytest.mark.parametrize("size", [(60, 20), (80, 24), (120, 40)])
async def test_no_end_of_a_job_is_broken_over_two_lines(
    open_screen: Open, workshop: Workshop, size: tuple[int, int]
) -> None:
    """Digit and end stand together; the chosen one is marked by a sign too."""
    from trees.book.words import END_NAMES

    async with open_screen(workshop, size=size) as screen:
        await past_gate(screen)
        await screen.press("c", "4")
        for digit, name in list(enumerate(END_NAMES.values(), start=1))[1:]:
            assert f" {digit}  {'▶ ' if digit == 4 else ''}{name}" in screen.text()


async def test_an_end_that_the_job_can_not_have_is_not_offered_and_says_why(
    open_screen: Open, workshop: Workshop
) -> None:
    """Released stands behind the readings after the repair; while safety questions are open no good end is offered."""
    async with open_screen(workshop) as screen:
        job = await begun(screen)
        await screen.press("c")
        text = " ".join(screen.text().split())
        assert "Not now: Released, Settled by phone, No fault. The safety questions come first." in text
        await screen.press("6", "enter")
        assert job.walk.now.closed is None
        assert "Enter closes the job." not in screen.text()
        await screen.press("escape", "1", "enter", "1", "enter", "c")
        text = " ".join(screen.text().split())
        assert "Not now: Released. Released stands at the end of the run after repair" in text
        assert " 6 No fault" in text
        await screen.press("1")
        assert "Enter closes the job." not in screen.text()
        await screen.press("6")
        assert "Enter closes the job." in screen.text()


def test_a_broken_line_hangs_under_its_words() -> None:
    """Spaces, a sign or a number in front stay in their column; nothing is lost and nothing is wider."""
    words = "battery posts while the glow pin draws its current for a minute"
    for mark in ("   ", " ● ", " 12 ", ""):
        rows = hung(Content(mark + words), 34).plain.splitlines()
        assert all(len(row) <= 34 for row in rows)
        assert len(rows) > 1
        assert rows[0].startswith(mark)
        assert all(row.startswith(" " * len(mark)) for row in rows[1:])
        assert " ".join(" ".join(rows).split()) == f"{mark}{words}".strip()


def test_readings_before_and_after_stand_side_by_side_in_german_too() -> None:
    """What tells the two apart is no word of a language; the heads of the columns are."""
    walk = Walk.begin(small_book(), words="x", tree="smoke_on_start", family="air2").answer("no").answer("no")
    walk = walk.acknowledge("gas").leave_for("loaded").reading("11.1").answer("short").reading("6.6 6.6 6.6")
    walk = walk.answer("no").tick(["long"]).answer("coked").answer("cured").reading("12.1")
    with speaking("de"):
        (pair,) = pairs_of_readings(walk)
        text = lines(table((pair,), 74)).plain
    for told in ("11.1 V", "12.1 V", "vorher", "nachher", "Grenzen"):
        assert told in text
    assert "before" not in text


async def test_the_words_of_all_jobs_stand_in_one_column(open_screen: Open, workshop: Workshop) -> None:
    """Open or closed by a long end, the customer's words begin in the same column."""
    for words, end in (("first words", "to_workshop"), ("second words", "not_released"), ("third words", None)):
        job = await workshop.new_job(words, "smoke_on_start", "bench")
        if end is not None:
            await job.keep(job.walk.close(end))
    async with open_screen(workshop) as screen:
        await screen.press("l")
        await screen.until(lambda: "first words" in screen.text())
        rows = [row for row in screen.text().splitlines() if " words" in row]
        assert len({row.index(which) for row, which in zip(rows, ("third", "second", "first"), strict=True)}) == 1


async def test_the_page_of_keys_is_closed_by_no_key_that_means_something_else(
    open_screen: Open, workshop: Workshop
) -> None:
    """Q keeps a call-back on the job: on the page over it it does nothing; Esc, Enter, ? and F1 close."""
    async with open_screen(workshop) as screen:
        job = await past_gate(screen)
        await screen.press("f1", "q")
        assert "Keys: job" in screen.text()
        for key in ("escape", "enter", "question_mark", "f1"):
            await screen.press("f1") if screen.app.screen is job else None
            await screen.press(key)
            assert screen.app.screen is job
