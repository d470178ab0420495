"""A question as the operator needs it: what to read aloud, what the caller sees, patience when they can't tell."""

from __future__ import annotations

from textual.content import Content

from trees.language import N_, _, quoted
from trees.walk import Question, Walk
from tui import draw
from tui.draw import MUTED

CAREFUL = N_("No hurry. Say: “Take your time, I stay on the line.” Ask once more; 0 again: they can't tell.")


SENT_ON = frozenset({"to_workshop", "to_licensed"})
"""Ends whose sentence is for the caller: what they do, and leave alone, until somebody looks at it."""


def is_read_aloud(walk: Walk, question: Question) -> bool:
    """Tell whether the question, or the last word of a call, is put to a caller."""
    if walk.now.place != "phone":
        return False
    if question.kind == "end":
        return question.end in SENT_ON and bool(question.text)
    if question.kind == "rated":  # a caller knows 12 V or 24 V; anything else of the plate is the operator's to look up
        return question.form == "choice"
    return question.kind in {"gate", "check", "work"} and not question.blocked


def read_aloud(question: Question) -> Content:
    """Return the sentence to read aloud; it stands alone, with air around it."""
    said = question.text if question.kind == "end" else question.wording
    if question.unread:  # else the caller has done it before the caution is read
        first = Content.styled(_("Not yet: read the caution below first"), "bold $warning")
        return draw.lines([first, draw.say(f"“{said}”", MUTED)])
    return draw.lines([Content.styled(_("Read aloud"), MUTED), draw.say(quoted(said), "bold")])


def gate_progress(walk: Walk, question: Question) -> str:
    """Return how far the safety opening is; empty for any other question."""
    if question.kind != "gate":
        return ""
    asked = [q for q in walk.book.gate if walk.now.place in q.place]
    at = len(asked) - len(walk.now.gate_left) + 1
    return _("  {at} of {n}").format(at=at, n=len(asked))


def what_they_see(question: Question) -> Content:
    """Return what the caller does and sees, and what they easily mix up."""
    rows = [draw.say(question.text, MUTED)] if question.text and question.kind != "end" else []
    if question.how and question.kind == "rated":
        rows.append(draw.say(question.how, MUTED))
    elif question.how:
        rows.append(Content.assemble((_("What it looks like: "), MUTED), draw.plain(question.how)))
    if question.may_mistake:
        rows.append(Content.assemble((_("Watch for: "), "bold"), draw.plain(question.may_mistake)))
    return draw.lines(rows)


def patient_hint(question: Question) -> Content:
    """Return how to help a caller who can't tell, before that is taken as the answer."""
    rows = [draw.say(f"♡ {_(CAREFUL)}", "bold $success")]
    if question.may_mistake:
        rows.append(draw.say(_("Perhaps: {may_mistake}").format(may_mistake=question.may_mistake)))
    return draw.lines(rows)


def needs_patience(walk: Walk, question: Question) -> bool:
    """Tell whether cannot-tell is answered with help first: a caller was asked to look, not the operator."""
    return is_read_aloud(walk, question) and question.kind == "check"
