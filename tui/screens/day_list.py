"""The day list: open jobs, the last touched on top; from here a job is taken up or begun."""

from __future__ import annotations

import asyncio
from collections.abc import Sequence
from contextlib import suppress
from typing import TYPE_CHECKING, ClassVar

from textual import work
from textual.app import ComposeResult
from textual.binding import Binding
from textual.content import Content
from textual.widgets import OptionList, Static
from textual.widgets.option_list import Option

from trees.errors import SootlineError
from trees.language import N_, _, ngettext
from tui.commands import DAY_LIST
from tui.literal import MUTED, plain
from tui.panels.key_line import KeyLine
from tui.panels.quick_list import QuickList
from tui.screens.base import WorkScreen, all_bindings
from tui.speech import mixture

if TYPE_CHECKING:
    from trees.casebook import Casebook, JobSummary


_PAINTED_S = 0.2
"""How long to wait at most until the screen is painted."""


class JobList(QuickList):
    """The jobs; the footer says what Enter does here."""

    BINDINGS: ClassVar[list[Binding]] = [Binding("enter", "screen.open", "Open", key_display="Enter")]  # type: ignore[assignment]


class DayList(WorkScreen):
    """All open jobs of the casebook."""

    KEYS = DAY_LIST
    TITLE_LINE = N_("day list")
    BINDINGS: ClassVar[list[Binding]] = all_bindings(DAY_LIST)  # type: ignore[assignment]
    AUTO_FOCUS = "#jobs"

    def __init__(self) -> None:
        super().__init__()
        self.with_closed = False
        self.rows = 0
        """How many jobs are listed."""

    def compose(self) -> ComposeResult:
        """Lay out the head, the list and the footer."""
        yield Static(id="head")
        yield Static(id="notice")
        yield Static(id="timers")
        yield JobList(id="jobs", markup=False)
        yield Static(id="empty")
        yield KeyLine()

    def begin(self) -> None:
        """Show the frame; nothing in it waits for the casebook or the book."""
        self.show_head(_("opening …"))
        self.show_notice()
        self.query_one("#empty", Static).display = False

    def on_screen_resume(self) -> None:
        """Fill the list anew each time the screen is shown, once the frame is painted."""
        self.call_after_refresh(self.fill)

    @work(exclusive=True)
    async def fill(self) -> None:
        """Read the summaries off the event loop and show them; the book follows, for nobody looks at it yet."""
        app = self.sootline
        look = None if self.with_closed else await app.opening.first_look()
        if look is not None:
            self.show_rows(look.open_jobs, look.seat)
            self.show_head(self.told(look.open_jobs, look.seat), _("opening …"))
            await self.painted()
        try:
            casebook = await app.opening.casebook()
            rows = await asyncio.to_thread(lambda: casebook.jobs(open_only=not self.with_closed))
        except SootlineError as error:
            app.give_up(error)
            return
        if look is None or (look.open_jobs, look.seat) != (rows, casebook.seat):
            self.show_rows(rows, casebook.seat)
        self.show_notice(*told_by(casebook))
        self.show_going_on()
        told = self.told(rows, casebook.seat)
        if app.opened is None:
            self.show_head(told, _("reading the book …"))
        workshop = await app.whole()
        if workshop is None:
            return
        self.show_head(told, f"{plain(workshop.book.title)}, {plain(workshop.book.edition)}")
        self.show_notice(*told_by(casebook), mixture(workshop.book))
        try:
            await asyncio.to_thread(workshop.keep_book)
        except SootlineError as error:  # the files were edited between loading and the first look at this list
            self.tell(str(error), wrong=True)

    async def painted(self) -> None:
        """Wait until what was shown is painted, so that what is loaded next takes no time from that; never for long."""
        done = asyncio.Event()
        self.call_after_refresh(done.set)
        with suppress(TimeoutError):  # a key that waits for the book keeps the screen from telling
            await asyncio.wait_for(done.wait(), _PAINTED_S)

    def told(self, rows: Sequence[JobSummary], seat: str) -> str:
        """Return how many jobs are listed, and at which seat."""
        return (
            ngettext("{n} job  ·  seat {seat}", "{n} jobs  ·  seat {seat}", len(rows))
            if self.with_closed
            else ngettext("{n} open job  ·  seat {seat}", "{n} open jobs  ·  seat {seat}", len(rows))
        ).format(n=len(rows), seat=plain(seat))

    def show_notice(self, *more: str) -> None:
        """Show what everybody at this seat should know: what the opening, the casebook and the book say."""
        told = "\n".join(part for part in (self.sootline.opening.notice, *more) if part)
        notice = self.query_one("#notice", Static)
        notice.update(Content.styled(plain(told), "$warning"))
        notice.display = bool(told)

    def show_going_on(self) -> None:
        """Show who is held on the line and which timers run, by the job's number; without any there is no line."""
        workshop = self.sootline.opened
        held = workshop.calls.line() if workshop is not None else ""
        timers = workshop.timers.all_lines() if workshop is not None else ""
        parts = [(_(" ☏ held: "), "bold"), (f"{plain(held)}   ", "bold $warning")] if held else []
        parts += [(" ◷ ", MUTED), (plain(timers), "bold")] if timers else []
        line = self.query_one("#timers", Static)
        line.display = bool(parts)
        line.update(Content.assemble(*parts))

    def show_head(self, told: str, book: str = "") -> None:
        """Show what is listed, at which seat, and which book the jobs are walked by."""
        muted = f"  ·  {book}" if book else ""
        self.query_one("#head", Static).update(
            Content.assemble((_(" Sootline "), "bold reverse"), f"  {told}", (muted, MUTED))
        )

    def show_rows(self, rows: Sequence[JobSummary], seat: str) -> None:
        """List the jobs; the mark stays on the same one."""
        marked = self.marked()
        jobs = self.query_one("#jobs", OptionList)
        wide = max((len(state_of(row)) for row in rows), default=0)
        jobs.set_options([Option(self.line(row, seat, wide), id=row.number) for row in rows])
        numbers = [row.number for row in rows]
        if rows:
            jobs.highlighted = numbers.index(marked) if marked in numbers else 0
        empty = self.query_one("#empty", Static)
        empty.update(_("No job is open. Press n and type the complaint in the customer's words.") if not rows else "")
        empty.display = not rows
        self.rows = len(rows)
        self.refresh_bindings()

    def check_action(
        self,
        action: str,
        parameters: tuple[object, ...],  # noqa: ARG002 - Textual's signature
    ) -> bool | None:
        """Offer to open a job only where one is listed."""
        return self.rows > 0 if action == "open" else True

    @staticmethod
    def line(row: JobSummary, seat: str, wide: int = 0) -> Content:
        """
        Return one job as a line: number, last touched, place or end, another seat, the customer's words.

        What it waits for stands in a second line under the words, so that it takes no room from them.
        """
        other = row.elsewhere(seat)
        return Content.assemble(
            (f" {plain(row.number):<7} ", "bold"),
            (f"{local_time(row.last_at)}  {state_of(row):<{wide}}  ", MUTED),
            (_("at {other}  ").format(other=plain(other)) if other else "", "$warning"),
            plain(" ".join(row.words.split())),
            (_("  (invented)") if row.invented else "", MUTED),
            (f"\n{'':9}↳ {waiting}" if (waiting := waits(row)) else "", "bold $warning"),
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
        workshop = await self.sootline.whole()
        if workshop is None:
            return
        from tui.screens.job import JobScreen

        try:
            job = await workshop.open_job(number)
        except SootlineError as error:
            self.tell(str(error), wrong=True)
            return
        self.app.push_screen(JobScreen(job))

    async def action_new(self) -> None:
        """Ask for the complaint of a new job."""
        if await self.sootline.whole():
            from tui.screens.new_job import NewJob

            self.app.push_screen(NewJob())

    def action_figures(self) -> None:
        """Work a figure out."""
        from tui.screens.figures import FiguresScreen

        self.app.push_screen(FiguresScreen())

    async def action_book(self) -> None:
        """Open the book as its author."""
        if await self.sootline.whole():
            from tui.screens.book import BookScreen

            self.app.push_screen(BookScreen())

    async def action_casebook(self) -> None:
        """Find any job, and see what the closed jobs teach."""
        if await self.sootline.whole():
            from tui.screens.casebook import CasebookScreen

            self.app.push_screen(CasebookScreen())

    async def action_settings(self) -> None:
        """See and change what the workshop sets once."""
        if await self.sootline.whole():
            from tui.screens.settings import SettingsScreen

            self.app.push_screen(SettingsScreen())

    def action_show_closed(self) -> None:
        """Show all jobs, or the open ones only."""
        self.with_closed = not self.with_closed
        self.fill()


def state_of(row: JobSummary) -> str:
    """Return where an open job is worked on, or how a closed one ended."""
    from trees.book.words import END_NAMES, PLACES_SHORT, in_a_sentence
    from trees.language import spoken

    if row.closed:
        return in_a_sentence(str(END_NAMES.get(row.closed, row.closed)), spoken())  # type: ignore[call-overload]
    return str(PLACES_SHORT.get(row.place, row.place))


def waits(row: JobSummary) -> str:
    """Return what an open job waits for, until when, and whether that is now; empty if it can go on."""
    if not row.waiting or row.closed:
        return ""
    from trees.book.words import WAITS_FOR

    due = local_time(row.due) if row.due and "T" in row.due else row.due or ""
    told = _("waits for {what} {due}").format(what=WAITS_FOR.get(row.waiting, row.waiting), due=plain(due)).strip()
    return _("{told}, due now").format(told=told) if is_due(row.due or "") else told


def is_due(due: str) -> bool:
    """Tell whether a stored day (ISO) or moment (UTC) has come."""
    from datetime import UTC, datetime

    now = datetime.now(UTC)
    try:
        return bool(due) and (
            datetime.fromisoformat(due) <= now if "T" in due else due <= now.astimezone().date().isoformat()
        )
    except (ValueError, TypeError):  # what an import brought may be no moment, or one without its zone
        return False


def told_by(casebook: Casebook) -> tuple[str, ...]:
    """Return what a casebook says of itself: moved to a new version, only to be read, its backup not made."""
    backup = _("The daily backup was not made. {backup_trouble}").format(backup_trouble=casebook.backup_trouble)
    return casebook.migrated, casebook.read_only, backup if casebook.backup_trouble else ""


def local_time(utc: str) -> str:
    """Return a stored moment as day and time of this place."""
    from datetime import datetime

    return f"{datetime.fromisoformat(utc).astimezone():%d.%m. %H:%M}"
