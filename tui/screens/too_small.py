"""What stands there while the window is too small."""

from __future__ import annotations

from textual.app import ComposeResult
from textual.screen import ModalScreen
from textual.widgets import Static

from tui.commands import SMALLEST

SENTENCE = f"This window is too small: {SMALLEST[0]} by {SMALLEST[1]} is needed. Nothing is lost; make it larger."


class TooSmall(ModalScreen[None]):
    """One sentence that takes all keys, so that none of them answers what can't be seen."""

    def compose(self) -> ComposeResult:
        """Lay out the sentence."""
        yield Static(SENTENCE, markup=False)
