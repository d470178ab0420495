"""The program on the screen: theme, too-small notice, and the day list as the first screen."""

from __future__ import annotations

from typing import ClassVar

from textual.app import App
from textual.binding import Binding
from textual.events import Resize
from textual.theme import Theme

from tui.commands import SMALLEST
from tui.workshop import Workshop

QUAY = Theme(
    name="quay",
    primary="#7cc4c9",
    secondary="#a9c77f",
    accent="#f2b950",
    warning="#f2b950",
    error="#c2362b",
    success="#8fd18a",
    foreground="#e8e6e0",
    background="#14181b",
    surface="#1b2125",
    panel="#242c31",
    dark=True,
)


class SootlineApp(App[None]):
    """Sootline in a terminal."""

    CSS_PATH = "sootline.tcss"
    TITLE = "Sootline"
    ENABLE_COMMAND_PALETTE = False
    HORIZONTAL_BREAKPOINTS = [  # noqa: RUF012 - declared as an instance variable by App
        (0, "-narrow"),
        (80, "-normal"),
        (110, "-wide"),
    ]
    VERTICAL_BREAKPOINTS = [  # noqa: RUF012 - as above
        (0, "-low"),
        (32, "-tall"),
    ]

    BINDINGS: ClassVar[list[Binding]] = [  # type: ignore[assignment]
        # With priority: the card opens over everything, also over a small card that has the keys.
        Binding("f2", "emergency", "Emergency", priority=True, key_display="F2")
    ]

    def __init__(self, workshop: Workshop) -> None:
        super().__init__()
        self.workshop = workshop

    def on_mount(self) -> None:
        """Show the day list."""
        from tui.screens.day_list import DayList

        self.register_theme(QUAY)
        self.theme = "quay"
        self.push_screen(DayList())

    async def action_emergency(self) -> None:
        """Open the emergency card, or close it; what a job writes down of it comes afterwards."""
        from tui.screens.emergency import EmergencyCard
        from tui.screens.job import JobScreen

        if isinstance(self.screen, EmergencyCard):
            self.pop_screen()
            return
        await self.push_screen(EmergencyCard(self.workshop.book))
        job = next((screen for screen in reversed(self.screen_stack) if isinstance(screen, JobScreen)), None)
        if job is not None:
            await job.note_emergency()

    def on_resize(self, event: Resize) -> None:
        """Cover a window that is too small with one sentence; the screen below keeps its state and its focus."""
        from tui.screens.too_small import TooSmall

        small = event.size.width < SMALLEST[0] or event.size.height < SMALLEST[1]
        if small and not isinstance(self.screen, TooSmall):
            self.push_screen(TooSmall())
        elif not small and isinstance(self.screen, TooSmall):
            self.pop_screen()
