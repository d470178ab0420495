"""Does DANGER stand before its act, and does a caller do only what is listed: the safety of acts.

The walk shows the cautions of a step before its answers, has every DANGER acknowledged before an answer counts, and
asks the gate first. So a caution of the step itself stands before its act on every path, and what remains to be
proved is that no act goes without: whatever starts or runs the unit names a DANGER, and a stop is for one.
"""

from __future__ import annotations

from collections.abc import Iterator

from trees.book.draft import Draft
from trees.book.model import Book, Check, Fix, Spot
from trees.book.records import find, find_key
from trees.book.source import spot_of


def prove_danger(draft: Draft, book: Book) -> None:
    """Report starts without a DANGER before them, stops for less than a DANGER, and acts of a caller not listed."""
    if "caution" not in draft.unread:
        acts: list[Check | Fix] = [*book.checks.values(), *book.fixes.values()]
        for act in acts:
            _prove_start(draft, book, act)
        for caution, spot in _stops(draft, book):
            if caution in book.cautions and book.cautions[caution].grade != "DANGER":
                draft.findings.add(
                    "stop-not-danger",
                    f"a stop is final, and `{caution}` is only of {book.cautions[caution].grade}",
                    spot,
                    "name a caution of DANGER, or lead to an `end` instead",
                )
    for check in book.checks.values():
        _prove_acts(draft, check)


def _prove_start(draft: Draft, book: Book, act: Check | Fix) -> None:
    runs = isinstance(act, Check) and act.while_running
    if not (act.uses_start or runs):
        return
    unknown = any(name not in book.cautions for name in act.cautions)
    if unknown or any(book.cautions[name].grade == "DANGER" for name in act.cautions):
        return
    kind = "check" if isinstance(act, Check) else "fix"
    at = find_key(draft.node(kind, act.id), "uses_start" if act.uses_start else "while_running")
    draft.findings.add(
        "start-without-danger",
        f"`{act.id}` {'starts' if act.uses_start else 'runs'} the unit, and no caution of DANGER stands before it",
        spot_of(at) if at is not None else draft.key_spot(kind, act.id),
        "name it under `cautions`, such as exhaust gas where people are",
    )


def _stops(draft: Draft, book: Book) -> Iterator[tuple[str, Spot]]:
    """Yield every caution that stops a job, and where it is named."""
    for question in book.gate:
        for number, answer in enumerate(question.answers):
            if answer.stop is not None:
                at = find(draft.node("gate question", question.id), "answers", number, "stop")
                yield answer.stop, spot_of(at) if at is not None else draft.key_spot("gate question", question.id)
    for check in book.checks.values():
        if any(answer.stop is not None for answer in check.routes()):
            yield from _stops_of(draft, check)
    for tree in book.trees.values():
        for step in tree.steps.values():
            if step.kind == "stop":
                caution = book.cautions.get(step.refers)
                if caution is not None and caution.grade != "DANGER":  # a large tree is composed anew to find places
                    at = find(draft.node("step", tree.id, step.id), "stop")
                    yield step.refers, spot_of(at) if at is not None else draft.key_spot("step", tree.id, step.id)


def _stops_of(draft: Draft, check: Check) -> Iterator[tuple[str, Spot]]:
    node = draft.node("check", check.id)
    for key in ("answers", "bands", "or"):
        part = find(node, key)
        for answer in part.value if part is not None else ():
            at = find(answer, "stop")
            if at is not None:
                yield str(at.value), spot_of(at)


def _prove_acts(draft: Draft, check: Check) -> None:
    """Report a look or a reading by phone that does not say which of the allowed acts it takes."""
    if "phone" not in check.place or check.inside or check.acts or check.form not in {"look", "measure"}:
        return
    at = find_key(draft.node("check", check.id), check.form)
    draft.findings.add(
        "phone-acts",
        f"`{check.id}` may be asked by phone and does not say what the caller does for it",
        spot_of(at) if at is not None else draft.key_spot("check", check.id),
        "write `acts:` with names of `caller_may` in book.yaml, or `place: [bench, site]`",
    )
