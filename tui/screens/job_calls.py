"""Calls on the job screen: hold this one and go to another, and keep when to call back."""

from __future__ import annotations

from datetime import datetime
from typing import ClassVar

from textual import work
from textual.app import ComposeResult
from textual.binding import Binding
from textual.containers import Vertical
from textual.content import Content
from textual.screen import ModalScreen
from textual.widgets import OptionList, Static
from textual.widgets.option_list import Option

from trees.errors import SootlineError
from trees.language import _
from trees.walk import beside
from tui.calls import CallBoard
from tui.draw import MUTED, PAGE, plain
from tui.due import due_of, shown_due
from tui.literal import one_line
from tui.screens.choose import ChooseCard, WriteCard
from tui.screens.job_facts import JobFacts
from tui.screens.job_timers import keep_ticking

NEW = "new"
"""What the card gives for a new call."""
MOST = 120
"""Letters of what a call-back is about that stand over its card."""


class CallsCard(ModalScreen[str | None]):
    """Who is held, the longest waiting first; gives a job's number, NEW, or None to stay with this caller."""

    BINDINGS: ClassVar[list[Binding]] = [  # type: ignore[assignment]
        Binding("escape,h", "stay", "Stay", key_display="Esc"),
        Binding("n", "new_call", "New call"),
        *(Binding(str(n), f"number({n})", f"{n}", show=False) for n in range(1, PAGE + 1)),
    ]
    AUTO_FOCUS = "#calls"

    def __init__(self, board: CallBoard, job: str) -> None:
        super().__init__()
        self.board = board
        self.others = [call for call in board.held if call.job != job]

    def compose(self) -> ComposeResult:
        """Lay out the held calls and the new one."""
        rows = [
            Option(
                Content.assemble(
                    (f" {n} " if n <= PAGE else "   ", "bold reverse"),
                    (_(" {job}  waits {waited}  ").format(job=plain(call.job), waited=self.board.waited(call)), "bold"),
                    (_("▲ STOP  "), "bold $danger") if call.stopped else "",
                    one_line(call.words),
                ),
                id=call.job,
            )
            for n, call in enumerate(self.others, start=1)
        ]
        rows.append(Option(Content.assemble((" n ", "bold reverse"), _("  A new call")), id=NEW))
        with Vertical(id="card"):
            yield Static(Content.styled(_("Hold this call and speak with"), "bold"))
            yield OptionList(*rows, id="calls", markup=False)
            yield Static(Content.styled(_("Enter takes the marked one, Esc stays with this caller."), MUTED))

    def on_option_list_option_selected(self, event: OptionList.OptionSelected) -> None:
        """Go to the marked call."""
        self.dismiss(event.option_id)

    def action_number(self, n: int) -> None:
        """Go to a call by its digit."""
        if n <= len(self.others):
            self.dismiss(self.others[n - 1].job)

    def action_new_call(self) -> None:
        """Take a new call."""
        self.dismiss(NEW)

    def action_stay(self) -> None:
        """Stay with this caller."""
        self.dismiss(None)


class JobCalls(JobFacts):
    """The part of the job screen that holds calls and keeps call-backs."""

    @work
    async def action_hold(self) -> None:
        """Hold this call and go to another, or to a new one; every answer is on disk already."""
        from tui.screens.job import JobScreen
        from tui.screens.new_job import NewJob

        workshop, number = self.sootline.workshop, self.job.record.number
        chosen = await self.app.push_screen_wait(CallsCard(workshop.calls, number))
        if chosen is None:
            return
        workshop.calls.hold(number, self.walk.now.words, stopped=self.walk.now.stopped is not None)
        self.app.clear_notifications()  # they belong to this caller
        keep_ticking(self.app, workshop)
        if chosen == NEW:
            self.app.switch_screen(NewJob("phone"))
            return
        try:
            job = await workshop.open_job(chosen)
        except SootlineError as error:
            workshop.calls.let_go(number)
            self.tell(str(error), wrong=True)
            return
        self.app.switch_screen(JobScreen(job))

    @work
    async def action_call_back(self) -> None:
        """Keep when the customer is to be called back, or how the call-back went."""
        waiting = self.walk.now.beside.waiting
        if waiting is not None and waiting.for_what == "call_back":
            rows = [("reached", _("Reached")), ("later", _("Not reached: again at another time"))]
            told = _("Call-back {due}").format(due=shown_due(waiting.due)).strip()
            about = f": {one_line(waiting.text)[:MOST]}" if waiting.text else ""
            how = await self.app.push_screen_wait(ChooseCard(told + about, rows))
            if how is None:
                return
            if how == "reached":
                await self.take(lambda: beside.call_back(self.walk, reached=True))
                return
        else:
            how = "first"
        typed = await self.app.push_screen_wait(
            WriteCard(_("Call back when, and about what?  16:30, 20 min, tomorrow 9:00, 2026-03-02 …"))
        )
        if typed is None:
            return
        due, text = due_of(typed, datetime.now().astimezone())
        before = self.walk
        if how == "later":
            await self.take(lambda: beside.call_back(self.walk, reached=False, due=due, text=text))
        else:
            await self.take(lambda: beside.wait(self.walk, "call_back", due, text))
        if self.walk is not before:
            self.tell(_("Call-back {due} is kept in the job.").format(due=shown_due(due) or _("without a time")))
