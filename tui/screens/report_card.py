"""A card over the conclusion: the report as it would be written now, to be read before it is."""

from __future__ import annotations

import asyncio
import re
from collections.abc import Iterator
from typing import ClassVar

from textual import work
from textual.app import ComposeResult
from textual.binding import Binding
from textual.containers import Vertical, VerticalScroll
from textual.content import Content
from textual.screen import ModalScreen
from textual.widgets import Static

from trees.errors import SootlineError
from trees.language import _
from tui.customer import customer_line
from tui.draw import MUTED, hung, lines, plain, say
from tui.workshop import OpenJob

_ESCAPED = re.compile(r"\\([^\w\s])")
_RULE = re.compile(r"[-| ]+")


class ReportCard(ModalScreen[None]):
    """The report's text; it is gathered off the event loop, so that Esc works at once."""

    BINDINGS: ClassVar[list[Binding]] = [Binding("escape,i", "drop", "Close", key_display="Esc")]  # type: ignore[assignment]
    AUTO_FOCUS = "#report-page"

    def __init__(self, job: OpenJob) -> None:
        super().__init__()
        self.job = job
        self.text = say(_("Gathering it …"), MUTED)

    def compose(self) -> ComposeResult:
        """Lay out title, page and the way out."""
        with Vertical(id="card"):
            yield Static(
                Content.styled(
                    _("Report of {number}, as it would be written now").format(number=self.job.record.number), "bold"
                )
            )
            yield VerticalScroll(Static(self.text, id="report-text"), id="report-page")
            yield Static(Content.styled(_("↑ ↓ turn it, Esc closes it; e on the conclusion writes it."), MUTED))

    def on_mount(self) -> None:
        """Begin to gather it."""
        self.gather()

    @work(exclusive=True)
    async def gather(self) -> None:
        """Show the report, or the sentence that says why there is none."""
        try:
            self.text = await asyncio.to_thread(report_text, self.job)
        except SootlineError as error:
            self.text = say(str(error), "$warning")
        self.on_resize()

    def on_resize(self) -> None:
        """Break the lines at the width that there is; what goes on stands under its words."""
        width = self.query_one("#report-page").scrollable_content_region.width
        self.query_one("#report-text", Static).update(hung(self.text, max(40, width)))

    def action_drop(self) -> None:
        """Go back to the conclusion."""
        self.dismiss()


def report_text(job: OpenJob) -> Content:
    """Return the whole report as lines for the screen; PaperError where it can't be gathered."""
    from graphviz_export.report_file import report_bytes

    record = job.record
    head = job.workshop.settings.letterhead()
    who = customer_line(job.customer)
    data = report_bytes(job.walk, record.number, "md", invented=record.invented, letterhead=head, customer=who)
    return lines(list(readable(data.decode("utf-8"))))


def readable(markdown: str) -> Iterator[Content]:
    """Yield Markdown as lines for a person: headings stand out, cells are parted by a dot, signs of markup are gone."""
    for raw in markdown.splitlines():
        line = raw.strip()
        if line.startswith("#"):
            yield Content.styled(plain(_clean(line.lstrip("# "))), "bold $accent")
        elif line.startswith("|"):
            cells = [_clean(cell.strip()) for cell in re.split(r"(?<!\\)\|", line)[1:-1]]
            if not _RULE.fullmatch(line) and any(cells):
                yield Content(plain("  ·  ".join(cell or "–" for cell in cells)))
        elif line.startswith("> "):
            yield Content.styled(plain(f"▲ {_clean(line[2:])}"), "bold $danger")
        elif line.startswith("- "):
            yield Content(plain(f"• {_clean(line[2:])}"))
        elif line and not _RULE.fullmatch(line):
            yield Content(plain(_clean(line)))
        elif not line:
            yield Content("")


def _clean(text: str) -> str:
    without = re.sub(r"(?<!\\)(\*\*|`)", "", text)
    return _ESCAPED.sub(r"\1", without)
