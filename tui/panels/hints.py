"""The one line under a question: what Enter does now, or how to go on."""

from __future__ import annotations

from trees.language import _
from trees.walk import Question, Walk


def hint_for(
    walk: Walk,
    question: Question,
    *,
    chosen: int | None,
    changing: str | None,
    second: tuple[str, object] | None,
    facts_left: int = 0,
    patient: bool = False,
    unsure: bool = False,
    field: bool = False,
) -> str:
    """Return one line that says what Enter does now, or how to go on."""
    if second is not None:
        return _("{second} Space confirms it, Esc goes back.").format(second=second[0])
    if patient:
        return _("A digit answers after all. Enter or 0: they can't tell. Esc: not yet.")
    if changing is not None:
        was = next((item.answered for item in walk.trail if item.visit == changing and not item.struck), "")
        return _("Changing an earlier answer: {was}. Esc leaves it as it was.").format(was=was)
    if chosen is not None and unsure:
        return _("Cannot tell counts as the marked answer. Enter takes it, a digit chooses another.")
    if chosen is not None:
        return _("Enter takes it. Any other digit chooses again.")
    if facts_left:
        told = (
            _("Intake: {facts_left} more after this. Esc leaves the field: then s passes it over, g ends the intake.")
            if field
            else _("Intake: {facts_left} more after this. s passes it over, g ends the intake.")
        )
        return " ".join(part for part in (told.format(facts_left=facts_left), _how_to_tick(question)) if part)
    if question.known is not None:
        return _("Known from before: {means}. Enter takes it over.").format(
            means=question.known.means or question.known.typed
        )
    if question.before_repair is not None and not field:  # beside a field it stands with what is typed
        return before_repair(question)
    if question.kind == "stop" and walk.now.place == "phone":
        return _("Nothing leads past this stop. q keeps when to call back, u begins a follow-up.")
    if question.kind == "stop":
        return _("Nothing leads past this stop. c closes the job; a follow-up is a new job.")
    if question.kind == "end":
        if walk.now.place == "phone":
            return _("p hands the same job over to the bench. c closes it. q keeps when to call back.")
        return _("c shows what was found and closes the job.")
    if question.kind == "closed":
        return _("c shows the conclusion.")
    if question.form == "tick":
        return _how_to_tick(question)
    if question.form == "readings" and field:
        return _("Enter goes on and, in the last field, takes them. Esc leaves the field: then 0 is cannot tell.")
    if question.form in {"reading", "readings"} and not field and not question.blocked and not question.unread:
        return (
            _("Tab goes back into the field. 0 is cannot tell, digits the answers above.")
            if question.options
            else _("Tab goes back into the field. 0 is cannot tell.")
        )
    if question.form == "reading" and field:
        return (
            _("Enter takes it. Esc leaves the field: then 0 is cannot tell, digits the answers above.")
            if question.options
            else _("Enter takes it. Esc leaves the field: then 0 is cannot tell.")
        )
    if question.form == "figure" and question.value is not None:
        return _("Enter takes the figure.")
    if question.kind == "nothing":
        return _("m makes a check, c concludes.")
    last = next((item for item in reversed(walk.trail) if item.given is not None and not item.struck), None)
    if last is None or (question.kind == "gate" and not last.visit.startswith(question.visit.partition(":")[0])):
        return ""
    return _("Taken: {answered}. b takes it back.").format(answered=last.answered)


def _how_to_tick(question: Question) -> str:
    return _("Digits tick, Enter confirms the list.") if question.form == "tick" else ""


def before_repair(question: Question) -> str:
    """Return what was found here before the repair; empty where nothing was."""
    earlier = question.before_repair
    if earlier is None:
        return ""
    return _("Before the repair: {typed} {means}").format(typed=earlier.typed, means=earlier.means).strip()


def not_taken(question: Question, walk: Walk) -> str:
    """Say which readings a figure lacks, by the wording of their checks."""
    known, book = walk.now.known, walk.book
    inputs = question.check.inputs.values() if question.check is not None else ()
    lacking = [reference for reference in inputs if known is None or known.value(reference) is None]
    asked = dict.fromkeys(reference.removeprefix("figure.").partition(".")[0] for reference in lacking)
    told = [book.checks[check].wording for check in asked if check in book.checks]
    if not told:
        return _("A reading that this needs was not taken: 0 goes on.")
    return _("This needs what was not taken: {readings}. 0 goes on.").format(readings="; ".join(told))
