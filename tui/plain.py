"""A whole job line by line: the same engine and casebook as the screen, for screen readers, slow links and scripts."""

from __future__ import annotations

from collections.abc import Awaitable, Callable

from trees.book.words import PLACES_SHORT
from trees.errors import SootlineError
from trees.language import N_, _, ngettext
from tui import plain_lines
from tui.finding import Finder
from tui.plain_job import PlainJob
from tui.plain_talk import EndOfInputError, Talk
from tui.workshop import Workshop

STARTING = N_("Type the number of a job to take it up, or: new and the complaint in the customer's words.")


class Dialogue:
    """One person, or one script, at one casebook."""

    def __init__(self, workshop: Workshop, talk: Talk) -> None:
        self.workshop, self.talk = workshop, talk
        self.say, self.ask = talk.say, talk.ask
        self.open: PlainJob | None = None
        """The job that is open; without one the list of jobs has the lines."""

    async def run(self) -> None:
        """Go on until `quit` or the end of the input; an open job stays open."""
        try:
            self.say(
                _("Sootline in plain mode, {title}, seat {seat}.").format(
                    title=self.workshop.book.title, seat=self.workshop.seat
                )
            )
            self.show_jobs()
            while await self.one_line():
                pass
        except EndOfInputError:
            self.say(
                _("End of input.")
                + (_(" Job {number} stays as it is.").format(number=self.open.job.record.number) if self.open else "")
            )
        finally:
            if self.open is not None:
                await self.open.job.leave()

    async def one_line(self) -> bool:
        """Take one line; False after `quit`. What is refused is told in a sentence, and nothing was changed."""
        line = self.ask()
        word, _other, rest = line.partition(" ")
        if word.lower() in {"quit", "q"}:
            self.say(_("Left. Every answer is saved."))
            return False
        try:
            command = self.commands().get(word.lower())
            if command is not None:
                await command(rest.strip())
            elif self.open is not None:
                await self.open.answer(line)
            elif " " in line:  # a complaint: numbers of jobs have no space
                self.say(_("Not taken. {starting}").format(starting=_(STARTING)))
            elif line:
                await self.take_up(line)
        except SootlineError as error:
            self.say(_("Not taken: {error}").format(error=error))
        return True

    def commands(self) -> dict[str, Callable[[str], Awaitable[None]]]:
        """Return what can be typed now, by word."""
        anywhere = {"emergency": self.emergency, "help": self.help, "?": self.help}
        if self.open is None:
            return {**anywhere, "new": self.new, "n": self.new, "jobs": self.list_jobs}
        to_another = {"follow-up": self.follow_up, "u": self.follow_up, "list": self.leave, "d": self.leave}
        return {**anywhere, **self.open.commands(), **to_another}

    def show_jobs(self) -> None:
        """Print the open jobs."""
        jobs = self.workshop.casebook.jobs(open_only=True)
        self.say(ngettext("{n} open job.", "{n} open jobs.", len(jobs)).format(n=len(jobs)))
        self.say(f"{row.number}: {row.words}" for row in jobs)
        self.say(_("{starting} help lists all words.").format(starting=_(STARTING)))

    async def list_jobs(self, _rest: str) -> None:
        """Print the open jobs."""
        self.show_jobs()

    async def new(self, words: str) -> None:
        """Begin a job with the tree that fits best, or another one that is typed by its number."""
        words = words or self.ask(_("What does the customer say?"))
        if not words:
            self.say(_("Not taken: a job needs a few words."))
            return
        trees = [fit.tree for fit in Finder(self.workshop.book).fits(words)]
        self.say(f"{no}: {tree.title}" for no, tree in enumerate(trees, start=1))
        number = self.ask(_("Which tree? An empty line takes 1; 0 goes by the suspects alone.")) or "1"
        if not number.isdecimal() or int(number) > len(trees):
            self.say(_("Not taken: that is no number of a tree."))
            return
        tree = trees[int(number) - 1].id if int(number) else None
        job = await self.workshop.new_job(words, tree, self.workshop.place)
        self.say(
            _("Job {number} begun, {place}.").format(number=job.record.number, place=PLACES_SHORT[self.workshop.place])
        )
        self.open = PlainJob(self.talk, job)
        self.open.show()

    async def take_up(self, number: str) -> None:
        """Take a job up where it stands."""
        job = await self.workshop.open_job(number)
        self.say(_("Job {number}: {words}").format(number=job.record.number, words=job.walk.now.words))
        self.open = PlainJob(self.talk, job)
        self.open.show()

    async def emergency(self, _rest: str) -> None:
        """Print the emergency card at once; that it was opened is written down afterwards."""
        self.say(plain_lines.emergency_lines(self.workshop.settings))
        if self.open is not None:
            await self.open.job.keep(self.open.walk.emergency_card())

    async def help(self, _rest: str) -> None:
        """List the words that can be typed."""
        told: dict[str, list[str]] = {}
        for word, method in self.commands().items():
            told.setdefault(_((method.__doc__ or "").partition("\n")[0]), []).append(word)
        self.say(f"{', '.join(words)}: {text}" for text, words in told.items())
        self.say(_("quit, q: Leave; every answer is saved."))

    async def follow_up(self, reason: str) -> None:
        """After a stop: begin a linked job; type your role and why it may go on now."""
        if self.open is None or self.open.walk.now.stopped is None:
            self.say(_("Not taken: a follow-up belongs to a job that was stopped."))
            return
        reason = reason or self.ask(_("Your role, and why it may go on now:"))
        if not reason:
            self.say(_("Not taken: a follow-up needs a role and a reason."))
            return
        stopped = self.open.job
        job = await self.workshop.follow_up(stopped, reason)
        await stopped.leave()
        self.say(_("Job {number} begun.").format(number=job.record.number))
        self.open = PlainJob(self.talk, job)
        self.open.show()

    async def leave(self, _rest: str) -> None:
        """Go back to the list of jobs; nothing is lost."""
        if self.open is not None:
            await self.open.job.leave()
            self.open = None
        self.show_jobs()
