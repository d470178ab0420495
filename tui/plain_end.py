"""How a job ends in plain mode: what was found, work beside the tree, the report, closing and opening again."""

from __future__ import annotations

import asyncio

from trees.book.words import END_NAMES
from trees.errors import SuspectsError
from trees.language import _
from tui import plain_lines
from tui.plain_beside import Beside
from tui.plain_words import numbers_of


class Ending(Beside):
    """The part of an open job that concludes it."""

    async def conclusion(self, _rest: str) -> None:
        """Print what was found, what would still change it, and how the job can be closed."""
        from tui.concluded import findings_text, weighed_text
        from tui.screens.conclusion import refused

        self.say(plain_lines.in_words(findings_text(self.walk).plain))
        if self.walk.now.stopped is None:  # no chance of anything sends somebody back to a unit that is dangerous
            try:
                self.say(plain_lines.in_words(weighed_text(self.walk).plain))
            except SuspectsError as error:
                self.say(str(error))
        if self.walk.now.closed is not None:
            self.say(_("Closed: {name}. Type reopen and a reason to open it again.").format(name=self.closed_as()))
            return
        self.say(_("Close as: type close, a number, and a few words if there is something to say."))
        not_now = refused(self.walk)
        for no, end in enumerate(plain_lines.ends(self.walk), start=1):
            self.say(
                f"{no}: {END_NAMES[end]}" + (_(", not now: {why}").format(why=w) if (w := not_now.get(end)) else "")
            )

    def closed_as(self) -> str:
        """Return how the job was closed."""
        closed = self.walk.now.closed or ""
        return END_NAMES.get(closed, closed)  # type: ignore[call-overload,no-any-return]

    async def close(self, rest: str) -> None:
        """Close the job as one of the numbered ends of the conclusion."""
        number, _other, text = rest.partition(" ")
        ends = plain_lines.ends(self.walk)
        picked = numbers_of(number, len(ends))
        if not picked:
            self.say(
                _("Not taken: type close and a number from 1 to {n}; `conclusion` lists them.").format(n=len(ends))
            )
            return
        end = ends[picked[0] - 1]
        new = self.walk.close(end, text)
        if self.sure(_("Closes the job as: {end}.").format(end=END_NAMES[end])):
            await self.take(new)
        else:
            self.say(_("Left open."))

    async def reopen(self, reason: str) -> None:
        """Open a closed job again; the rest of the line says why."""
        await self.job.keep(self.walk.reopen(reason))
        await self.job.new_day()
        self.show()

    async def work(self, text: str) -> None:
        """Write down work that was done outside the tree: the rest of the line."""
        if not text:
            self.say(_("Type work and what was done."))
            return
        await self.job.keep(self.walk.work(text))
        self.say(_("Kept: {text}").format(text=text))

    async def preview(self, _rest: str) -> None:
        """Print the report as it would be written now."""
        from tui.screens.report_card import report_text

        self.say(plain_lines.in_words((await asyncio.to_thread(report_text, self.job)).plain))

    async def report(self, rest: str) -> None:
        """List the forms of the report; report and numbers writes them."""
        from tui.screens.conclusion import FORMS, write_form

        forms = list(FORMS)
        picked = numbers_of(rest, len(forms))
        folder = self.job.workshop.report_folder
        if not picked:
            self.say(f"{n}: {FORMS[form]}" for n, form in enumerate(forms, start=1))
            self.say(_("Type report and numbers; the files come into {folder}.").format(folder=folder))
            return
        for n in picked:
            path = await asyncio.to_thread(write_form, forms[n - 1], self.job, folder)
            self.say(_("Written: {path}").format(path=path))
