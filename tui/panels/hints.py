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
) -> str:
    """Return one line that says what Enter does now, or how to go on."""
    if second is not None:
        return _("{second} Space confirms it, Esc goes back.").format(second=second[0])
    if changing is not None:
        return _("Changing an earlier answer. Esc leaves it as it was.")
    if chosen is not None:
        return _("Enter takes it. Any other digit chooses again.")
    if facts_left:
        return _("Intake: {facts_left} more after this. s passes it over, g ends the intake.").format(
            facts_left=facts_left
        )
    if question.known is not None:
        return _("Known from before: {means}. Enter takes it over.").format(
            means=question.known.means or question.known.typed
        )
    if question.before_repair is not None:
        return (
            _("Before the repair: {typed} {means}")
            .format(typed=question.before_repair.typed, means=question.before_repair.means)
            .strip()
        )
    if question.kind == "stop":
        return _("Nothing leads past this stop. c closes the job; a follow-up is a new job.")
    if question.kind == "end":
        return _("c shows what was found and closes the job.")
    if question.kind == "closed":
        return _("c shows the conclusion.")
    if question.form == "tick":
        return _("Digits tick, Enter confirms the list.")
    if question.form in {"reading", "readings"} and not question.blocked and not question.unread:
        return _("Enter takes it. Esc leaves the field: then 0 is cannot tell, digits the answers above.")
    if question.form == "figure" and question.value is not None:
        return _("Enter takes the figure.")
    if question.kind == "nothing":
        return _("m makes a check, c concludes.")
    last = next((item for item in reversed(walk.trail) if item.given is not None and not item.struck), None)
    if last is None or (question.kind == "gate" and not last.visit.startswith(question.visit.partition(":")[0])):
        return ""
    return _("Taken: {answered}. b takes it back.").format(answered=last.answered)
