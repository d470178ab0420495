"""The day list: open jobs, the last touched on top; from here a job is taken up or begun."""

from __future__ import annotations

import asyncio
from typing import TYPE_CHECKING, ClassVar

from textual import work
from textual.app import ComposeResult
from textual.binding import Binding
from textual.content import Content
from textual.widgets import Footer, OptionList, Static
from textual.widgets.option_list import Option

from trees.book.model import END_NAMES
from trees.errors import SootlineError
from tui.commands import DAY_LIST
from tui.draw import MUTED, plain
from tui.screens.base import WorkScreen, all_bindings

if TYPE_CHECKING:
    from trees.casebook import JobSummary


class DayList(WorkScreen):
    """All open jobs of the casebook."""

    KEYS = DAY_LIST
    TITLE_LINE = "day list"
    BINDINGS: ClassVar[list[Binding]] = all_bindings(DAY_LIST)  # type: ignore[assignment]
    AUTO_FOCUS = "#jobs"

    def __init__(self) -> None:
        super().__init__()
        self.with_closed = False

    def compose(self) -> ComposeResult:
        """Lay out the head, the list and the footer."""
        yield Static(id="head")
        yield Static(id="notice")
        yield OptionList(id="jobs", markup=False)
        yield Static(id="empty")
        yield Footer(show_command_palette=False)

    def on_screen_resume(self) -> None:
        """Fill the list anew each time the screen is shown."""
        self.fill()

    @work(exclusive=True)
    async def fill(self) -> None:
        """Read the summaries off the event loop and show them."""
        workshop = self.sootline.workshop
        rows = await asyncio.to_thread(lambda: workshop.casebook.jobs(open_only=not self.with_closed))
        marked = self.marked()
        book = workshop.book
        self.query_one("#head", Static).update(
            Content.assemble(
                (" Sootline ", "bold reverse"),
                f"  {len(rows)} {'jobs' if self.with_closed else 'open jobs'}  ·  seat {plain(workshop.seat)}",
                (f"  ·  {plain(book.title)}, {plain(book.edition)}", MUTED),
            )
        )
        notice = self.query_one("#notice", Static)
        notice.update(Content.styled(plain(workshop.notice), "$warning"))
        notice.display = bool(workshop.notice)
        jobs = self.query_one("#jobs", OptionList)
        jobs.set_options([Option(self.line(row), id=row.number) for row in rows])
        numbers = [row.number for row in rows]
        if rows:
            jobs.highlighted = numbers.index(marked) if marked in numbers else 0
        empty = self.query_one("#empty", Static)
        empty.update("No job is open. Press n and type the complaint in the customer's words." if not rows else "")
        empty.display = not rows
        try:
            await asyncio.to_thread(workshop.keep_book)
        except SootlineError as error:  # the files were edited between loading and the first look at this list
            self.tell(str(error), wrong=True)

    def line(self, row: JobSummary) -> Content:
        """Return one job as a line: number, last touched, place or end, words, and the other seat that has it."""
        state = END_NAMES.get(row.closed, row.closed).lower() if row.closed else row.place  # type: ignore[call-overload]
        other = row.elsewhere(self.sootline.workshop.seat)
        return Content.assemble(
            (f" {plain(row.number):<7} ", "bold"),
            (f"{local_time(row.last_at)}  {state:<7}  ", MUTED),
            (f"at {plain(other)}  " if other else "", "$warning"),
            plain(row.words),
            ("  (invented)" if row.invented else "", MUTED),
        )

    def marked(self) -> str | None:
        """Return the number of the marked job."""
        jobs = self.query_one("#jobs", OptionList)
        if jobs.highlighted is None:
            return None
        return jobs.get_option_at_index(jobs.highlighted).id

    async def on_option_list_option_selected(self, event: OptionList.OptionSelected) -> None:
        """Take up the job that Enter or a click chose."""
        await self.open_number(event.option_id)

    async def action_open(self) -> None:
        """Take up the marked job."""
        await self.open_number(self.marked())

    async def open_number(self, number: str | None) -> None:
        """Show a job."""
        if number is None:
            return
        from tui.screens.job import JobScreen

        try:
            job = await self.sootline.workshop.open_job(number)
        except SootlineError as error:
            self.tell(str(error), wrong=True)
            return
        self.app.push_screen(JobScreen(job))

    def action_new(self) -> None:
        """Ask for the complaint of a new job."""
        from tui.screens.new_job import NewJob

        self.app.push_screen(NewJob())

    def action_figures(self) -> None:
        """Work a figure out."""
        from tui.screens.figures import FiguresScreen

        self.app.push_screen(FiguresScreen())

    def action_book(self) -> None:
        """Open the book as its author."""
        from tui.screens.book import BookScreen

        self.app.push_screen(BookScreen())

    def action_show_closed(self) -> None:
        """Show all jobs, or the open ones only."""
        self.with_closed = not self.with_closed
        self.fill()


def local_time(utc: str) -> str:
    """Return a stored moment as day and time of this place."""
    from datetime import datetime

    return f"{datetime.fromisoformat(utc).astimezone():%d.%m. %H:%M}"
