"""What is asked now: one question with its wording for the place, its answers, its cautions, and what blocks it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from trees.book.model import Book, Caution, Check, Fix, GateQuestion
from trees.book.tree import Tree
from trees.book.words import UNKNOWN, WORK_ANSWERS, Place, going_on, rated_name
from trees.language import N_, Said, _, listed_or
from trees.walk.answers import Given
from trees.walk.judge import band_edges
from trees.walk.replay import Situation, gate_visit, in_handover
from trees.walk.travel import Visit
from trees.walk.unit import Missing

Kind = Literal["gate", "check", "work", "rated", "end", "stop", "closed", "nothing"]
Form = Literal["choice", "reading", "readings", "tick", "figure", "none"]

PLACE_NAMES: Mapping[Place, str] = Said(
    {"bench": N_("at the bench"), "site": N_("where it is fitted"), "phone": N_("by phone")}
)


@dataclass(frozen=True, slots=True)
class Option:
    """One answer to choose."""

    id: str
    means: str
    stops: bool = False
    """Ends the job for safety; takes a second, different key."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Question:
    """What is asked now, or why nothing is."""

    kind: Kind
    form: Form = "none"
    visit: str = ""
    no: int | None = None
    """Step number, the same on screen, on paper and on the telephone."""
    tree: Tree | None = None
    wording: str = ""
    how: str = ""
    text: str = ""
    """The step's own sentence, or how an end is told."""
    may_mistake: str = ""
    options: tuple[Option, ...] = ()
    check: Check | None = None
    fix: Fix | None = None
    gate: GateQuestion | None = None
    rated_name: str = ""
    unit: str = ""
    cautions: tuple[Caution, ...] = ()
    unread: tuple[Caution, ...] = ()
    """DANGER cautions that must be acknowledged before any answer counts."""
    known: Given | None = None
    """The same check, answered before in this job: one key takes it over."""
    before_repair: Given | None = None
    blocked: str = ""
    """Why it can't be done here and now; only cannot-tell is open then."""
    value: float | None = None
    """A figure, worked out from earlier readings."""
    stopping: frozenset[str] = frozenset()
    """Answers and bands that end the job for safety."""
    end: str = ""
    bring: tuple[str, ...] = ()
    aside: bool = False
    """A check outside the tree; the tree waits."""
    minutes: float = 0.0

    @property
    def only_danger(self) -> bool:
        """Tell whether nothing but an answer that stops the job is taken: danger told is never refused."""
        return bool(self.blocked and self.stopping) and self.form in {"reading", "choice"}

    def takes(self, option: Option) -> bool:
        """Tell whether an answer is open here and now."""
        return not self.blocked or option.stops


def ask(book: Book, now: Situation, visit: Visit | None = None) -> Question:
    """Return the present question, or the question of an earlier visit that is to be changed."""
    if visit is not None:
        return _of_visit(book, now, visit)
    if now.closed is not None:
        return Question(kind="closed", end=now.closed, text=now.close_text)
    if now.stopped is not None:
        caution = book.cautions.get(now.stopped)
        line = (caution.stop_line or caution.text) if caution else now.stopped
        return Question(kind="stop", wording=line, cautions=(caution,) if caution else ())
    if now.gate_left:
        return _gate(book, now, now.gate_left[0])
    if now.aside is not None:
        return _of_visit(book, now, now.aside, aside=True)
    here = now.travel.visit
    if here is None:
        return Question(kind="nothing", wording=_("No tree leads on from here."))
    if now.travel.here == "end":
        step = here.step
        return Question(
            kind="end", visit=here.key, no=step.no, tree=here.tree, end=step.refers, text=step.text, bring=step.bring
        )
    return _of_visit(book, now, here)


def _gate(book: Book, now: Situation, question: GateQuestion) -> Question:
    wording = question.phone if now.place == "phone" and question.phone else question.ask
    cautions = tuple(book.cautions[c] for c in question.cautions if c in book.cautions)
    return Question(
        kind="gate",
        form="choice",
        visit=gate_visit(now.gate_round, question),
        no=question.no,
        wording=wording,
        options=tuple(Option(a.id, a.means, bool(a.stop)) for a in question.answers),
        gate=question,
        cautions=cautions,
    )


def _of_visit(book: Book, now: Situation, visit: Visit, *, aside: bool = False) -> Question:
    if visit.check is None and visit.step.kind == "do":
        return _work(book, now, visit)
    if visit.check is None:
        return Question(
            kind="nothing",
            visit=visit.key,
            no=visit.step.no,
            tree=visit.tree,
            wording=_("This edition of the book has no way on from this step."),
        )
    return _check(book, now, visit, visit.check, aside=aside)


def _work(book: Book, now: Situation, visit: Visit) -> Question:
    fix = book.fixes.get(visit.step.refers)
    if fix is None:
        return Question(
            kind="nothing", visit=visit.key, no=visit.step.no, wording=_("This work is no longer in the book.")
        )
    cautions, unread = _cautions(book, now, fix.cautions)
    blocked = "" if now.place in fix.place else _("Not {place}.").format(place=PLACE_NAMES[now.place])
    if now.place == "phone" and fix.who != "caller":
        blocked = _("A caller may not do this.")
    blocked = blocked or _no_start(book, now, uses_one=fix.uses_start)
    return Question(
        kind="work",
        form="choice",
        visit=visit.key,
        no=visit.step.no,
        tree=visit.tree,
        wording=fix.phone if now.place == "phone" and fix.phone else fix.do,
        how=fix.how,
        text=visit.step.text,
        options=tuple(Option(i, m, _stops(visit, i)) for i, m in WORK_ANSWERS.items() if not blocked),
        fix=fix,
        cautions=cautions,
        unread=unread,
        blocked=blocked,
        minutes=fix.minutes,
    )


def _check(book: Book, now: Situation, visit: Visit, check: Check, *, aside: bool) -> Question:
    cautions, unread = _cautions(book, now, check.cautions)
    blocked = why_blocked(book, now, check)
    missing = _missing_rating(now, check)
    if missing is not None and not blocked:
        return _rated(visit, check, missing, aside=aside)
    earlier = now.known.of(check.id) if now.known else None
    takes_over = earlier is not None and earlier.visit != visit.key and earlier.answer != UNKNOWN
    stale = takes_over and earlier is not None and _after_repair(book, now, visit) and not earlier.after_repair
    value = now.known.figure(check.id) if now.known and check.form == "figure" else None
    return Question(
        kind="check",
        form=form_of(check),
        visit=visit.key,
        no=None if aside else visit.step.no,
        tree=visit.tree,
        wording=check.phone if now.place == "phone" and check.phone else check.wording,
        how=check.how,
        text="" if aside else visit.step.text,
        may_mistake=check.may_mistake if now.place == "phone" else "",
        options=_options(check, visit),
        check=check,
        unit=check.unit,
        cautions=cautions,
        unread=() if blocked else unread,
        known=earlier if takes_over and not stale else None,
        before_repair=earlier if stale else None,
        blocked=blocked,
        value=value,
        stopping=frozenset(a.id for a in check.routes() if a.stop or _stops(visit, a.id)),
        aside=aside,
        minutes=check.minutes,
    )


def _after_repair(book: Book, now: Situation, visit: Visit) -> bool:
    here = now.travel.visit
    return in_handover(book, here.key if visit.key.startswith("aside:") and here is not None else visit.key)


def form_of(check: Check) -> Form:
    """Return how a check is answered on screen."""
    if check.form in {"ask", "look"}:
        return "choice"
    if check.form == "measure":
        return "readings" if check.readings else "reading"
    return "figure" if check.form == "figure" else "tick"


def _options(check: Check, visit: Visit) -> tuple[Option, ...]:
    answers = check.items if check.form == "tick" else (*check.answers, *check.extra)
    return tuple(Option(a.id, a.means, bool(a.stop) or _stops(visit, a.id)) for a in answers)


def _stops(visit: Visit, answer: str) -> bool:
    own = visit.step
    other = next((i for i in own.instead.values() if visit.check is not None and i.check == visit.check.id), None)
    way = other.go.get(answer) if other is not None else own.go.get(answer, own.then)
    target = visit.tree.steps.get(way or "")
    return target is not None and target.kind == "stop"


def _rated(visit: Visit, check: Check, name: str, *, aside: bool) -> Question:
    voltage = name == "voltage"
    what = rated_name(name)
    return Question(
        kind="rated",
        form="choice" if voltage else "reading",
        visit=visit.key,
        no=None if aside else visit.step.no,
        tree=visit.tree,
        wording=_("Is it a 12 V or a 24 V unit?")
        if voltage
        else _("What does the plate or the maker's manual give: {what}, in {unit}?").format(what=what, unit=check.unit),
        how=_(
            "The reading that follows is judged by it; the job records that it was entered by hand. "
            "Naming the class of unit (f) gives all of its class values at once."
        ),
        options=tuple(Option(volts, f"{volts} V") for volts in ("12", "24")) if voltage else (),
        check=check,
        rated_name=name,
        aside=aside,
        unit="V" if voltage else check.unit,
    )


def _missing_rating(now: Situation, check: Check) -> str | None:
    """Return the family value that the bands still want, unless it was asked for in vain."""
    if not check.bands or now.known is None:
        return None
    edges = band_edges(check, now.unit, now.known.figure)
    if isinstance(edges, Missing) and edges.name not in now.unit.not_to_be_had:
        return edges.name
    return None


def _cautions(book: Book, now: Situation, ids: tuple[str, ...]) -> tuple[tuple[Caution, ...], tuple[Caution, ...]]:
    shown = tuple(book.cautions[c] for c in ids if c in book.cautions)
    unread = tuple(c for c in shown if c.grade == "DANGER" and c.id not in now.acknowledged)
    return shown, unread


def why_blocked(book: Book, now: Situation, check: Check) -> str:
    """Say why a check can't be made here and now; empty if it can."""
    if now.place not in check.place:
        places = listed_or(PLACE_NAMES[p] for p in check.place)
        return _("This is done {places}, not {place}.").format(places=places, place=PLACE_NAMES[now.place])
    return _no_start(book, now, uses_one=check.uses_start, needs_run=check.while_running)


def no_start(book: Book, now: Situation) -> str:
    """Say what forbids starts, and which repair lifts it; empty where starts are free."""
    if not now.starts_forbidden:
        return ""
    reason = going_on(now.starts_forbidden, book.language)
    fixes = [going_on(book.fixes[f].do.rstrip("."), book.language) for f in now.starts_wait_for if f in book.fixes]
    if not fixes:
        return _("No start in this job: {reason}.").format(reason=reason)
    return _(
        "No start in this job: {reason}. What lifts it: {fixes}; or the same check, made again and found otherwise."
    ).format(reason=reason, fixes=listed_or(fixes))


def _no_start(book: Book, now: Situation, *, uses_one: bool, needs_run: bool = False) -> str:
    """Say why no start, or no run, may be made; what needs neither is never blocked by it."""
    if not (uses_one or needs_run):
        return ""
    if now.starts_forbidden:
        return no_start(book, now)
    limit = book.start_limit.get(now.place)
    if uses_one and limit is not None and now.starts_used >= limit:
        return _("{starts_used} starts were made in this job; the book allows {limit} {place}.").format(
            starts_used=now.starts_used, limit=limit, place=PLACE_NAMES[now.place]
        )
    return ""
