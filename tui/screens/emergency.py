"""The emergency card: short numbered lines for what can't wait, one key away from everywhere."""

from __future__ import annotations

from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding
from textual.containers import VerticalScroll
from textual.content import Content
from textual.screen import ModalScreen
from textual.widgets import Static

from trees.book.model import Book
from tui.draw import MUTED, plain

CARD = (
    (
        "Carbon monoxide: alarm, headache, sickness, sleepiness",
        (
            "Everybody out into fresh air now, animals too. Leave doors open.",
            "Heater off only if the switch is on the way out.",
            "Anyone unwell or not waking: emergency number, say “carbon monoxide”.",
            "Nobody goes back in. The heater stays off until a workshop has measured.",
        ),
    ),
    (
        "Fire, glowing parts, smoke from the unit",
        (
            "Everybody away. Call the fire service.",
            "Fuel feed or battery off only where it can be reached without danger.",
            "Do not open flap, hatch or lid.",
        ),
    ),
    (
        "Fuel spilt or dripping",
        (
            "No flame, no switch, no charger, no smoking near it. Open doors and hatches.",
            "Boat: everybody on deck or ashore; no bilge switch.",
            "Catch and soak up what can be reached safely; no start.",
        ),
    ),
    (
        "Burn or scald",
        (
            "Cool with lukewarm running water for about ten to twenty minutes.",
            "Rings and watch off. No ointment. Cover loosely and clean.",
            "Larger than the hand, face, hands or a child: emergency number.",
        ),
    ),
)


class EmergencyCard(ModalScreen[None]):
    """What to do now, before anything else."""

    BINDINGS: ClassVar[list[Binding]] = [Binding("escape,q,f2,enter", "dismiss", "Close")]  # type: ignore[assignment]

    def __init__(self, book: Book) -> None:
        super().__init__()
        self.book = book

    def compose(self) -> ComposeResult:
        """Lay out the card; the book's own stop lines of the same hazards follow the general ones."""
        number = "Emergency number: 112 in Europe; elsewhere the local one."
        rows = [Content.styled(" EMERGENCY ", "bold $text on $error"), Content.styled(number, "bold"), Content("")]
        for title, steps in CARD:
            rows.append(Content.styled(title, "bold $warning"))
            rows += [Content.assemble((f" {n} ", "bold"), plain(step)) for n, step in enumerate(steps, start=1)]
            rows.append(Content(""))
        rows.append(Content.styled("Local rules and the emergency services come first. Esc closes the card.", MUTED))
        with VerticalScroll(id="card"):
            yield Static(Content("\n").join(rows))
