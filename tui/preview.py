"""How does a step look at the bench, on site and by phone? For an author, before anybody walks it."""

from __future__ import annotations

from dataclasses import dataclass

from textual.content import Content

from graphviz_export.limits import band_limits, spread_limit
from trees.book.model import Book, Check
from trees.book.tree import Step, Tree
from trees.book.words import END_NAMES, PLACES, Place
from trees.language import _
from trees.walk import Question
from trees.walk.question import PLACE_NAMES, ask
from trees.walk.replay import Situation
from trees.walk.travel import Travel, Visit
from tui import draw
from tui.draw import MUTED


@dataclass(frozen=True, slots=True)
class Preview:
    """A step as it is met at one place, in a job that knows nothing yet."""

    place: Place
    question: Question
    instead: bool = False
    """The step has a check of its own for this place."""
    notes: tuple[str, ...] = ()
    """What the walk does here that no question shows."""
    bands: tuple[str, ...] = ()
    """What a reading can mean, with its limits in words."""


def preview(book: Book, tree: Tree, step: Step, place: Place) -> Preview:
    """Return how a step is met at a place; the question is the walk's own."""
    key = f"{tree.id}.{step.id}"
    if step.kind == "check":
        return _of_check(book, tree, step, place)
    if step.kind == "do":
        return Preview(place, ask(book, Situation(place=place), Visit(key, tree, step)))
    if step.kind == "stop":
        return Preview(place, ask(book, Situation(place=place, stopped=step.refers)))
    if step.kind == "end":
        here = Travel((), "end", Visit(key, tree, step))
        return Preview(place, ask(book, Situation(place=place, travel=here)))
    unseen = Question(kind="nothing", visit=key, no=step.no, tree=tree, wording=_("Nothing is asked here."))
    return Preview(place, unseen, notes=(_passage(book, step),))


def previews(book: Book, tree: Tree, step: Step) -> tuple[Preview, ...]:
    """Return a step as it is met at all places, bench first."""
    return tuple(preview(book, tree, step, place) for place in PLACES)


def _of_check(book: Book, tree: Tree, step: Step, place: Place) -> Preview:
    instead = step.instead.get(place)
    check = book.checks[instead.check if instead else step.refers]
    visit = Visit(f"{tree.id}.{step.id}", tree, step, check)
    question = ask(book, Situation(place=place), visit)
    notes = []
    if instead is not None:
        notes.append(_("Instead of: {wording}").format(wording=book.checks[step.refers].wording))
    limits = {**check.applies, **step.applies}
    if limits:
        kinds = ", ".join(f"{name} {wanted}" for name, wanted in limits.items())
        notes.append(_("Passed over for a unit that is known not to be: {kinds}.").format(kinds=kinds))
    if check.inputs:
        notes.append(_("Worked out from earlier readings; those that are missing are asked first."))
    if place == "phone" and place not in check.place:
        notes.append(_leaves_phone(tree))
    return Preview(place, question, instead is not None, tuple(notes), _bands(check))


def _leaves_phone(tree: Tree) -> str:
    if tree.shared:
        return _("The walk passes it over and goes back to the tree that runs this one.")
    exit_step = tree.steps.get(tree.phone_exit or "")
    return (
        _("The walk passes it over and goes on at {no}.").format(no=exit_step.no)
        if exit_step
        else _("The walk stands still here.")
    )


def _passage(book: Book, step: Step) -> str:
    if step.kind == "return":
        return _("The walk goes back to the tree that runs this one.")
    other = book.trees.get(step.refers)
    if other is None:
        return _("The walk stands still here.")
    begin = other.steps.get(other.begin)
    coming = _(" and comes back") if step.kind == "run" else ""
    return _("The walk goes on into “{title}”{where}{coming}.").format(
        title=other.title, where=_(" at {no}").format(no=begin.no) if begin else "", coming=coming
    )


def _bands(check: Check) -> tuple[str, ...]:
    rows = [(band_limits(check, index), band.means) for index, band in enumerate(check.bands)]
    if check.spread is not None:
        rows.append((spread_limit(check.spread), check.spread.means))
    return tuple(f"{limits}: {means}" if limits else means for limits, means in rows)


# ── drawing ─────────────────────────────────────────────────────────────────


def drawn(shown: Preview) -> Content:
    """Return the preview as text: place, wording, cautions, what blocks it, answers."""
    question = shown.question
    parts: list[Content] = [_place_line(shown)]
    parts.append(draw.say(_wording(question), "bold $accent"))
    parts += [draw.say(text, MUTED) for text in (question.text, question.how) if text]
    if question.may_mistake:
        parts.append(
            draw.say(_("Callers may mistake: {may_mistake}").format(may_mistake=question.may_mistake), "$warning")
        )
    parts += _cautions(question, phone=shown.place == "phone")
    if question.blocked:
        parts.append(draw.say(_("Blocked: {blocked}").format(blocked=question.blocked), "bold $warning"))
    parts += [draw.say(note, "$warning") for note in shown.notes]
    parts += [draw.say(f"⌷ {label}", MUTED) for label in _fields(question)]
    parts += [draw.say(f"  {row}") for row in shown.bands]
    if question.kind in {"check", "work"}:
        parts += [
            draw.options(question, None, frozenset(), page=page, field=question.form in {"reading", "readings"})
            for page in range(draw.pages_of(question))
        ]
    parts += [draw.say(_("Bring: {thing}").format(thing=thing)) for thing in question.bring]
    return draw.lines(parts)


def _place_line(shown: Preview) -> Content:
    minutes = _("  {minutes:g} min").format(minutes=shown.question.minutes) if shown.question.minutes else ""
    own = _("  its own check") if shown.instead else ""
    return Content.assemble((f" {PLACE_NAMES[shown.place]} ", "bold reverse"), (minutes + own, MUTED))


def _wording(question: Question) -> str:
    if question.kind == "end":
        return END_NAMES.get(question.end, question.end)  # type: ignore[call-overload,no-any-return]
    return question.wording


def _cautions(question: Question, *, phone: bool) -> list[Content]:
    rows = [draw.caution_line(caution, short=False, phone=phone) for caution in question.cautions]
    if question.kind == "stop":
        rows += [draw.say(f" {n} {line}") for c in question.cautions for n, line in enumerate(c.then, start=1)]
    elif question.unread:
        rows.append(draw.say(_("No answer is taken before DANGER was read (r)."), MUTED))
    return rows


def _fields(question: Question) -> tuple[str, ...]:
    if question.check is None or question.blocked:
        return ()
    if question.form == "reading":
        times = _(", {repeat} readings").format(repeat=question.check.repeat) if question.check.repeat > 1 else ""
        return (_("in {unit}{times}").format(unit=question.unit, times=times),)
    return tuple(_("{label}, in {unit}").format(label=f.label or f.name, unit=f.unit) for f in question.check.readings)
