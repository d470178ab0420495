"""Shares counted anew, for the author: old, new, interval, conflict; each line is taken or left, then written."""

from __future__ import annotations

import asyncio
from pathlib import Path
from typing import ClassVar

from textual import on, work
from textual.app import ComposeResult
from textual.binding import Binding
from textual.containers import VerticalScroll
from textual.content import Content
from textual.widgets import OptionList, Static
from textual.widgets.option_list import Option

from trees.book.model import Book
from trees.errors import SootlineError
from trees.language import N_, _, ngettext, spoken
from trees.suspects.recount import Recounted
from tui.accept_shares import refuse_unfit_file, write_overlay
from tui.commands import RECOUNT
from tui.draw import MUTED, plain, say
from tui.finding_jobs import kinds
from tui.panels.counted import REST, WRITE, common_top, links_page, rest_row, share_row, shares_note, write_row
from tui.panels.key_line import KeyLine
from tui.recounting import Count, Counting
from tui.screens.base import all_bindings
from tui.screens.choose import WriteCard
from tui.screens.parts import PartsScreen

STEP_S = 0.3
"""Seconds of reading between two notes of how far it is."""


class ShareList(OptionList):
    """The counted shares; the footer says what Enter does here."""

    BINDINGS: ClassVar[list[Binding]] = [Binding("enter", "screen.take_share", "Take", key_display="Enter")]  # type: ignore[assignment]


class RecountScreen(PartsScreen):
    """What the closed jobs say of the book's shares and links; the book's files are never touched."""

    KEYS = RECOUNT
    TITLE_LINE = N_("recount")
    BINDINGS: ClassVar[list[Binding]] = all_bindings(RECOUNT)  # type: ignore[assignment]
    AUTO_FOCUS = "#shares"
    PARTS = (N_("Shares"), N_("Links"))
    LIST, PAGE, ENTER = ("#shares", 3), "#links-page", "take_share"

    def __init__(self) -> None:
        super().__init__()
        self.book: Book | None = None
        """The edition on disk with the author's own shares; None until it is read."""
        self.count: Count | None = None
        self.taken: set[str] = set()
        """Ids of the causes that are taken; REST for all that no job had."""

    def compose(self) -> ComposeResult:
        """Lay out the head, the names of the parts, the shares, the links, a note, and the footer."""
        yield Static(id="head")
        yield Static(id="parts")
        yield ShareList(id="shares", markup=False)
        with VerticalScroll(id="links-page"):
            yield Static(id="links")
        yield Static(id="share-note")
        yield KeyLine()

    def begin(self) -> None:
        """Show the frame and count."""
        self.show_part()
        self.fill()

    # ── counting ────────────────────────────────────────────────────────────

    @work(exclusive=True)
    async def fill(self) -> None:
        """Read the book and the closed jobs off the event loop, and show what they make together."""
        self.count, self.taken = None, set()
        casebook = self.sootline.workshop.casebook
        self.note("reading …")
        try:
            if self.book is None:
                self.book = await asyncio.to_thread(self.own_book)
                self.kinds = await asyncio.to_thread(kinds, casebook)
                self.invented = self.invented or (self.kinds.invented > 0 and not self.kinds.both)
            self.show_head()
            counting = Counting(casebook, self.book, self.invented)
            while await asyncio.to_thread(counting.go_on, STEP_S):
                self.note(
                    _("reading … {read} of {closed} closed jobs").format(
                        read=counting.read, closed=self.kinds.closed(invented=self.invented)
                    )
                )
            self.count = await asyncio.to_thread(counting.result)
        except (SootlineError, OSError) as error:
            self.note(str(error), "$warning")
            return
        self.show_count()

    def own_book(self) -> Book:
        """Return the book as it is on disk, with the author's own shares; BookError where it has errors."""
        from trees.book import load_book

        workshop = self.sootline.workshop
        return workshop.book if workshop.book_folder is None else load_book(workshop.book_folder, spoken())

    def show_count(self) -> None:
        """List the shares and the links; the mark stays on the same line."""
        book, count = self.book, self.count
        if book is None or count is None or not self.is_attached:
            return
        rows = self.rows
        at = rows.highlighted or 0
        width = max(40, self.size.width - 3)
        top, taken = common_top(count.spoken), self.taken
        given = [Option(share_row(book, row, row.cause in taken, top, width), id=row.cause) for row in count.spoken]
        if count.rest:
            given.append(Option(rest_row(count.rest, REST in self.taken), id=REST))
        if given:
            given.append(Option(write_row(len(self.rows_taken())), id=WRITE))
        rows.set_options(given)
        rows.highlighted = min(at, len(given) - 1) if given else None
        self.query_one("#links", Static).update(links_page(book, count, width - 2))
        note = self.query_one("#share-note", Static)
        note.update(shares_note(count))
        note.add_class("basis")
        self.show_head()
        self.show_part()

    def rows_taken(self) -> list[Recounted]:
        """Return the counted shares that are taken."""
        count = self.count
        if count is None:
            return []
        rest = count.rest if REST in self.taken else ()
        return [row for row in count.spoken if row.cause in self.taken] + list(rest)

    def show_head(self) -> None:
        """Say from which jobs it is counted, against which edition."""
        closed = self.kinds.closed(invented=self.invented)
        told = (
            ngettext("  {n} closed invented jobs", "  {n} closed invented jobs", closed)
            if self.invented
            else ngettext("  {n} closed real jobs", "  {n} closed real jobs", closed)
        )
        edition = f"{self.book.title}, {self.book.edition}" if self.book else _("reading the book …")
        self.query_one("#head", Static).update(
            Content.assemble(
                (_(" Recount "), "bold reverse"),
                (
                    told.format(n=closed),
                    "bold $warning" if self.invented else "",
                ),
                (_("  ·  against {edition}").format(edition=plain(edition)), MUTED),
            )
        )

    def note(self, sentence: str, style: str = MUTED) -> None:
        """Show one sentence under the list."""
        note = self.query_one("#share-note", Static)
        note.update(say(sentence, style))
        note.remove_class("basis")

    def on_resize(self) -> None:
        """Draw the lines for the new width."""
        self.call_after_refresh(self.show_count)

    # ── taking and writing ──────────────────────────────────────────────────

    @on(OptionList.OptionSelected, "#shares")
    def action_take_share(self) -> None:
        """Take the marked share or leave it; on the last line, write those that are taken."""
        rows = self.rows
        if not self.on_list or rows.highlighted is None:
            return
        chosen = rows.get_option_at_index(rows.highlighted).id or ""
        if chosen == WRITE:
            self.write()
            return
        self.taken ^= {chosen}
        self.show_count()

    @work(exclusive=True, group="write")
    async def write(self) -> None:
        """Ask for the file and write what is taken; the sentence on it stays under the list."""
        rows, book = self.rows_taken(), self.book
        if not rows or book is None:
            self.tell(_("No line is taken yet. Enter on a line takes it."), wrong=True)
            return
        made_up = _(" counted from INVENTED jobs") if self.invented else ""
        title = _("File for {n}{made_up}; a file of shares that is there is replaced").format(
            n=_shares(len(rows)), made_up=made_up
        )
        named = await self.app.push_screen_wait(WriteCard(title, str(self.usual_file())))
        if not named or not named.strip():
            return
        path = Path(named.strip()).expanduser()
        try:
            await asyncio.to_thread(refuse_unfit_file, path)
            await asyncio.to_thread(write_overlay, book, rows, path)
        except SootlineError as error:
            self.note(str(error), "bold $warning")
            return
        self.note(
            _("{n} written. From the next start by `sootline --shares {path}` they weigh.").format(
                n=_shares(len(rows)), path=path
            ),
            "bold",
        )

    def usual_file(self) -> Path:
        """Return where the shares go if nothing else is typed: beside the casebook, or the reports of a server."""
        workshop = self.sootline.workshop
        name = "shares_invented.yaml" if self.invented else "shares.yaml"
        store = workshop.casebook.path
        return (store.parent if store else workshop.report_folder).absolute() / name

    # ── keys ────────────────────────────────────────────────────────────────

    def show_part(self) -> None:
        """Show the shares or the links, and mark which among the names."""
        page = self.query_one(self.PAGE)
        self.rows.display, page.display = self.on_list, not self.on_list
        self.query_one("#share-note").display = self.on_list or self.count is None
        self.set_focus(self.rows if self.on_list else page)
        super().show_part()

    def action_invented(self) -> None:
        """Count the jobs of the other kind."""
        self.invented = not self.invented
        self.fill()

    def action_to_book(self) -> None:
        """Go back to the book."""
        self.app.pop_screen()

    def lines_listed(self) -> bool:
        """Tell whether something was counted."""
        return self.count is not None and bool(self.count.spoken or self.count.rest)


def _shares(number: int) -> str:
    return ngettext("1 share", "{n} shares", number).format(n=number)
