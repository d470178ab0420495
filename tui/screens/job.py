"""The job: question, trail, suspects. Every answer is on disk before the screen moves on."""

from __future__ import annotations

import asyncio
from typing import ClassVar

from textual import work
from textual.app import ComposeResult
from textual.binding import Binding
from textual.containers import Horizontal, Vertical
from textual.content import Content
from textual.reactive import Reactive
from textual.widget import Widget
from textual.widgets import Static

from trees.errors import SootlineError, WalkError
from trees.language import N_, _
from trees.walk import Walk
from trees.walk.answers import Given
from trees.walk.question import PLACE_NAMES
from tui.commands import JOB
from tui.draw import MUTED, PAGE, pages_of, plain
from tui.panels.hints import hint_for
from tui.panels.key_line import KeyLine
from tui.panels.proposal import ProposalPanel, proposed
from tui.panels.question import QuestionPanel, ReadingField
from tui.panels.quick_text import QuickText
from tui.panels.side import TrailPanel
from tui.panels.suspects import SuspectsPanel
from tui.screens.base import all_bindings
from tui.screens.job_advice import Ahead
from tui.screens.job_answers import JobAnswers
from tui.screens.job_calls import JobCalls
from tui.screens.job_presence import JobPresence
from tui.screens.job_timers import JobTimers

ANSWERED = frozenset({"gate", "check", "work", "rated"})
"""Kinds of question that take an answer."""
SOON_S = 0.1
"""A proposal that is there by then is shown without saying first that it is worked on."""


class JobScreen(JobAnswers, JobCalls, JobTimers, JobPresence):
    """One open job."""

    KEYS = JOB
    TITLE_LINE = N_("job")
    BINDINGS: ClassVar[list[Binding]] = all_bindings(JOB)  # type: ignore[assignment]
    AUTO_FOCUS = "#question"
    focused: Reactive[Widget | None] = Reactive(None, repaint=False)
    """What has the keys. It and what had them look different then, not the whole screen, which the library repaints."""
    left = ""
    """Minutes left, in words, as they were worked out last."""

    def compose(self) -> ComposeResult:
        """Lay out head, question, suspects, trail and footer."""
        yield QuickText(id="head")
        yield QuickText(id="customer")
        yield QuickText(id="others")
        yield QuickText(id="timers")
        with Horizontal(id="body"):
            yield QuestionPanel(id="question")
            with Vertical(id="side"):
                yield SuspectsPanel(id="suspects")
                yield ProposalPanel(id="proposal", markup=False)
                yield TrailPanel(id="trail", markup=False)
        yield KeyLine()

    def begin(self) -> None:
        """Show where the job stands, and who else has it open."""
        self.sootline.workshop.calls.let_go(self.job.record.number)
        self.show_customer()
        self.show_walk()
        self.begin_looking()

    # ── showing ─────────────────────────────────────────────────────────────

    def show_walk(self) -> None:
        """Draw the walk; the only place that touches the child widgets."""
        question = self.question
        ahead = self.look_ahead(self.walk)  # while the question is painted, if it is not known yet
        self.left = ahead.result().left if ahead.done() else self.left
        self.query_one("#head", Static).update(self.head_line(), layout=False)
        self.show_timers()
        # First, to be painted with the question: the screen is painted as soon as one panel has another layout.
        if ahead.done() or self.query_one(SuspectsPanel).size:
            self.show_suspects()
        else:  # the screen is new, and nobody knows what fits
            self.call_after_refresh(self.show_suspects)
        panel = self.query_one(QuestionPanel)
        same = panel.shows(question)
        panel.instrument = self.instrument()
        panel.whom_to_call = self.sootline.settings.emergency_line()
        panel.show(
            self.walk,
            question,
            chosen=self.chosen,
            ticked=self.ticked,
            page=self.page,
            patient=self.patient,
            hint=hint_for(
                self.walk,
                question,
                chosen=self.chosen,
                changing=self.changing,
                second=self.second,
                facts_left=len(self.intake),
                patient=self.patient,
                unsure=self.unsure,
                field=panel.types_into(question),
            ),
            second=self.second is not None,
        )
        self.query_one(TrailPanel).show(self.walk)
        self.set_class(question.kind == "stop", "stopped")
        self.set_class(self.walk.now.place == "phone", "by-phone")
        if not isinstance(self.focused, TrailPanel):
            typing = panel.wants_typing() and self.second is None
            if not (typing and same and isinstance(self.focused, ReadingField)):  # in a set another row may have them
                self.set_focus(panel.field(0) if typing else panel, scroll_visible=False)  # the panel scrolls itself
        self.refresh_bindings()
        self.ask_instruments_once()
        self.sootline.rest_soon()

    def head_line(self) -> Content:
        """Return the job in one line: number, place, minutes, complaint, and the unit where it fits."""
        now = self.walk.now
        family = now.unit.family.name if now.unit.family else _("family not known (f)")
        return Content.assemble(
            (f" {self.job.record.number} ", "bold reverse"),
            (f" {PLACE_NAMES[now.place]}", "bold"),
            (f"  ·  {minutes_line(self.walk, self.left)}  ·  ", MUTED),
            plain(" ".join(now.words.split())),
            (f"  ·  {plain(family)}", MUTED),
        )

    def show_suspects(self) -> None:
        """Rank anew, if the screen is still there; what takes longer to work out follows."""
        for panel in self.query(SuspectsPanel):
            panel.show(self.walk)
            ahead = self.look_ahead(self.walk)
            if ahead.done():
                self.show_ahead(ahead.result())
            else:
                self.follow()

    @work(exclusive=True, group="proposal")
    async def follow(self) -> None:
        """Wait for what the walk comes to, and show it; an answer given meanwhile makes this one void."""
        walk, self.proposal = self.walk, None
        ahead = self.look_ahead(walk)
        await asyncio.wait({ahead}, timeout=SOON_S)
        if not ahead.done():  # else it would only flicker
            self.query_one(ProposalPanel).working()
        known = await asyncio.shield(ahead)
        if walk is self.walk and self.is_attached:
            self.show_ahead(known)

    def show_ahead(self, known: Ahead) -> None:
        """Show the minutes left and the next check."""
        self.left = known.left
        self.query_one("#head", Static).update(self.head_line(), layout=False)
        self.proposal, advice = None, known.advice
        walk, panel = self.walk, self.query_one(ProposalPanel)
        if advice is None or walk.question.end == "released":  # behind its readings nothing is left to look for
            panel.nothing()
            return
        check, question = proposed(advice), walk.question
        asked = check is not None and question.check is not None and question.check.id == check
        self.proposal = None if asked else check
        panel.show(walk.book, advice, asked=asked)

    # ── moving about ────────────────────────────────────────────────────────

    async def action_back(self) -> None:
        """Take the last answer back."""
        if self.holds_something():
            self.forget()
            self.show_walk()
            return
        await self.take(self.walk.back)

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
        self.change(event.visit)

    def on_trail_panel_no_answer(self, _event: TrailPanel.NoAnswer) -> None:
        """Say why Enter changes nothing at this line."""
        self.tell(_("This line is no answer; Enter changes answers."))

    def change(self, visit: str) -> None:
        """Show the question of an earlier answer, to change it."""
        try:
            self.walk.question_at(visit)
        except WalkError as error:
            self.tell(str(error), wrong=True)
            return
        self.forget()
        self.changing = visit
        given = given_at(self.walk, visit)
        if given is not None and self.question.form == "tick":
            self.ticked = frozenset(item.id for item in given.chosen)
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

    @work
    async def action_map(self) -> None:
        """See the map with the trail in it; an answer chosen there is changed."""
        from tui.screens.job_map import MapCard

        visit = await self.app.push_screen_wait(MapCard(self.walk))
        if visit:
            self.change(visit)

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
            self.tell(_("The card was opened; that could not be written down. {error}").format(error=error), wrong=True)

    def label_now(self, command: str) -> str:
        """Return what Enter does where nothing is left to answer, and Space where it confirms."""
        if command == "page" and self.second is not None:
            return _("Confirm")
        if command != "confirm" or not self.is_mounted:
            return ""
        return {"end": _("Conclude"), "stop": _("Conclude"), "nothing": _("Conclude"), "closed": _("Read")}.get(
            self.question.kind, ""
        )

    def in_line(self, action: str, shown: bool) -> bool:
        """Give the keys of a call their place in the line; the trail stands beside the question, a note can wait."""
        if not self.is_mounted or self.walk.now.place != "phone":
            return shown
        return (shown or action in {"hold", "call_back"}) and action not in {"walk_trail", "note"}

    def why_not(self, key: str, character: str) -> str:
        """Return why a key does nothing: the caution comes first, or nothing was chosen yet."""
        if self.question.unread:
            return _("First the caution: read it, then press r.")
        if key == "enter" and self.question.kind in ANSWERED:
            return _("Choose an answer first; 0 is cannot tell.")
        return super().why_not(key, character)

    def check_action(
        self,
        action: str,
        parameters: tuple[object, ...],
    ) -> bool | None:
        """Offer in footer and palette only what works now."""
        if not self.is_mounted:
            return True
        question = self.question
        if action == "answer":
            index = self.page * PAGE + int(str(parameters[0])) - 1
            there = index < len(question.options) and question.takes(question.options[index])
            return question.kind in ANSWERED and not question.unread and there
        if action == "read_caution":
            return bool(question.unread)
        if action == "page":
            return self.second is not None or (pages_of(question) > 1 and not question.unread)
        if action == "confirm":
            return self.can_confirm()
        if action == "walk_trail":
            return not isinstance(self.focused, TrailPanel)
        if action == "follow_up":
            return self.walk.now.stopped is not None
        if action == "hold":
            return self.walk.now.place == "phone" or bool(self.sootline.workshop.calls.held)
        if action == "return_to_tree":
            return self.walk.now.aside is not None
        if action in {"cannot_tell", "skip"}:
            return question.kind in ANSWERED
        if action == "back":
            return self.holds_something() or can_go_back(self.walk)
        return True


def given_at(walk: Walk, visit: str | None) -> Given | None:
    """Return the answer that counts at a visit; None where there is none."""
    return next((given for given in walk.now.givens if given.visit == visit), None)


def can_go_back(walk: Walk) -> bool:
    """Tell whether the last answer can be taken back; while the gate is asked anew only one of this round."""
    now = walk.now
    if not now.givens or now.stopped is not None or now.closed is not None:
        return False
    return not now.gate_left or now.givens[-1].visit.startswith(f"gate{now.gate_round}:")


def minutes_line(walk: Walk, left: str) -> str:
    """Return the minutes so far, and from how few to how many are left."""
    return _("{minutes:g} min{left}").format(minutes=walk.now.minutes, left=left)
