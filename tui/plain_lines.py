"""A job as lines of text for plain mode: no colour, no cursor, nothing that a screen reader could not read out."""

from __future__ import annotations

import re
from collections.abc import Iterator

from trees.book.model import Caution
from trees.book.words import END_NAMES, GRADES, NOT_DONE, PLACES, PLACES_SHORT, EndKind, Place
from trees.figures.units import format_value
from trees.language import _
from trees.suspects import percent
from trees.walk import Question, TrailItem, Walk
from trees.walk.question import PLACE_NAMES
from trees.walk.ranking import rank
from trees.walk.walk import AFTER_STOP
from tui.emergency_lines import CARD, LAST
from tui.settings import Settings

MOST_SUSPECTS = 9
_SIGN = re.compile(r"^\s*[^\w\s(\"'“„<±+-]\s+")
"""A sign before a line, which the line says in words too."""
_BAR = re.compile(r"[█▉▊▋▌▍▎▏▓▒░·]{2,}|[├└┤─┊│●○◉]+")
"""A bar, beside which its number stands."""
_DRAWN = re.compile(r"[█▓░]|^0 .*\d ")
"""What explains a drawing: its signs, or the numbers under its axis."""
_GAP = re.compile(r"(?:\s+·)?\s{2,}")
"""What parts two pieces of a line on a screen."""


def question_lines(walk: Walk, question: Question) -> Iterator[str]:
    """Yield what is asked: cautions first, then the question, then the answers by number."""
    from tui.panels.phone import gate_progress, is_read_aloud

    gate = _("Safety first,") + gate_progress(walk, question).replace("  ", " ")
    where = gate if question.kind == "gate" else PLACE_NAMES[walk.now.place]
    if question.aside:
        where = _("aside; the tree waits, `tree` goes back to it")
    no = _("Step {no}, ").format(no=question.no) if question.no is not None else ""
    minutes = _(", {minutes:g} min").format(minutes=question.minutes) if question.minutes else ""
    yield f"{no}{where}{minutes}."
    if question.kind == "stop":
        yield _("STOP. This job is stopped for safety.")
        yield question.wording
        yield from (f"{n}. {line}" for c in question.cautions for n, line in enumerate(c.then, start=1))
        yield _("Nothing leads past this stop. `conclusion` closes the job; `follow-up` begins a new one.")
        return
    for caution in question.cautions:
        yield caution_line(caution, phone=walk.now.place == "phone")
    if question.unread:
        yield _("Type read once you have read it; no answer counts before.")
    if question.kind in {"end", "closed"}:
        head = _("Closed") if question.kind == "closed" else _("End")
        yield f"{head}: {END_NAMES.get(question.end, question.end)}"  # type: ignore[call-overload]
        if question.kind == "end" and question.text:
            yield _("Read aloud: {said}").format(said=question.text) if is_read_aloud(walk, question) else question.text
        yield from (_("Bring: {thing}").format(thing=thing) for thing in question.bring)
        yield _("`conclusion` shows what was found.")
        return
    if is_read_aloud(walk, question):
        yield _("Read aloud: {said}").format(said=question.wording)
    else:
        yield _("Question: {wording}").format(wording=question.wording)
    yield from (line for line in (question.text, question.how) if line)
    if question.may_mistake:
        yield _("Callers may mistake: {may_mistake}").format(may_mistake=question.may_mistake)
    if question.known is not None:
        yield _("Known from before: {means}. `take` takes it over.").format(
            means=question.known.means or question.known.typed
        )
    if question.before_repair is not None:
        yield (
            _("Before the repair: {typed} {means}")
            .format(typed=question.before_repair.typed, means=question.before_repair.means)
            .rstrip()
        )
    if question.only_danger:
        yield _("Not possible now: {blocked} Only a dangerous reading is taken here.").format(blocked=question.blocked)
        yield from _answer_lines(question)
    elif question.blocked:
        yield _("Not possible now: {blocked} Only 0 is open.").format(blocked=question.blocked)
    elif not question.unread:
        yield from _answer_lines(question)
    if question.kind in {"gate", "check", "work", "rated"}:
        zero = "cannot" if question.form == "reading" else "0"
        yield f"{zero}: {_(NOT_DONE) if question.kind == 'work' else _('cannot tell, not now')}"


def _answer_lines(question: Question) -> Iterator[str]:
    if question.form == "reading":
        repeat = question.check.repeat if question.check and question.kind == "check" else 1
        yield _("Type the reading in {unit} or any other unit").format(unit=question.unit) + (
            _(", {repeat} readings parted by spaces.").format(repeat=repeat) if repeat > 1 else "."
        )
    elif question.form == "readings":
        yield _("Type enter; the readings are then asked one by one.")
    elif question.form == "figure":
        if question.value is None:
            yield _("A reading that this needs was not taken: 0 goes on.")
        else:
            yield _("Worked out: {value}. `take` takes it.").format(value=format_value(question.value, question.unit))
    elif question.form == "tick":
        yield _("Type the numbers of all that is true, parted by spaces, or none.")
    before = "answer " if question.form in {"reading", "readings", "figure"} else ""
    for no, option in enumerate(question.options, start=1):
        if not question.takes(option):
            continue
        yield f"{before}{no}: {option.means}" + (_(" (this stops the job)") if option.stops else "")


def caution_line(caution: Caution, *, phone: bool) -> str:
    """Return one caution with its grade first."""
    text = caution.phone if phone and caution.phone else caution.text
    return f"{GRADES[caution.grade]}, {caution.word}: {text}"


def emergency_lines(settings: Settings) -> Iterator[str]:
    """Yield the emergency card."""
    yield _("EMERGENCY")
    yield settings.emergency_line()
    for title, steps in CARD:
        yield f"{_(title)}:"
        yield from (f"{n}. {_(step)}" for n, step in enumerate(steps, start=1))
    yield _(LAST)


def trail_line(item: TrailItem) -> str:
    """Return one line of the trail, what no longer counts with the reason."""
    number = _("step {step_no}: ").format(step_no=item.step_no) if item.step_no is not None else ""
    struck = _(" (no longer counts: {struck})").format(struck=item.struck) if item.struck else ""
    return f"{number}{item.asked}: {item.answered}{struck}"


def suspect_lines(walk: Walk) -> Iterator[str]:
    """Yield the suspects, what was really found first."""
    suspects, trouble = rank(walk)
    if trouble:
        yield trouble
    states = {"found": _("found"), "hinted": _("hinted at"), "ruled_out": _("ruled out")}
    for no, suspect in enumerate(suspects[:MOST_SUSPECTS], start=1):
        chance = percent(suspect.probability) if suspect.probability is not None else _("not ranked")
        if suspect.state == "ruled_out":  # it has no chance any more, whatever the answers about its signs would give
            yield f"{no}: {suspect.name}, {states['ruled_out']}"
            continue
        state = f", {states[suspect.state]}" if suspect.state in states else ""
        kind = _(", a consequence of another cause") if suspect.kind == "consequence" else ""
        yield f"{no}: {suspect.name}, {chance}{state}{kind}"


def ends(walk: Walk) -> tuple[EndKind, ...]:
    """Return the ends that the job can have, in the order in which they are numbered."""
    return tuple(end for end in END_NAMES if walk.now.stopped is None or end in AFTER_STOP)


def place_of(typed: str) -> Place | None:
    """Return the place that was typed, by its id or as it is said; None if it is none."""
    typed = typed.strip().lower()
    return next((place for place in PLACES if typed in {place, PLACES_SHORT[place].lower()}), None)


def in_words(text: str) -> Iterator[str]:
    """Yield the lines of a page of the screen without the signs and gaps that only an eye can read."""
    for line in text.splitlines():
        words = _BAR.sub(" ", _SIGN.sub("", line)).strip().replace("△ ", _("too few: "))
        if words and not _DRAWN.search(words):
            yield re.sub(r"([.:;?!,]),+ ", r"\1 ", _GAP.sub(", ", words))
