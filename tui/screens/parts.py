"""A screen of jobs in parts, a list first and pages behind it, of the real jobs or of the invented ones."""

from __future__ import annotations

from typing import ClassVar

from textual.content import Content
from textual.widget import Widget
from textual.widgets import OptionList, Static

from trees.language import _
from tui.draw import MUTED
from tui.finding_jobs import Kinds
from tui.screens.base import WorkScreen


def move_mark(rows: OptionList, by: int) -> None:
    """Move the mark of a list whose field keeps the keys."""
    if by > 0:
        rows.action_cursor_down()
    else:
        rows.action_cursor_up()


def turn_page(shown: Widget, by: int, lines: int = 1) -> None:
    """Turn a list, whose options take so many lines each, or a page of text, on or back."""
    if not isinstance(shown, OptionList):
        shown.scroll_relative(y=by * max(1, shown.size.height - 2), animate=False)
    elif shown.highlighted is not None:
        step = by * max(1, shown.size.height // lines - 1)
        shown.highlighted = max(0, min(shown.option_count - 1, shown.highlighted + step))


class PartsScreen(WorkScreen):
    """What the screens of parts do the same way."""

    PARTS: ClassVar[tuple[str, ...]]
    """The names, the list's first."""
    LIST: ClassVar[tuple[str, int]]
    """Its selector, and the lines that an option takes."""
    PAGE: ClassVar[str]
    """The selector of the page that the other parts are drawn on."""
    ENTER: ClassVar[str]
    """What Enter does on a line of the list."""

    def __init__(self) -> None:
        super().__init__()
        self.part = self.PARTS[0]
        """The part that is shown."""
        self.invented = False
        """The invented jobs are shown, not the real ones."""
        self.kinds = Kinds()

    @property
    def on_list(self) -> bool:
        """The list is shown, not a page."""
        return self.part == self.PARTS[0]

    @property
    def rows(self) -> OptionList:
        """The list."""
        return self.query_one(self.LIST[0], OptionList)

    def show_part(self) -> None:
        """Show the part that was turned to, and mark it among the names."""
        names = [(f" {_(name)} ", "bold reverse" if name == self.part else MUTED) for name in self.PARTS]
        self.query_one("#parts", Static).update(Content.assemble(*names))
        self.refresh_bindings()

    def action_part(self, by: int) -> None:
        """Turn to another part."""
        self.part = self.PARTS[(self.PARTS.index(self.part) + by) % len(self.PARTS)]
        self.show_part()

    def action_move(self, by: int) -> None:
        """Move the mark, or scroll the page."""
        if self.on_list:
            move_mark(self.rows, by)
        else:
            self.query_one(self.PAGE).scroll_relative(y=by, animate=False)

    def action_page(self, by: int) -> None:
        """Turn the list or the page on or back."""
        turn_page(self.rows if self.on_list else self.query_one(self.PAGE), by, self.LIST[1])

    def check_action(
        self,
        action: str,
        parameters: tuple[object, ...],  # noqa: ARG002 - Textual's signature
    ) -> bool | None:
        """Offer the other kind only where there is one, and Enter only where a line is listed."""
        if action == "invented":
            return self.kinds.both
        if action == self.ENTER:
            return self.on_list and self.lines_listed()
        return True

    def lines_listed(self) -> bool:
        """Tell whether the list has lines."""
        raise NotImplementedError
