"""`sootline weigh`: what a tree costs against the best order of the same checks, and against knowing the cause."""

from __future__ import annotations

import argparse
import sys
import time
from collections.abc import Iterator
from typing import TYPE_CHECKING, Any

from trees.errors import BookError
from trees.language import N_, Said, _
from tui.command_line import Exit
from tui.loading import book_for

if TYPE_CHECKING:
    from trees.book.model import Book
    from trees.book.words import Place
    from trees.suspects import Network
    from trees.walk.weighing import EndMiss, Estimate, StepCost, Turning, Weighing

LEAST_WRITTEN = 0.5
"""Of 100 jobs; below that an order has more turns than anybody reads."""
_SHOWN = 5
_RARE = 0.005
_QUIET_S = 2.0
"""Work that takes longer than this shows how far it is, on stderr."""
_BY = Said(
    {
        "tree": N_("the tree's own order"),
        "minutes": N_("most minutes saved per minute"),
        "bits": N_("most told per minute among the checks that pay"),
        "rollout": N_("looking ahead"),
    }
)


def run(options: argparse.Namespace) -> int:
    """Weigh the tree and print it."""
    from trees.text import json_text, printable
    from trees.walk.weighing import weigh_tree

    if options.order is not None and not LEAST_WRITTEN <= options.order <= 100:
        raise BookError(
            _("{order:g} of 100 jobs can't be written out; give {LEAST_WRITTEN:g} to 100.").format(
                order=options.order, LEAST_WRITTEN=LEAST_WRITTEN
            )
        )
    book = book_for(options)
    network = None if options.family is None else _network_for(book, options.family)
    bar = _Bar()
    try:
        weighing = weigh_tree(
            book,
            options.tree,
            causes=options.causes,
            rollout=options.rollout,
            place=options.place,
            network=network,
            order_to=None if options.order is None else options.order / 100,
            progress=bar.show,
        )
    finally:
        bar.end()
    if options.format == "json":
        print(json_text(as_json(book, weighing), indent=1))
    else:
        print("\n".join(printable(line) for line in as_text(book, weighing)))
    return Exit.FINE


def _network_for(book: Book, family_id: str) -> Network:
    """Return causes and signs of one class of unit: what such a unit can't have is left out."""
    from trees.suspects import Network

    family = book.families.get(family_id)
    if family is None:
        raise BookError(
            _("This book has no family named {family}. Its families are: {listed}.").format(
                family=family_id, listed=", ".join(book.families)
            )
        )
    return Network.of(book, {"medium": family.medium, "voltage": f"{family.voltage:g}"})


class _Bar:
    """How far the work is, on stderr, once it has taken a while."""

    def __init__(self) -> None:
        self._began = time.monotonic()
        self._shown = -1

    def show(self, part: float) -> None:
        percent = int(100 * part)
        if not sys.stderr.isatty():  # a log would keep every state of it
            return
        if percent > self._shown and time.monotonic() - self._began > _QUIET_S:
            self._shown = percent
            filled = percent // 5
            print(f"\r[{'#' * filled}{'.' * (20 - filled)}] {percent} %", end="", file=sys.stderr, flush=True)

    def end(self) -> None:
        if self._shown >= 0:
            print(file=sys.stderr)


def as_text(book: Book, weighing: Weighing) -> Iterator[str]:
    """Yield the lines for a person."""
    tree = book.trees[weighing.tree]
    kind = (
        _("one cause a job")
        if weighing.most_causes == 1
        else _("up to {most_causes} causes a job").format(most_causes=weighing.most_causes)
    )
    yield f"{tree.title} ({tree.id}), {kind}, {weighing.place}"
    yield _("Your tree: {author} to a working heater ({author_checks} of checks).").format(
        author=_minutes(weighing.author), author_checks=_minutes(weighing.author_checks)
    )
    yield (
        _("Best order found with the same checks: {best} ({best_checks} of checks), by {order}.").format(
            best=_minutes(weighing.best), best_checks=_minutes(weighing.best_checks), order=_BY[weighing.best_by]
        )
    )
    yield _("The tree takes {slower_per_cent:.0f} % more minutes than that order.").format(
        slower_per_cent=weighing.slower_per_cent
    )
    if tree.slower is not None:
        yield _("Its author says why ({per_cent:g} % when written): {because}").format(
            per_cent=tree.slower.per_cent, because=tree.slower.because
        )
    yield _("With the cause known from the start: {limit_minutes:.0f} min.").format(
        limit_minutes=weighing.limit_minutes
    )
    asked = book.checks.get(weighing.first_check or "")
    yield _("The best order asks first: {wording}").format(
        wording=asked.wording if asked else _("nothing, it begins with a fix")
    )
    yield ""
    yield _("Costliest steps, minutes of a job on average:")
    for cost in weighing.steps[:_SHOWN]:
        told = _told(book, weighing.place, cost)
        yield _("  {no}  {minutes:5.1f} min  reached in {reached}  {told}").format(
            no=cost.no, minutes=cost.minutes, reached=_times(cost.reached), told=told
        )
    yield ""
    yield (
        _("What the tree finds is right in {right} jobs, it finds nothing in {nothing}.").format(
            right=_of_100(weighing.right.value), nothing=_of_100(weighing.nothing.value)
        )
    )
    wrong = sorted((cost for cost in weighing.steps if cost.finds_wrong > _RARE), key=lambda cost: -cost.finds_wrong)
    for cost in wrong[:_SHOWN]:
        told = _told(book, weighing.place, cost)
        yield _("  {no}  finds what is not there in {finds_wrong}: {told}").format(
            no=cost.no, finds_wrong=_of_100(cost.finds_wrong), told=told
        )
    for miss in [miss for miss in weighing.ends if miss.wrong > _RARE][:_SHOWN]:
        reached, missed = _of_100(miss.reached), _of_100(miss.wrong)
        yield _("  {book}: ended there in {reached}, {missed} without a true cause").format(
            book=_end(book, miss), reached=reached, missed=missed
        )
    for cause, chance in weighing.missed[:_SHOWN]:
        if cause in book.causes:
            yield _("  missed: {name} in {chance}").format(name=book.causes[cause].name, chance=_of_100(chance))
    yield ""
    if weighing.order:
        yield _("The best order, by {order}; in front stands how many of 100 jobs get there:").format(
            order=_BY[weighing.order_by]
        )
        yield from (_turning(book, turning) for turning in weighing.order)
        yield ""
    if weighing.covers < 1:
        yield _("The {sets} likeliest sets of causes were followed, {covers:.0%} of all.").format(
            sets=weighing.sets, covers=weighing.covers
        )
    if weighing.drawn:
        yield _("Unlikely branches were drawn; ± is one standard error of that.")
    yield _("This weighs the book by its own shares, words and minutes. It measures no real job.")


def _turning(book: Book, turning: Turning) -> str:
    """Return one turn of an order in a line; the id of its check is what an author writes into a tree."""
    told = ", ".join(answer.means for answer in turning.said) or (_("none of these") if turning.depth else "")
    if turning.check is not None:
        then = _("{wording}  {minutes:g} min  ({check})").format(
            wording=turning.check.wording, minutes=turning.minutes, check=turning.check.id
        )
    else:
        fixes = [f"{book.fixes[fix].do.rstrip('.')} ({fix})" for fix in turning.fixes if fix in book.fixes]
        then = _("no check pays: {fixes}").format(fixes="; ".join(fixes))
    return f"{100 * turning.share:4.0f}  {'  ' * turning.depth}{told}{' → ' if told else ''}{then}"


def as_json(book: Book, weighing: Weighing) -> dict[str, Any]:
    """Return the same for a script; minutes are those of one job on average, chances 0..1."""
    slower = book.trees[weighing.tree].slower
    return {
        "tree": weighing.tree,
        "causes": weighing.most_causes,
        "place": weighing.place,
        "author_minutes": weighing.author.value,
        "author_error": weighing.author.error,
        "author_check_minutes": weighing.author_checks.value,
        "best_minutes": weighing.best.value,
        "best_error": weighing.best.error,
        "best_check_minutes": weighing.best_checks.value,
        "best_by": weighing.best_by,
        "slower_per_cent": weighing.slower_per_cent,
        "slower_because": slower.because if slower is not None else None,
        "limit_minutes": weighing.limit_minutes,
        "first_check": weighing.first_check,
        "costliest": _step_json(weighing.steps[0]) if weighing.steps else None,
        "right": weighing.right.value,
        "right_error": weighing.right.error,
        "nothing_found": weighing.nothing.value,
        "wrong": 1.0 - weighing.right.value,
        "steps": [_step_json(cost) for cost in weighing.steps],
        "ends": [
            {"tree": miss.tree, "step": miss.step, "no": miss.no, "reached": miss.reached, "wrong": miss.wrong}
            for miss in weighing.ends
        ],
        "missed": [{"cause": cause, "chance": chance} for cause, chance in weighing.missed],
        "checks": list(weighing.checks),
        "order": [
            {
                "depth": turning.depth,
                "share": turning.share,
                "said": [answer.id for answer in turning.said],
                "check": turning.check.id if turning.check is not None else None,
                "minutes": turning.minutes,
                "fixes": list(turning.fixes),
            }
            for turning in weighing.order
        ],
        "sets": weighing.sets,
        "covers": weighing.covers,
        "drawn": weighing.drawn,
        "edition": book.edition,
        "measures": "the book's own shares, words and minutes; no real job",
    }


def _step_json(cost: StepCost) -> dict[str, Any]:
    return {
        "tree": cost.tree,
        "step": cost.step,
        "no": cost.no,
        "minutes": cost.minutes,
        "reached": cost.reached,
        "finds_wrong": cost.finds_wrong,
    }


def _minutes(estimate: Estimate) -> str:
    error = f" ± {estimate.error:.1f}" if estimate.error else ""
    return _("{value:.0f}{error} min").format(value=estimate.value, error=error)


def _of_100(chance: float) -> str:
    return (
        _("{chance:.0f} of 100").format(chance=100 * chance)
        if chance >= _RARE or not chance
        else _("fewer than 1 of 100")
    )


def _times(a_job: float) -> str:
    """Tell how often a step is reached: a shared tree may be run more than once in a job."""
    return _("100 jobs {times:.0f} times").format(times=100 * a_job) if a_job > 1 + _RARE else _of_100(a_job)


def _told(book: Book, place: Place, cost: StepCost) -> str:
    step = book.trees[cost.tree].steps[cost.step]
    if step.kind == "do":
        return book.fixes[step.refers].do if step.refers in book.fixes else step.refers
    check = step.instead[place].check if place in step.instead else step.refers
    return book.checks[check].wording if check in book.checks else check


def _end(book: Book, miss: EndMiss) -> str:
    if not miss.tree:
        return _("Handover")
    from trees.book.words import END_NAMES

    step = book.trees[miss.tree].steps[miss.step]
    name = END_NAMES.get(step.refers, step.refers) if step.kind == "end" else step.kind.replace("_", " ")  # type: ignore[call-overload]
    return f"{miss.no} {name}"
