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
from tui.draw import MUTED, hung, plain, say
from tui.draw import lines as joined


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
        self.told = say(_("Working it out …"), MUTED)
        """The account, in lines that are not broken yet."""

    def compose(self) -> ComposeResult:
        """Lay out title, account and the way out."""
        with Vertical(id="card"):
            yield Static(
                Content.styled(plain(_("Why: {name}").format(name=self.walk.book.causes[self.cause].name)), "bold")
            )
            yield VerticalScroll(Static(self.told, id="why-text"), id="why")
            yield Static(Content.styled(_("+10 dB makes the odds ten times as high, −10 dB a tenth."), MUTED))
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
        self.told = joined([say(line, "bold" if line.endswith(":") else "") for line in lines])
        self.lay_out()

    def lay_out(self) -> None:
        """Break the lines: the rest of one keeps its indentation, a number stays with its unit."""
        scroll = self.query_one("#why", VerticalScroll)
        width = scroll.content_size.width - scroll.styles.scrollbar_size_vertical  # the bar may be there or not
        self.query_one("#why-text", Static).update(hung(self.told, width) if width > 0 else self.told)

    def on_resize(self) -> None:
        """Break the lines for another width, once that is known."""
        self.call_after_refresh(self.lay_out)

    def action_drop(self) -> None:
        """Go back to the question."""
        self.dismiss()
