"""What plain mode does beside the question: notes, suspects, place, trail, conclusion, the end of a job."""

from __future__ import annotations

from trees.book.words import END_NAMES, PLACES, Place
from trees.language import _
from trees.walk import Walk
from tui import plain_lines
from tui.plain_talk import YES, Talk
from tui.workshop import OpenJob


class Beside:
    """An open job and who talks about it; each method takes the rest of the line that was typed."""

    def __init__(self, talk: Talk, job: OpenJob) -> None:
        self.talk, self.job = talk, job
        self.say, self.ask, self.sure = talk.say, talk.ask, talk.sure

    @property
    def walk(self) -> Walk:
        """The walk of the open job, as it is on disk."""
        return self.job.walk

    def show(self) -> None:
        """Print what is asked."""
        self.say("")
        self.say(plain_lines.question_lines(self.walk, self.walk.question))

    async def take(self, new: Walk) -> None:
        """Keep what was said; only then the next question is asked."""
        before = self.walk
        if await self.job.new_day():
            self.say(_("A new day: the safety questions come first again."))
        else:
            await self.job.keep(new)
            last = next((item for item in reversed(self.walk.trail) if item.no > len(before.entries)), None)
            if last is not None and last.given is not None:
                self.say(_("Taken: {answered}").format(answered=last.answered))
        self.show()

    async def again(self, _rest: str) -> None:
        """Repeat the question."""
        self.show()

    async def read_caution(self, _rest: str) -> None:
        """Say that the DANGER cautions of this step were read."""
        walk = self.walk
        for caution in self.walk.question.unread:
            walk = walk.acknowledge(caution.id)
        if walk is self.walk:
            self.say(_("Nothing is to be read now."))
            return
        await self.take(walk)

    async def back(self, _rest: str) -> None:
        """Take the last answer back."""
        await self.take(self.walk.back())

    async def skip(self, _rest: str) -> None:
        """Pass this step over without looking."""
        await self.take(self.walk.skip())

    async def note(self, text: str) -> None:
        """Jot the rest of the line down in the job."""
        await self.take(self.walk.note(text))

    async def photo(self, path: str) -> None:
        """Keep where a photo lies, the rest of the line, and the hash of its bytes."""
        from tui.typed_path import typed_path

        if not path.strip():
            self.say(_("Type photo and the path of its file."))
            return
        file = typed_path(path)
        await self.job.keep_photo(file)
        self.say(_("Kept with its hash: {name}").format(name=file.name))

    async def customer(self, rest: str) -> None:
        """Print who the customer is; customer and name, contact, boat or more, with a text, writes it down."""
        from tui.customer import WORDS, customer_line

        word, _other, text = rest.partition(" ")
        if word in WORDS and text.strip():
            await self.job.keep_customer({**self.job.customer, WORDS[word]: text.strip()})
        elif rest:
            self.say(_("Type customer, one of {listed}, and a text.").format(listed=", ".join(WORDS)))
        self.say(_("Customer: {told}").format(told=customer_line(self.job.customer) or _("not written down")))

    async def trail(self, _rest: str) -> None:
        """Print what was answered so far, also what no longer counts."""
        self.say(plain_lines.trail_line(item) for item in self.walk.trail)

    async def suspects(self, _rest: str) -> None:
        """Print the suspects with their probabilities."""
        self.say(plain_lines.suspect_lines(self.walk))

    async def why(self, number: str) -> None:
        """Say why a suspect stands where it stands, by its number among the suspects."""
        from trees.walk.ranking import rank
        from trees.walk.reason_words import why_lines
        from trees.walk.reasons import TURNS_TOLD, turns_of, why_of

        ranked, _other = rank(self.walk)
        if not number.isdecimal() or not 1 <= int(number) <= len(ranked):
            self.say(plain_lines.suspect_lines(self.walk))
            self.say(_("Type why and a number."))
            return
        cause = ranked[int(number) - 1].cause
        turns = turns_of(self.walk, cause)[:TURNS_TOLD]
        self.say(why_lines(self.walk, why_of(self.walk, cause), turns, whole=True))

    async def proposed(self, rest: str) -> None:
        """Print the next check that is worth its minutes; next yes makes it, and the tree waits."""
        from trees.walk.reason_words import advice_lines
        from trees.walk.reasons import advice_of

        advice = advice_of(self.walk)
        if advice is None:
            self.say(_("No check is proposed now."))
            return
        check = advice.check.check if advice.check else advice.opening.checks[0] if advice.opening else None
        if rest.lower() in YES and check is not None:
            await self.take(self.walk.leave_for(check))
            return
        self.say(advice_lines(self.walk, advice))
        if check is not None:
            self.say(_("Type next yes to make it."))

    async def to_tree(self, _rest: str) -> None:
        """Go back to the tree without making the check."""
        await self.take(self.walk.return_to_tree())

    async def family(self, number: str) -> None:
        """Say what class of unit it is, by its number."""
        families = list(self.walk.book.families.values())
        if not number.isdecimal() or not 1 <= int(number) <= len(families):
            self.say(f"{no}: {family.name}" for no, family in enumerate(families, start=1))
            self.say(_("Type family and a number."))
            return
        await self.take(self.walk.set_family(families[int(number) - 1].id))

    async def place(self, name: str) -> None:
        """Hand the job over: bench, site or phone."""
        known: dict[str, Place] = {place: place for place in PLACES}
        if name not in known:
            self.say(_("Type place and one of {listed}.").format(listed=", ".join(PLACES)))
            return
        await self.take(self.walk.set_place(known[name]))

    async def conclusion(self, _rest: str) -> None:
        """Print what was found, and how the job can be closed."""
        from tui.concluded import findings_text

        self.say(findings_text(self.walk).plain)
        if self.walk.now.closed is None:
            self.say(_("Close as: type close, a number, and a few words if there is something to say."))
            self.say(f"{no}: {END_NAMES[end]}" for no, end in enumerate(plain_lines.ends(self.walk), start=1))

    async def close(self, rest: str) -> None:
        """Close the job as one of the numbered ends of the conclusion."""
        number, _other, text = rest.partition(" ")
        ends = plain_lines.ends(self.walk)
        if not number.isdecimal() or not 1 <= int(number) <= len(ends):
            self.say(
                _("Not taken: type close and a number from 1 to {n}; `conclusion` lists them.").format(n=len(ends))
            )
            return
        end = ends[int(number) - 1]
        new = self.walk.close(end, text)
        if self.sure(_("Closes the job as: {end}.").format(end=END_NAMES[end])):
            await self.take(new)
        else:
            self.say(_("Left open."))
