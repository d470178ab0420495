"""A whole job line by line: the same engine and casebook as the screen, for screen readers, slow links and scripts."""

from __future__ import annotations

import shlex
from collections.abc import Awaitable, Callable, Iterable
from typing import TYPE_CHECKING

from trees.book.words import PLACES, PLACES_SHORT
from trees.errors import SootlineError
from trees.language import N_, _, ngettext
from tui import plain_lines
from tui.finding import Finder
from tui.plain_bench import ring
from tui.plain_job import PlainJob
from tui.plain_talk import EndOfInputError, Talk
from tui.plain_words import is_word, spoken_words
from tui.workshop import Workshop

if TYPE_CHECKING:
    from trees.casebook import JobSummary

WIDE = 140
"""Columns at which a table of the screen has each row on one line."""
Told = Callable[[str], Awaitable[None]]
"""What a word does; it takes the rest of the line."""
STARTING = N_("Type the number of a job to take it up, or: new and the complaint in the customer's words.")


class Dialogue:
    """One person, or one script, at one casebook."""

    def __init__(self, workshop: Workshop, talk: Talk) -> None:
        self.workshop, self.talk = workshop, talk
        self.say, self.ask = talk.say, talk.ask
        talk.card = lambda: plain_lines.emergency_lines(workshop.settings)
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
        line = self.talk.line()
        ring(self.talk, self.workshop.timers)
        word, _other, rest = line.partition(" ")
        if is_word(word, "quit", "q"):
            going_on = self.workshop.going_on()
            if going_on and not self.talk.sure(_("{going_on} That ends with the program.").format(going_on=going_on)):
                return True
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
        finally:
            await self.note_emergency()
        return True

    async def note_emergency(self) -> None:
        """Write down that the card was opened in the middle of a question; it was printed at once."""
        if self.talk.card_shown and self.open is not None:
            await self.open.job.keep(self.open.walk.emergency_card())
        self.talk.card_shown = False

    def commands(self) -> dict[str, Told]:
        """Return what can be typed now, by word: in the language that is spoken, and in English."""
        words = {**self.anywhere(), **(self.between_jobs() if self.open is None else self.in_job(self.open))}
        spoken = spoken_words()
        return {**{spoken[word]: told for word, told in words.items() if word in spoken}, **words}

    def anywhere(self) -> dict[str, Told]:
        """Return what can be typed with and without an open job."""
        return {
            "emergency": self.emergency,
            **dict.fromkeys(("help", "?"), self.help),
            **dict.fromkeys(("figure", "v"), self.figure),
        }

    def between_jobs(self) -> dict[str, Told]:
        """Return what can be typed at the list of jobs."""
        return {
            **dict.fromkeys(("new", "n"), self.new),
            "jobs": self.list_jobs,
            **dict.fromkeys(("all", "l"), self.list_all),
            **dict.fromkeys(("find", "/"), self.find),
            **dict.fromkeys(("place", "p"), self.place),
            "lessons": self.lessons,
        }

    def in_job(self, job: PlainJob) -> dict[str, Told]:
        """Return what can be typed at an open job."""
        return {
            **job.commands(),
            **dict.fromkeys(("hold", "h"), self.hold),
            **dict.fromkeys(("follow-up", "u"), self.follow_up),
            **dict.fromkeys(("list", "d"), self.leave),
        }

    def show_jobs(self) -> None:
        """Print the open jobs, then what goes on at this seat."""
        jobs = self.workshop.casebook.jobs(open_only=True)
        self.say(ngettext("{n} open job.", "{n} open jobs.", len(jobs)).format(n=len(jobs)))
        self.say(self.job_lines(jobs))
        calls = self.workshop.calls
        self.say(_("On the line: {job}, waits {waited}").format(job=c.job, waited=calls.waited(c)) for c in calls.held)
        if timers := self.workshop.timers.all_lines():
            self.say(_("Timers: {told}").format(told=timers))
        self.say(_("{starting} help lists all words.").format(starting=_(STARTING)))

    def job_lines(self, jobs: Iterable[JobSummary]) -> Iterable[str]:
        """Yield a line for each job: its number, what it waits for or how it was closed, the complaint."""
        from tui.screens.day_list import state_of, waits

        for row in jobs:
            told = state_of(row) if row.closed else waits(row)
            yield f"{row.number}: {told + ', ' if told else ''}{row.words}"

    async def list_jobs(self, _rest: str) -> None:
        """Print the open jobs."""
        self.show_jobs()

    async def list_all(self, _rest: str) -> None:
        """Print all jobs, the closed ones too."""
        jobs = self.workshop.casebook.jobs()
        self.say(ngettext("{n} job.", "{n} jobs.", len(jobs)).format(n=len(jobs)))
        self.say(self.job_lines(jobs))

    async def find(self, words: str) -> None:
        """Find any job by words of it: number, unit, serial number, complaint, notes."""
        jobs = self.workshop.casebook.find(words)
        self.say(ngettext("{n} job found.", "{n} jobs found.", len(jobs)).format(n=len(jobs)))
        self.say(self.job_lines(jobs))

    async def lessons(self, rest: str) -> None:
        """Print what the closed jobs teach: causes, repeats, first visits, minutes, idle checks; invented: a demo's."""
        from trees.casebook.lessons import told_jobs
        from tui.panels.lessons import PAGES

        made_up = is_word(rest, "invented")
        jobs = tuple(told_jobs(self.workshop.casebook, self.workshop.book, invented=made_up))
        self.say(ngettext("{n} closed job.", "{n} closed jobs.", len(jobs)).format(n=len(jobs)))
        for page in PAGES.values():
            self.say("")
            self.say(plain_lines.in_words(page(self.workshop.book, jobs, WIDE).plain))

    async def place(self, name: str) -> None:
        """Say where new jobs begin: bench, site or phone."""
        place = plain_lines.place_of(name)
        if place is None:
            self.say(_("Type place and one of {listed}.").format(listed=", ".join(PLACES_SHORT[p] for p in PLACES)))
            return
        self.workshop.place = place
        self.say(_("New jobs begin here: {place}.").format(place=PLACES_SHORT[place]))

    async def figure(self, rest: str) -> None:
        """List the figures, or those that fit words; with a name and inputs such as load_v=10.9 works one out."""
        from trees.figures import figure_info, registry
        from tui.screens.figures import as_reading
        from tui.typed_figure import work_out_typed
        from tui.verbs.figure import inputs_of, pairs, told

        try:
            name, *inputs = shlex.split(rest) or [""]
        except ValueError:
            self.say(_("Not taken: a quotation mark has no other half."))
            return
        if name not in registry():
            rows = [f"{info.name}: {info.title}" for info in registry().values()]
            self.say(row for row in rows if all(word in row.lower() for word in rest.lower().split()))
            self.say(_("Type figure and a name to see what it wants."))
            return
        info = figure_info(name)
        if not inputs:
            self.say(plain_lines.in_words("\n".join(inputs_of(info))))
            return
        found = work_out_typed(info, pairs(inputs))
        self.say(plain_lines.in_words(told(found)))
        if self.open is None:
            return
        reading = as_reading(found, self.open.question)
        if reading is not None and self.open.question.form == "reading":
            self.say(_("Type {reading} to take it as the reading that is asked for.").format(reading=reading))
        elif self.talk.sure(_("It can be kept as a note in the job.")):
            await self.open.take(self.open.walk.note(found.sentence))

    def opened(self, job: PlainJob) -> None:
        """Go on with a job; who was held on its line is spoken with again."""
        self.open = job
        self.workshop.calls.let_go(job.job.record.number)
        job.show()

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
        self.opened(PlainJob(self.talk, job))

    async def take_up(self, number: str) -> None:
        """Take a job up where it stands."""
        job = await self.workshop.open_job(number)
        self.say(_("Job {number}: {words}").format(number=job.record.number, words=job.walk.now.words))
        self.opened(PlainJob(self.talk, job))

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
        self.opened(PlainJob(self.talk, job))

    async def hold(self, _rest: str) -> None:
        """Hold this call and go to the list of jobs; its number takes it up again."""
        if self.open is not None:
            self.workshop.calls.hold(self.open.job.record.number, self.open.walk.now.words)
        await self.leave("")

    async def leave(self, _rest: str) -> None:
        """Go back to the list of jobs; nothing is lost."""
        if self.open is not None:
            await self.open.job.leave()
            self.open = None
        self.show_jobs()
