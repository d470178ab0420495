"""Where the true causes of a worked job stand among the suspects, once all that the job tells is known."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from trees.book.model import Book
from trees.book.words import UNKNOWN
from trees.book.worked import WorkedJob
from trees.errors import SootlineError
from trees.walk.play import answered
from trees.walk.ranking import Suspect, apart, rank
from trees.walk.walk import Walk

FIRST_THREE = 3
FIRST_EIGHT = 8


@dataclass(frozen=True, slots=True)
class Placed:
    """The places of one job's true causes; 1 stands at the top, None: no suspect for this unit."""

    job: str
    main: int | None
    """Place of the best accepted main cause in its own list, roots or consequences, as the screen shows them."""
    overall: int | None
    """The same in one list of all causes."""
    ahead: tuple[str, ...]
    """Causes that stand before the main one in its list."""
    contributing: tuple[int | None, ...]
    """Places of the further causes in one list of all causes."""
    must_stop: str | None
    stopped: str | None
    untold: tuple[str, ...]
    """What the job answers and the walk did not take or judge: place, too many starts, a stop before, no plate."""
    trouble: str
    """Why the suspects can't be weighed; empty if they can."""


@dataclass(frozen=True, slots=True)
class Tally:
    """Counts over jobs that name a main cause or must stop."""

    jobs: int
    first: int
    among_three: int
    contributing: int
    among_eight: int
    must_stop: int
    stopped: int

    @classmethod
    def of(cls, placed: Iterable[Placed]) -> Tally:
        """Count over places of jobs."""
        rows = tuple(placed)
        named = [row for row in rows if row.must_stop is None]
        further = [place for row in named for place in row.contributing]
        stops = [row for row in rows if row.must_stop is not None]
        return cls(
            jobs=len(named),
            first=sum(row.main == 1 for row in named),
            among_three=sum(row.main is not None and row.main <= FIRST_THREE for row in named),
            contributing=len(further),
            among_eight=sum(place is not None and place <= FIRST_EIGHT for place in further),
            must_stop=len(stops),
            stopped=sum(row.stopped == row.must_stop for row in stops),
        )


def place_all(book: Book, jobs: Iterable[WorkedJob]) -> tuple[Placed, ...]:
    """Place the true causes of each job that names a main cause or a stop."""
    return tuple(place_job(book, job) for job in jobs if job.expect.main or job.expect.stopped)


def place_job(book: Book, job: WorkedJob) -> Placed:
    """
    Tell a job's answers one after the other, outside the order of its tree, and rank; never raises for a proved book.

    So the ranking is judged by all that was known, and not by what the tree happened to ask.
    """
    walk, untold = tell(book, job)
    suspects, trouble = rank(walk)
    lists = apart(walk, suspects)
    main, ahead = _best(lists, job.expect.main)
    overall, _ = _best((suspects,), job.expect.main)
    return Placed(
        job=job.id,
        main=main,
        overall=overall,
        ahead=ahead,
        contributing=tuple(_best((suspects,), (cause,))[0] for cause in job.expect.contributing),
        must_stop=job.expect.stopped,
        stopped=walk.now.stopped,
        untold=tuple(untold),
        trouble=trouble,
    )


def tell(book: Book, job: WorkedJob) -> tuple[Walk, list[str]]:
    """Return the walk that knows all that a job tells and that may be told at its place, and what was not taken."""
    walk = Walk.begin(book, words=job.words, tree=job.tree, place=job.place, family=job.family)
    walk = walk.taken_up("bench", "2026-01-01")
    while walk.question.kind == "gate":
        walk = next(answered(walk, job.answers, {}, at_most=1))
    untold = []
    figures = {name: UNKNOWN for name, check in book.checks.items() if check.figure}
    for name, given in {**job.answers, **figures}.items():
        if name not in book.checks:
            continue
        told = None if walk.now.stopped else _tell_one(walk, name, given, job.answers)
        if told is not None:
            walk = told
        if name not in figures and (told is None or (given != UNKNOWN and _unjudged(told, name))):
            untold.append(name)
    return walk, untold


def _unjudged(walk: Walk, check: str) -> bool:
    """Tell whether a reading was written down and says nothing, because its bands need a figure off the plate."""
    return bool(walk.book.checks[check].bands) and walk.now.givens[-1].answer == UNKNOWN


def _tell_one(walk: Walk, check: str, given: object, plate: Mapping[str, object]) -> Walk | None:
    """Return the walk after one check made aside, with figures off the `plate`; None where it is not taken."""
    try:
        aside = walk.leave_for(check)
        while aside.question.kind == "rated":  # the plate is asked first where the unit is not known
            aside = next(answered(aside, plate, {}, at_most=1))
        if aside.question.form == "figure" and aside.question.value is None:
            return None
        for caution in aside.question.unread:
            aside = aside.acknowledge(caution.id)
        told = next(answered(aside, {check: given}, {}, at_most=1))
        return None if aside.question.blocked and told.now.stopped is None else told
    except (SootlineError, StopIteration):
        return None


def _best(lists: Sequence[Sequence[Suspect]], accepted: Sequence[str]) -> tuple[int | None, tuple[str, ...]]:
    """Return the best place of any accepted cause in its list, and what stands before it there."""
    best: tuple[int | None, tuple[str, ...]] = (None, ())
    for place, ahead in _places(lists, frozenset(accepted)):
        if best[0] is None or place < best[0]:
            best = place, ahead
    return best


def _places(lists: Sequence[Sequence[Suspect]], accepted: frozenset[str]) -> Iterator[tuple[int, tuple[str, ...]]]:
    for listed in lists:
        names = [suspect.cause for suspect in listed]
        yield from (
            (names.index(cause) + 1, tuple(names[: names.index(cause)])) for cause in accepted if cause in names
        )
