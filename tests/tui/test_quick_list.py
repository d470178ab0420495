"""The long list: a key repaints the two lines that it changes, and what stands there is the same as in any list."""

from __future__ import annotations

import pytest
from textual.app import App, ComposeResult
from textual.strip import Strip
from textual.widgets.option_list import Option

from tui.panels.quick_list import QuickList

SEEN = 10
"""Lines of the window."""


class Watched(QuickList):
    """A list that notes which of its lines are drawn."""

    def __init__(self) -> None:
        super().__init__(id="list", markup=False)
        self.drawn: set[int] = set()

    def render_line(self, y: int) -> Strip:
        """Draw a line of the window."""
        self.drawn.add(y)
        return super().render_line(y)


class Listing(App[None]):
    """A list that fills the window."""

    CSS = "#list { border: none; padding: 0; height: 1fr; text-wrap: nowrap; }"

    def __init__(self, options: list[str]) -> None:
        super().__init__()
        self.options = options

    def compose(self) -> ComposeResult:
        """Lay out the list."""
        yield Watched()

    def on_mount(self) -> None:
        """Fill it."""
        self.query_one(Watched).set_options([Option(text) for text in self.options])
        self.query_one(Watched).highlighted = 0

    def marked(self) -> list[int]:
        """Return the lines of the window that look marked."""
        rows = self.query_one(Watched)
        style = rows.get_visual_style("option-list--option", "option-list--option-highlighted").rich_style
        lines = [rows.render_line(y) for y in range(SEEN)]
        return [y for y, line in enumerate(lines) if any(s.style and s.style.bgcolor == style.bgcolor for s in line)]


class Wrapping(Listing):
    """A list that wraps its lines."""

    CSS = "#list { border: none; padding: 0; height: 1fr; }"


@pytest.mark.parametrize("count", [20, 1000])
async def test_a_cursor_key_draws_two_lines(count: int) -> None:
    """The line that was marked and the one that is are drawn, no other, however many jobs there are."""
    app = Listing([f"job {n}" for n in range(count)])
    async with app.run_test(size=(40, SEEN)) as pilot:
        rows = app.query_one(Watched)
        await pilot.press("down")
        for at in range(1, SEEN - 1):
            rows.drawn.clear()
            await pilot.press("down")
            assert rows.drawn == {at, at + 1}
            assert app.marked() == [at + 1]


async def test_list_turns_by_half_of_what_is_in_sight() -> None:
    """A mark that leaves the window comes back in its middle, downwards and upwards; at the ends the list stops."""
    app = Listing([f"job {n}" for n in range(100)])
    async with app.run_test(size=(40, SEEN)) as pilot:
        rows = app.query_one(Watched)
        seen = []
        for key in ["down"] * SEEN + ["up"] * (SEEN // 2 + 1) + ["end", "home"]:
            await pilot.press(key)
            assert app.marked() == [(rows.highlighted or 0) - rows.scroll_offset.y]
            seen.append(rows.scroll_offset.y)
        half = SEEN // 2
        assert seen[: SEEN - 1] == [0] * (SEEN - 1)
        assert seen[SEEN - 1 : -3] == [half] * (half + 1)
        assert seen[-3:] == [0, 100 - SEEN, 0]


async def test_options_of_several_lines_are_shown_whole() -> None:
    """An option of two lines is marked and unmarked with both of them, and no other line is drawn."""
    app = Listing(["job 0\nwaits", "job 1", "job 2\nwaits", *(f"job {n}" for n in range(3, 20))])
    async with app.run_test(size=(40, SEEN)) as pilot:
        rows = app.query_one(Watched)
        await pilot.press("down", "up")
        assert app.marked() == [0, 1]
        for before, now in (([0, 1], [2]), ([2], [3, 4]), ([3, 4], [5])):
            rows.drawn.clear()
            await pilot.press("down")
            assert rows.drawn == {*before, *now}
            assert app.marked() == now
        await pilot.press("end", "up", "up", "home")
        assert app.marked() == [0, 1]


async def test_wrapped_lines_are_the_librarys() -> None:
    """Where a line is wrapped nothing is known of where an option stands, and it is marked all the same."""
    app = Wrapping(["a job with words " * 3, "job 1"])
    async with app.run_test(size=(40, SEEN)) as pilot:
        assert app.marked() == [0, 1]
        await pilot.press("down")
        assert app.marked() == [2]


async def test_an_emptied_list_shows_nothing() -> None:
    """Without options no line of the ones before stays."""
    app = Listing(["one", "two"])
    async with app.run_test(size=(40, SEEN)) as pilot:
        rows = app.query_one(Watched)
        rows.drawn.clear()
        rows.set_options([])
        await pilot.pause()
        assert rows.drawn
        assert not "".join(rows.render_line(y).text for y in range(SEEN)).strip()
