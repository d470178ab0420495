"""What plain mode does at the bench: intake, serial number, instruments, timers, remarks for the author."""

from __future__ import annotations

from trees.errors import TakenElsewhereError
from trees.language import _, ngettext
from trees.walk import beside
from tui.plain_beside import Beside
from tui.plain_talk import Talk
from tui.plain_words import is_word, numbers_of
from tui.timers import KINDS, TimerBoard, clock_face, kept


class Bench(Beside):
    """The part of an open job that takes a unit in, measures time and knows the instruments."""

    async def intake_facts(self, rest: str) -> None:
        """List what can be told of a unit that came alone; with numbers asks that, with all asks what is open."""
        from tui.screens.job_bench import facts_of, told_of

        facts = facts_of(self.walk)
        if not facts:
            self.say(_("This book has no facts that can be told here."))
            return
        if is_word(rest, "all"):
            await self.ask_facts(tuple(check.id for check in facts if not told_of(self.walk, check)))
            return
        picked = numbers_of(rest, len(facts))
        if picked:
            await self.ask_facts(tuple(facts[n - 1].id for n in picked))
            return
        self.say(
            f"{n}: {check.wording}: {told_of(self.walk, check) or _('not told')}"
            for n, check in enumerate(facts, start=1)
        )
        self.say(_("Type intake and numbers, or intake all; serial and family stand on the plate."))

    async def ask_facts(self, checks: tuple[str, ...]) -> None:
        """Ask facts one after the other; the tree waits."""
        if not checks:
            self.say(_("Nothing is open."))
            return
        self.intake = checks[1:]
        await self.take(self.walk.leave_for(checks[0]))

    async def serial(self, text: str) -> None:
        """Print the serial number and the unit's earlier jobs; serial and a text writes it down."""
        if text and text != self.walk.now.beside.serial:
            await self.job.keep(beside.unit(self.walk, text))
        known = self.walk.now.beside.serial
        self.say(_("Serial number: {told}").format(told=known or _("not written down")))
        if not known:
            self.say(_("Type serial and the number on the plate."))
            return
        number = self.job.record.number
        earlier = [row for row in self.job.workshop.casebook.same_serial(known) if row.number != number]
        self.say(
            ngettext("{n} earlier job of this unit.", "{n} earlier jobs of this unit.", len(earlier)).format(
                n=len(earlier)
            )
        )
        self.say(f"{row.number}: {row.words}" for row in earlier)

    async def instruments(self, rest: str) -> None:
        """List the instruments of the settings; instruments and numbers says which are used today."""
        from tui.settings_file import save_settings

        workshop = self.job.workshop
        known = workshop.settings.instruments
        if not known:
            self.say(_("No instrument stands in the settings."))
            return
        picked = numbers_of(rest, len(known))
        if picked:
            names = tuple(known[n - 1].name for n in picked)
            workshop.take_settings(save_settings(chosen=names, chosen_on=workshop.today()))
        used = {each.name for each in workshop.settings.instruments_on(workshop.today()) or ()}
        for n, each in enumerate(known, start=1):
            told = f"{n}: {each.name}, ± {each.uncertainty:g} {each.unit}"
            self.say(told + (_(", used today") if each.name in used else ""))
        self.say(_("Type instruments and the numbers of those that are used today."))

    async def remark(self, text: str) -> None:
        """Tell the book's author something about this step: the rest of the line."""
        if not text:
            self.say(_("Type remark and what the author should know."))
            return
        await self.job.keep(beside.remark(self.walk, text))
        self.say(_("Kept for the author."))

    async def timer(self, rest: str) -> None:
        """List the timers; timer and a number starts one, typed again it stops and its time is kept."""
        board, number = self.job.workshop.timers, self.job.record.number
        word, _other, more = rest.partition(" ")
        drop = is_word(word, "drop")
        picked = numbers_of(more if drop else rest, len(KINDS))
        running = {timer.kind.name: timer for timer in board.of(number)}
        kind = list(KINDS.values())[picked[0] - 1] if len(picked) == 1 else None
        if kind is None:
            for n, each in enumerate(KINDS.values(), start=1):
                told = board.told(running[each.name]) if each.name in running else _(each.label)
                self.say(f"{n}: {told}, {_('runs') if each.name in running else _(each.what_for)}")
            self.say(_("Type timer and a number: it starts, or stops and is kept. timer drop and a number forgets it."))
        elif drop:
            board.drop(number, kind.name)
            self.say(_("{label}: forgotten.").format(label=_(kind.label)))
        elif kind.name not in running:
            board.start(number, kind.name)
            self.say(_("{label}: runs.").format(label=_(kind.label)))
            if kind.rings_s is not None:
                self.talk.later(kind.rings_s, lambda: ring(self.talk, board))
        else:
            seconds = board.seconds(running[kind.name])
            try:
                await self.job.keep(kept(self.walk, kind, seconds))
            except TakenElsewhereError as error:  # it runs on, for nothing was kept
                self.say(str(error))
                return
            board.drop(number, kind.name)
            self.say(_("{label}: {counted}, kept in the job.").format(label=_(kind.label), counted=clock_face(seconds)))


def ring(talk: Talk, board: TimerBoard) -> None:
    """Say which timers have come to their end and were not told yet."""
    for job, timer in board.to_ring():
        counted = clock_face(timer.kind.rings_s or 0.0)
        talk.say(
            _("Timer {label} of job {job}: {counted} are over.").format(
                label=_(timer.kind.label), job=job, counted=counted
            )
        )
