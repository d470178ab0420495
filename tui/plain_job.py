"""One job in plain mode: the question, and every way to answer it."""

from __future__ import annotations

from collections.abc import Awaitable, Callable

from trees.language import _
from trees.walk import Question, Walk
from tui.plain_bench import Bench
from tui.plain_calls import Calls
from tui.plain_end import Ending
from tui.plain_words import is_word


class PlainJob(Bench, Calls, Ending):
    """An open job, line by line."""

    def commands(self) -> dict[str, Callable[[str], Awaitable[None]]]:
        """Return what can be typed, by word; the letters are the keys of the screen."""
        return {
            **dict.fromkeys(("read", "r"), self.read_caution),
            **dict.fromkeys(("back", "b"), self.back),
            **dict.fromkeys(("skip", "s"), self.skip),
            **dict.fromkeys(("note", "j"), self.note),
            **dict.fromkeys(("customer", "@"), self.customer),
            **dict.fromkeys(("photo", "&"), self.photo),
            **dict.fromkeys(("why", "w"), self.why),
            **dict.fromkeys(("next", "a"), self.proposed),
            **dict.fromkeys(("tree", "g"), self.to_tree),
            **dict.fromkeys(("family", "f"), self.family),
            **dict.fromkeys(("place", "p"), self.place),
            **dict.fromkeys(("trail", "t"), self.trail),
            **dict.fromkeys(("conclusion", "c"), self.conclusion),
            **dict.fromkeys(("again", "."), self.again),
            **dict.fromkeys(("check", "m"), self.aside),
            **dict.fromkeys(("intake", "+"), self.intake_facts),
            **dict.fromkeys(("serial", "#"), self.serial),
            **dict.fromkeys(("instruments", "="), self.instruments),
            **dict.fromkeys(("timer", "y"), self.timer),
            **dict.fromkeys(("callback",), self.call_back),
            **dict.fromkeys(("remark", "!"), self.remark),
            **dict.fromkeys(("work", "k"), self.work),
            **dict.fromkeys(("report", "e"), self.report),
            **dict.fromkeys(("preview", "i"), self.preview),
            **dict.fromkeys(("reopen", "z"), self.reopen),
            "change": self.change,
            "close": self.close,
            "job": self.overview,
            "suspects": self.suspects,
        }

    async def answer(self, line: str) -> None:
        """Take what is typed as an answer to the question."""
        question, walk = self.question, self.walk
        word, _other, rest = line.partition(" ")
        numbered = is_word(word, "answer")
        if is_word(word, "cannot") or (question.form != "reading" and line == "0") or (numbered and rest == "0"):
            await self.cannot_tell(question)
        elif numbered:
            await self.choose(question, rest)
        elif is_word(word, "take") and question.known is not None and self.changing is None:
            await self.take(walk.take_over())
        elif is_word(word, "take") and question.form == "figure":
            await self.take(walk.take_figure(self.changing))
        elif is_word(word, "enter") and question.form == "readings":
            await self.readings(question)
        elif question.form == "reading" and line:
            await self.reading(line)
        elif question.form == "tick" and line:
            await self.tick(question, line)
        elif question.form == "choice" and line:
            await self.choose(question, line)
        else:
            self.say(_("Not taken: that is no answer here. `again` repeats the question, help lists all words."))

    async def choose(self, question: Question, typed: str) -> None:
        """Take an answer by its number; a safety question, a stop and a start ask a second time."""
        if not typed.isdecimal() or not 1 <= int(typed) <= len(question.options):
            self.say(_("Not taken: {typed!r} is no number of an answer.").format(typed=typed))
            return
        option = question.options[int(typed) - 1]
        new = self.walk.answer(option.id, self.changing)
        check = question.check
        start = check is not None and (check.uses_start or check.while_running)
        stops = _(" This stops the job.") if option.stops else _(" This counts as a start.") if start else ""
        if (question.kind == "gate" or stops) and not self.sure(
            _("You chose: {means}.{stops}").format(means=option.means, stops=stops)
        ):
            self.say(_("Left open."))
            return
        await self.take(new)

    async def cannot_tell(self, question: Question) -> None:
        """
        Answer: cannot tell.

        A safety question then counts as its most dangerous answer, which asks again; a caller is first helped to tell.
        """
        from tui.panels.phone import CAREFUL, needs_patience

        if question.gate is not None:
            means = question.gate.answer(question.gate.unknown).means
            if not self.sure(_("Cannot tell counts as: {means}.").format(means=means)):
                self.say(_("Left open."))
                return
            await self.take(self.walk.answer(question.gate.unknown, self.changing))
            return
        if needs_patience(self.walk, question) and not self.patient:
            self.patient = True
            self.say(_(CAREFUL))
            return
        await self.take(self.walk.cannot_tell(self.changing))

    async def reading(self, typed: str) -> None:
        """Take a reading; one that is implausible or stops the job asks a second time."""
        from trees.figures.units import parse_reading

        question = self.question
        new = self.measured(self.walk.reading(typed, self.changing, sure=True))
        verdict = self.walk.judge(parse_reading(typed, question.unit).values, question)
        why = ""
        if verdict is not None and verdict.implausible:
            why = _("That is outside what is plausible here.")
        elif verdict is not None and verdict.answer is not None and verdict.answer.id in question.stopping:
            why = _("{means}: this stops the job.").format(means=verdict.answer.means)
        if why and not self.sure(why):
            self.say(_("Left open."))
            return
        await self.take(new)

    async def readings(self, question: Question) -> None:
        """Ask for a set of readings one by one; an empty line leaves one out."""
        fields = question.check.readings if question.check is not None else ()
        typed = {
            field.name: self.ask(
                f"{field.label or field.name}{_(' in {unit}').format(unit=field.unit) if field.unit != '1' else ''}:"
            )
            for field in fields
        }
        await self.take(self.measured(self.walk.readings(typed, self.changing)))

    def measured(self, new: Walk) -> Walk:
        """Return a walk whose new reading also says what it was taken with, where an instrument was chosen today."""
        from tui.instruments import instrument_for, taken_with

        workshop, check = self.job.workshop, self.question.check
        if self.walk.now.place == "phone":
            return new
        units = [self.question.unit, *(field.unit for field in check.readings)] if check is not None else []
        found = (instrument_for(workshop.settings, workshop.today(), unit) for unit in units if unit)
        instrument = next((each for each in found if each is not None), None)
        return new if instrument is None else taken_with(new, instrument)

    async def tick(self, question: Question, line: str) -> None:
        """Confirm a list; that nothing of it is true says something, so it asks a second time."""
        numbers = [] if is_word(line, "none") else line.replace(",", " ").split()
        if any(not n.isdecimal() or not 1 <= int(n) <= len(question.options) for n in numbers):
            self.say(_("Not taken: type numbers of the list, parted by spaces, or none."))
            return
        new = self.walk.tick((question.options[int(n) - 1].id for n in numbers), self.changing)
        if numbers or self.sure(_("Nothing of the list is true.")):
            await self.take(new)
        else:
            self.say(_("Left open."))
