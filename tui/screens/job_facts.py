"""What is said of a job beside its answers: notes, family, place, a check of one's own choice, a follow-up."""

from __future__ import annotations

import asyncio
from collections.abc import Callable

from textual import work
from textual.content import Content
from textual.widgets import Static

from trees.book.words import PLACES, PLACES_SHORT
from trees.errors import SootlineError, SuspectsError, TakenElsewhereError
from trees.language import _
from trees.walk import Walk, beside
from trees.walk.question import PLACE_NAMES
from tui.customer import HINTS, LABELS, customer_line
from tui.draw import MUTED, plain
from tui.screens.base import WorkScreen
from tui.screens.choose import ChooseCard, WriteCard
from tui.screens.form import FormCard, Line
from tui.typed_path import typed_path
from tui.workshop import OpenJob


class JobFacts(WorkScreen):
    """The part of the job screen that asks on small cards."""

    job: OpenJob

    @property
    def walk(self) -> Walk:
        """The job's walk as it is on disk."""
        return self.job.walk

    async def take(self, make: Callable[[], Walk]) -> None:
        """Make a new walk and keep it."""
        raise NotImplementedError

    @work
    async def action_note(self) -> None:
        """Add a note."""
        text = await self.app.push_screen_wait(WriteCard(_("Note on this job")))
        if text and text.strip():
            await self.take(lambda: self.walk.note(text))

    @work
    async def action_remark(self) -> None:
        """Tell the author something about the present step; it stands in the book screen's list."""
        no = self.walk.question.no
        about = _("step {no}").format(no=no) if no is not None else _("the book")
        text = await self.app.push_screen_wait(WriteCard(_("Remark for the author on {about}").format(about=about)))
        if text and text.strip():
            await self.take(lambda: beside.remark(self.walk, text))

    @work
    async def action_customer(self) -> None:
        """Write down who the customer is; what was known stands in the fields."""
        known = self.job.customer
        rows = [Line(name, LABELS[name], known.get(name, ""), HINTS[name]) for name in LABELS]
        told = await self.app.push_screen_wait(FormCard(_("Who is the customer?"), rows))
        if told is None or dict(told) == {name: known.get(name, "") for name in LABELS}:
            return
        try:
            await self.job.keep_customer(told)
        except SootlineError as error:
            self.tell(str(error), wrong=True)
            return
        self.show_customer()

    def show_customer(self) -> None:
        """Show who the customer is, under the head of the job."""
        line = self.query_one("#customer", Static)
        known = customer_line(self.job.customer)
        line.update(Content.assemble((_(" Customer "), MUTED), (plain(known), "bold")))
        line.display = bool(known)

    @work
    async def action_photo(self) -> None:
        """Keep where a photo lies and its hash; a path that can't be read is told, and stays in its field."""
        path, text, trouble = "", "", ""
        while True:
            rows = (
                Line("path", _("File"), path, _("type its path, or drag it here")),
                Line("text", _("It shows"), text, _("a few words, or nothing")),
            )
            told = await self.app.push_screen_wait(FormCard(_("Which photo belongs to this job?"), rows, trouble))
            if told is None or not told["path"]:
                return
            path, text = told["path"], told["text"]
            try:
                await self.job.keep_photo(typed_path(path), text)
            except TakenElsewhereError as error:
                self.tell(str(error), wrong=True)
                break
            except SootlineError as error:
                trouble = str(error)
                continue
            self.tell(_("Kept with its hash: {name}").format(name=typed_path(path).name))
            break
        self.show_walk()

    def show_walk(self) -> None:
        """Draw the walk."""
        raise NotImplementedError

    @work
    async def action_serial(self) -> None:
        """Write the serial number down; the unit's earlier jobs are shown."""
        serial = await self.app.push_screen_wait(
            WriteCard(_("Serial number on the plate"), self.walk.now.beside.serial)
        )
        if not serial or not serial.strip():
            return
        if serial.strip() != self.walk.now.beside.serial:
            await self.take(lambda: beside.unit(self.walk, serial))
        await self.show_earlier(" ".join(serial.split()))

    async def show_earlier(self, serial: str) -> None:
        """Show the earlier jobs of a serial number."""
        from tui.screens.earlier import EarlierCard

        workshop, number = self.sootline.workshop, self.job.record.number
        rows = await asyncio.to_thread(workshop.casebook.same_serial, serial)
        earlier = [row for row in rows if row.number != number]
        if earlier:
            await self.app.push_screen_wait(EarlierCard(workshop, serial, earlier))
        else:
            self.tell(_("No earlier job has the serial number {serial}.").format(serial=serial))

    @work
    async def action_family(self) -> None:
        """Say what class of unit it is."""
        rows = [(f.id, f.name) for f in self.walk.book.families.values()]
        chosen = await self.app.push_screen_wait(ChooseCard(_("What class of unit is it?"), rows))
        if chosen:
            await self.take(lambda: self.walk.set_family(chosen))

    @work
    async def action_place(self) -> None:
        """Hand the job over to other hands."""
        rows = [(p, f"{PLACES_SHORT[p]}: {PLACE_NAMES[p]}") for p in PLACES]
        chosen = await self.app.push_screen_wait(ChooseCard(_("Whose hands, and where?"), rows))
        if chosen and chosen != self.walk.now.place:
            await self.take(lambda: self.walk.set_place(chosen))  # type: ignore[arg-type]

    @work
    async def action_aside(self) -> None:
        """Leave the tree for another check."""
        now = self.walk.now
        checks = [c for c in self.walk.book.checks.values() if now.place in c.place and c.form != "figure"]
        rows = [(c.id, c.wording) for c in checks if now.unit.fits(c.applies)]
        chosen = await self.app.push_screen_wait(ChooseCard(_("Which check? The tree waits."), rows))
        if chosen:
            await self.take(lambda: self.walk.leave_for(chosen))

    @work
    async def action_why(self) -> None:
        """Show why a suspect stands where it stands."""
        from tui.screens.why import WhyCard, suspect_rows

        walk = self.walk
        try:
            rows = await asyncio.to_thread(suspect_rows, walk)
        except SuspectsError as error:
            self.tell(str(error), wrong=True)
            return
        chosen = await self.app.push_screen_wait(
            ChooseCard(_("Why does a suspect stand where it stands? Which?"), rows)
        )
        if chosen:
            await self.app.push_screen_wait(WhyCard(walk, chosen))

    async def action_return_to_tree(self) -> None:
        """Go back to the tree without making the check."""
        await self.take(self.walk.return_to_tree)

    @work
    async def action_follow_up(self) -> None:
        """After a stop: begin a job of its own, linked, with a role and a reason."""
        stopped = self.walk.now.stopped
        if stopped is None:
            self.tell(_("A follow-up belongs to a job that was stopped."), wrong=True)
            return
        reason = await self.app.push_screen_wait(WriteCard(_("Follow-up: your role, and why it may go on now")))
        if not reason or not reason.strip():
            return
        from tui.screens.job import JobScreen

        try:
            job = await self.sootline.workshop.follow_up(self.job, reason.strip())
        except SootlineError as error:
            self.tell(str(error), wrong=True)
            return
        self.app.switch_screen(JobScreen(job))
