"""The help page: every key of the screen under it, made from the command records."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding
from textual.containers import Vertical, VerticalScroll
from textual.content import Content
from textual.screen import ModalScreen
from textual.widgets import Static

from trees.language import _
from tui.commands import Command
from tui.literal import MUTED

MOST, EDGE, KEY = 96, 6, 11
"""Cells of the card at most, of its edge with the scroll bar, and of the column of keys."""


class HelpPage(ModalScreen[None]):
    """All keys of one screen."""

    BINDINGS: ClassVar[list[Binding]] = [Binding("escape,question_mark,f1,enter", "dismiss", "Close")]  # type: ignore[assignment]

    AUTO_FOCUS = "#keys"

    def __init__(self, title: str, commands: Sequence[Command]) -> None:
        super().__init__()
        self.title_line = title
        self.commands = commands

    def compose(self) -> ComposeResult:
        """Lay out the page and under it, always in sight, the way out."""
        with Vertical(id="card"):
            yield Static(Content.styled(_("Keys: {title}").format(title=_(self.title_line)), "bold"))
            yield VerticalScroll(Static(id="key-rows"), id="keys")
            yield Static(Content.styled(_("↑ ↓ turn it, Esc closes it."), MUTED))

    def on_resize(self) -> None:
        """Write one line per command, broken at the width that there is."""
        rows = []
        digits = [c for c in self.commands if c.keys.isdigit() and c.keys != "0"]
        if digits:
            rows.append(("1 … 9", _("Choose an answer by its digit.")))
        rows += [(c.key_name, c.said_help) for c in self.commands if c not in digits]
        width = min(MOST, self.app.size.width * 9 // 10) - EDGE
        self.query_one("#key-rows", Static).update(
            Content("\n").join(line for row in rows for line in told(*row, width))
        )


def told(key: str, sentence: str, width: int) -> Iterator[Content]:
    """Yield a key and what it does, in lines of so many cells; what goes on stands under the sentence."""
    for no, part in enumerate(Content(sentence).wrap(max(20, width - KEY))):
        yield Content.assemble((f"{'' if no else key:<{KEY}}", "bold"), part)
