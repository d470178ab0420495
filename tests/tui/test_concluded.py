"""The conclusion: causes with evidence, what to do now and later, what is open, the report before it is written."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Any

import pytest
from screen_jobs import past_gate
from small_book import small_book

from trees.book.model import Fix
from trees.walk import Walk
from trees.walk.ranking import rank
from tui.concluded import findings_text, weighed_text
from tui.draw import lines
from tui.screens.conclusion import ConclusionScreen
from tui.screens.report_card import ReportCard, readable
from tui.workshop import Workshop

Open = Callable[..., Any]


def book() -> Any:
    """Return the small book with a fix for the battery and one for the thin cable."""
    base = small_book()
    fixes = {
        **base.fixes,
        "charge": Fix(id="charge", do="Charge the battery", minutes=30, cures=("battery_flat",), parts=("charger",)),
        "cable": Fix(id="cable", do="Lay a thicker cable", minutes=90, cures=("cable_thin",), place=("site",)),
    }
    causes = {
        **base.causes,
        "battery_flat": replace(base.causes["battery_flat"], fixes=("charge",)),
        "cable_thin": replace(base.causes["cable_thin"], fixes=("cable",), prevent="Two sizes thicker."),
        "insert_coked": replace(base.causes["insert_coked"], fixes=("replace_insert",)),
    }
    return small_book(fixes=fixes, causes=causes)


def begun(**changes: Any) -> Walk:
    """Return a job behind its safety questions."""
    walk = Walk.begin(book(), words="smokes white", tree="smoke_on_start", family="air2", **changes)
    return walk.answer("no").answer("no").acknowledge("gas")


def found() -> Walk:
    """Return a job in which a flat battery, its coked insert and a voltage drop on site were found."""
    walk = begun(place="site").answer("stays").reading("12.0").reading("11.0")
    return walk.take_figure().reading("6.6 6.6 6.6").answer("no").tick(["low"]).answer("coked")


def section(text: str, title: str) -> list[str]:
    """Return the lines under a heading, down to the next heading."""
    rows = text.splitlines()
    at = next(i for i, row in enumerate(rows) if row.startswith(title))
    after = (i for i, row in enumerate(rows[at + 1 :], at + 1) if row and not row.startswith(" "))
    return rows[at + 1 : next(after, len(rows))]


def test_causes_stand_with_probability_and_evidence() -> None:
    """Each found cause has its per cent as the suspects have it, and the answers that prove it."""
    walk = found()
    chance = {s.cause: s.probability for s in rank(walk)[0]}["battery_flat"]
    assert chance is not None
    rows = section(findings_text(walk).plain, "Root: ")
    (line,) = [row for row in rows if "Battery flat" in row]
    assert f"{100 * chance:.0f}" in line.replace("\u00a0", " ").split("by:")[0]
    assert "by: Rested voltage: 12 V: Battery flat" in line


def test_empty_lists_take_no_room_but_a_missing_root_is_said() -> None:
    """Nothing found: the root's heading says nothing, the other headings are left out."""
    text = findings_text(begun()).plain
    assert section(text, "Root: ") == ["   nothing"]
    assert "Contributing" not in text
    assert "Consequence" not in text


def test_roots_say_what_they_led_to() -> None:
    """What acted together by the book's own links is said in words."""
    assert " → Battery flat led to: Insert coked." in findings_text(found()).plain


def test_unit_is_repaired_now_and_the_installation_put_right() -> None:
    """Work goes to where the cause lives: the unit on the bench, or the place where it is fitted."""
    text = findings_text(found()).plain
    assert [row.split("   ")[0].strip() for row in section(text, "Repair now")] == [
        "□ Charge the battery",
        "□ Replace the insert",
    ]
    assert section(text, "Put right at the installation") == [" □ Lay a thicker cable   90 min, technician"]
    assert [row.strip() for row in section(text, "So that it stays away")] == ["Charge it.", "Two sizes thicker."]


def test_work_that_was_done_is_not_asked_for_again() -> None:
    """A fix that was made, or another that cures the same, leaves the list."""
    text = findings_text(found().answer("cured")).plain
    assert "Replace the insert" not in "\n".join(section(text, "Repair now"))


def test_pairs_and_open_checks_are_told() -> None:
    """What likely acted together has its chance; a check that was not made and would turn the result is named."""
    text = weighed_text(begun().answer("stays")).plain
    assert "Not checked, and it would still change the result" in text
    assert any("Rested voltage" in row for row in section(text, "Not checked"))
    both = weighed_text(found()).plain
    assert "Likely acted together" in both
    assert any("Battery flat" in row and "%" in row for row in section(both, "Likely acted together"))


@pytest.mark.parametrize("size", [(60, 20), (80, 24), (120, 40)])
async def test_report_is_read_before_it_is_written(open_screen: Open, workshop: Workshop, size: Any) -> None:
    """I shows the report as lines, Esc comes back; nothing was written by it."""
    async with open_screen(workshop, size=size) as screen:
        await past_gate(screen)
        await screen.press("c")
        assert isinstance(screen.app.screen, ConclusionScreen)
        await screen.press("i")
        assert isinstance(screen.app.screen, ReportCard)
        await screen.until(lambda: "Report J-0001" in screen.text())
        assert "• Complaint: smokes white" in screen.text()
        await screen.press("escape")
        assert isinstance(screen.app.screen, ConclusionScreen)
        assert not workshop.report_folder.exists()


async def test_conclusion_gains_what_is_weighed(open_screen: Open, workshop: Workshop) -> None:
    """What takes longer follows on the same page without a key."""
    async with open_screen(workshop, size=(120, 40)) as screen:
        await past_gate(screen)
        await screen.press("c")
        await screen.until(lambda: "Not checked, and it would still change the result" in screen.text())


def test_markdown_is_read_without_its_signs() -> None:
    """Headings, bullets, tables and escapes become plain lines; rules and empty table heads vanish."""
    text = "# A \\[b\\]\n\n- **Root:** x \\*y\\*\n| a | b |\n|---|---|\n| 1 | |\n---\nplain `██··`"
    assert lines(list(readable(text))).plain == "A [b]\n\n• Root: x *y*\na  ·  b\n1  ·  –\nplain ██··"
