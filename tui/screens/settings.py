"""The settings: what a workshop sets once, each line changed on a small card, kept at once and in force at once."""

from __future__ import annotations

import asyncio
from typing import Any, ClassVar

from textual import work
from textual.app import ComposeResult
from textual.binding import Binding
from textual.content import Content
from textual.widgets import OptionList, Static
from textual.widgets.option_list import Option

from trees.errors import SootlineError
from trees.language import N_, _
from tui.commands import SETTINGS
from tui.draw import MUTED, plain
from tui.panels.key_line import KeyLine
from tui.screens.base import WorkScreen, all_bindings
from tui.screens.choose import ChooseCard, WriteCard
from tui.screens.tick import TickCard
from tui.settings import Settings, settings_path
from tui.settings_file import save_settings
from tui.settings_rows import Row, rows


class SettingList(OptionList):
    """The settings; the footer says what Enter does here."""

    BINDINGS: ClassVar[list[Binding]] = [Binding("enter", "screen.change", "Change", key_display="Enter")]  # type: ignore[assignment]


class SettingsScreen(WorkScreen):
    """All settings, one line each."""

    KEYS = SETTINGS
    TITLE_LINE = N_("settings")
    BINDINGS: ClassVar[list[Binding]] = all_bindings(SETTINGS)  # type: ignore[assignment]
    AUTO_FOCUS = "#settings"

    def __init__(self) -> None:
        super().__init__()
        self.lines: dict[str, Row] = {}

    def compose(self) -> ComposeResult:
        """Lay out the head, the lines, what the marked one means, and the footer."""
        yield Static(id="head")
        yield SettingList(id="settings", markup=False)
        yield Static(id="setting-help")
        yield KeyLine()

    def begin(self) -> None:
        """Show all settings."""
        self.query_one("#head", Static).update(
            Content.assemble((_(" Settings "), "bold reverse"), (f"  {plain(str(settings_path()))}", MUTED))
        )
        self.show(0)

    def show(self, mark: int) -> None:
        """List the settings as they are; the mark stays."""
        workshop = self.sootline.workshop
        self.lines = {row.name: row for row in rows(workshop.book.tools, workshop.today())}
        settings = self.query_one("#settings", OptionList)
        settings.set_options([Option(self.line(row), id=row.name) for row in self.lines.values()])
        settings.highlighted = mark

    def line(self, row: Row) -> Content:
        """Return a setting as a line; what is not set says what holds instead."""
        value = row.shown(self.sootline.settings)
        return Content.assemble((f" {row.label:<17} ", "bold"), plain(value) if value else (_(row.unset), MUTED))

    def marked(self) -> Row:
        """Return the setting under the mark."""
        return list(self.lines.values())[self.query_one("#settings", OptionList).highlighted or 0]

    def check_action(
        self,
        action: str,
        parameters: tuple[object, ...],  # noqa: ARG002 - Textual's signature
    ) -> bool | None:
        """Offer the default only where something else is set."""
        if action != "default" or not self.lines:
            return True
        name = self.marked().name
        now = self.sootline.settings
        if name == "chosen":
            return now.instruments_on(self.sootline.workshop.today()) is not None
        return bool(getattr(now, name) != getattr(Settings(), name))

    def on_option_list_option_highlighted(self, event: OptionList.OptionHighlighted) -> None:
        """Say what the marked setting is for."""
        self.refresh_bindings()
        if event.option_id in self.lines:
            self.query_one("#setting-help", Static).update(Content(self.lines[event.option_id].help))

    def on_option_list_option_selected(self, _event: OptionList.OptionSelected) -> None:
        """Change the setting that Enter or a click chose."""
        self.action_change()

    @work
    async def action_change(self) -> None:
        """Ask for a new value on a card and keep it."""
        row, settings = self.marked(), self.sootline.settings
        if row.form == "choice":
            lines = list((row.choices or {}).items())
            value: Any = await self.app.push_screen_wait(ChooseCard(row.label, lines))
        elif row.form == "ticks":
            value = await self.ask_ticks(row, settings)
        else:
            await self.ask_text(row, settings.store if row.name == "store" else row.shown(settings))
            return
        if value is not None:
            await self.keep(row, value)

    async def ask_text(self, row: Row, text: str) -> None:
        """Ask for a line until it can be kept or is dropped; what was typed stays in the field."""
        trouble: str | None = ""
        while trouble is not None:
            typed = await self.app.push_screen_wait(WriteCard(f"{row.label}. {row.help}", text, trouble))
            if typed is None:
                return
            text, trouble = typed, await self.trouble_with(row, typed)

    async def ask_ticks(self, row: Row, settings: Settings) -> tuple[str, ...] | None:
        """Ask which of the book's tools, or of the instruments, it is."""
        if row.name == "tools":
            lines = dict(row.choices or {})
            ticked = tuple(lines) if settings.tools is None else settings.tools
        else:
            lines = {each.name: f"{each.name}, {each.uncertainty:g} {each.unit}" for each in settings.instruments}
            ticked = settings.chosen
        if not lines:
            self.tell(_("There is nothing to tick yet: type the instruments first."), wrong=True)
            return None
        return await self.app.push_screen_wait(TickCard(row.label, lines, ticked))

    async def action_default(self) -> None:
        """Put the marked setting back to its default."""
        await self.keep(self.marked(), None)

    async def keep(self, row: Row, value: Any) -> None:
        """Write a value; a refused one is told."""
        trouble = await self.trouble_with(row, value)
        if trouble is not None:
            self.tell(trouble, wrong=True)

    async def trouble_with(self, row: Row, value: Any) -> str | None:
        """Write a value, let it hold, and show it; of a refused one return the sentence why, and change nothing."""
        try:
            if isinstance(value, str):
                value = row.read(value)
            changes = {row.name: value or None}
            if row.name == "tools" and value is not None:
                changes = {"tools": value}  # none at hand is something else than not said
            if row.name == "chosen":
                today = self.sootline.workshop.today()
                changes = {"chosen": value, "chosen_on": None if value is None else today}
            settings = await asyncio.to_thread(lambda: save_settings(**changes))
        except SootlineError as error:
            return str(error)
        self.sootline.take_settings(settings)
        self.show(self.query_one("#settings", OptionList).highlighted or 0)
        return None

    def action_to_day_list(self) -> None:
        """Go back to the day list."""
        self.app.pop_screen()
