"""A long list in which a key costs what it changes: the lines where the mark was and is, however many there are."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import accumulate
from typing import Self

from textual.reactive import reactive
from textual.widgets import OptionList
from textual.widgets.option_list import Option


class QuickList(OptionList):
    """
    A list that repaints what was marked and what is; the library's repaints all that is in sight.

    Where the mark leaves what is in sight the list turns by half of that, so that few keys move every line: over a
    slow line they are what is waited for, and what follows the mark is seen before it gets there.
    """

    highlighted: reactive[int | None] = reactive(None, repaint=False)
    """The marked option, or None."""
    tops: Sequence[int] = (0,)
    """The first line of each option, and the one behind the last, as long as no line is wrapped."""

    def set_options(self, options: Iterable[Option]) -> Self:  # type: ignore[override]
        """Show other options."""
        rows = list(options)
        self.tops = tuple(accumulate((1 + str(row.prompt).count("\n") for row in rows), initial=0))
        return super().set_options(rows)

    @property
    def is_as_counted(self) -> bool:
        """No line is wrapped."""
        return self.virtual_size.height == self.tops[-1] and self.option_count == len(self.tops) - 1

    def watch_highlighted(self, before: int | None, highlighted: int | None) -> None:  # type: ignore[override]
        """Repaint what was marked and what is."""
        if before is None or highlighted is None or not self.is_as_counted:
            self.refresh()
        else:
            for at in (before, highlighted):
                self.refresh_lines(self.tops[at], self.tops[at + 1] - self.tops[at])
        super().watch_highlighted(highlighted)

    def scroll_to_highlight(self, top: bool = False) -> None:
        """Bring the mark into sight, into the middle if it was out of it."""
        at, first, seen = self.highlighted, self.scroll_offset.y, self.scrollable_content_region.height
        if top or at is None or not seen or not self.is_as_counted:
            super().scroll_to_highlight(top)
        elif not (first <= self.tops[at] and self.tops[at + 1] <= first + seen):
            self.scroll_to(y=self.tops[at] - seen // 2, animate=False, force=True, immediate=True)
