"""The emergency card: short numbered lines for what can't wait, one key away from everywhere."""

from __future__ import annotations

from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding
from textual.containers import VerticalScroll
from textual.content import Content
from textual.screen import ModalScreen
from textual.widgets import Static

from trees.language import _
from tui.emergency_lines import CARD, LAST
from tui.literal import MUTED, plain
from tui.settings import Settings


class EmergencyCard(ModalScreen[None]):
    """What to do now, before anything else."""

    BINDINGS: ClassVar[list[Binding]] = [Binding("escape,q,f2,enter", "dismiss", "Close")]  # type: ignore[assignment]

    def __init__(self, settings: Settings) -> None:
        super().__init__()
        self.settings = settings

    def compose(self) -> ComposeResult:
        """Lay out the card: whom to call first, then what to do."""
        number = plain(self.settings.emergency_line())
        rows = [Content.styled(_(" EMERGENCY "), "bold $text on $error"), Content.styled(number, "bold"), Content("")]
        for title, steps in CARD:
            rows.append(Content.styled(_(title), "bold $warning"))
            rows += [Content.assemble((f" {n} ", "bold"), plain(_(step))) for n, step in enumerate(steps, start=1)]
            rows.append(Content(""))
        rows.append(Content.styled(_("{last} Esc closes the card.").format(last=_(LAST)), MUTED))
        with VerticalScroll(id="card"):
            yield Static(Content("\n").join(rows))
