"""A small card over a screen: tick any number of lines."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding
from textual.containers import Vertical
from textual.content import Content
from textual.screen import ModalScreen
from textual.widgets import OptionList, Static
from textual.widgets.option_list import Option

from trees.language import _
from tui.draw import MUTED, plain


class TickCard(ModalScreen[tuple[str, ...] | None]):
    """Lines to tick; gives the ids that are ticked, in the order of the list, or None."""

    BINDINGS: ClassVar[list[Binding]] = [  # type: ignore[assignment]
        Binding("space", "tick", "Tick"),
        Binding("enter", "keep", "Keep", priority=True),
        Binding("escape", "drop", "Drop"),
    ]

    def __init__(self, title: str, lines: Mapping[str, str], ticked: Iterable[str]) -> None:
        super().__init__()
        self.title_line = title
        self.lines = lines
        self.ticked = set(ticked)

    def compose(self) -> ComposeResult:
        """Lay out title and lines."""
        with Vertical(id="card"):
            yield Static(Content.styled(plain(self.title_line), "bold"))
            yield OptionList(*(Option(self.line(i), id=i) for i in self.lines), id="rows", markup=False)
            yield Static(Content.styled(_("Space ticks, Enter keeps it, Esc drops it."), MUTED))

    def on_mount(self) -> None:
        """Mark the first line."""
        self.query_one("#rows", OptionList).highlighted = 0 if self.lines else None

    def line(self, line_id: str) -> Content:
        """Return one line with its box."""
        box = "[x]" if line_id in self.ticked else "[ ]"
        return Content(f"{box} {plain(self.lines[line_id])}")

    def action_tick(self) -> None:
        """Tick or untick the marked line."""
        rows = self.query_one("#rows", OptionList)
        if rows.highlighted is None:
            return
        line_id = rows.get_option_at_index(rows.highlighted).id or ""
        self.ticked ^= {line_id}
        rows.replace_option_prompt(line_id, self.line(line_id))

    def on_option_list_option_selected(self, _event: OptionList.OptionSelected) -> None:
        """Tick what was clicked."""
        self.action_tick()

    def action_keep(self) -> None:
        """Give what is ticked."""
        self.dismiss(tuple(line_id for line_id in self.lines if line_id in self.ticked))

    def action_drop(self) -> None:
        """Go back without a choice."""
        self.dismiss(None)
