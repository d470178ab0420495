"""The command palette: what it finds, and that every word of it is in the language that is spoken."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from screen_jobs import past_gate

from trees.language import speaking
from tui.screens.emergency import EmergencyCard
from tui.workshop import Workshop

Open = Callable[..., Any]


async def test_a_command_is_found_by_what_it_does(open_screen: Open, workshop: Workshop) -> None:
    """Who does not know its name types what it is about; Enter runs it."""
    async with open_screen(workshop) as screen:
        await screen.press("ctrl+p")
        await screen.type("carbon")
        await screen.until(lambda: "Emergency  (F2)" in screen.text())
        assert "New job" not in screen.text()
        await screen.press("enter")
        await screen.until(lambda: isinstance(screen.app.screen, EmergencyCard))


async def test_where_nothing_fits_it_says_so_and_runs_nothing(open_screen: Open, workshop: Workshop) -> None:
    """A typed part that no command holds gives a sentence; Enter on it only closes the palette."""
    async with open_screen(workshop) as screen:
        below = screen.app.screen
        await screen.press("ctrl+p")
        await screen.type("zzqq")
        await screen.until(lambda: "No command holds that." in screen.text())
        await screen.press("enter")
        await screen.until(lambda: screen.app.screen is below)


@pytest.mark.parametrize("key", ["ctrl+p"])
async def test_the_palette_is_german_where_german_is_spoken(open_screen: Open, workshop: Workshop, key: str) -> None:
    """Its field, its commands and the sentence where none fits; nothing is left in English."""
    with speaking("de"):
        async with open_screen(workshop) as screen:
            await screen.press(key)
            await screen.until(lambda: "Alle/offene  (l)" in screen.text())
            assert "Befehl suchen" in screen.text()
            await screen.type("zzqq")
            await screen.until(lambda: "Kein Befehl" in screen.text())
            for english in ("Search for", "No matches", "No command"):
                assert english not in screen.text()


async def test_the_keys_of_a_field_and_of_the_trail_are_german(open_screen: Open, workshop: Workshop) -> None:
    """Labels that belong to what has the focus are translated as those of the screen are."""
    with speaking("de"):
        async with open_screen(workshop) as screen:
            await past_gate(screen)
            await screen.press("r", "2", "enter", "1")
            assert "Esc Feld verlassen" in screen.text()
            await screen.press("escape", "t")
            for told in ("Enter Ändern", "x Zurücknehmen", "Esc Spur verlassen"):
                assert told in screen.text().splitlines()[-1]
