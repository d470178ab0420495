"""Beside the question: the suspects and the trail."""

from __future__ import annotations

from collections.abc import Sequence
from typing import ClassVar

from textual.binding import Binding
from textual.content import Content
from textual.message import Message
from textual.widgets import OptionList, Static
from textual.widgets.option_list import Option

from trees.walk import Walk
from trees.walk.ranking import Suspect
from tui import draw
from tui.draw import MUTED

MARKS = {"found": "●", "hinted": "○", "ruled_out": "✕"}


class SuspectsPanel(Static):
    """The causes, what was really found on top, then by probability."""

    def show(self, suspects: Sequence[Suspect], trouble: str) -> None:
        """Show as many suspects as there is room for."""
        width = max(20, self.size.width or 30)
        several = "  several at once" if width < 40 else "  several can be true at once"
        rows = [Content.assemble(("Suspects", "bold"), (several, MUTED))]
        if trouble:
            rows.append(draw.say(trouble, "$warning"))
        room = max(3, (self.size.height or 10) - 2)
        rows += [self.line(suspect, width) for suspect in suspects[:room]]
        self.update(draw.lines(rows))

    @staticmethod
    def line(suspect: Suspect, width: int) -> Content:
        """Return one suspect: mark, per cent, bar, name."""
        mark = MARKS.get(suspect.state or "", " ")
        name_room = max(8, width - 13)
        name = draw.plain(suspect.name)
        name = name if len(name) <= name_room else name[: name_room - 1] + "…"
        style = (
            "strike $foreground-muted" if suspect.state == "ruled_out" else ("bold" if suspect.state == "found" else "")
        )
        percent = f"{suspect.probability * 100:3.0f} %" if suspect.probability is not None else "  · "
        return Content.assemble(
            (f"{mark} ", "bold"),
            f"{percent:>5} ",
            (f"{draw.bar(suspect.probability or 0.0, 4):<4} ", "$accent"),
            (name, style),
        )


class TrailPanel(OptionList):
    """What was answered, in order; struck out what no longer counts."""

    class Left(Message):
        """The trail was left by Esc."""

    class Change(Message):
        """An earlier answer is to be changed."""

        def __init__(self, visit: str) -> None:
            super().__init__()
            self.visit = visit

    class TakeBack(Message):
        """An answer is to be taken back."""

        def __init__(self, no: int) -> None:
            super().__init__()
            self.no = no

    BINDINGS: ClassVar[list[Binding]] = [  # type: ignore[assignment]
        Binding("x", "take_back", "Take back"),
        Binding("escape", "leave", "Leave the trail"),
    ]

    def show(self, walk: Walk) -> None:
        """Show the trail, its end in sight."""
        self.visits = {str(item.no): item.visit for item in walk.trail}
        self.set_options([Option(draw.trail_line(item), id=str(item.no)) for item in walk.trail])
        if self.option_count:
            self.highlighted = self.option_count - 1
            self.call_after_refresh(self.scroll_end, animate=False)

    def on_option_list_option_selected(self, event: OptionList.OptionSelected) -> None:
        """Ask to change the answer."""
        event.stop()
        visit = self.visits.get(event.option_id or "", "")
        if visit:
            self.post_message(self.Change(visit))

    def action_take_back(self) -> None:
        """Ask to take the marked answer back."""
        if self.highlighted is not None:
            self.post_message(self.TakeBack(int(self.get_option_at_index(self.highlighted).id or 0)))

    def action_leave(self) -> None:
        """Give the keys back to the question."""
        self.post_message(self.Left())
