"""The conclusion: what the job amounts to, its report read before it is written, and how it is closed."""

from __future__ import annotations

import asyncio
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import ClassVar

from textual import work
from textual.app import ComposeResult
from textual.binding import Binding
from textual.containers import VerticalScroll
from textual.content import Content
from textual.widgets import Static

from trees.book.words import END_NAMES, EndKind
from trees.errors import SootlineError, SuspectsError, WalkError
from trees.language import N_, Said, _
from trees.walk import Walk
from tui.commands import CONCLUSION
from tui.concluded import findings_text, weighed_text
from tui.customer import customer_line
from tui.draw import MUTED, hung, lines, plain, say
from tui.panels.key_line import KeyLine
from tui.screens.base import WorkScreen, all_bindings
from tui.screens.choose import WriteCard
from tui.screens.report_card import ReportCard
from tui.screens.tick import TickCard
from tui.workshop import OpenJob

ENDS: Sequence[EndKind] = tuple(END_NAMES)
SHEET = "sheet"
FORMS: Mapping[str, str] = Said(
    {
        "pdf": N_("PDF, to print"),
        "html": N_("HTML, one page to send"),
        "md": N_("Markdown, plain text"),
        "json": N_("JSON, for other programs"),
        SHEET: N_("Intake sheet for the carton, PDF"),
    }
)
"""What a job can be written as; the name of a report's form is the ending of its file."""
USUAL = ("pdf", "md")


class ConclusionScreen(WorkScreen):
    """What the job amounts to."""

    KEYS = CONCLUSION
    TITLE_LINE = N_("conclusion")
    BINDINGS: ClassVar[list[Binding]] = all_bindings(CONCLUSION)  # type: ignore[assignment]
    AUTO_FOCUS = "#page"

    def __init__(self, job: OpenJob) -> None:
        super().__init__()
        self.job = job
        self.chosen: EndKind | None = None
        self.refused: Mapping[EndKind, str] = {}
        """Ends that the job can't have as it stands, each with the reason."""

    def compose(self) -> ComposeResult:
        """Lay out the page and the ends."""
        yield Static(id="head")
        with VerticalScroll(id="page"):
            yield Static(id="found")
            yield Static(id="weighed")
        yield Static(id="ends")
        yield KeyLine()

    def begin(self) -> None:
        """Show what was found."""
        self.show()

    def show(self) -> None:
        """Draw the conclusion."""
        walk = self.job.walk
        self.refused = refused(walk)
        self.query_one("#head", Static).update(
            Content.assemble(
                (f" {self.job.record.number} ", "bold reverse"),
                _(" {words}  ·  conclusion").format(words=plain(walk.now.words)),
            )
        )
        self.query_one("#found", Static).update(hung(findings_text(walk, self.text_width), self.text_width))
        self.query_one("#ends", Static).update(self.ends_text(walk))
        self.refresh_bindings()
        self.weigh()

    @property
    def text_width(self) -> int:
        """Columns for the text of the page, beside its margin and its scroll bar."""
        return max(54, self.size.width - 6)

    @work(exclusive=True, group="weigh")
    async def weigh(self) -> None:
        """
        Work out off the event loop what acted together and what would still change the result.

        Not of a job that was stopped: no chance of anything sends somebody back to a unit that is dangerous.
        """
        walk = self.job.walk
        if walk.now.stopped is not None:
            return
        try:
            told = await asyncio.to_thread(weighed_text, walk)
        except SuspectsError as error:
            told = say(str(error), "$warning")
        if walk is self.job.walk and self.is_attached:
            self.query_one("#weighed", Static).update(hung(told, self.text_width))

    def on_resize(self) -> None:
        """Draw the table anew for the new width."""
        self.call_after_refresh(self.show)

    def ends_text(self, walk: Walk) -> Content:
        """Return the ends by digit, or how the job was closed."""
        if walk.now.closed is not None:
            name = END_NAMES.get(walk.now.closed, walk.now.closed)  # type: ignore[call-overload]
            return say(
                _("Closed: {name}. {close_text}").format(name=name, close_text=walk.now.close_text).strip(), "bold"
            )
        parts = [Content.styled(_("Close as"), "bold")]
        for n, end in enumerate(ENDS, start=1):
            if not self.offered(n):
                continue
            picked = end == self.chosen
            key = (f" {n} ", "bold $background on $accent" if picked else "bold reverse")
            parts.append(
                Content.assemble(key, (f" {'▶ ' if picked else ''}{END_NAMES[end]}", "bold" if picked else ""))
            )
        if self.chosen is not None:
            parts.append(Content.styled(_("Enter closes the job."), "bold $warning"))
        rows = [in_rows(parts, self.size.width - 4)]
        if self.refused and walk.now.stopped is None and self.chosen is None:
            names = ", ".join(END_NAMES[end] for end in self.refused)
            rows.append(
                say(_("Not now: {names}. {why}").format(names=names, why=next(iter(self.refused.values()))), MUTED)
            )
        return lines(rows)

    def offered(self, digit: int) -> bool:
        """Tell whether the job can be closed as that end."""
        return self.job.walk.now.closed is None and digit <= len(ENDS) and ENDS[digit - 1] not in self.refused

    def action_answer(self, digit: int) -> None:
        """Choose an end by its digit; Enter closes."""
        if self.offered(digit):
            self.chosen = ENDS[digit - 1]
            self.show()

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """Offer in footer and palette only what works now."""
        if action == "answer":
            return self.offered(int(str(parameters[0])))
        if action == "confirm":
            return self.chosen is not None
        return self.job.walk.now.closed is not None if action == "reopen" else True

    async def action_confirm(self) -> None:
        """Close the job as chosen; where a root is not known, ask why it closes without."""
        if self.chosen is not None and self.job.walk.asks_root(self.chosen):
            self.close_without_root(self.chosen)
        elif self.chosen is not None:
            await self.close_as(self.chosen)

    @work
    async def close_without_root(self, end: EndKind) -> None:
        """Close the job with a word on why the root of what was found is left open; without one it stays open."""
        text = await self.app.push_screen_wait(WriteCard(_("The root is not known. Why does the job close without?")))
        if text and text.strip():
            await self.close_as(end, text)

    async def close_as(self, end: EndKind, text: str = "") -> None:
        """Close the job."""
        if await self.keep(lambda w: w.close(end, text)):
            self.tell(_("Closed: {name}.").format(name=END_NAMES[end]))
            self.chosen = None
            self.show()

    async def keep(self, make) -> bool:  # type: ignore[no-untyped-def]
        """Keep what is added to the job, or say why not."""
        try:
            await self.job.keep(make(self.job.walk))
        except SootlineError as error:
            self.tell(str(error), wrong=True)
            return False
        return True

    @work
    async def action_work(self) -> None:
        """Write down work that was done outside the tree."""
        text = await self.app.push_screen_wait(WriteCard(_("Work done")))
        if text and text.strip() and await self.keep(lambda w: w.work(text)):
            self.show()

    @work
    async def action_reopen(self) -> None:
        """Open a closed job again, with a reason; on another day the safety questions come first."""
        if self.job.walk.now.closed is None:
            self.tell(_("This job is open."), wrong=True)
            return
        reason = await self.app.push_screen_wait(WriteCard(_("Why is it opened again?")))
        if reason and await self.keep(lambda w: w.reopen(reason)):
            await self.job.new_day()
            self.show()

    @work(exclusive=True)
    async def action_report(self) -> None:
        """Ask for the forms, write them beside the casebook's reports and say where."""
        chosen = await self.app.push_screen_wait(TickCard(_("Write the report as"), FORMS, USUAL))
        if not chosen:
            return
        folder = self.sootline.workshop.report_folder
        self.tell(_("Writing the report …"))
        try:
            names = [await asyncio.to_thread(write_form, form, self.job, folder) for form in chosen]
        except SootlineError as error:
            self.tell(str(error), wrong=True)
            return
        told = _("In {folder}: {names}")
        self.tell(told.format(folder=folder, names=", ".join(path.name for path in names)))

    def action_preview(self) -> None:
        """See the report as it would be written."""
        self.app.push_screen(ReportCard(self.job))

    def action_to_job(self) -> None:
        """Go back to the question."""
        if self.chosen is not None:
            self.chosen = None
            self.show()
            return
        self.dismiss()


def refused(walk: Walk) -> dict[EndKind, str]:
    """Return the ends that an open job can't have as it stands, each with a sentence why; none of a closed job."""
    reasons: dict[EndKind, str] = {}
    for end in ENDS if walk.now.closed is None else ():
        try:
            walk.close(end, "-")  # the word on an open root is asked for afterwards
        except WalkError as error:
            reasons[end] = str(error)
    return reasons


def in_rows(parts: Sequence[Content], width: int) -> Content:
    """Return the parts side by side in rows of so many cells; no part is broken."""
    rows: list[Content] = []
    for part in parts:
        joined = rows[-1] + Content("   ") + part if rows else part
        if rows and joined.cell_length <= width:
            rows[-1] = joined
        else:
            rows.append(part)
    return lines(rows)


def write_form(form: str, job: OpenJob, folder: Path) -> Path:
    """Write one form of the report, on the workshop's paper, and return its file; PaperError with a sentence."""
    from graphviz_export.intake_sheet import intake_sheet, write_intake_sheet
    from graphviz_export.report_file import write_report

    record, head = job.record, job.workshop.settings.letterhead()
    if form == SHEET:
        sheet = intake_sheet(job.walk, record.number, invented=record.invented)
        return write_intake_sheet(sheet, folder / f"{record.number}-intake.pdf", letterhead=head)
    out = folder / f"{record.number}.{form}"
    who = customer_line(job.customer)
    return write_report(job.walk, record.number, out, invented=record.invented, letterhead=head, customer=who)
