"""The last line of a screen: the keys that work now. One widget, painted anew only when the keys are others."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from textual.content import Content
from textual.events import Click, Resize
from textual.screen import Screen
from textual.style import Style
from textual.widgets import Static

from trees.language import _

FIRST = "emergency"
"""The command that stands in front, on every screen at the same place."""
WAY_OUT = "escape"
"""The key that leads back from every screen."""
LAST = "help"
"""The command that lists all keys; it stands at the end also where not all fit."""


class Shown(NamedTuple):
    """One key as it stands in the line."""

    key: str
    """As the library names it."""
    printed: str
    """As people call it."""
    label: str
    action: str
    enabled: bool

    @property
    def cells(self) -> int:
        """How wide it is, with its spaces."""
        return len(self.printed) + len(self.label) + 3

    @property
    def stays(self) -> bool:
        """It is shown also where not all fit."""
        return self.action in {FIRST, LAST} or self.key == WAY_OUT

    def content(self) -> Content:
        """Return key and label; a click on either presses the key."""
        quiet = "" if self.enabled else " dim"
        line = Content.assemble(
            (f" {self.printed} ", f"bold $footer-key-foreground{quiet}"),
            (f"{self.label} ", f"$footer-description-foreground{quiet}"),
        )
        return line.stylize(Style.from_meta({"key": self.key}))


class KeyLine(Static):
    """
    The keys of the screen and of what has the focus.

    The library's own footer mounts a widget for each key anew whenever one of them may have changed, which took a
    quarter of the time of an answer.
    """

    ALLOW_SELECT = False

    def __init__(self) -> None:
        super().__init__(markup=False)
        self.shown: Sequence[Shown] = ()
        self.waiting = False
        """A look is due already."""

    def on_mount(self) -> None:
        """Follow the keys that work."""
        self.screen.bindings_updated_signal.subscribe(self, self.take)

    def take(self, screen: Screen[object]) -> None:
        """Look once, after all that changes the keys in this moment has done so."""
        if self.is_attached and screen is self.screen and not self.waiting:
            self.waiting = True
            self.call_later(self.look)

    def look(self) -> None:
        """Show the keys that work on the screen now, if they are others than before."""
        self.waiting = False
        if not self.is_attached or not self.screen.is_current:
            return
        first: dict[str, Shown] = {}
        for _node, binding, enabled, _tooltip in self.screen.active_bindings.values():
            if self.in_line(binding.action, binding.show) and binding.action not in first:
                printed = _(self.app.get_key_display(binding))
                label = self.label_now(binding.action) or _(binding.description)
                first[binding.action] = Shown(binding.key, printed, label, binding.action, enabled)
        told: dict[str, Shown] = {}
        for one in first.values():
            told.setdefault(one.label, one)  # two keys that do the same now need one place
        shown = tuple(sorted(told.values(), key=lambda one: one.action != FIRST))
        if shown != self.shown:
            self.shown = shown
            self.show()

    def label_now(self, action: str) -> str:
        """Return what the screen calls an action at this moment; empty where its binding says it."""
        from tui.screens.base import WorkScreen

        return self.screen.label_now(action) if isinstance(self.screen, WorkScreen) else ""

    def in_line(self, action: str, shown: bool) -> bool:
        """Tell whether a key belongs into the line at this moment; `shown` is what its binding says."""
        from tui.screens.base import WorkScreen

        return self.screen.in_line(action, shown) if isinstance(self.screen, WorkScreen) else shown

    def show(self) -> None:
        """Print what fits."""
        self.update(Content("").join(one.content() for one in fitting(self.shown, self.size.width)), layout=False)

    def on_resize(self, _event: Resize) -> None:
        """More or fewer keys fit."""
        self.show()

    def on_click(self, event: Click) -> None:
        """Press the key that was clicked."""
        key = event.style.meta.get("key")
        if key:
            self.app.simulate_key(key)


def fitting(shown: Sequence[Shown], width: int) -> list[Shown]:
    """Return the keys that fit into so many cells, in their order; those that stay are never left out."""
    room = width - sum(one.cells for one in shown if one.stays)
    kept = []
    for one in shown:
        if not one.stays:
            room -= one.cells
        if one.stays or room >= 0:
            kept.append(one)
    return kept
