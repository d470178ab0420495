"""Every text on every screen can be read: contrast ratios from the rendered styles, in all three themes."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from contrast import contrast, poor_pairs, segments
from rich.color import Color

from tui.settings import THEMES, Instrument, Settings
from tui.settings_file import save_settings
from tui.themes import ALL, LEAST_CONTRAST
from tui.workshop import Workshop

Open = Callable[..., Any]


def test_contrast_is_that_of_the_standard() -> None:
    """Black on white is 21, the grey #767676 on white 4.54: values that the standard's own documents give."""
    black, white = Color.from_rgb(0, 0, 0), Color.from_rgb(255, 255, 255)
    assert contrast(black, white) == pytest.approx(21.0)
    assert contrast(white, black) == pytest.approx(21.0)
    assert contrast(Color.from_rgb(0x76, 0x76, 0x76), white) == pytest.approx(4.54, abs=0.005)


def test_every_theme_of_the_settings_is_there_with_its_least() -> None:
    """What can be chosen can be shown, and is held to a contrast."""
    assert set(THEMES) == set(ALL) == set(LEAST_CONTRAST)


def test_poor_pairs_are_found() -> None:
    """The measure itself sees grey on grey."""

    class Compositor:
        @staticmethod
        def render_strips() -> list[list[Any]]:
            from rich.segment import Segment
            from rich.style import Style

            return [
                [Segment("seen", Style.parse("#777777 on #666666")), Segment("──", Style.parse("#777777 on #666666"))]
            ]

    class App:
        screen = type("Screen", (), {"_compositor": Compositor()})()

    (told,) = poor_pairs(App(), 4.5)
    assert "'seen'" in told


class Reader:
    """Looks at each screen once it stands."""

    def __init__(self, screen: Any, least: float) -> None:
        self.screen = screen
        self.least = least
        self.poor: dict[str, list[str]] = {}
        self.seen = 0

    async def after(self, *keys: str) -> None:
        """Press keys, then look."""
        await self.screen.press(*keys)
        self.seen += 1
        found = poor_pairs(self.screen.app, self.least)
        if found:
            self.poor[f"{type(self.screen.app.screen).__name__} after {' '.join(keys)}"] = found


@pytest.mark.parametrize(
    ("theme", "size"), [*((theme, (80, 24)) for theme in sorted(THEMES)), ("light", (120, 40)), ("contrast", (120, 40))]
)
async def test_every_text_on_every_screen_keeps_the_contrast_of_its_theme(
    open_screen: Open, workshop: Workshop, settings_file: Path, theme: str, size: Any
) -> None:
    """At least 7 in high contrast and 4.5 elsewhere, whatever is marked, chosen, struck out, wrong or dangerous."""
    workshop.settings = Settings(theme=theme, instruments=(Instrument("multimeter", "V", 0.05),))
    # in the file too: the job screen keeps there what is measured with today, and takes all that stands in it
    save_settings(settings_file, theme=theme, instruments=workshop.settings.instruments)
    workshop.notice = "A notice."
    async with open_screen(workshop, size) as screen:
        look = Reader(screen, LEAST_CONTRAST[theme])
        assert screen.app.theme == theme
        await look.after()
        await look.after("f1")
        await look.after("escape", "f2")
        await look.after("escape", "n")
        await look.after("enter")  # refused: a sentence that something is wrong
        await screen.type("smokes")
        await look.after("down")
        await look.after("enter")  # the gate
        await look.after("0")  # an answer is marked
        await look.after("1", "enter")
        await look.after("1", "enter")  # DANGER is not read yet
        await look.after("r")
        await look.after("2", "enter", "1")
        await screen.type("11800")
        await look.after()  # outside what is plausible
        await look.after("enter")
        await look.after("escape")
        await look.after("escape", "w")
        await look.after("enter")
        await look.after("escape", "j")
        await look.after("escape", "t")
        await look.after("escape", "b")
        await look.after("c")
        await look.after("4")
        await look.after("e")  # the forms of the report
        await look.after("enter")
        await look.after("escape", "escape", "v")
        await screen.type("drop")
        await look.after("enter")
        await look.after("1", "2", "tab", "1", "1")
        await look.after("escape", "escape", "escape")
        await look.after("o")
        await look.after("tab", "enter")
        await look.after("escape", "escape", "f9")
        await look.after(*["down"] * 7)
        await look.after("enter")
        await look.after("escape", "down", "enter")
        await look.after("escape", "escape", "ctrl+p")
        await look.after("s")
        await look.after("escape", "n")
        await screen.type("smokes")
        await look.after("enter", "2", "enter")  # a stop
        await look.after("c")
        await look.after("escape", "escape")
        assert look.seen > 35
        assert screen.app.theme == theme
    assert look.poor == {}


async def test_book_with_problems_keeps_the_contrast(open_screen: Open, workshop: Workshop, tmp_path: Path) -> None:
    """An error and a warning in the author's list can be read in every theme."""
    folder = tmp_path / "book"
    folder.mkdir()
    (folder / "book.yaml").write_text("title: 3\nedition: x: y\n")
    workshop.book_folder = folder
    async with open_screen(workshop, (120, 40)) as screen:
        await screen.press("o")
        await screen.until(lambda: "error" in screen.text())
        for theme, least in LEAST_CONTRAST.items():
            screen.app.take_settings(replace(screen.app.settings, theme=theme))
            await screen.settle()
            assert poor_pairs(screen.app, least) == []


@pytest.mark.parametrize("theme", sorted(THEMES))
async def test_the_line_that_enter_takes_is_marked_while_a_field_has_the_keys(
    open_screen: Open, workshop: Workshop, settings_file: Path, theme: str
) -> None:
    """Complaints, and the lines of a card: the mark is bold on the theme's own ground, no shade of what lies around."""
    save_settings(settings_file, theme=theme)
    workshop.settings = Settings(theme=theme)
    async with open_screen(workshop) as screen:
        wanted = ALL[theme].variables["marked"]
        for keys, text in ((("n",), "White smoke"), (("s", "m", "enter", "f"), "Air 2 kW")):
            await screen.press(*keys)
            await screen.until(lambda text=text: text in screen.text())
            marked = [(said, style) for _, said, style in segments(screen.app) if said.strip().startswith(text)]
            assert marked[0][1].bgcolor.triplet.hex == wanted, marked[0]
            assert marked[0][1].bold
