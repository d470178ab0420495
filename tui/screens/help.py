"""The help page: every key of the screen under it, made from the command records."""

from __future__ import annotations

from collections.abc import Sequence
from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding
from textual.containers import VerticalScroll
from textual.content import Content
from textual.screen import ModalScreen
from textual.widgets import Static

from trees.language import _
from tui.commands import Command
from tui.literal import MUTED


class HelpPage(ModalScreen[None]):
    """All keys of one screen."""

    BINDINGS: ClassVar[list[Binding]] = [Binding("escape,q,question_mark,f1,enter", "dismiss", "Close")]  # type: ignore[assignment]

    def __init__(self, title: str, commands: Sequence[Command]) -> None:
        super().__init__()
        self.title_line = title
        self.commands = commands

    def compose(self) -> ComposeResult:
        """Lay out one line per command."""
        rows = [Content.styled(_("Keys: {title}").format(title=_(self.title_line)), "bold"), Content("")]
        digits = [c for c in self.commands if c.keys.isdigit() and c.keys != "0"]
        if digits:
            rows.append(_row("1 … 9", _("Choose an answer by its digit.")))
        rows += [_row(c.key_name, c.said_help) for c in self.commands if c not in digits]
        rows += [Content(""), Content.styled(_("Esc closes this page."), MUTED)]
        with VerticalScroll(id="card"):
            yield Static(Content("\n").join(rows))


def _row(key: str, help_text: str) -> Content:
    return Content.assemble((f" {key:<8}", "bold"), " ", help_text)
