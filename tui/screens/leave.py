"""A card before the program ends: what would be lost with it, and a second, different key that leaves all the same."""

from __future__ import annotations

from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding
from textual.containers import Vertical
from textual.content import Content
from textual.screen import ModalScreen
from textual.widgets import Static

from trees.language import _
from tui.draw import MUTED


class LeaveCard(ModalScreen[bool]):
    """What still runs at this seat; gives whether to leave."""

    BINDINGS: ClassVar[list[Binding]] = [  # type: ignore[assignment]
        Binding("space", "answer(True)", "Leave"),
        Binding("escape", "answer(False)", "Stay"),
    ]

    def __init__(self, going_on: str) -> None:
        super().__init__()
        self.going_on = going_on

    def compose(self) -> ComposeResult:
        """Lay out what runs and the two keys."""
        with Vertical(id="card"):
            yield Static(Content.styled(self.going_on, "bold $warning"))
            yield Static(Content(_("This ends with the program. Every answer is saved already.")))
            yield Static(Content.styled(_("Space leaves, Esc stays."), MUTED))

    def action_answer(self, leave: bool) -> None:
        """Leave or stay."""
        self.dismiss(leave)
