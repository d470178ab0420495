"""The program on the screen: themes, too-small notice, palette, and the day list as the first screen."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterable
from functools import partial
from typing import TYPE_CHECKING, ClassVar, cast

from textual.app import App, SystemCommand
from textual.binding import Binding
from textual.driver import Driver
from textual.events import Event, Paste, Resize
from textual.screen import Screen
from textual.timer import Timer

from trees.errors import SootlineError
from tui import themes
from tui.commands import EMERGENCY, SMALLEST
from tui.literal import pasted
from tui.opening import Opening
from tui.settings import Settings

if TYPE_CHECKING:
    from textual.command import Provider

    from tui.workshop import Workshop


REST_S = 0.2
"""Nobody has read the next question by then."""


def found_commands() -> type[Provider]:
    """Return what finds the commands of the palette, loaded with the first look at it."""
    from tui.palette import Commands

    return Commands


class SootlineApp(App[None]):
    """Sootline in a terminal."""

    CSS_PATH = "sootline.tcss"
    COMMANDS: ClassVar[set[Callable[[], type[Provider]]]] = {found_commands}  # type: ignore[assignment]
    TITLE = "Sootline"
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

    def __init__(self, workshop: Workshop | Opening) -> None:
        # With its own filter for NO_COLOR the library only turns colours into greys; told to leave the terminal's
        # colours alone it writes none.
        super().__init__(ansi_color=True if os.environ.get("NO_COLOR") else None)
        self.opening = workshop if isinstance(workshop, Opening) else Opening.of(workshop)
        self.opened: Workshop | None = None if isinstance(workshop, Opening) else workshop
        self.failure: SootlineError | None = None
        """Why the program gave up before it was whole; told once the screen is gone."""
        self._resting: Timer | None = None
        for theme in themes.ALL.values():
            self.register_theme(theme)
        # Before the style sheet is read: to change the theme afterwards reads it again, and the first frame waits.
        self.set_reactive(App.theme, self.settings.theme)
        self.stylesheet.set_variables(self.get_css_variables())

    @property
    def workshop(self) -> Workshop:
        """The workshop; only screens that open after `whole` ask for it."""
        if self.opened is None:
            raise RuntimeError("the workshop was asked for before it was open")
        return self.opened

    @property
    def settings(self) -> Settings:
        """The settings as they stand now."""
        return self.opening.settings

    def _fatal_error(self) -> None:
        """Tell a fault as the library does, but without the values of variables: customers' words are among them."""
        from rich.traceback import Traceback

        self.panic(Traceback(show_locals=False))

    def take_settings(self, settings: Settings) -> None:
        """Let new settings hold at once."""
        self.opening.settings = settings
        if self.opened is not None:
            self.opened.take_settings(settings)
        self.theme = settings.theme

    async def on_event(self, event: Event) -> None:
        """Clean what is pasted before a field has it: the library would keep its first line, and its escapes."""
        if isinstance(event, Paste):
            event.text = pasted(event.text)
        await super().on_event(event)

    async def whole(self) -> Workshop | None:
        """Wait until casebook and book are there; None where they can't be had, and the program ends."""
        try:
            self.opened = await self.opening.workshop()
        except SootlineError as error:
            self.give_up(error)
            return None
        return self.opened

    def give_up(self, error: SootlineError) -> None:
        """End the program; its sentence is told on standard error."""
        self.failure = error
        self.exit()

    def rest_soon(self) -> None:
        """Do in the coming pause what would stop the screen later; what is shown meanwhile puts it off."""
        if self._resting is not None:
            self._resting.stop()
        if self.opening.at_rest is not None:
            self._resting = self.set_timer(REST_S, self.opening.at_rest)

    def get_driver_class(self) -> type[Driver]:
        """Return the driver that ends the program when its terminal goes away."""
        from tui.terminal_gone import WatchedDriver

        return WatchedDriver

    def get_default_screen(self) -> Screen[object]:
        """Return the day list: it is the first screen, not one over an empty one."""
        from tui.screens.day_list import DayList

        return cast("Screen[object]", DayList())

    async def action_emergency(self) -> None:
        """Open the emergency card, or close it; what a job writes down of it comes afterwards."""
        from tui.screens.base import WorkScreen
        from tui.screens.emergency import EmergencyCard

        if isinstance(self.screen, EmergencyCard):
            self.pop_screen()
            return
        self.clear_notifications()  # none of them may lie over the card
        await self.push_screen(EmergencyCard(self.settings))
        for below in self.screen_stack:
            if isinstance(below, WorkScreen):
                await below.note_emergency()

    async def action_quit(self) -> None:
        """End the program; where timers run or callers are held, a second key is asked for first."""
        going_on = self.opened.going_on() if self.opened is not None else ""
        if not going_on:
            self.exit()
            return
        from tui.screens.leave import LeaveCard

        if not isinstance(self.screen, LeaveCard):
            await self.push_screen(LeaveCard(going_on), lambda leave: self.exit() if leave else None)

    def action_command_palette(self) -> None:
        """Find a command by typing."""
        from textual.command import CommandPalette

        from tui.palette import palette

        if not any(isinstance(screen, CommandPalette) for screen in self.screen_stack):
            self.push_screen(palette())

    def get_system_commands(self, screen: Screen[object]) -> Iterable[SystemCommand]:
        """Give the palette what can be done on the screen now, from the same records as footer and help."""
        from tui.screens.base import WorkScreen

        if isinstance(screen, WorkScreen):
            for command, title in screen.possible():
                yield SystemCommand(title, command.said_help, partial(self.run_action, command.id, screen))
        else:  # a small card: its own keys stand on it
            yield SystemCommand(EMERGENCY.said_label, EMERGENCY.said_help, self.action_emergency)

    def get_theme_variable_defaults(self) -> dict[str, str]:
        """Give our own colour names a value under the library's themes, which stand while the style sheet is read."""
        return {"danger": "#ff9a8f", "marked": "#213f45"}

    def on_resize(self, event: Resize) -> None:
        """Cover a window that is too small with one sentence; the screen below keeps its state and its focus."""
        from tui.screens.too_small import TooSmall

        small = event.size.width < SMALLEST[0] or event.size.height < SMALLEST[1]
        if small and not isinstance(self.screen, TooSmall):
            self.push_screen(TooSmall())
        elif not small and isinstance(self.screen, TooSmall):
            self.pop_screen()
