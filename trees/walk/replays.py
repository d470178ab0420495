"""Does a worked job end where it says? If not: what is missing, and at which step it turned the wrong way."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

from trees.book.model import Book, Check, Fix, Spot
from trees.book.tree import Step
from trees.book.worked import WorkedJob
from trees.errors import SootlineError
from trees.language import _
from trees.walk.play import GIVE_UP, answered
from trees.walk.ranking import rank
from trees.walk.replay import gate_visit
from trees.walk.travel import Visit
from trees.walk.walk import Walk

StepKey = tuple[str, str]


@dataclass(frozen=True, slots=True)
class Turn:
    """The step at which a job went another way than its author meant."""

    tree: str
    step: str
    no: int
    why: str
    """One sentence: which answer, and what it closed off."""


@dataclass(frozen=True, slots=True)
class Replayed:
    """One worked job, walked again by this edition of the book."""

    job: str
    title: str
    spot: Spot | None
    faults: tuple[str, ...]
    """What is not as the job says; empty if it ends where it should."""
    turn: Turn | None
    """Only of a job that failed, and only where one step can be blamed."""
    end: str
    """Where it stands: `released at 412`, `stopped for carbon_monoxide`, `at 206`."""
    unasked: tuple[str, ...]
    """What the job answers and was never asked."""


def replay_all(book: Book) -> tuple[Replayed, ...]:
    """Walk every worked job of a book, in the author's order."""
    return tuple(replay_job(book, job) for job in book.worked.values())


def replay_job(book: Book, job: WorkedJob) -> Replayed:
    """Walk one worked job and compare it with what it expects; never raises for a job of a book that was proved."""
    begun = Walk.begin(book, words=job.words, tree=job.tree, place=job.place, family=job.family)
    begun = begun.taken_up("bench", "2026-01-01")
    walk = begun
    refused = ""
    try:
        for walk in answered(begun, job.answers, job.after_repair, at_most=job.at_most or GIVE_UP):  # noqa: B007
            pass
    except SootlineError as error:
        refused = str(error)
    faults = [_("an answer is not taken: {refused}").format(refused=refused)] if refused else []
    faults += _faults(walk, job)
    turn = None
    if faults:
        turn = _refused(walk, refused) if refused else _wrong_turn(walk, job)
    return Replayed(job.id, job.title, job.spot, tuple(faults), turn, _stands(walk), _unasked(walk, job))


def _faults(walk: Walk, job: WorkedJob) -> Iterator[str]:
    expect = job.expect
    for cause in expect.found:
        finding = walk.findings.get(cause)
        if finding is None or finding.state != "found":
            yield _("`{cause}` is not found").format(cause=cause) + (
                _(", only {state}").format(state=finding.state.replace("_", " ")) if finding else ""
            )
    if walk.now.stopped != expect.stopped:
        yield (
            _("it must stop for `{stopped}`, and it is {walk}").format(stopped=expect.stopped, walk=_stands(walk))
            if expect.stopped
            else (_("it is {walk}, which the job does not expect").format(walk=_stands(walk)))
        )
    elif expect.end is not None and (walk.question.kind, walk.question.end) != ("end", expect.end):
        yield _("it must end as `{end}`, and it is {walk}").format(end=expect.end, walk=_stands(walk))
    if expect.least:
        yield from _standing(walk, job)


def _standing(walk: Walk, job: WorkedJob) -> Iterator[str]:
    suspects, trouble = rank(walk)
    if trouble:
        yield _("the suspects can't be weighed: {trouble}").format(trouble=trouble)
        return
    places = {suspect.cause: (number, suspect.probability or 0.0) for number, suspect in enumerate(suspects, start=1)}
    for cause, least in job.expect.least.items():
        if cause not in places:
            yield _("`{cause}` is no suspect for this unit").format(cause=cause)
            continue
        number, probability = places[cause]
        if least.probability is not None and probability < least.probability:
            yield _("`{cause}` has probability {probability:.3f}, and must reach {probability_2:g}").format(
                cause=cause, probability=probability, probability_2=least.probability
            )
        if least.rank is not None and number > least.rank:
            yield _("`{cause}` stands in place {number}, and must reach {rank}").format(
                cause=cause, number=number, rank=least.rank
            )


def _stands(walk: Walk) -> str:
    question = walk.question
    if question.kind == "stop":
        return _("stopped for `{stopped}`").format(stopped=walk.now.stopped)
    at = _(" at step {no}").format(no=question.no) if question.no is not None else ""
    return (
        _("ended as `{end}`{at}").format(end=question.end, at=at)
        if question.kind == "end"
        else _("open{at}").format(at=at)
    )


def _unasked(walk: Walk, job: WorkedJob) -> tuple[str, ...]:
    asked = {given.subject for given in walk.now.givens} | {f"family.{name}" for name in walk.now.unit.by_hand}
    return tuple(name for name in dict.fromkeys([*job.answers, *job.after_repair]) if name not in asked)


def _refused(walk: Walk, why: str) -> Turn | None:
    question = walk.question
    if question.tree is None or question.no is None:
        return None
    step = question.visit.rpartition("/")[2].partition("<")[0].partition(".")[2]
    return Turn(
        question.tree.id, step, question.no, _("the answer of the job is not taken here: {why}").format(why=why)
    )


def _wrong_turn(walk: Walk, job: WorkedJob) -> Turn | None:
    """Return the last step from which what is missing could still be reached, with the answer that left it."""
    expect = job.expect
    if walk.now.stopped is not None and expect.stopped is None:
        return _stopped(walk)
    for cause in expect.found:
        finding = walk.findings.get(cause)
        if finding is None or finding.state != "found":
            turn = _left(
                walk,
                lambda step, cause=cause: _finds(walk.book, step, cause),  # type: ignore[misc]
                _("`{cause}` can be found").format(cause=cause),
            )
            if turn is not None:
                return turn
    if expect.end is not None and walk.question.end != expect.end:
        return _left(
            walk,
            lambda step: (step.kind, step.refers) == ("end", expect.end),
            _("it can end as `{end}`").format(end=expect.end),
        )
    if expect.stopped is not None and walk.now.stopped is None:
        return _left(
            walk,
            lambda step: _stops(walk.book, step, str(expect.stopped)),
            _("`{stopped}` can stop it").format(stopped=expect.stopped),
        )
    return None


def _stopped(walk: Walk) -> Turn | None:
    """Return the answer that stopped a job which its author wanted to go on."""
    for given in reversed(walk.now.givens):
        if not any(answer.stop for answer in given.chosen):
            continue
        why = _("answered `{means}`, which stops the job").format(means=given.means)
        gate = next((question for question in walk.book.gate if given.visit == gate_visit(1, question)), None)
        if gate is not None:
            return Turn("gate", gate.id, gate.no, why)
        visit = next((passed for passed in walk.now.travel.passed if passed.key == given.visit), None)
        return _turn(visit, why) if visit is not None else None
    passed = [visit for visit in walk.now.travel.passed if visit.answered is not None]
    last = passed[-1].answered if passed else None
    return (
        _turn(passed[-1], _("answered `{means}`, which leads to the stop").format(means=last.means))
        if last is not None
        else None
    )


def _left(walk: Walk, wanted: Callable[[Step], bool], what: str) -> Turn | None:
    """Return the last answered step whose sisters lead to a wanted step, when the way taken no longer does."""
    reach = _Reach(walk.book, wanted)
    passed = [visit for visit in walk.now.travel.passed if visit.answered is not None]
    turn: Turn | None = None
    for visit, following in zip(passed, [*passed[1:], walk.now.travel.visit], strict=bool(passed)):
        here = wanted(visit.step)
        if not (here or reach.from_visit(visit)):
            break
        answer = visit.answered.means if visit.answered is not None else ""
        if here and not (following is not None and reach.from_visit(following)):
            turn = _turn(
                visit,
                _("answered `{answer}`, which is not the answer by which {what}").format(answer=answer, what=what),
            )
        elif following is None or not reach.from_visit(following):
            turn = _turn(
                visit,
                _("answered `{answer}`, and behind that no step is left at which {what}").format(
                    answer=answer, what=what
                ),
            )
    return turn


def _turn(visit: Visit, why: str) -> Turn:
    return Turn(visit.tree.id, visit.step.id, visit.step.no, why)


class _Reach:
    """From which steps a wanted step can be reached by some answers."""

    def __init__(self, book: Book, wanted: Callable[[Step], bool]) -> None:
        self.book, self.wanted = book, wanted
        self.known: dict[StepKey, bool] = {}

    def from_visit(self, visit: Visit) -> bool:
        """Tell whether it can be reached from a visit, also behind the shared trees that come back from there."""
        frames = visit.key.partition("<")[0].split("/")
        key: StepKey | None = (visit.tree.id, visit.step.id)
        for frame in [*reversed(frames[:-1]), ""]:
            if key is not None and self._from(key):
                return True
            if not frame or (key is not None and not self._comes_back(key)):
                return False
            tree, _other, step = frame.partition(".")
            then = self.book.trees[tree].steps[step].then
            key = (tree, then) if then else None
        return False

    def _from(self, begin: StepKey) -> bool:
        if begin not in self.known:
            steps = (self.book.trees[tree].steps[step] for tree, step in self._all_from(begin))
            self.known[begin] = any(self.wanted(step) for step in steps)
        return self.known[begin]

    def _comes_back(self, begin: StepKey) -> bool:
        """Tell whether a shared tree can still return from there; at its own end or stop it can't."""
        there = (self.book.trees[tree].steps[step] for tree, step in self._all_from(begin) if tree == begin[0])
        return any(step.kind == "return" for step in there)

    def _all_from(self, begin: StepKey) -> set[StepKey]:
        seen: set[StepKey] = set()
        open_keys = [begin]
        while open_keys:
            key = open_keys.pop()
            if key not in seen and key[1] in self.book.trees[key[0]].steps:
                seen.add(key)
                open_keys += self._onward(key)
        return seen

    def _onward(self, key: StepKey) -> Iterator[StepKey]:
        step = self.book.trees[key[0]].steps[key[1]]
        yield from ((key[0], target) for _other, target in step.targets())
        if step.kind in {"run", "over_to"} and step.refers in self.book.trees:
            yield step.refers, self.book.trees[step.refers].begin


def _asked_at(book: Book, step: Step) -> Sequence[Check | Fix]:
    """Return the checks of a step, at any place, or its fix."""
    if step.kind == "do":
        return [book.fixes[step.refers]] if step.refers in book.fixes else []
    if step.kind != "check":
        return []
    names = [step.refers, *(instead.check for instead in step.instead.values())]
    return [book.checks[name] for name in names if name in book.checks]


def _finds(book: Book, step: Step, cause: str) -> bool:
    return any(
        cause in asked.cures
        if isinstance(asked, Fix)
        else any(cause in answer.finds for answer in (*asked.routes(), *asked.items))
        for asked in _asked_at(book, step)
    )


def _stops(book: Book, step: Step, caution: str) -> bool:
    if step.kind == "stop":
        return step.refers == caution
    checks = [asked for asked in _asked_at(book, step) if isinstance(asked, Check)]
    return any(answer.stop == caution for check in checks for answer in (*check.routes(), *check.items))
