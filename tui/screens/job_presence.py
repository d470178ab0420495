"""Who else has this job open, and what was answered there: looked at every second while the job is on the screen."""

from __future__ import annotations

from textual import work
from textual.content import Content
from textual.css.query import NoMatches
from textual.widgets import Static

from trees.language import _
from tui.draw import MUTED, plain
from tui.screens.job_facts import JobFacts
from tui.workshop import Look

LOOK_S = 1.0
"""Between two looks: another seat's answer is on the screen within two seconds."""


class JobPresence(JobFacts):
    """The part of the job screen that looks to the other seats."""

    looked: Look = Look()

    def show_walk(self) -> None:
        """Draw the walk."""
        raise NotImplementedError

    def forget(self) -> None:
        """Let go of what was chosen and not taken."""
        raise NotImplementedError

    def begin_looking(self) -> None:
        """Look every second from now on."""
        self.set_interval(LOOK_S, self.look)

    async def on_unmount(self) -> None:
        """Show to the other seats that the job is open here no more."""
        await self.job.leave()

    @work(exclusive=True, group="look")
    async def look(self) -> None:
        """Look once; what another seat answered is shown, what is typed here stays where the question is the same."""
        before = self.walk.question.visit
        look = await self.job.look()
        if not self.is_attached:
            return
        if look.changed:
            if self.walk.question.visit != before:
                self.forget()
            self.show_walk()
            last = look.newer[-1]
            self.tell(_("{seat} went on with this job; this is how it stands now.").format(seat=last.seat))
        if look != self.looked:
            self.looked = look
            self.show_others()

    def show_others(self) -> None:
        """Say who else has the job open, or why that can't be seen."""
        try:
            line = self.query_one("#others", Static)
        except NoMatches:  # the screen is going away
            return
        seats = ", ".join(dict.fromkeys(plain(each.seat) for each in self.looked.others))
        line.display = bool(seats or self.looked.trouble)
        told = (
            Content.assemble((" ◎ ", MUTED), (_("open at {seats}").format(seats=seats), "bold $warning"))
            if seats
            else Content("")
        )
        if self.looked.trouble:
            told = Content.assemble(told, (f" ! {plain(self.looked.trouble)}", "$warning"))
        line.update(told)
