"""A card over the map: one step as it looks at the bench, on site and by phone, beside or under each other."""

from __future__ import annotations

from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding
from textual.containers import Vertical, VerticalScroll
from textual.content import Content
from textual.screen import ModalScreen
from textual.widgets import Static

from trees.book.model import Book
from trees.book.tree import Step, Tree
from trees.language import _
from tui.draw import MUTED, plain
from tui.preview import drawn, previews


class PreviewCard(ModalScreen[None]):
    """Three views of a step; the sheet puts them side by side where the window is wide."""

    BINDINGS: ClassVar[list[Binding]] = [Binding("escape,enter,i,q", "dismiss", "Close")]  # type: ignore[assignment]

    def __init__(self, book: Book, tree: Tree, step: Step) -> None:
        super().__init__()
        self.book, self.tree_shown, self.step = book, tree, step

    def compose(self) -> ComposeResult:
        """Lay out the step's number and one view for each place."""
        with Vertical(id="card"):
            yield Static(
                Content.assemble(
                    (f" {self.step.no} ", "bold reverse"),
                    f"  {plain(self.tree_shown.title)}",
                    (_("  Esc closes"), MUTED),
                ),
                id="preview-head",
            )
            with VerticalScroll(id="places"):
                for shown in previews(self.book, self.tree_shown, self.step):
                    yield Static(drawn(shown), classes="place-view")
