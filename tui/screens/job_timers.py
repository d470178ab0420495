"""Timers on the job screen: a card that starts and stops them, the line that counts, the bell."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar

from textual import work
from textual.app import App, ComposeResult
from textual.binding import Binding
from textual.containers import Vertical
from textual.content import Content
from textual.css.query import NoMatches
from textual.screen import ModalScreen
from textual.widgets import OptionList, Static
from textual.widgets.option_list import Option

from trees.language import _
from tui.draw import MUTED
from tui.screens.day_list import DayList
from tui.screens.job_facts import JobFacts
from tui.timers import KINDS, TimerBoard, clock_face, kept

if TYPE_CHECKING:
    from tui.workshop import Workshop

TICK_S = 1.0


class TimerCard(ModalScreen[tuple[str, str] | None]):
    """The kinds of timer by digit; gives (`start` | `stop` | `drop`, name), or None."""

    BINDINGS: ClassVar[list[Binding]] = [  # type: ignore[assignment]
        Binding("escape,y,f8", "leave", "Close", key_display="Esc"),
        Binding("x", "drop", "Drop"),
        *(Binding(str(n), f"number({n})", f"{n}", show=False) for n in range(1, len(KINDS) + 1)),
    ]
    AUTO_FOCUS = "#timer-kinds"

    def __init__(self, board: TimerBoard, job: str) -> None:
        super().__init__()
        self.board, self.job = board, job

    def compose(self) -> ComposeResult:
        """Lay out the kinds."""
        with Vertical(id="card"):
            yield Static(Content.styled(_("Timers"), "bold"))
            yield OptionList(*(Option(self.row(n, name), id=name) for n, name in enumerate(KINDS, 1)), id="timer-kinds")
            told = _("A digit or Enter starts one; once it runs, stops it and keeps the time. x drops it, Esc closes.")
            yield Static(Content.styled(told, MUTED))

    def row(self, n: int, name: str) -> Content:
        """Return one kind: its digit, its name, what it counts now or what it is for."""
        running = {timer.kind.name: timer for timer in self.board.of(self.job)}
        kind = KINDS[name]
        if name in running:
            return Content.assemble((f" {n} ", "bold reverse"), (f" ■ {self.board.told(running[name])}", "bold"))
        return Content.assemble((f" {n} ", "bold reverse"), f"   {_(kind.label)}  ", (_(kind.what_for), MUTED))

    def choose(self, name: str) -> None:
        """Start a timer, or stop the one that runs."""
        runs = any(timer.kind.name == name for timer in self.board.of(self.job))
        self.dismiss(("stop" if runs else "start", name))

    def action_number(self, n: int) -> None:
        """Choose by digit."""
        self.choose(list(KINDS)[n - 1])

    def on_option_list_option_selected(self, event: OptionList.OptionSelected) -> None:
        """Choose the marked one."""
        self.choose(event.option_id or "")

    def action_drop(self) -> None:
        """End the marked timer without keeping it."""
        rows = self.query_one(OptionList)
        if rows.highlighted is not None:
            self.dismiss(("drop", rows.get_option_at_index(rows.highlighted).id or ""))

    def action_leave(self) -> None:
        """Change nothing."""
        self.dismiss(None)


class JobTimers(JobFacts):
    """The part of the job screen that counts."""

    @property
    def board(self) -> TimerBoard:
        """The timers of this seat."""
        return self.sootline.workshop.timers

    @work
    async def action_timers(self) -> None:
        """Start or stop a timer; what a stopped one counted is kept in the job."""
        number = self.job.record.number
        chosen = await self.app.push_screen_wait(TimerCard(self.board, number))
        if chosen is None:
            return
        what, name = chosen
        if what == "start":
            self.board.start(number, name)
            keep_ticking(self.app, self.sootline.workshop)
        elif what == "drop":
            self.board.drop(number, name)
        else:
            await self.stop(name)
        self.show_timers()

    async def stop(self, name: str) -> None:
        """Stop a timer and keep its seconds; it runs on if they can't be kept."""
        number = self.job.record.number
        timer = next((t for t in self.board.of(number) if t.kind.name == name), None)
        if timer is None:
            return
        seconds, before = self.board.seconds(timer), len(self.walk.entries)
        await self.take(lambda: kept(self.walk, timer.kind, seconds))
        if len(self.walk.entries) > before:
            self.board.drop(number, name)

    def show_timers(self) -> None:
        """Show the running timers and the held calls in their line; without any there is no line."""
        try:
            line = self.query_one("#timers", Static)
        except NoMatches:  # the screen is going away
            return
        timers = self.board.of(self.job.record.number)
        held = self.sootline.workshop.calls.line()
        line.display = bool(timers or held)
        told = [(f" {self.board.told(t)} ", "bold reverse" if self.board.done(t) else "bold") for t in timers]
        parts = [(" ◷ ", MUTED), *told, (_("  y stops  "), MUTED)] if timers else []
        parts += [(_(" ☏ held: "), "bold"), (held, "bold $warning"), ("  h", MUTED)] if held else []
        line.update(Content.assemble(*parts))


def keep_ticking(app: App[None], workshop: Workshop) -> None:
    """Tick once a second from the first timer on, whatever screen is shown."""
    if not workshop.ticking:
        workshop.ticking = True
        app.set_interval(TICK_S, lambda: tick(app, workshop))


def tick(app: App[None], workshop: Workshop) -> None:
    """Ring for what is due, on any screen, and let the job on the screen count on."""
    for job, timer in workshop.timers.to_ring():
        app.bell()
        told = _("{counted} at job {job}").format(counted=clock_face(timer.kind.rings_s or 0.0), job=job)
        app.notify(
            told,
            title=_("◷ {label}: done").format(label=_(timer.kind.label)),
            severity="warning",
            timeout=30,
            markup=False,
        )
    for screen in app.screen_stack:
        if isinstance(screen, JobTimers):
            screen.show_timers()
        elif screen is app.screen and isinstance(screen, DayList):
            screen.show_going_on()
