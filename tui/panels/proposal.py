"""Under the suspects: the next check worth its minutes, or the fix where no check pays."""

from __future__ import annotations

from textual.content import Content

from trees.book.model import Book
from trees.language import _
from trees.suspects import Advice
from tui import draw
from tui.panels.quick_text import QuickText

WIDE = 40
"""Columns from which there is room for what could be done elsewhere."""


class ProposalPanel(QuickText):
    """What the reasoning proposes; the tree leads, this advises."""

    shown: tuple[Book, Advice, bool] | None = None
    """What is proposed; None where nothing is."""

    def on_resize(self) -> None:
        """Tell as much as there is room for now."""
        if self.shown is not None:
            book, advice, asked = self.shown
            self.show(book, advice, asked=asked)

    def working(self) -> None:
        """Say that the proposal follows."""
        self.shown = None
        self.update(draw.say(_("Next: working …"), draw.MUTED))

    def nothing(self) -> None:
        """Propose nothing: safety questions, a stop, a closed job, or answers that can't be weighed."""
        self.shown = None
        self.update("")

    def show(self, book: Book, advice: Advice, *, asked: bool = False) -> None:
        """
        Show the proposal with its minutes and what it saves, and the best that could be done elsewhere.

        `asked`: it is the very check that the question asks now, so there is nothing to leave the tree for.
        """
        self.shown, width = (book, advice, asked), self.content_size.width
        rows = [self._asked(advice) if asked else self._main(book, advice)]
        if width >= WIDE and advice.elsewhere and advice.elsewhere[0].saves >= 1:
            best = advice.elsewhere[0]
            wording = book.checks[best.check].wording
            told = _("Not here, though it would save {saves:.0f} min: {wording} {blocked}").format(
                wording=wording if wording.endswith("?") else f"{wording}.", saves=best.saves, blocked=best.blocked
            )
            rows.append(draw.say(told, draw.MUTED))
        self.update(draw.hung(draw.lines(rows), width) if width else draw.lines(rows))

    @staticmethod
    def _asked(advice: Advice) -> Content:
        worth = advice.check or advice.opening
        if worth is None:
            return Content("")
        why = _("  {minutes:g} min, saves {saves:.0f} min on average").format(minutes=worth.minutes, saves=worth.saves)
        return Content.assemble((_("Next: what is asked now is worth most."), "bold"), (why, draw.MUTED))

    @staticmethod
    def _main(book: Book, advice: Advice) -> Content:
        if advice.check is not None:
            worth = advice.check
            what = book.checks[worth.check].wording
            why = _("  {minutes:g} min, saves {saves:.0f} min on average").format(
                minutes=worth.minutes, saves=worth.saves
            )
        elif advice.opening is not None:
            what = _("Open the unit: {wording}").format(wording=book.checks[advice.opening.checks[0]].wording)
            why = _("  {minutes:g} min, saves {saves:.0f} min on average").format(
                minutes=advice.opening.minutes, saves=advice.opening.saves
            )
        elif advice.fix is not None and advice.fix.fix in book.fixes:
            return Content.assemble((_("Next: no check pays. "), "bold"), draw.plain(book.fixes[advice.fix.fix].do))
        else:
            return draw.say(_("Next: nothing left to propose."), draw.MUTED)
        return Content.assemble(
            ("a ", "bold reverse"), (_(" Next: {what}").format(what=draw.plain(what)), "bold"), (why, draw.MUTED)
        )


def proposed(advice: Advice) -> str | None:
    """Return the check that one key makes, or None where no check is proposed."""
    if advice.check is not None:
        return advice.check.check
    return advice.opening.checks[0] if advice.opening is not None else None
