"""The earlier jobs of one serial number: a card over the job; Enter shows what was found then."""

from __future__ import annotations

import asyncio
from collections.abc import Sequence
from typing import TYPE_CHECKING, ClassVar

from textual import work
from textual.app import ComposeResult
from textual.binding import Binding
from textual.containers import Vertical, VerticalScroll
from textual.content import Content
from textual.screen import ModalScreen
from textual.widgets import OptionList, Static
from textual.widgets.option_list import Option

from trees.book.words import END_NAMES
from trees.errors import SootlineError
from trees.language import _
from trees.walk import Walk
from tui.draw import MUTED, lines, plain, say, trail_line

if TYPE_CHECKING:
    from trees.casebook import JobSummary
    from tui.workshop import Workshop


class EarlierCard(ModalScreen[None]):
    """Jobs of the same unit, the last touched first; it only reads."""

    BINDINGS: ClassVar[list[Binding]] = [Binding("escape", "drop", "Close", key_display="Esc")]  # type: ignore[assignment]
    AUTO_FOCUS = "#earlier"

    def __init__(self, workshop: Workshop, serial: str, rows: Sequence[JobSummary]) -> None:
        super().__init__()
        self.workshop, self.serial, self.rows = workshop, serial, rows

    def compose(self) -> ComposeResult:
        """Lay out the list and what was found in the marked one."""
        with Vertical(id="card"):
            yield Static(
                Content.styled(_("Serial number {serial} was here before").format(serial=plain(self.serial)), "bold")
            )
            yield OptionList(
                *(Option(summary_line(row), id=row.number) for row in self.rows), id="earlier", markup=False
            )
            yield VerticalScroll(Static(id="earlier-found"), id="earlier-page")
            yield Static(Content.styled(_("↑ ↓ another job, Esc goes on with this one."), MUTED))

    def on_option_list_option_highlighted(self, event: OptionList.OptionHighlighted) -> None:
        """Show what was found in the job under the mark."""
        if event.option_id:
            self.show_found(event.option_id)

    @work(exclusive=True)
    async def show_found(self, number: str) -> None:
        """Read a job off the event loop and show its findings and its trail."""
        try:
            walk = await asyncio.to_thread(read_walk, self.workshop, number)
            found = await asyncio.to_thread(found_then, walk)
        except SootlineError as error:
            found = say(str(error), "$warning")
        self.query_one("#earlier-found", Static).update(found)
        self.query_one("#earlier-page", VerticalScroll).scroll_home(animate=False)

    def action_drop(self) -> None:
        """Go back to the present job."""
        self.dismiss()


def read_walk(workshop: Workshop, number: str) -> Walk:
    """Return a job's walk without taking the job up."""
    record = workshop.casebook.job(number)
    return Walk.resume(workshop.book, tuple(stored.entry for stored in workshop.casebook.entries(record)))


def found_then(walk: Walk) -> Content:
    """Return what an earlier job found, by what, and its trail."""
    book, result = walk.book, walk.conclusion
    rows = []
    for title, ids in ((_("Root"), result.roots), (_("Consequence"), result.consequences)):
        for cause in ids:
            by = "; ".join(dict.fromkeys(reason.sentence for reason in walk.findings[cause].reasons))
            told = Content.assemble((f"{title}: ", MUTED), (plain(book.causes[cause].name), "bold"))
            rows.append(told + say(_("   by: {by}").format(by=by), MUTED))
    rows = rows or [say(_("Nothing was found then."), MUTED)]
    return lines([*rows, Content(""), *(trail_line(item) for item in walk.trail)])


def summary_line(row: JobSummary) -> Content:
    """Return one earlier job: number, day, how it ended, complaint."""
    end = END_NAMES.get(row.closed, row.closed) if row.closed else _("open")  # type: ignore[call-overload]
    return Content.assemble(
        (f"{plain(row.number):<7} ", "bold"), f"{row.opened_at[:10]}  {end}  ", (plain(row.words), MUTED)
    )
