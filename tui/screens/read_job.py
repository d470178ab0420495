"""A closed job, to be read: how it ended, what was found and by what, its trail; by the edition it was made with."""

from __future__ import annotations

import asyncio
from typing import TYPE_CHECKING, ClassVar

from textual import work
from textual.app import ComposeResult
from textual.binding import Binding
from textual.containers import Vertical, VerticalScroll
from textual.content import Content
from textual.screen import ModalScreen
from textual.widgets import Static

from trees.book.words import END_NAMES
from trees.errors import SootlineError
from trees.language import _
from trees.walk import Walk
from tui.draw import MUTED, lines, plain, say
from tui.screens.earlier import found_then

if TYPE_CHECKING:
    from trees.casebook import Casebook, JobSummary, StoredEntry
    from tui.kept_edition import Editions


class ReadCard(ModalScreen[bool]):
    """One closed job; gives True where it is to be opened on its own screen."""

    BINDINGS: ClassVar[list[Binding]] = [  # type: ignore[assignment]
        Binding("escape", "drop", "Close", key_display="Esc"),
        Binding("enter", "open", "Open", priority=True),
    ]
    AUTO_FOCUS = "#read-page"

    def __init__(self, casebook: Casebook, editions: Editions, row: JobSummary) -> None:
        super().__init__()
        self.casebook, self.editions, self.row = casebook, editions, row

    def compose(self) -> ComposeResult:
        """Lay out the head, the page and the keys."""
        with Vertical(id="card"):
            yield Static(head_of(self.row), id="read-head")
            yield VerticalScroll(Static(Content.styled(_("reading …"), MUTED), id="read-text"), id="read-page")
            yield Static(
                Content.styled(_("↑ ↓ scroll. Enter opens it on its own screen: report, reopen. Esc closes."), MUTED)
            )

    def on_mount(self) -> None:
        """Read the job while the card stands."""
        self.fill()

    @work(exclusive=True)
    async def fill(self) -> None:
        """Read it off the event loop and show it."""
        try:
            text = await asyncio.to_thread(job_text, self.casebook, self.editions, self.row.number)
        except SootlineError as error:
            text = say(str(error), "$warning")
        self.query_one("#read-text", Static).update(text)

    def action_open(self) -> None:
        """Open it on its own screen."""
        self.dismiss(True)

    def action_drop(self) -> None:
        """Go back to what was found."""
        self.dismiss(False)


def head_of(row: JobSummary) -> Content:
    """Return number, end, days, unit and complaint of a closed job."""
    end = END_NAMES.get(row.closed, row.closed) if row.closed else _("open")  # type: ignore[call-overload]
    told = [
        _("opened {opened_at}").format(opened_at=row.opened_at[:10]),
        _("closed {closed_at}").format(closed_at=row.closed_at[:10]) if row.closed_at else "",
    ]
    told += [
        _("serial {serial}").format(serial=row.serial) if row.serial else "",
        _("seat {seat}").format(seat=row.seat),
        _("invented") if row.invented else "",
    ]
    return Content.assemble(
        (f" {plain(row.number)} ", "bold reverse"),
        (f" {plain(str(end))}", "bold"),
        (f"  ·  {plain(' · '.join(part for part in told if part))}\n", MUTED),
        plain(row.words),
    )


def job_text(casebook: Casebook, editions: Editions, number: str) -> Content:
    """Return what was found in a job and its trail; entries that no book can read stand as they were stored."""
    stored = casebook.entries(casebook.job(number))
    book, sentence = editions.of(stored)
    told = [say(sentence, "$warning"), Content("")] if sentence else []
    try:
        return lines([*told, found_then(Walk.resume(book, [one.entry for one in stored]))])
    except (SootlineError, LookupError, TypeError, ValueError):  # an import may bring entries of any content
        why = say(_("The entries stand as they were stored, for they can't be read with this book."), "$warning")
        return lines([*told, why, *(_raw(one) for one in stored)])


def _raw(one: StoredEntry) -> Content:
    data = ", ".join(f"{name} {value}" for name, value in one.entry.data.items() if value not in ("", None))
    return Content.assemble(
        (f"{one.no:>4} {one.at[:16]} ", MUTED), plain(f"{one.entry.kind.replace('_', ' ')}  {data}")
    )
