"""The job: question, trail, suspects. Every answer is on disk before the screen moves on."""

from __future__ import annotations

import asyncio
from collections.abc import Callable
from typing import ClassVar

from textual import work
from textual.app import ComposeResult
from textual.binding import Binding
from textual.containers import Horizontal, Vertical
from textual.content import Content
from textual.widgets import Footer, Input, Static

from trees.errors import SootlineError, SuspectsError, TakenElsewhereError, WalkError
from trees.walk import Question, Walk
from trees.walk.judge import Verdict
from trees.walk.question import PLACE_NAMES
from trees.walk.reasons import advice_of
from tui.commands import JOB
from tui.draw import MUTED, PAGE, pages_of, plain
from tui.panels.hints import hint_for
from tui.panels.proposal import ProposalPanel, proposed
from tui.panels.question import QuestionPanel, ReadingField
from tui.panels.side import TrailPanel
from tui.panels.suspects import SuspectsPanel
from tui.screens.base import all_bindings
from tui.screens.job_facts import JobFacts
from tui.workshop import OpenJob


class JobScreen(JobFacts):
    """One open job."""

    KEYS = JOB
    TITLE_LINE = "job"
    BINDINGS: ClassVar[list[Binding]] = all_bindings(JOB)  # type: ignore[assignment]
    AUTO_FOCUS = "#question"

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
        self.busy = False
        self.proposal: str | None = None
        """The check that one key makes while the tree waits."""

    @property
    def question(self) -> Question:
        """What is asked: the next step, or the earlier one that is being changed."""
        return self.walk.question if self.changing is None else self.walk.question_at(self.changing)

    def compose(self) -> ComposeResult:
        """Lay out head, question, suspects, trail and footer."""
        yield Static(id="head")
        with Horizontal(id="body"):
            yield QuestionPanel(id="question")
            with Vertical(id="side"):
                yield SuspectsPanel(id="suspects")
                yield ProposalPanel(id="proposal", markup=False)
                yield TrailPanel(id="trail", markup=False)
        yield Footer(show_command_palette=False)

    def begin(self) -> None:
        """Show where the job stands."""
        self.show_walk()

    # ── showing ─────────────────────────────────────────────────────────────

    def show_walk(self) -> None:
        """Draw the walk; the only place that touches the child widgets."""
        question = self.question
        self.query_one("#head", Static).update(self.head_line())
        panel = self.query_one(QuestionPanel)
        panel.show(
            self.walk,
            question,
            chosen=self.chosen,
            ticked=self.ticked,
            page=self.page,
            hint=hint_for(self.walk, question, chosen=self.chosen, changing=self.changing, second=self.second),
        )
        self.query_one(TrailPanel).show(self.walk)
        self.set_class(question.kind == "stop", "stopped")
        if not isinstance(self.focused, TrailPanel):
            self.set_focus(panel.field(0) if panel.wants_typing() and self.second is None else panel)
        self.refresh_bindings()
        self.call_after_refresh(self.show_suspects)

    def head_line(self) -> Content:
        """Return the job in one line: number, place, unit, minutes, and as much of the complaint as fits."""
        now = self.walk.now
        family = now.unit.family.name if now.unit.family else "family not known (f)"
        return Content.assemble(
            (f" {self.job.record.number} ", "bold reverse"),
            (f" {PLACE_NAMES[now.place]}", "bold"),
            (f"  ·  {plain(family)}  ·  {now.minutes:g} min  ·  ", MUTED),
            plain(" ".join(now.words.split())),
        )

    def show_suspects(self) -> None:
        """Rank anew after the question is painted, if the screen is still there; the proposal follows."""
        for panel in self.query(SuspectsPanel):
            panel.show(self.walk)
            self.show_proposal()

    @work(exclusive=True, group="proposal")
    async def show_proposal(self) -> None:
        """Look for the next check off the event loop; an answer given meanwhile makes this one void."""
        walk, panel = self.walk, self.query_one(ProposalPanel)
        self.proposal = None
        panel.working()
        try:
            advice = await asyncio.to_thread(advice_of, walk)
        except SuspectsError:
            advice = None
        if walk is not self.walk or not self.is_attached:
            return
        if advice is None:
            panel.nothing()
            return
        self.proposal = proposed(advice)
        panel.show(walk.book, advice)

    # ── answers ─────────────────────────────────────────────────────────────

    async def take(self, make: Callable[[], Walk]) -> None:
        """Make a new walk and keep it; whatever is refused is told in one sentence."""
        if self.busy:
            return
        self.busy = True
        try:
            if await self.job.new_day():
                self.tell("A new day: the safety questions come first again.")
            else:
                await self.job.keep(make())
        except TakenElsewhereError as error:
            self.tell(str(error), wrong=True)
        except SootlineError as error:
            self.tell(str(error), wrong=True)
            return
        finally:
            self.busy = False
        self.forget()
        self.show_walk()

    def forget(self) -> None:
        """Let go of what was chosen and not taken."""
        self.changing, self.chosen, self.second, self.ticked, self.page = None, None, None, frozenset(), 0

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
        self.second = None
        if question.kind not in {"gate", "check", "work", "rated"} or index >= len(question.options):
            return
        option = question.options[index]
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
        """Answer: cannot tell. At the gate it takes the most dangerous way, so it waits for Enter."""
        question = self.question
        if question.gate is not None:
            index = next(i for i, o in enumerate(question.options) if o.id == question.gate.unknown)
            self.chosen = index
            self.tell("Cannot tell counts as the answer that is now marked; Enter takes it.")
            self.show_walk()
            return
        if question.kind in {"check", "work", "rated"}:
            await self.take(lambda: self.walk.cannot_tell(self.changing))

    async def action_confirm(self) -> None:
        """Take what is chosen, typed, ticked, worked out or known."""
        question = self.question
        panel = self.query_one(QuestionPanel)
        if self.chosen is not None and self.chosen < len(question.options):
            answer = question.options[self.chosen].id
            await self.take(lambda: self.walk.answer(answer, self.changing))
        elif question.form == "reading" and panel.typed().strip():
            await self.take_reading(panel.typed(), panel.verdict())
        elif question.form == "readings" and any(t.strip() for t in panel.typed_by_name().values()):
            await self.take(lambda: self.walk.readings(panel.typed_by_name(), self.changing))
        elif question.known is not None and self.changing is None and not self.ticked:
            await self.take(self.walk.take_over)
        elif question.form == "tick":
            await self.take_list()
        elif question.form == "figure" and question.value is not None:
            await self.take(lambda: self.walk.take_figure(self.changing))
        elif question.kind in {"end", "stop", "closed", "nothing"}:
            self.action_conclude()

    async def take_reading(self, typed: str, verdict: Verdict | None) -> None:
        """Take a reading; one that is implausible or stops the job asks for a second key."""

        def make() -> Walk:
            return self.walk.reading(typed, changing, sure=True)

        changing = self.changing
        if verdict is not None and verdict.implausible:
            self.ask_second("That is outside what is plausible here.", make)
        elif verdict is not None and verdict.answer is not None and verdict.answer.id in self.question.stopping:
            self.ask_second(f"▲ {verdict.answer.means}: this stops the job.", make)
        else:
            await self.take(make)

    async def take_list(self) -> None:
        """Confirm a list; that nothing of it is true says something, so it asks for a second key."""
        ticked, changing = self.ticked, self.changing
        if ticked:
            await self.take(lambda: self.walk.tick(ticked, changing))
        else:
            self.ask_second("Nothing is ticked.", lambda: self.walk.tick((), changing))

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
        """Give the keys back to the screen."""
        self.set_focus(self.query_one(QuestionPanel))

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
            self.tell("No check is proposed now.")
            return
        await self.take(lambda: self.walk.leave_for(check))

    # ── moving about ────────────────────────────────────────────────────────

    async def action_back(self) -> None:
        """Take the last answer back."""
        if self.holds_something():
            self.forget()
            self.show_walk()
            return
        await self.take(self.walk.back)

    def holds_something(self) -> bool:
        """Tell whether something was chosen and not taken."""
        return self.chosen is not None or self.changing is not None or self.second is not None

    async def action_skip(self) -> None:
        """Pass the step over."""
        await self.take(self.walk.skip)

    def action_walk_trail(self) -> None:
        """Go to the trail."""
        self.set_class(True, "trail-shown")
        self.set_focus(self.query_one(TrailPanel))

    def on_trail_panel_left(self, _event: TrailPanel.Left) -> None:
        """Come back to the question."""
        self.leave_trail()

    def leave_trail(self) -> None:
        """Give the keys back to the question."""
        self.set_class(False, "trail-shown")
        self.set_focus(self.query_one(QuestionPanel))
        self.show_walk()

    def on_trail_panel_change(self, event: TrailPanel.Change) -> None:
        """Show the question of an earlier answer."""
        try:
            self.walk.question_at(event.visit)
        except WalkError as error:
            self.tell(str(error), wrong=True)
            return
        self.forget()
        self.changing = event.visit
        self.leave_trail()

    async def on_trail_panel_take_back(self, event: TrailPanel.TakeBack) -> None:
        """Take the marked answer back."""
        await self.take(lambda: self.walk.take_back(event.no))

    def action_day_list(self) -> None:
        """Go back to the day list, or leave the change of an earlier answer."""
        if self.holds_something():
            self.forget()
            self.show_walk()
            return
        self.app.pop_screen()

    def action_conclude(self) -> None:
        """See what was found."""
        from tui.screens.conclusion import ConclusionScreen

        self.app.push_screen(ConclusionScreen(self.job), lambda _result: self.show_walk())

    def action_figures(self) -> None:
        """Work a figure out; its result can come back into the job."""
        from tui.screens.figures import FiguresScreen

        self.app.push_screen(FiguresScreen(self))

    def on_screen_resume(self) -> None:
        """Show the job anew when a screen above it went away."""
        if self.is_mounted:
            self.show_walk()

    async def note_emergency(self) -> None:
        """Record that the card was opened; the card stands already, whatever the casebook says."""
        try:
            await self.job.keep(self.walk.emergency_card())
        except SootlineError as error:
            self.tell(f"The card was opened; that could not be written down. {error}", wrong=True)

    def check_action(
        self,
        action: str,
        parameters: tuple[object, ...],  # noqa: ARG002 - Textual's signature
    ) -> bool | None:
        """Show in the footer only what works now."""
        if not self.is_mounted:
            return True
        question = self.question
        if action == "read_caution":
            return bool(question.unread)
        if action == "follow_up":
            return self.walk.now.stopped is not None
        if action == "return_to_tree":
            return self.walk.now.aside is not None
        if action in {"cannot_tell", "skip"}:
            return question.kind in {"gate", "check", "work", "rated"}
        if action == "back":
            return bool(self.walk.now.givens) and self.walk.now.stopped is None and self.walk.now.closed is None
        return True
