"""What plain mode does with calls: when to call back, and how that went."""

from __future__ import annotations

from datetime import datetime

from trees.language import _
from trees.walk import beside
from tui.plain_beside import Beside
from tui.plain_words import is_word


class Calls(Beside):
    """The part of an open job that keeps call-backs."""

    async def call_back(self, rest: str) -> None:
        """Keep when to call back: a day, a time or both, and a text; reached or later says how it went."""
        from tui.due import due_of, shown_due

        waiting = self.walk.now.beside.waiting
        due = waiting is not None and waiting.for_what == "call_back"
        word, _other, more = rest.partition(" ")
        later = due and is_word(word, "later")
        if due and is_word(word, "reached"):
            await self.job.keep(beside.call_back(self.walk, reached=True, text=more))
            self.say(_("Reached."))
            return
        if not rest:
            told = shown_due(waiting.due) or _("without a time") if due and waiting else _("not wanted")
            self.say(_("Call-back: {told}").format(told=told))
            self.say(
                _("Type callback, then 16:30 or 2026-03-02 and a text; or callback reached, callback later 17:00.")
            )
            return
        when, text = due_of(more if later else rest, datetime.now().astimezone())
        if later:
            await self.job.keep(beside.call_back(self.walk, reached=False, due=when, text=text))
        else:
            await self.job.keep(beside.wait(self.walk, "call_back", when, text))
        self.say(_("Call-back {due} is kept in the job.").format(due=shown_due(when) or _("without a time")))
