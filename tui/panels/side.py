"""Beside the question: the trail of what was answered."""

from __future__ import annotations

from typing import ClassVar

from textual.binding import Binding
from textual.geometry import Size
from textual.message import Message
from textual.widgets import OptionList
from textual.widgets.option_list import Option

from trees.walk import Walk
from trees.walk.trail import TrailItem
from tui import draw


class TrailPanel(OptionList):
    """What was answered, in order; struck out what no longer counts."""

    class Left(Message):
        """The trail was left by Esc."""

    class Change(Message):
        """An earlier answer is to be changed."""

        def __init__(self, visit: str) -> None:
            super().__init__()
            self.visit = visit

    class NoAnswer(Message):
        """The marked line is no answer, so nothing of it can be changed."""

    class TakeBack(Message):
        """An answer is to be taken back."""

        def __init__(self, no: int) -> None:
            super().__init__()
            self.no = no

    BINDINGS: ClassVar[list[Binding]] = [  # type: ignore[assignment]
        Binding("enter", "select", "Change", key_display="Enter"),
        Binding("x", "take_back", "Take back"),
        Binding("escape", "leave", "Leave the trail", key_display="Esc"),
    ]

    items: tuple[TrailItem, ...] = ()
    """What is shown; an answer adds to it, and only what it changes is drawn anew."""

    def show(self, walk: Walk) -> None:
        """Show the trail, its end in sight; who walks it keeps their place while it stays the same."""
        items = walk.trail
        if items == self.items and self.has_focus:
            return
        self.visits = {str(item.no): item.visit for item in items}
        kept = len(self.items) if items[: len(self.items)] == self.items else 0
        if not kept:
            self.clear_options()
        self.add_options([Option(draw.trail_line(item), id=str(item.no)) for item in items[kept:]])
        self.items = items
        if self.option_count:
            self.highlighted = self.option_count - 1
            self.scroll_end(animate=False, immediate=True)

    def _size_updated(self, size: Size, virtual_size: Size, container_size: Size, layout: bool = True) -> bool:
        """Turn to its end before it is painted with the lines that the proposal leaves; afterwards it would jump."""
        other = super()._size_updated(size, virtual_size, container_size, layout)
        if other and not self.has_focus:
            self.scroll_end(animate=False, immediate=True)
        return other

    def on_resize(self) -> None:
        """Keep the mark in sight while it is walked."""
        if self.has_focus:
            self.scroll_to_highlight()

    def on_option_list_option_selected(self, event: OptionList.OptionSelected) -> None:
        """Ask to change the answer."""
        event.stop()
        visit = self.visits.get(event.option_id or "", "")
        self.post_message(self.Change(visit) if visit else self.NoAnswer())

    def action_take_back(self) -> None:
        """Ask to take the marked answer back."""
        if self.highlighted is not None:
            self.post_message(self.TakeBack(int(self.get_option_at_index(self.highlighted).id or 0)))

    def action_leave(self) -> None:
        """Give the keys back to the question."""
        self.post_message(self.Left())
