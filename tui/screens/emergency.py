"""The emergency card: short numbered lines for what can't wait, one key away from everywhere."""

from __future__ import annotations

from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding
from textual.containers import Vertical, VerticalScroll
from textual.content import Content
from textual.screen import ModalScreen
from textual.widgets import Static

from trees.language import _
from tui.emergency_lines import CARD, LAST
from tui.literal import MUTED, hung, plain
from tui.settings import Settings

TALL, MOST, EDGE, LOW_EDGE = 32, 96, 8, 5
"""Lines from which the card has its frame; its cells at most; cells of its edge, and of that without a frame."""


class EmergencyCard(ModalScreen[None]):
    """What to do now, before anything else."""

    AUTO_FOCUS = "#hazards"
    BINDINGS: ClassVar[list[Binding]] = [Binding("escape,f2,enter", "dismiss", "Close")]  # type: ignore[assignment]

    def __init__(self, settings: Settings) -> None:
        super().__init__()
        self.settings = settings

    def compose(self) -> ComposeResult:
        """Lay out the card: whom to call first, then what to do."""
        number = plain(self.settings.emergency_line())
        head = Content.assemble((_(" EMERGENCY "), "bold $text on $error"), "  ", (number, "bold"))
        with Vertical(id="card"):
            yield Static(head)
            with VerticalScroll(id="hazards"):
                yield from (Static(classes="hazard") for _hazard in CARD)
            yield Static(Content.styled(_("{last} ↑ ↓ turn, Esc closes.").format(last=_(LAST)), MUTED))

    def on_resize(self) -> None:
        """Write the lines at the width that there is; what goes on stands under its words, not under the number."""
        size = self.app.size
        width = size.width - LOW_EDGE if size.height < TALL else min(MOST, size.width * 9 // 10) - EDGE
        for hazard, (title, steps) in zip(self.query(".hazard").results(Static), CARD, strict=True):
            rows = [Content.styled(_(title), "bold $warning")]
            rows += [Content.assemble((f"{n} ", "bold"), plain(_(step))) for n, step in enumerate(steps, 1)]
            hazard.update(hung(Content("\n").join(rows), width))
