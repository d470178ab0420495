"""What stands there while the window is too small."""

from __future__ import annotations

from textual.app import ComposeResult
from textual.screen import ModalScreen
from textual.widgets import Static

from trees.language import _
from tui.commands import SMALLEST


def sentence() -> str:
    """Say what is needed."""
    told = _("This window is too small: {wide} by {high} is needed. Nothing is lost; make it larger.")
    return told.format(wide=SMALLEST[0], high=SMALLEST[1])


class TooSmall(ModalScreen[None]):
    """One sentence that takes all keys, so that none of them answers what can't be seen."""

    def compose(self) -> ComposeResult:
        """Lay out the sentence."""
        yield Static(sentence(), markup=False)
