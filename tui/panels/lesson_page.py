"""The page of what the closed jobs teach: reads them a while at a time off the event loop and draws what is read."""

from __future__ import annotations

import asyncio
from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from textual import work
from textual.app import ComposeResult
from textual.containers import VerticalScroll
from textual.content import Content
from textual.widgets import Static

from trees.errors import SootlineError
from trees.language import _, ngettext
from tui.draw import MUTED, lines, say
from tui.finding_jobs import told_for
from tui.panels.lessons import PAGES

if TYPE_CHECKING:
    from trees.book.model import Book
    from trees.casebook import Casebook
    from trees.casebook.lessons import Told

FIRST_S, LONGEST_S = 0.2, 5.0
"""Seconds of reading between two drawings: each twice as long as the one before, up to the longest."""


class LessonPage(VerticalScroll):
    """One page at a time of what the closed jobs of one kind tell."""

    def __init__(self, **given: Any) -> None:
        super().__init__(**given)
        self.part = ""
        """The page that is shown; empty: none."""
        self.book: Book | None = None
        self.invented = False
        self.closed = 0
        """How many jobs of the kind are closed."""
        self.told: tuple[Told, ...] = ()
        self.whole = False
        """All of them were read."""

    def compose(self) -> ComposeResult:
        """Lay out the text."""
        yield Static(id="lesson")

    @work(exclusive=True, group="lessons")
    async def read(self, casebook: Casebook, book: Book, closed: int, *, invented: bool) -> None:
        """Read the closed jobs of one kind anew; the page is drawn with those that are read so far."""
        from trees.casebook.lessons import told_jobs

        self.book, self.invented, self.closed = book, invented, closed
        self.told, self.whole = (), False
        jobs, seconds = told_jobs(casebook, book, invented=invented), FIRST_S
        try:
            while some := await asyncio.to_thread(told_for, jobs, seconds):
                self.told = (*self.told, *some)
                seconds = min(LONGEST_S, 2 * seconds)
                await self.redraw()
        except SootlineError as error:
            self.show(say(str(error), "$warning"))
            return
        self.whole = True
        await self.redraw()

    def turn(self, part: str) -> None:
        """Show another page from its top; an empty name shows none."""
        if part and part != self.part:
            self.show(Content.styled("reading …", MUTED))
            self.scroll_home(animate=False)
        self.part = part
        self.display = bool(part)
        if part:
            self.call_after_refresh(self.draw_anew)

    def on_resize(self) -> None:
        """Draw the page for the new width."""
        self.draw_anew()

    @work(exclusive=True, group="page")
    async def draw_anew(self) -> None:
        """Draw the page with what is read so far."""
        await self.redraw()

    async def redraw(self) -> None:
        """Work the page out beside the event loop and show it, if it is still the one that is wanted."""
        part, told, book = self.part, self.told, self.book
        if not part or book is None or not self.is_attached:
            return
        text = await asyncio.to_thread(PAGES[part], book, told, max(30, self.size.width - 2))
        if part == self.part and told is self.told and self.is_attached:
            self.show(lines([self.which(told), Content(""), text]))

    def show(self, text: Content) -> None:
        """Put a text on the page."""
        self.query_one("#lesson", Static).update(text)

    def which(self, told: Sequence[Told]) -> Content:
        """Return one line on what a page counts: which kind of jobs, how many, of which days."""
        days = sorted(job.closed_at[:10] for job in told)
        between = _(", closed {first} to {last}").format(first=days[0], last=days[-1]) if days else ""
        missing = self.closed - len(told)
        number = _("{n} of {closed}").format(n=len(told), closed=self.closed) if missing > 0 else f"{len(told)}"
        note = (
            ""
            if missing <= 0
            else _("  {missing} can't be read by this book.").format(missing=missing)
            if self.whole
            else _("  reading …")
        )
        style = "bold $warning" if self.invented else MUTED
        told_number = (
            ngettext("{number} closed invented job{between}.", "{number} closed invented jobs{between}.", self.closed)
            if self.invented
            else ngettext("{number} closed real job{between}.", "{number} closed real jobs{between}.", self.closed)
        )
        return Content.assemble(
            (
                told_number.format(number=number, between=between),
                style,
            ),
            (note, "$warning"),
        )
