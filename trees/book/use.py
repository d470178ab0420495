"""Is everything in the book of use: do trees ask the checks, do checks observe the signs, can paths find the causes.

Asked only of a book without errors: whatever hangs on something broken would seem of no use.
"""

from __future__ import annotations

from collections.abc import Iterator

from trees.book.draft import Draft
from trees.book.model import Book, Check
from trees.book.tree import Step


def prove_use(draft: Draft, book: Book) -> None:
    """Warn of checks, signs and causes that no walk ever comes to."""
    asked = asked_checks(book)
    for check in book.checks.values():
        if check.id not in asked:
            draft.findings.add(
                "unused-check",
                f"no tree asks the check `{check.id}`",
                draft.key_spot("check", check.id),
                "ask it in a step, take it out, or write `intake: true` for a question of the intake",
            )
    observed = observed_signs(book)
    for name in book.signs:
        if name not in observed:
            draft.findings.add(
                "unobserved-sign",
                f"no check observes the sign `{name}`",
                draft.key_spot("sign", name),
                f"write `says: {{{name}: …}}` in the answer that shows it, or take the sign out",
            )
    found = _found_causes(book, asked)
    led_to = {consequence for cause in book.causes.values() for consequence in cause.leads_to}
    for cause in book.causes.values():
        if not cause.shows:
            draft.findings.add(
                "unseen-cause",
                f"the cause `{cause.id}` shows in no sign, so that no answer makes it likelier",
                draft.key_spot("cause", cause.id),
                "write `shows:` and the signs by which it is known",
            )
        if cause.kind == "consequence" and cause.id not in led_to:
            draft.findings.add(
                "rootless-consequence",
                f"no cause leads to the consequence `{cause.id}`: a job in which it is found is never solved",
                draft.key_spot("cause", cause.id),
                f"write `leads_to: [{cause.id}]` in the causes that may break it, or make it `both`",
            )
        if cause.id not in found:
            draft.findings.add(
                "unreached-cause",
                f"on no path the cause `{cause.id}` can be found",
                draft.key_spot("cause", cause.id),
                "let a look or a reading of some tree find it, or do work that cures it",
            )


def asked_checks(book: Book) -> set[str]:
    """Return the checks that some step asks, that a figure needs, or that the intake asks."""
    asked = {check.id for check in book.checks.values() if check.intake}
    open_ids = [name for step in _steps(book) for name in _checks_of(step)]
    while open_ids:
        name = open_ids.pop()
        if name in book.checks and name not in asked:
            asked.add(name)
            open_ids += _needed_by(book.checks[name])
    return asked


def observed_signs(book: Book) -> set[str]:
    """Return the signs of which a check, a gate question or a complaint says something."""
    answers = [answer for check in book.checks.values() for answer in (*check.routes(), *check.items)]
    answers += [answer for question in book.gate for answer in question.answers]
    signs = {sign for answer in answers for sign in (*answer.says, *answer.otherwise)}
    return signs | {sign for tree in book.trees.values() for sign in tree.complaint_says}


def _steps(book: Book) -> Iterator[Step]:
    for tree in book.trees.values():
        yield from tree.steps.values()


def _checks_of(step: Step) -> Iterator[str]:
    if step.kind == "check":
        yield step.refers
        yield from (instead.check for instead in step.instead.values())


def _needed_by(check: Check) -> Iterator[str]:
    yield from (ref.partition(".")[0] for ref in check.inputs.values())
    yield from (base.removeprefix("figure.") for base in check.of if base.startswith("figure."))


def _found_causes(book: Book, asked: set[str]) -> set[str]:
    """Return the causes that more than words can find in some tree, or that work in one cures."""
    checks = [book.checks[name] for name in asked if book.checks[name].proof != "words"]
    found = {cause for check in checks for answer in (*check.routes(), *check.items) for cause in answer.finds}
    fixes = [book.fixes[step.refers] for step in _steps(book) if step.kind == "do" and step.refers in book.fixes]
    return found | {cause for fix in fixes for cause in fix.cures}
