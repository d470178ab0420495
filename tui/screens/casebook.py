"""The casebook: find any job by typing a part of it, and turn the pages of what the closed jobs teach."""

from __future__ import annotations

import asyncio
from collections.abc import Sequence
from typing import TYPE_CHECKING, ClassVar

from textual import on, work
from textual.app import ComposeResult
from textual.binding import Binding
from textual.content import Content
from textual.widgets import Input, OptionList, Static
from textual.widgets.option_list import Option

from trees.book.words import END_NAMES, PLACES_SHORT
from trees.errors import SootlineError
from trees.language import N_, _, ngettext
from tui.commands import CASEBOOK
from tui.draw import MUTED, lines, plain, say
from tui.finding_jobs import CausesFound, Found, find, kinds
from tui.kept_edition import Editions
from tui.panels.key_line import KeyLine
from tui.panels.lesson_page import LessonPage
from tui.panels.lessons import PAGES
from tui.screens.base import all_bindings
from tui.screens.parts import PartsScreen
from tui.screens.read_job import ReadCard

if TYPE_CHECKING:
    from trees.casebook import JobSummary

NOTHING = ("\n", False)
"""Is never typed: no list is for it."""
AT_ONCE = 20
"""Jobs whose causes are worked out before their lines are drawn anew."""


class FindField(Input):
    """The field in which a part of a job is typed."""

    BINDINGS: ClassVar[list[Binding]] = [Binding("enter", "submit", "Open", key_display="Enter")]  # type: ignore[assignment]


class FoundList(OptionList, can_focus=False):
    """The jobs that were found; the field over it keeps the keys."""


class CasebookScreen(PartsScreen):
    """All jobs, open and closed."""

    KEYS = CASEBOOK
    TITLE_LINE = N_("casebook")
    BINDINGS: ClassVar[list[Binding]] = all_bindings(CASEBOOK)  # type: ignore[assignment]
    AUTO_FOCUS = "#find-part"
    PARTS = (N_("Find"), *PAGES)
    LIST, PAGE, ENTER = ("#found-jobs", 2), "#lesson-page", "open_found"

    def __init__(self) -> None:
        super().__init__()
        self.shown: Found | None = None
        self.wanted, self.listed = ("", False), NOTHING
        """What is typed and which kind of jobs; and for what the list was made: the same once it stands."""
        self.unread = False
        """The jobs were counted, but what those of this kind teach was not read yet."""
        self.open_next = False
        """Enter was pressed before the list was for what is typed: then it opens the first of that list."""
        self.finding = False
        """A search is on its way; there is never a second one beside it."""

    def compose(self) -> ComposeResult:
        """Lay out the head, the names of the pages, the finding, a page of lessons, and the footer."""
        yield Static(id="head")
        yield Static(id="parts")
        yield FindField(placeholder=_("number, unit, serial number, or any words of a job"), id="find-part")
        yield FoundList(id="found-jobs", markup=False)
        yield Static(id="find-told")
        yield LessonPage(id="lesson-page")
        yield KeyLine()

    def begin(self) -> None:
        """Show the frame; the jobs come once they are read."""
        workshop = self.sootline.workshop
        self.editions = Editions(workshop.casebook, workshop.book)
        self.causes = CausesFound(workshop.casebook, workshop.book)
        self.show_head()
        self.show_part()

    def on_screen_resume(self) -> None:
        """Read anew each time the screen is shown: jobs may have gone on meanwhile."""
        self.call_after_refresh(self.read)

    # ── finding ─────────────────────────────────────────────────────────────

    @work(exclusive=True, group="read")
    async def read(self) -> None:
        """Count the jobs; where something changed since, list them anew."""
        try:
            now = await asyncio.to_thread(kinds, self.sootline.workshop.casebook)
        except SootlineError as error:
            self.tell(str(error), wrong=True)
            return
        if now == self.kinds and self.shown is not None:
            return
        self.kinds = now
        if not now.both:
            self.invented = now.invented > 0
        self.show_kind()

    def show_kind(self) -> None:
        """List the jobs of the kind that is shown; what they teach is read anew once a page of it is turned to."""
        self.listed = NOTHING
        self.look_for(self.query_one("#find-part", Input).value)
        self.unread = True
        self.read_lessons()
        self.show_head()
        self.refresh_bindings()

    @on(Input.Changed, "#find-part")
    def list_anew(self, event: Input.Changed) -> None:
        """Look for what is typed."""
        self.look_for(event.value)

    def look_for(self, typed: str) -> None:
        """List the jobs that hold this; while a search is on its way, the next one is for what is typed then."""
        self.wanted, self.open_next = (typed, self.invented), False
        if not self.finding:
            self.fill()

    @work
    async def fill(self) -> None:
        """Search off the event loop until the list is for what is typed."""
        self.finding = True
        try:
            while self.listed != self.wanted:
                wanted = self.wanted
                casebook = self.sootline.workshop.casebook
                self.shown = await asyncio.to_thread(find, casebook, wanted[0], invented=wanted[1])
                self.listed = wanted
                self.show_found()
                if self.open_next and self.listed == self.wanted:
                    self.open_next = False
                    await self.open_number(self.marked())
                await self.fill_causes()
        except SootlineError as error:
            self.tell(str(error), wrong=True)
        finally:
            self.finding = False

    async def fill_causes(self) -> None:
        """Work out what the listed jobs found, a few at a time; stops as soon as something else is looked for."""
        rows = [row for row in self.shown.rows if self.causes.of(row) is None] if self.shown else []
        for at in range(0, len(rows), AT_ONCE):
            for row in rows[at : at + AT_ONCE]:
                await asyncio.to_thread(self.causes.work_out, row)
                if self.wanted != self.listed or not self.is_attached:
                    return
            self.show_found()

    def show_found(self) -> None:
        """List what was found; the mark stays on the same job."""
        if self.shown is None or not self.is_attached:
            return
        jobs = self.rows
        marked = self.marked()
        rows = self.shown.rows
        jobs.set_options([Option(self.line(row), id=row.number) for row in rows])
        numbers = [row.number for row in rows]
        if rows:
            jobs.highlighted = numbers.index(marked) if marked in numbers else 0
        self.query_one("#find-told", Static).update(say(self.told_of_list(rows, more=self.shown.more), MUTED))
        self.refresh_bindings()

    def told_of_list(self, rows: Sequence[JobSummary], *, more: bool) -> str:
        """Return one line on how many were found."""
        typed = self.listed[0].strip()
        if not rows:
            return _("No job holds all of these words.") if typed else _("No job is in the casebook yet.")
        number = ngettext("1 job", "{n} jobs", len(rows)).format(n=len(rows))
        if more:
            return _("The newest {number}; there are more, type more of it.").format(number=number)
        return (
            ngettext("{number} holds it", "{number} hold it", len(rows)).format(number=number)
            if typed
            else _("{number}, the last touched first").format(number=number)
        )

    def line(self, row: JobSummary) -> Content:
        """Return one job: number, state, day and what was found; under it the unit and the complaint."""
        state = (
            END_NAMES.get(row.closed, row.closed)  # type: ignore[call-overload]
            if row.closed
            else _("open, {place}").format(place=PLACES_SHORT.get(row.place, row.place))
        )
        unit = _("serial {serial}  ").format(serial=row.serial) if row.serial else ""
        ids = self.causes.of(row)
        book = self.sootline.workshop.book
        names = ", ".join(book.causes[c].name for c in ids or () if c in book.causes)
        found = "…" if ids is None else names or (_("nothing found") if row.closed else "")
        head = Content.assemble(
            (f" {plain(row.number):<7} ", "bold"),
            (f"{plain(state):<17} {(row.closed_at or row.last_at)[:10]}  ", MUTED),
            (plain(found), "bold" if names else MUTED),
        )
        return lines([head, Content.assemble("         ", (plain(unit), MUTED), " ".join(plain(row.words).split()))])

    def marked(self) -> str | None:
        """Return the number of the marked job."""
        jobs = self.rows
        return None if jobs.highlighted is None else jobs.get_option_at_index(jobs.highlighted).id

    async def on_option_list_option_selected(self, event: OptionList.OptionSelected) -> None:
        """Open the job that was clicked."""
        await self.open_number(event.option_id)

    @on(Input.Submitted, "#find-part")
    async def action_open_found(self) -> None:
        """Open the marked job; while a search is on its way, as soon as its list stands."""
        if not self.on_list:
            return
        if self.listed != self.wanted:
            self.open_next = True
        else:
            await self.open_number(self.marked())

    async def open_number(self, number: str | None) -> None:
        """Take an open job up, or show a closed one to be read."""
        row = next((row for row in self.shown.rows if row.number == number), None) if self.shown else None
        if row is None:
            return
        if row.closed is None:
            await self.take_up(row.number)
            return

        async def then(open_it: bool | None) -> None:
            if open_it:
                await self.take_up(row.number)

        self.app.push_screen(ReadCard(self.sootline.workshop.casebook, self.editions, row), then)

    async def take_up(self, number: str) -> None:
        """Show a job on its own screen."""
        from tui.screens.job import JobScreen

        try:
            job = await self.sootline.workshop.open_job(number)
        except SootlineError as error:
            self.tell(str(error), wrong=True)
            return
        self.app.push_screen(JobScreen(job))

    def read_lessons(self) -> None:
        """Read what the closed jobs teach, if that is looked at and was not read yet: it takes a while."""
        if self.on_list or not self.unread:
            return
        self.unread = False
        workshop, closed = self.sootline.workshop, self.kinds.closed(invented=self.invented)
        self.query_one(LessonPage).read(workshop.casebook, workshop.book, closed, invented=self.invented)

    # ── keys ────────────────────────────────────────────────────────────────

    def show_part(self) -> None:
        """Show the finding or a page, and mark it among the names."""
        finding, page = self.on_list, self.query_one(LessonPage)
        for wanted in ("#find-part", "#found-jobs", "#find-told"):
            self.query_one(wanted).display = finding
        page.turn("" if finding else self.part)
        self.read_lessons()
        self.set_focus(self.query_one("#find-part") if finding else page)
        super().show_part()

    def show_head(self) -> None:
        """Say how many jobs of which kind are shown, and of which casebook."""
        number = self.kinds.invented if self.invented else self.kinds.real
        told = (
            ngettext("{n} invented job", "{n} invented jobs", number)
            if self.invented
            else ngettext("{n} real job", "{n} real jobs", number)
            if self.kinds.both
            else ngettext("{n} job", "{n} jobs", number)
        )
        self.query_one("#head", Static).update(
            Content.assemble(
                (_(" Casebook "), "bold reverse"),
                (f"  {told.format(n=number)}", "bold $warning" if self.invented else ""),
                (f"  ·  {plain(self.sootline.workshop.casebook.name)}", MUTED),
            )
        )

    def action_invented(self) -> None:
        """Show the jobs of the other kind."""
        self.invented = not self.invented
        self.show_kind()

    def action_to_day_list(self) -> None:
        """Go back to the day list."""
        self.app.pop_screen()

    def lines_listed(self) -> bool:
        """Tell whether a job is listed."""
        return self.shown is not None and bool(self.shown.rows)
