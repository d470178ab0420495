"""What plain mode does beside the question: notes, customer, suspects, place, trail, changing an earlier answer."""

from __future__ import annotations

from trees.book.words import PLACES, PLACES_SHORT
from trees.language import _
from trees.walk import Question, Walk
from tui import plain_lines
from tui.plain_talk import Talk
from tui.plain_words import is_word, numbers_of, spoken_words
from tui.workshop import OpenJob


class Beside:
    """An open job and who talks about it; each method takes the rest of the line that was typed."""

    def __init__(self, talk: Talk, job: OpenJob) -> None:
        self.talk, self.job = talk, job
        self.say, self.ask, self.sure = talk.say, talk.ask, talk.sure
        self.changing: str | None = None
        """Visit of the earlier answer that is being changed."""
        self.patient = False
        """A caller could not tell and is helped before that is taken."""
        self.intake: tuple[str, ...] = ()
        """Facts that are still to be asked, one after the other."""

    @property
    def walk(self) -> Walk:
        """The walk of the open job, as it is on disk."""
        return self.job.walk

    @property
    def question(self) -> Question:
        """What is asked: the next step, or the earlier one that is being changed."""
        return self.walk.question if self.changing is None else self.walk.question_at(self.changing)

    def show(self) -> None:
        """Print what is asked."""
        self.say("")
        if self.changing is not None:
            self.say(_("Changing an earlier answer; back leaves it as it was."))
        self.say(plain_lines.question_lines(self.walk, self.question))

    async def take(self, new: Walk) -> None:
        """Keep what was said; only then the next question is asked."""
        await self.keep(new)
        if self.intake and self.walk.now.aside is None:
            fact, self.intake = self.intake[0], self.intake[1:]
            await self.job.keep(self.walk.leave_for(fact))
        self.show()

    async def keep(self, new: Walk) -> None:
        """Keep what was said, and say what was taken."""
        before = self.walk
        if await self.job.new_day():
            self.say(_("A new day: the safety questions come first again."))
        else:
            await self.job.keep(new)
            last = next((item for item in reversed(self.walk.trail) if item.no > len(before.entries)), None)
            if last is not None and last.given is not None:
                self.say(_("Taken: {answered}").format(answered=last.answered))
        self.changing, self.patient = None, False

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

    async def back(self, number: str) -> None:
        """Take the last answer back; back and a number takes back that line of the trail."""
        if self.changing is not None and not number:
            self.changing = None
            self.show()
            return
        picked = numbers_of(number, len(self.walk.trail))
        if number and not picked:
            self.say(_("Not taken: {typed!r} is no number of the trail.").format(typed=number))
            return
        await self.take(self.walk.take_back(self.walk.trail[picked[0] - 1].no) if picked else self.walk.back())

    async def change(self, number: str) -> None:
        """Ask the question of an earlier answer again, by its number in the trail."""
        trail = self.walk.trail
        picked = numbers_of(number, len(trail))
        if not picked:
            self.say(_("Type change and a number of the trail."))
            return
        visit = trail[picked[0] - 1].visit
        if not visit:
            self.say(_("Not taken: that line of the trail is no answer."))
            return
        self.walk.question_at(visit)
        self.changing = visit
        self.show()

    async def aside(self, rest: str) -> None:
        """List the checks that can be made here; words choose among them, a number makes one, and the tree waits."""
        now = self.walk.now
        checks = [c for c in self.walk.book.checks.values() if now.place in c.place and c.form != "figure"]
        checks = [c for c in checks if now.unit.fits(c.applies)]
        picked = numbers_of(rest, len(checks))
        if picked:
            await self.take(self.walk.leave_for(checks[picked[0] - 1].id))
            return
        words = rest.lower().split()
        self.say(
            f"{n}: {check.wording}"
            for n, check in enumerate(checks, start=1)
            if all(word in check.wording.lower() for word in words)
        )
        self.say(_("Type check and a number to make it; check and words lists those that fit."))

    async def overview(self, _rest: str) -> None:
        """Print where the job stands: place, minutes, class of unit, complaint, customer."""
        from tui.screens.job_advice import left_words

        now = self.walk.now
        left = left_words(self.walk)
        self.say(
            _("Job {number}, {place}, {minutes:g} min{left}.").format(
                number=self.job.record.number, place=PLACES_SHORT[now.place], minutes=now.minutes, left=left
            )
        )
        self.say(_("Complaint: {words}").format(words=now.words))
        family = now.unit.family
        self.say(_("Class of unit: {name}").format(name=family.name if family else _("not known")))
        await self.customer("")

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
        field = next((WORDS[known] for known in WORDS if is_word(word, known)), "")
        if field and text.strip():
            await self.job.keep_customer({**self.job.customer, field: text.strip()})
        elif rest:
            spoken = spoken_words()
            self.say(
                _("Type customer, one of {listed}, and a text.").format(listed=", ".join(spoken[w] for w in WORDS))
            )
        self.say(_("Customer: {told}").format(told=customer_line(self.job.customer) or _("not written down")))

    async def trail(self, _rest: str) -> None:
        """Print what was answered so far, also what no longer counts."""
        self.say(f"{n}: {plain_lines.trail_line(item)}" for n, item in enumerate(self.walk.trail, start=1))
        self.say(_("Type change and a number to answer anew, back and a number to take that answer back."))

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
        if is_word(rest, "yes", "y") and check is not None:
            await self.take(self.walk.leave_for(check))
            return
        self.say(advice_lines(self.walk, advice))
        if check is not None:
            self.say(_("Type next yes to make it."))

    async def to_tree(self, _rest: str) -> None:
        """Go back to the tree without making the check."""
        self.intake = ()
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
        place = plain_lines.place_of(name)
        if place is None:
            self.say(_("Type place and one of {listed}.").format(listed=", ".join(PLACES_SHORT[p] for p in PLACES)))
            return
        await self.take(self.walk.set_place(place))
