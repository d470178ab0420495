"""The program on the screen: theme, too-small notice, and the day list as the first screen."""

from __future__ import annotations

from textual.app import App
from textual.theme import Theme

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
        (0, "-tiny"),
        (60, "-narrow"),
        (80, "-normal"),
        (110, "-wide"),
    ]
    VERTICAL_BREAKPOINTS = [  # noqa: RUF012 - as above
        (0, "-flat"),
        (20, "-low"),
        (32, "-tall"),
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
