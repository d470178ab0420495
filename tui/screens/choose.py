"""Two small cards over a screen: choose one of a list by typing a part of it, and write one line."""

from __future__ import annotations

from collections.abc import Sequence
from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding
from textual.containers import Vertical
from textual.content import Content
from textual.screen import ModalScreen
from textual.widgets import Input, OptionList, Static
from textual.widgets.option_list import Option

from trees.language import _
from tui.draw import MUTED, plain, say
from tui.literal import one_line
from tui.screens.parts import move_mark


class ChooseCard(ModalScreen[str | None]):
    """A list that shrinks while a part of the wanted line is typed; gives the id, or None."""

    BINDINGS: ClassVar[list[Binding]] = [  # type: ignore[assignment]
        Binding("escape", "drop", "Drop"),
        Binding("down", "move(1)", "Down", show=False),
        Binding("up", "move(-1)", "Up", show=False),
    ]

    def __init__(self, title: str, rows: Sequence[tuple[str, str]]) -> None:
        super().__init__()
        self.title_line = title
        self.rows = rows

    def compose(self) -> ComposeResult:
        """Lay out title, field and list."""
        with Vertical(id="card"):
            yield Static(Content.styled(plain(self.title_line), "bold"))
            yield Input(placeholder=_("type a part of it"), id="part")
            yield OptionList(id="rows", markup=False)
            yield Static(id="told")

    def on_mount(self) -> None:
        """Show all lines."""
        self.fill("")

    def on_resize(self) -> None:
        """Keep the height of the list, so that the card does not jump while typing makes it shorter."""
        rows = self.query_one("#rows", OptionList)
        rows.styles.min_height = None
        self.call_after_refresh(self.hold_height)

    def hold_height(self) -> None:
        """Let the list be no lower than it is now."""
        rows = self.query_one("#rows", OptionList)
        rows.styles.min_height = rows.size.height

    def fill(self, part: str) -> None:
        """Show the lines that hold every typed word."""
        words = part.lower().split()
        rows = self.query_one("#rows", OptionList)
        fitting = [(i, text) for i, text in self.rows if all(w in text.lower() for w in words)]
        rows.set_options([Option(Content(plain(text)), id=i) for i, text in fitting])
        rows.highlighted = 0 if fitting else None
        told = _("Enter takes the marked line, Esc drops.") if fitting else _("No line holds that. Esc drops.")
        self.query_one("#told", Static).update(Content(told))

    def on_input_changed(self, event: Input.Changed) -> None:
        """Shrink the list."""
        self.fill(event.value)

    def on_input_submitted(self, _event: Input.Submitted) -> None:
        """Take the marked line."""
        rows = self.query_one("#rows", OptionList)
        if rows.highlighted is not None:
            self.dismiss(rows.get_option_at_index(rows.highlighted).id)

    def on_option_list_option_selected(self, event: OptionList.OptionSelected) -> None:
        """Take the line that was clicked."""
        self.dismiss(event.option_id)

    def action_move(self, by: int) -> None:
        """Move the mark while the field keeps the focus."""
        move_mark(self.query_one("#rows", OptionList), by)

    def action_drop(self) -> None:
        """Go back without a choice."""
        self.dismiss(None)


class WriteCard(ModalScreen[str | None]):
    """One line of text; gives it, or None."""

    BINDINGS: ClassVar[list[Binding]] = [Binding("escape", "drop", "Drop")]  # type: ignore[assignment]

    def __init__(self, title: str, text: str = "", trouble: str = "") -> None:
        super().__init__()
        self.title_line = title
        self.text = text
        self.trouble = trouble
        """Why what was typed before could not be kept."""

    def compose(self) -> ComposeResult:
        """Lay out title and field."""
        with Vertical(id="card"):
            yield Static(Content.styled(plain(self.title_line), "bold"))
            if self.trouble:
                yield Static(say(f"▲ {self.trouble}", "$warning"), id="line-trouble")
            yield Input(one_line(self.text), id="line")
            yield Static(Content.styled(_("Enter keeps it, Esc drops it."), MUTED))

    def on_input_submitted(self, event: Input.Submitted) -> None:
        """Keep the line."""
        self.dismiss(event.value)

    def action_drop(self) -> None:
        """Go back without a text."""
        self.dismiss(None)
