"""A small card with a few fields, one under the other: what is typed once and belongs together."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding
from textual.containers import Horizontal, Vertical
from textual.content import Content
from textual.screen import ModalScreen
from textual.widgets import Input, Label, Static

from trees.language import _
from tui.draw import MUTED, plain, say
from tui.literal import one_line


@dataclass(frozen=True, slots=True)
class Line:
    """One field of a form."""

    id: str
    label: str
    text: str = ""
    """What stands in it at first."""
    hint: str = ""
    """What stands in it, quietly, while nothing is typed."""


class FormCard(ModalScreen[Mapping[str, str] | None]):
    """The fields; gives what was typed by the id of each, or None."""

    BINDINGS: ClassVar[list[Binding]] = [  # type: ignore[assignment]
        Binding("escape", "drop", "Drop"),
        Binding("down", "move(1)", "Next field", show=False),
        Binding("up", "move(-1)", "Field before", show=False),
    ]

    def __init__(self, title: str, rows: Sequence[Line], trouble: str = "") -> None:
        super().__init__()
        self.title_line = title
        self.rows = rows
        self.trouble = trouble
        """Why what was typed before could not be kept."""

    def compose(self) -> ComposeResult:
        """Lay out title, what went wrong before, and the fields."""
        with Vertical(id="card"):
            yield Static(Content.styled(plain(self.title_line), "bold"))
            if self.trouble:
                yield Static(say(f"▲ {self.trouble}", "$warning"), id="form-trouble")
            with Vertical(id="form-rows"):
                for row in self.rows:
                    with Horizontal(classes="form-row"):
                        yield Label(plain(row.label), markup=False, classes="form-label")
                        yield Input(one_line(row.text), placeholder=row.hint, id=f"form-{row.id}", classes="form-field")
            yield Static(Content.styled(_("Enter goes on and, in the last field, keeps it. Esc drops it."), MUTED))

    @property
    def fields(self) -> list[Input]:
        """The fields in their order."""
        return [self.query_one(f"#form-{row.id}", Input) for row in self.rows]

    def action_move(self, by: int) -> None:
        """Go to another field; at either end the keys stay where they are."""
        at = next((n for n, field in enumerate(self.fields) if field.has_focus), 0)
        self.set_focus(self.fields[max(0, min(len(self.rows) - 1, at + by))])

    def on_input_submitted(self, event: Input.Submitted) -> None:
        """Go to the next field; in the last one give what was typed."""
        if event.input is not self.fields[-1]:
            self.action_move(1)
            return
        self.dismiss({row.id: field.value.strip() for row, field in zip(self.rows, self.fields, strict=True)})

    def action_drop(self) -> None:
        """Go back; nothing is kept."""
        self.dismiss(None)
