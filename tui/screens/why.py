"""Why a suspect stands where it stands: a card over the job, in words with numbers."""

from __future__ import annotations

import asyncio
from typing import ClassVar

from textual import work
from textual.app import ComposeResult
from textual.binding import Binding
from textual.containers import Vertical, VerticalScroll
from textual.content import Content
from textual.screen import ModalScreen
from textual.widgets import Static

from trees.errors import SuspectsError
from trees.language import _
from trees.walk import Walk
from trees.walk.ranking import rank
from trees.walk.reason_words import suspect_line, why_lines
from trees.walk.reasons import TURNS_TOLD, turns_of, why_of
from tui.draw import MUTED, plain, say


def suspect_rows(walk: Walk) -> list[tuple[str, str]]:
    """Return (cause, line) of all suspects that can be accounted for; SuspectsError where there are none."""
    suspects, trouble = rank(walk)
    if trouble:
        raise SuspectsError(trouble)
    return [(s.cause, suspect_line(s).strip()) for s in suspects if s.probability is not None]


def told_why(walk: Walk, cause: str) -> list[str]:
    """Return the account of one cause, every answer of it, as `sootline why --cause` prints it."""
    return list(why_lines(walk, why_of(walk, cause), turns_of(walk, cause)[:TURNS_TOLD], whole=True))


class WhyCard(ModalScreen[None]):
    """The account of one cause; it is worked out off the event loop, so that Esc works at once."""

    BINDINGS: ClassVar[list[Binding]] = [  # type: ignore[assignment]
        Binding("escape,w", "drop", "Close"),
    ]
    AUTO_FOCUS = "#why"

    def __init__(self, walk: Walk, cause: str) -> None:
        super().__init__()
        self.walk = walk
        self.cause = cause

    def compose(self) -> ComposeResult:
        """Lay out title, account and the way out."""
        with Vertical(id="card"):
            yield Static(
                Content.styled(plain(_("Why: {name}").format(name=self.walk.book.causes[self.cause].name)), "bold")
            )
            yield VerticalScroll(Static(say(_("Working it out …"), MUTED)), id="why")
            yield Static(Content.styled(_("↑ ↓ turn it, Esc closes it."), MUTED))

    def on_mount(self) -> None:
        """Begin to work it out."""
        self.account()

    @work(exclusive=True)
    async def account(self) -> None:
        """Show the account, or the sentence that says why there is none."""
        try:
            lines = await asyncio.to_thread(told_why, self.walk, self.cause)
        except SuspectsError as error:
            lines = [str(error)]
        scroll = self.query_one("#why", VerticalScroll)
        await scroll.remove_children()
        await scroll.mount_all(self.row(line) for line in lines)

    @staticmethod
    def row(line: str) -> Static:
        """Return one line; where it is broken the rest keeps its indentation."""
        text = line.lstrip()
        row = Static(say(text, "bold" if text.endswith(":") else ""))
        row.styles.padding = (0, 0, 0, len(line) - len(text))
        return row

    def action_drop(self) -> None:
        """Go back to the question."""
        self.dismiss()
