"""Answering on the job screen: digits, Enter, Space, fields. An answer is on disk before the screen moves on."""

from __future__ import annotations

from collections.abc import Callable

from textual.widgets import Input

from trees.errors import SootlineError, TakenElsewhereError
from trees.language import _
from trees.walk import Question, Walk
from trees.walk.judge import Verdict
from tui.draw import PAGE, pages_of
from tui.instruments import taken_with
from tui.panels.phone import needs_patience
from tui.panels.question import QuestionPanel, ReadingField
from tui.screens.job_advice import JobAdvice
from tui.workshop import OpenJob


class JobAnswers(JobAdvice):
    """The part of the job screen that takes answers."""

    def __init__(self, job: OpenJob) -> None:
        super().__init__()
        self.job = job
        self.changing: str | None = None
        """Visit of the earlier answer that is being changed."""
        self.chosen: int | None = None
        self.ticked: frozenset[str] = frozenset()
        self.page = 0
        self.second: tuple[str, Callable[[], Walk]] | None = None
        """What Space confirms, and why it asks."""
        self.patient = False
        """A caller could not tell and is helped before that is taken."""
        self.unsure = False
        """What is marked was marked because nobody could tell."""
        self.busy = False
        self.proposal: str | None = None
        """The check that one key makes while the tree waits."""

    @property
    def question(self) -> Question:
        """What is asked: the next step, or the earlier one that is being changed."""
        return self.walk.question if self.changing is None else self.walk.question_at(self.changing)

    def action_conclude(self) -> None:
        """See what was found."""
        raise NotImplementedError

    def holds_something(self) -> bool:
        """Tell whether something was chosen and not taken."""
        return self.patient or self.chosen is not None or self.changing is not None or self.second is not None

    async def take(self, make: Callable[[], Walk]) -> None:
        """Make a new walk and keep it; whatever is refused is told in one sentence."""
        if self.busy:
            return
        self.busy = True
        try:
            if await self.job.new_day():
                self.tell(_("A new day: the safety questions come first again."))
            else:
                await self.keep_and_look_ahead(make())
        except TakenElsewhereError as error:
            self.tell(str(error), wrong=True)
        except SootlineError as error:
            self.tell(str(error), wrong=True)
            return
        finally:
            self.busy = False
        self.forget()
        if self.intake and self.walk.now.aside is None:
            await self.next_fact()
            return
        self.show_walk()

    def forget(self) -> None:
        """Let go of what was chosen and not taken."""
        self.changing, self.chosen, self.second, self.ticked, self.page = None, None, None, frozenset(), 0
        self.patient = self.unsure = False

    def ask_second(self, why: str, make: Callable[[], Walk]) -> None:
        """Ask for Space, a second and different key, before something is taken that one slip should not do."""
        self.second = (why, make)
        self.show_walk()

    async def action_page(self) -> None:
        """Confirm what asks for Space, or turn to the next page of answers."""
        if self.second is not None:
            await self.take(self.second[1])
            return
        self.page = (self.page + 1) % pages_of(self.question)
        self.show_walk()

    async def action_answer(self, digit: int) -> None:
        """Choose an answer by its digit."""
        question = self.question
        index = self.page * PAGE + digit - 1
        self.second, self.patient, self.unsure = None, False, False
        if question.kind not in {"gate", "check", "work", "rated"} or index >= len(question.options):
            return
        option = question.options[index]
        if not question.takes(option):
            return
        if question.form == "tick":
            self.toggle(option.id, question)
            return
        careful = question.kind == "gate" or option.stops or self.costs_a_start(question)
        if careful and self.chosen != index:
            self.chosen = index
            self.show_walk()
            return
        if careful:  # a stop takes a second, different key: the digit again is not it
            return
        await self.take(lambda: self.walk.answer(option.id, self.changing))

    @staticmethod
    def costs_a_start(question: Question) -> bool:
        """Tell whether answering means that a start was made."""
        return question.check is not None and (question.check.uses_start or question.check.while_running)

    def toggle(self, item_id: str, question: Question) -> None:
        """Tick or untick; an item that stands alone takes the others off."""
        alone = {item.id for item in question.check.items if item.alone} if question.check else set()
        if item_id in self.ticked:
            self.ticked -= {item_id}
        elif item_id in alone:
            self.ticked = frozenset({item_id})
        else:
            self.ticked = (self.ticked - alone) | {item_id}
        self.show_walk()

    async def action_cannot_tell(self) -> None:
        """
        Answer: cannot tell.

        At the gate it takes the most dangerous way, so it waits for Enter; a caller is first helped to tell after all.
        """
        question = self.question
        if question.gate is not None:
            index = next(i for i, o in enumerate(question.options) if o.id == question.gate.unknown)
            self.chosen, self.unsure = index, True
            self.show_walk()
            return
        if needs_patience(self.walk, question) and not self.patient:
            self.patient, self.chosen, self.second = True, None, None  # Enter takes cannot-tell now, nothing else
            self.show_walk()
            return
        if question.kind in {"check", "work", "rated"}:
            await self.take(lambda: self.walk.cannot_tell(self.changing))

    def can_confirm(self) -> bool:
        """Tell whether Enter has anything to take, or leads on from where nothing is asked any more."""
        question = self.question
        if self.second is not None:  # Space, a different key, is what it waits for
            return False
        if self.patient or self.chosen is not None or question.kind in {"end", "stop", "closed", "nothing"}:
            return True
        if question.unread:
            return False
        if question.known is not None and self.changing is None:
            return True
        if question.form == "figure":
            return question.value is not None
        return (question.form == "tick" and not question.blocked) or bool(QuestionPanel.labels(question))

    async def action_confirm(self) -> None:
        """Take what is chosen, typed, ticked, worked out or known."""
        question = self.question
        panel = self.query_one(QuestionPanel)
        if self.patient:
            await self.action_cannot_tell()
        elif self.chosen is not None and self.chosen < len(question.options):
            answer = question.options[self.chosen].id
            await self.take(lambda: self.walk.answer(answer, self.changing))
        elif question.form == "reading" and panel.typed().strip():
            await self.take_reading(panel.typed(), panel.verdict())
        elif question.form == "readings" and any(t.strip() for t in panel.typed_by_name().values()):
            await self.take(lambda: self.measured(self.walk.readings(panel.typed_by_name(), self.changing)))
        elif question.known is not None and self.changing is None and not self.ticked:
            await self.take(self.walk.take_over)
        elif question.form == "tick":
            await self.take_list()
        elif question.form == "figure" and question.value is not None:
            await self.take(lambda: self.walk.take_figure(self.changing))
        elif question.kind in {"end", "stop", "closed", "nothing"}:
            self.action_conclude()
        elif QuestionPanel.labels(question):
            self.tell(_("Nothing is typed yet. Cannot tell is 0, after Esc."))

    async def take_reading(self, typed: str, verdict: Verdict | None) -> None:
        """Take a reading; one that is implausible or stops the job asks for a second key."""

        def make() -> Walk:
            return self.measured(self.walk.reading(typed, changing, sure=True))

        changing = self.changing
        if verdict is not None and verdict.implausible:
            self.ask_second(_("That is outside what is plausible here."), make)
        elif verdict is not None and verdict.answer is not None and verdict.answer.id in self.question.stopping:
            self.ask_second(_("▲ {means}: this stops the job.").format(means=verdict.answer.means), make)
        else:
            await self.take(make)

    def measured(self, walk: Walk) -> Walk:
        """Return a walk whose new reading also says what it was taken with."""
        instrument = self.instrument()
        return walk if instrument is None else taken_with(walk, instrument)

    async def take_list(self) -> None:
        """Confirm a list; that nothing of it is true says something, so it asks for a second key."""
        ticked, changing = self.ticked, self.changing
        if ticked:
            await self.take(lambda: self.walk.tick(ticked, changing))
        else:
            self.ask_second(_("Nothing is ticked."), lambda: self.walk.tick((), changing))

    async def on_input_submitted(self, event: Input.Submitted) -> None:
        """Go to the next field of a set, or take what is typed."""
        panel = self.query_one(QuestionPanel)
        fields = len(panel.labels(self.question))
        index = int((event.input.id or "q-field-0").rpartition("-")[2])
        if index + 1 < fields:
            self.set_focus(panel.field(index + 1))
        else:
            await self.action_confirm()

    def on_reading_field_left(self, _event: ReadingField.Left) -> None:
        """Give the keys back to the screen, until Tab or another question."""
        panel = self.query_one(QuestionPanel)
        panel.left = True
        self.set_focus(panel)
        self.show_walk()

    def on_question_panel_field_entered(self, _event: QuestionPanel.FieldEntered) -> None:
        """Tell anew what the keys do."""
        self.show_walk()

    async def action_read_caution(self) -> None:
        """Record that the DANGER cautions of this step were read."""
        question = self.question
        if not question.unread:
            return

        def read_all() -> Walk:
            walk = self.walk
            for caution in question.unread:
                walk = walk.acknowledge(caution.id)
            return walk

        await self.take(read_all)

    async def action_proposed(self) -> None:
        """Make the proposed check; the tree waits."""
        check = self.proposal
        if check is None:
            self.tell(_("No other check is proposed now."))
            return
        await self.take(lambda: self.walk.leave_for(check))
