"""The conclusion: what was found and by what, sorted; what still lacks its root; the end of the job and its report."""

from __future__ import annotations

import asyncio
from collections.abc import Mapping, Sequence
from typing import ClassVar

from textual import work
from textual.app import ComposeResult
from textual.binding import Binding
from textual.containers import VerticalScroll
from textual.content import Content
from textual.widgets import Footer, Static

from trees.book.model import END_NAMES, EndKind
from trees.errors import SootlineError
from trees.suspects import percent
from trees.walk import Walk
from trees.walk.ranking import rank
from trees.walk.reasons import roots_of
from trees.walk.walk import AFTER_STOP
from tui.commands import CONCLUSION
from tui.draw import MUTED, lines, plain, say
from tui.screens.base import WorkScreen, all_bindings
from tui.screens.choose import WriteCard
from tui.workshop import OpenJob

ENDS: Sequence[EndKind] = tuple(END_NAMES)
STOP = "bold $text on $error"
NO_BREAK = "\u00a0"


class ConclusionScreen(WorkScreen):
    """What the job amounts to."""

    KEYS = CONCLUSION
    TITLE_LINE = "conclusion"
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
        yield Static(id="ends")
        yield Footer(show_command_palette=False)

    def begin(self) -> None:
        """Show what was found."""
        self.show()

    def show(self) -> None:
        """Draw the conclusion."""
        walk = self.job.walk
        self.query_one("#head", Static).update(
            Content.assemble(
                (f" {self.job.record.number} ", "bold reverse"), f" {plain(walk.now.words)}  ·  conclusion"
            )
        )
        self.query_one("#found", Static).update(findings_text(walk))
        self.query_one("#ends", Static).update(self.ends_text(walk))

    def ends_text(self, walk: Walk) -> Content:
        """Return the ends by digit, or how the job was closed."""
        if walk.now.closed is not None:
            name = END_NAMES.get(walk.now.closed, walk.now.closed)  # type: ignore[call-overload]
            return say(f"Closed: {name}. {walk.now.close_text}".strip(), "bold")
        parts: list[Content | tuple[str, str]] = [("Close as  ", "bold")]
        for n, end in enumerate(ENDS, start=1):
            if walk.now.stopped is not None and end not in AFTER_STOP:
                continue
            picked = end == self.chosen
            parts.append((f"\u00a0{n}\u00a0", "bold $background on $accent" if picked else "bold reverse"))
            parts.append((f"\u00a0{END_NAMES[end].replace(' ', NO_BREAK)}   ", "bold" if picked else ""))
        if self.chosen is not None:
            parts.append(("Enter closes the job.", "bold $warning"))
        return Content.assemble(*parts)

    def action_answer(self, digit: int) -> None:
        """Choose an end by its digit; Enter closes."""
        now = self.job.walk.now
        offered = digit <= len(ENDS) and (now.stopped is None or ENDS[digit - 1] in AFTER_STOP)
        if now.closed is None and offered:
            self.chosen = ENDS[digit - 1]
            self.show()

    async def action_confirm(self) -> None:
        """Close the job as chosen."""
        if self.chosen is not None and await self.keep(lambda w: w.close(self.chosen or "")):
            self.tell(f"Closed: {END_NAMES[self.chosen]}.")
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
        text = await self.app.push_screen_wait(WriteCard("Work done"))
        if text and text.strip() and await self.keep(lambda w: w.work(text)):
            self.show()

    @work
    async def action_reopen(self) -> None:
        """Open a closed job again, with a reason; on another day the safety questions come first."""
        if self.job.walk.now.closed is None:
            self.tell("This job is open.", wrong=True)
            return
        reason = await self.app.push_screen_wait(WriteCard("Why is it opened again?"))
        if reason and await self.keep(lambda w: w.reopen(reason)):
            await self.job.new_day()
            self.show()

    @work(exclusive=True)
    async def action_report(self) -> None:
        """Write the report beside the casebook's reports and say where."""
        from graphviz_export.report_file import write_report

        folder = self.sootline.workshop.report_folder
        record = self.job.record
        self.tell("Writing the report …")
        try:
            for suffix in (".md", ".pdf"):
                out = folder / f"{record.number}{suffix}"
                await asyncio.to_thread(
                    lambda o=out: write_report(self.job.walk, record.number, o, invented=record.invented)  # type: ignore[misc]
                )
        except SootlineError as error:
            self.tell(str(error), wrong=True)
            return
        self.tell(f"Report: {folder / record.number}.pdf and .md")

    def action_to_job(self) -> None:
        """Go back to the question."""
        if self.chosen is not None:
            self.chosen = None
            self.show()
            return
        self.dismiss()


def findings_text(walk: Walk) -> Content:
    """Return what was found as text: three lists, what lacks its root, what is excluded."""
    book, result = walk.book, walk.conclusion
    rows = [Content.assemble(("Complaint  ", "bold"), plain(walk.now.words))]
    if walk.now.stopped is not None:
        stop = book.cautions.get(walk.now.stopped)
        rows.append(say(f" ▲ STOPPED FOR SAFETY: {(stop.stop_line or stop.text) if stop else walk.now.stopped} ", STOP))
        rows += [say(f"   {n} {line}") for n, line in enumerate(stop.then if stop else (), start=1)]
    if result.roots or result.consequences:
        told = "Root found." if result.root_found else "Not finished: something was found whose root was not."
        rows.append(say(told, "bold $success" if result.root_found else "bold $warning"))
    for title, ids in (
        ("Root: put right, so that it stays away", result.roots),
        ("Contributing: pointed at, not proven", result.contributing),
        ("Consequence: repaired, but not the reason", result.consequences),
    ):
        rows.append(say(title, "bold"))
        rows += [_cause(walk, cause_id) for cause_id in ids] or [say("   nothing", MUTED)]
    chances = {suspect.cause: suspect.probability for suspect in rank(walk)[0] if suspect.probability is not None}
    for consequence, candidates in roots_of(walk, chances).items():
        names = ", ".join(_candidate(walk, c, chances) for c in candidates[:6]) or "nothing in this book"
        rows.append(say(f" ? {book.causes[consequence].name} has no root yet. It may come from: {names}.", "$warning"))
    others = [c for c, f in walk.findings.items() if f.state == "hinted" and c not in result.contributing]
    if others:
        rows.append(say("Hinted at", "bold"))
        rows += [_cause(walk, c) for c in others]
    excluded = [c for c, f in walk.findings.items() if f.state == "ruled_out"]
    if excluded:
        rows.append(say("Ruled out", "bold"))
        rows += [_cause(walk, c) for c in excluded]
    contradicted = [c for c, f in walk.findings.items() if f.contradicted]
    for cause_id in contradicted:
        finding = walk.findings[cause_id]
        told = "; ".join(f"{r.sentence} ({r.state.replace('_', ' ')})" for r in finding.reasons)
        rows.append(say(f" ! {book.causes[cause_id].name}: found and ruled out. Which was wrong? {told}", "$warning"))
    advice = [book.causes[c].prevent for c in (*result.roots, *result.contributing) if book.causes[c].prevent]
    if advice:
        rows.append(say("So that it stays away", "bold"))
        rows += [say(f"   {line}") for line in dict.fromkeys(advice)]
    return lines(rows)


def _candidate(walk: Walk, cause_id: str, chances: Mapping[str, float]) -> str:
    chance = f"\u00a0({percent(chances[cause_id])})" if cause_id in chances else ""
    return f"{walk.book.causes[cause_id].name.lower()}{chance}"


def _cause(walk: Walk, cause_id: str) -> Content:
    finding = walk.findings[cause_id]
    reasons = [r for r in finding.reasons if r.state == finding.state]
    by = "; ".join(dict.fromkeys(r.sentence for r in reasons))
    return Content.assemble(f" ● {plain(walk.book.causes[cause_id].name)}", (f"   by: {plain(by)}", MUTED))
