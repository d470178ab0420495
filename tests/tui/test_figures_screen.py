"""The figures by keys alone: pick by typing, fill, see the result while typing."""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from figure_keys import fill, pick
from textual.widgets import OptionList

from trees.figures import figure_info, registry
from tui.panels.figure import FigureField, FigureForm
from tui.plot import MARK
from tui.screens.day_list import DayList
from tui.screens.emergency import EmergencyCard
from tui.screens.figures import fitting
from tui.workshop import Workshop

Open = Callable[..., Any]
SIZES = [(60, 20), (80, 24), (120, 40)]
ROOT = Path(__file__).parent.parent.parent


def listed(screen: Any) -> list[str | None]:
    """Return the names of the figures in the list."""
    rows = screen.app.screen.query_one("#figure-list", OptionList)
    return [rows.get_option_at_index(i).id for i in range(rows.option_count)]


async def test_list_shrinks_while_a_part_is_typed(open_screen: Open, workshop: Workshop) -> None:
    """Every typed word must stand in name, title, meaning or field; what fits by its title comes first."""
    async with open_screen(workshop, size=(120, 40)) as screen:
        await screen.press("v")
        assert listed(screen) == list(registry())
        await screen.type("cable")
        by_cable = listed(screen)
        assert 2 <= len(by_cable) < len(registry())
        assert by_cable[0] in {"cable_drop", "cable_area_needed"}
        await screen.type(" area")
        assert set(listed(screen)) < set(by_cable)
        assert "cable_area_needed" in listed(screen)
        await screen.type(" zeppelin")
        assert listed(screen) == []
        assert "No figure has all of these words." in screen.text()
        await screen.press("enter")  # nothing is marked, so nothing is picked
        assert screen.app.screen.info is None


def test_every_figure_is_found_by_name_title_and_meaning() -> None:
    """Whatever a person remembers of a figure leads to it."""
    for info in registry().values():
        for part in (info.name, info.title.lower(), info.meaning.upper()):
            assert info in fitting(part), part
    assert fitting("") == tuple(registry().values())


async def test_result_updates_with_every_key(open_screen: Open, workshop: Workshop) -> None:
    """10 V less 9 V is 1 V, with one more digit 10 V less 9.5 V is 0.5 V; commas and other units are read."""
    async with open_screen(workshop) as screen:
        await pick(screen, "supply_drop")
        assert "Still wanted: source, load." in screen.text()
        await fill(screen, "10", "9")
        assert "= 1 V" in screen.text()
        await screen.type(",5")
        assert "= 0.5 V" in screen.text()
        await screen.press("backspace", "backspace", "backspace")
        assert "Still wanted: load." in screen.text()
        await screen.type("9800 mV")
        assert "= 0.2 V" in screen.text()
        text = " ".join(screen.text().split())
        assert "U_drop = U_source − U_load" in text
        assert "0 to 60 V" in text
        assert figure_info("supply_drop").source in text


async def test_uncertainty_if_given(open_screen: Open, workshop: Workshop) -> None:
    """3 mV and 4 mV make 5 mV; without any there is no ±."""
    async with open_screen(workshop) as screen:
        await pick(screen, "supply_drop")
        await fill(screen, "12.4", "10.9")
        assert "= 1.5 V" in screen.text()
        await screen.press("plus", "minus")
        await screen.type("0.04")
        await screen.press("up", "plus", "minus")
        await screen.type("0.03")
        assert "= 1.50 ± 0.05 V" in screen.text()


async def test_tab_enter_and_arrows_move_among_the_fields(open_screen: Open, workshop: Workshop) -> None:
    """Enter, Tab and down go on, up and Shift+Tab back; after the last field comes the first."""
    async with open_screen(workshop, size=(60, 20)) as screen:
        await pick(screen, "air_density")
        names = list(figure_info("air_density").inputs)

        def here() -> str:
            focused = screen.app.screen.focused
            assert isinstance(focused, FigureField)
            return focused.input_name

        assert here() == names[0]
        for key, place in (("enter", 1), ("tab", 2), ("enter", 0), ("down", 1), ("up", 0), ("up", 2), ("shift+tab", 1)):
            await screen.press(key)
            assert here() == names[place], key
            assert figure_info("air_density").inputs[names[place]].meaning in " ".join(screen.text().split())


async def test_defaults_stand_as_placeholders(open_screen: Open, workshop: Workshop) -> None:
    """An input that may be left empty shows what counts then; with or without it the result is the same."""
    async with open_screen(workshop, size=(120, 40)) as screen:
        figures = await pick(screen, "excess_air_from_co2")
        fields = figures.query_one(FigureForm).fields()
        assert [field.placeholder for field in fields] == ["", "15.28"]
        await fill(screen, "10")
        assert figures.found is not None
        left_empty = figures.found.worked.value
        await fill(screen, "", "15.28")
        assert figures.found.worked.value == pytest.approx(left_empty, rel=1e-3)  # 15.28 stands for 15.2814
        assert left_empty == pytest.approx(1 + (15.28 / 10 - 1) * 0.933, abs=0.002)


async def test_errors_are_told_live(open_screen: Open, workshop: Workshop) -> None:
    """A wrong unit, a number outside the range, nonsense: the sentence stands there while it is so."""
    async with open_screen(workshop, size=(120, 40)) as screen:
        figures = await pick(screen, "supply_drop")
        await screen.type("3 kg")
        assert "is a mass; a voltage in V is wanted" in screen.text()
        for _ in "3 kg":
            await screen.press("backspace")
        await fill(screen, "12", "80")
        assert "load is 80 V; the formula holds from 0 to 60 V" in " ".join(screen.text().split())
        assert figures.found is None
        await screen.press("backspace")
        assert "= 4 V" in screen.text()
        assert "formula holds" not in screen.text()


async def test_typed_markup_is_text(open_screen: Open, workshop: Workshop) -> None:
    """Brackets in a field are shown as they are."""
    async with open_screen(workshop, size=(120, 40)) as screen:
        figures = await pick(screen, "supply_drop")
        figures.query_one(FigureForm).fields()[0].value = "[red]9[/red]"
        await screen.settle()
        assert screen.text().count("[red]9[/red]") == 2  # in the field, and in the sentence about it


async def test_plot_where_a_curve_says_more(open_screen: Open, workshop: Workshop) -> None:
    """Density against altitude is drawn with its axes and the present point; a plain difference is not."""
    async with open_screen(workshop) as screen:
        await pick(screen, "air_density")
        await fill(screen, "2150", "2")
        text = screen.text()
        assert MARK in text
        assert "Density of the air, kg/m³" in text
        assert "altitude, m" in text
        assert any(0x2800 < ord(char) <= 0x28FF for char in text)
        await screen.press("escape", "escape")
        await pick(screen, "supply_drop")
        await fill(screen, "12", "11")
        assert MARK not in screen.text()


async def test_mark_moves_with_the_input(open_screen: Open, workshop: Workshop) -> None:
    """Higher up the mark stands further right and lower."""
    async with open_screen(workshop, size=(120, 40)) as screen:
        await pick(screen, "air_density")
        await screen.press("tab")
        await screen.type("2")
        await screen.press("up")

        def mark() -> tuple[int, int]:
            lines = screen.text().split("\n")
            return next((row, line.index(MARK)) for row, line in enumerate(lines) if MARK in line)

        await screen.type("500")
        low = mark()
        await screen.press("backspace", "backspace", "backspace")
        await screen.type("3500")
        high = mark()
        assert high[0] > low[0]
        assert high[1] > low[1]


async def test_escape_goes_to_the_list_then_back(open_screen: Open, workshop: Workshop) -> None:
    """One Esc leads to the list as it was, the next to where the screen was opened."""
    async with open_screen(workshop) as screen:
        figures = await pick(screen, "cable")
        await screen.press("escape")
        assert screen.app.screen is figures
        assert figures.info is None
        assert "cable_drop" in listed(screen)
        assert len(listed(screen)) < len(registry())
        await screen.press("escape")
        assert isinstance(screen.app.screen, DayList)


async def test_arrows_and_pages_move_the_mark(open_screen: Open, workshop: Workshop) -> None:
    """The field keeps the letters while the mark moves; Enter takes the marked figure."""
    async with open_screen(workshop) as screen:
        await screen.press("v", "down", "down", "up")
        assert screen.app.screen.query_one("#figure-list", OptionList).highlighted == 1
        await screen.press("pagedown")
        marked = screen.app.screen.query_one("#figure-list", OptionList).highlighted
        assert marked is not None
        assert marked > 10
        await screen.press("pageup", "pageup", "enter")
        assert screen.app.screen.info is next(iter(registry().values()))


async def test_emergency_card_opens_over_a_figure(open_screen: Open, workshop: Workshop) -> None:
    """F2 opens the card, Esc comes back to what was typed."""
    async with open_screen(workshop) as screen:
        await pick(screen, "supply_drop")
        await fill(screen, "12", "11")
        await screen.press("f2")
        assert isinstance(screen.app.screen, EmergencyCard)
        await screen.press("escape")
        assert "= 1 V" in screen.text()


@pytest.mark.parametrize("size", SIZES)
async def test_largest_figure_fits_without_sideways_scrolling(
    open_screen: Open, workshop: Workshop, size: tuple[int, int]
) -> None:
    """Nine inputs, each with its label and unit, and the result stand on every screen at once."""
    info = max(registry().values(), key=lambda one: len(one.inputs))
    async with open_screen(workshop, size=size) as screen:
        figures = await pick(screen, info.name)
        for field in figures.query_one(FigureForm).fields():
            field.value = f"{info.example.get(field.input_name, info.inputs[field.input_name].default):g}"
        await screen.settle()
        lines = screen.text().split("\n")
        for field_info in info.inputs.values():
            assert any(field_info.label in line for line in lines), field_info.label
        assert figures.found is not None
        assert any(f"= {figures.found.worked.text}" in line for line in lines)
        assert all(len(line) <= size[0] for line in lines)
        assert "F2 Emergency" in lines[-1]
        for widget in figures.query("*"):
            assert not widget.show_horizontal_scrollbar, widget


async def test_every_figure_can_be_shown(open_screen: Open, workshop: Workshop) -> None:
    """Each figure's own example gives a result on the smallest screen."""
    async with open_screen(workshop, size=(60, 20)) as screen:
        await screen.press("v")
        figures = screen.app.screen
        for info in registry().values():
            await figures.pick(info.name)
            for field in figures.query_one(FigureForm).fields():
                if field.input_name in info.example:
                    field.value = f"{info.example[field.input_name]:.12g}"
            await screen.settle()
            assert figures.found is not None, info.name
            assert f"= {figures.found.worked.text}" in screen.text(), info.name


def test_figures_screen_opens_without_pint() -> None:
    """Units are loaded only when one must become another: opening, filling and a result in the same unit need none."""
    script = """
import asyncio, sys, tempfile
from pathlib import Path
from small_book import small_book
from trees.casebook import Casebook
from tui.app import SootlineApp
from tui.workshop import Workshop

async def main(folder):
    with Casebook.open(Path(folder) / "c.db", seat="bench one") as casebook:
        app = SootlineApp(Workshop(small_book(), casebook, "bench one"))
        async with app.run_test(size=(80, 24)) as pilot:
            await pilot.press("v", *"supply_drop", "enter")
            await pilot.press(*"12", "enter", *"11", "plus", "minus", "1")
            await pilot.pause()
            print(type(app.screen).__name__, app.screen.found.worked.value, "pint" in sys.modules)
            await pilot.press(*"m", "V")
            await pilot.pause()
            print("pint" in sys.modules)

with tempfile.TemporaryDirectory() as folder:
    asyncio.run(main(folder))
"""
    places = os.pathsep.join([str(ROOT), str(ROOT / "tests" / "support")])
    run = subprocess.run(
        [sys.executable, "-c", script],
        capture_output=True, text=True, check=False, env={**os.environ, "PYTHONPATH": places}, timeout=120,
    )  # fmt: skip
    assert run.returncode == 0, run.stderr
    assert run.stdout.split("\n")[:2] == ["FiguresScreen 1.0 False", "True"]
