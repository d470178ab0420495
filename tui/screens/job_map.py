"""A card over the job: the map of its trees with the trail in it; Enter changes the answer of the marked step."""

from __future__ import annotations

from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding
from textual.containers import Vertical
from textual.content import Content
from textual.screen import ModalScreen
from textual.widgets import OptionList, Static
from textual.widgets.option_list import Option

from trees.language import _
from trees.walk import Walk
from tui.draw import MUTED, plain
from tui.trail_map import GUTTER, MapRow, trail_map

STYLES = {"here": "bold reverse", "answered": "bold", "passed": MUTED, "ahead": ""}


class MapCard(ModalScreen[str | None]):
    """The trees on the way; gives the visit whose answer is to be changed, or None."""

    BINDINGS: ClassVar[list[Binding]] = [Binding("escape,f3", "drop", "Close", key_display="Esc")]  # type: ignore[assignment]
    AUTO_FOCUS = "#trail-map"

    def __init__(self, walk: Walk) -> None:
        super().__init__()
        self.walk = walk
        self.rows: tuple[MapRow, ...] = ()

    def compose(self) -> ComposeResult:
        """Lay out the legend and the map."""
        with Vertical(id="card"):
            yield Static(
                Content.assemble((_("Map of the way  "), "bold"), (_("▶ asked now  ✓ answered  · passed"), MUTED))
            )
            yield OptionList(id="trail-map", markup=False)
            yield Static(Content.styled(_("↑ ↓ move, Enter changes the answer marked ✓, Esc closes."), MUTED))

    def on_mount(self) -> None:
        """Draw once the width is known."""
        self.call_after_refresh(self.draw_map)

    def on_resize(self) -> None:
        """Draw the map anew for the new width."""
        self.call_after_refresh(self.draw_map)

    def draw_map(self) -> None:
        """Draw the map, the mark on the step that is asked, or where it was."""
        rows = self.query_one("#trail-map", OptionList)
        marked = rows.highlighted
        self.rows = trail_map(self.walk, max(30, rows.size.width - 2))
        rows.set_options([Option(map_row(row)) for row in self.rows])
        here = next((at for at, row in enumerate(self.rows) if row.state == "here"), 0)
        if self.rows:
            rows.highlighted = here if marked is None else min(marked, len(self.rows) - 1)
            self.call_after_refresh(rows.scroll_to_highlight)

    def on_option_list_option_selected(self, event: OptionList.OptionSelected) -> None:
        """Give the visit of the marked step, if it has an answer."""
        visit = self.rows[event.option_index].visit
        if visit:
            self.dismiss(visit)

    def action_drop(self) -> None:
        """Go back to the question."""
        self.dismiss(None)


def map_row(row: MapRow) -> Content:
    """Return one step of the map: its state in a sign and in words, the way that was taken ticked."""
    lines = [Content.styled(f"── {plain(row.tree)} ──", MUTED)] if row.tree else []
    lines.append(Content.styled(f"{GUTTER[row.state]} {plain(row.lines[0])}", STYLES[row.state]))
    if row.told:
        lines.append(Content.assemble(("       = ", MUTED), (plain(row.told), "bold" if row.visit else MUTED)))
    for at, line in enumerate(row.lines[1:], start=1):
        taken = at == row.taken
        lines.append(Content.styled(f"{'✓' if taken else ' '} {plain(line)}", "bold" if taken else MUTED))
    return Content("\n").join(lines)
