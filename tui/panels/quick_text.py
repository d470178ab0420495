"""A text on a screen that is painted anew only where it is another one, and laid out once."""

from __future__ import annotations

from textual.content import Content
from textual.geometry import Size
from textual.reactive import Reactive
from textual.visual import VisualType
from textual.widgets import Static


class QuickText(Static):
    """
    A text that changes with each answer; it has the width of what it lies in.

    The library's lays its screen out anew for each text, and once more where one got another height: that is taken for
    a reason to do it again. Nothing lies in a text that could move.
    """

    virtual_size = Reactive(Size(0, 0), layout=False, repaint=False)
    """Cells that the text fills."""

    def update(self, content: VisualType = "", *, layout: bool = True) -> None:
        """Show another text; the same one stays as it was painted, and the screen as it is laid out while that fits."""
        if is_same(self.content, content):
            return
        before = self.lines()
        super().update(content, layout=False)
        if layout and (not before or self.lines() != before):
            self.refresh(repaint=False, layout=True)

    def lines(self) -> int:
        """Return how many lines the text takes; 0 while its width is not known."""
        return self.get_content_height(self.size, self.size, self.content_size.width)


def is_same(before: VisualType, content: VisualType) -> bool:
    """Tell whether two texts are the same in letters and styles; the library compares the letters alone."""
    if isinstance(before, Content) and isinstance(content, Content):
        return before.plain == content.plain and before.spans == content.spans
    return isinstance(before, str) and isinstance(content, str) and before == content
