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
from trees.errors import SootlineError, SuspectsError
from trees.language import N_, Said, _
from trees.walk import Walk
from trees.walk.walk import AFTER_STOP
from tui.commands import CONCLUSION
from tui.concluded import findings_text, weighed_text
from tui.draw import plain, say
from tui.panels.key_line import KeyLine
from tui.screens.base import WorkScreen, all_bindings
from tui.screens.choose import WriteCard
from tui.screens.report_card import ReportCard
from tui.screens.tick import TickCard
from tui.workshop import OpenJob

ENDS: Sequence[EndKind] = tuple(END_NAMES)
NO_BREAK = "\u00a0"
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
        self.query_one("#head", Static).update(
            Content.assemble(
                (f" {self.job.record.number} ", "bold reverse"),
                _(" {words}  ·  conclusion").format(words=plain(walk.now.words)),
            )
        )
        self.query_one("#found", Static).update(findings_text(walk, max(56, self.size.width - 6)))
        self.query_one("#ends", Static).update(self.ends_text(walk))
        self.refresh_bindings()
        self.weigh()

    @work(exclusive=True, group="weigh")
    async def weigh(self) -> None:
        """Work out off the event loop what acted together and what would still change the result."""
        walk = self.job.walk
        try:
            told = await asyncio.to_thread(weighed_text, walk)
        except SuspectsError as error:
            told = say(str(error), "$warning")
        if walk is self.job.walk and self.is_attached:
            self.query_one("#weighed", Static).update(told)

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
        parts: list[Content | tuple[str, str]] = [(_("Close as  "), "bold")]
        for n, end in enumerate(ENDS, start=1):
            if walk.now.stopped is not None and end not in AFTER_STOP:
                continue
            picked = end == self.chosen
            parts.append((f"\u00a0{n}\u00a0", "bold $background on $accent" if picked else "bold reverse"))
            parts.append((f"\u00a0{END_NAMES[end].replace(' ', NO_BREAK)}   ", "bold" if picked else ""))
        if self.chosen is not None:
            parts.append((_("Enter closes the job."), "bold $warning"))
        return Content.assemble(*parts)

    def offered(self, digit: int) -> bool:
        """Tell whether the job can be closed as that end."""
        now = self.job.walk.now
        possible = digit <= len(ENDS) and (now.stopped is None or ENDS[digit - 1] in AFTER_STOP)
        return now.closed is None and possible

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


def write_form(form: str, job: OpenJob, folder: Path) -> Path:
    """Write one form of the report, on the workshop's paper, and return its file; PaperError with a sentence."""
    from graphviz_export.intake_sheet import intake_sheet, write_intake_sheet
    from graphviz_export.report_file import write_report

    record, head = job.record, job.workshop.settings.letterhead()
    if form == SHEET:
        sheet = intake_sheet(job.walk, record.number, invented=record.invented)
        return write_intake_sheet(sheet, folder / f"{record.number}-intake.pdf", letterhead=head)
    out = folder / f"{record.number}.{form}"
    return write_report(job.walk, record.number, out, invented=record.invented, letterhead=head)
