"""What every screen does the same way: the emergency card, the help page, leaving, suspending."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING, ClassVar, Literal, cast

from textual.events import Key
from textual.screen import Screen

from trees.language import _
from tui.commands import EMERGENCY, EVERYWHERE, PALETTE, Command, bindings
from tui.literal import plain

if TYPE_CHECKING:
    from tui.app import SootlineApp


class WorkScreen(Screen[None]):
    """A screen with a list of commands; keys, footer and help are made from it."""

    KEYS: ClassVar[Sequence[Command]] = ()
    TITLE_LINE: ClassVar[str] = ""
    told_why_not = False
    """The last key did nothing, and that stands on the screen."""

    @property
    def sootline(self) -> SootlineApp:
        """The running program."""
        return cast("SootlineApp", self.app)

    def on_mount(self) -> None:
        """Repaint after the program was in the background; Textual 8.2 leaves the screen blank."""
        self.app.app_resume_signal.subscribe(self, lambda _app: self.refresh(layout=True))
        self.begin()

    def begin(self) -> None:
        """Fill the screen when it is first shown; Textual would run an `on_mount` of base and screen both."""

    async def note_emergency(self) -> None:
        """Write down that the emergency card was opened; only a job has where to."""

    def possible(self) -> Iterator[tuple[Command, str]]:
        """Yield what can be done now, each with its line in the palette."""
        from textual.actions import parse

        for command in (*self.KEYS, *EVERYWHERE):
            _other, name, arguments = parse(command.id)
            if command is not PALETTE and self.check_action(name, arguments):
                yield command, f"{self.label_now(command.id) or command.said_label}  ({command.key_name})"

    def label_now(self, command: str) -> str:  # noqa: ARG002 - a screen with such a command says it
        """Return what a command is called at this moment, where that is not its label."""
        return ""

    def in_line(self, action: str, shown: bool) -> bool:  # noqa: ARG002 - a screen with such a command says it
        """Tell whether a key stands in the line of keys at this moment; `shown` is what its command says."""
        return shown

    def on_key(self, event: Key) -> None:
        """Say so when a key does nothing here: on a bad line nobody should wonder whether it was heard."""
        if self.told_why_not:  # one at a time: they would cover what is asked
            self.app.clear_notifications()
        asked = event.is_printable or event.key == "enter"
        self.told_why_not = asked and event.key not in self.active_bindings
        if self.told_why_not:
            self.tell(self.why_not(event.key, event.character or ""))

    def why_not(self, key: str, character: str) -> str:
        """Return why a key does nothing at this moment."""
        known = next((command for command in self.KEYS if key in command.keys.split(",")), None)
        if known is None:
            return _("{key} does nothing on this screen; F1 lists the keys.").format(key=plain(character))
        if known.number:
            return _("There is no answer {n} here now.").format(n=known.number)
        return _("{key} ({label}) has nothing to do here now.").format(key=known.key_name, label=known.said_label)

    def action_command_palette(self) -> None:
        """Find a command by typing."""
        self.app.action_command_palette()

    async def action_emergency(self) -> None:
        """Open the emergency card."""
        await self.sootline.action_emergency()

    def action_help(self) -> None:
        """List every key of this screen."""
        from tui.screens.help import HelpPage

        if not isinstance(self.app.screen, HelpPage):
            self.app.push_screen(HelpPage(self.TITLE_LINE, (*self.KEYS, *EVERYWHERE)))

    async def action_leave(self) -> None:
        """Leave the program."""
        await self.app.action_quit()

    def action_suspend(self) -> None:
        """Put the program into the background of the shell."""
        self.app.action_suspend_process()

    def tell(self, sentence: str, *, wrong: bool = False) -> None:
        """Show one sentence."""
        severity: Literal["error", "information"] = "error" if wrong else "information"
        self.notify(plain(sentence), severity=severity, timeout=8 if wrong else 4, markup=False)


def all_bindings(commands: Sequence[Command]) -> list:  # type: ignore[type-arg]
    """Return the bindings of a screen with those that hold everywhere."""
    return bindings((EMERGENCY, *commands, *EVERYWHERE[1:]))
