"""Why the suspects of a job stand as they do, and what to do next: the job's answers put to the reasoning."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import cache, lru_cache

from trees.book.model import Book, Check, Fix
from trees.book.words import NOT_DONE, UNKNOWN, WORK_ANSWERS
from trees.language import _
from trees.suspects import (
    Advice,
    Evidence,
    Network,
    Observed,
    Pair,
    Tried,
    Turn,
    Why,
    blend,
    pairs,
    rank_checks,
    turns,
    why,
)
from trees.walk.near_edges import likely_bands
from trees.walk.question import PLACE_NAMES, no_start, why_blocked
from trees.walk.walk import Walk

COMPLAINT = "complaint"
"""Label of what the complaint itself says; every other answer bears its visit."""
TURNS_TOLD = 3
"""So many answers that would change my mind are told of one cause."""


@dataclass(frozen=True)
class _Model:
    """A book and the limits of a unit, compared by the book's fingerprint."""

    book: Book
    applies: tuple[tuple[str, str], ...]

    def __hash__(self) -> int:
        return hash((self.book.fingerprint, self.applies))

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _Model) and self.book is other.book and self.applies == other.applies


@lru_cache(maxsize=8)
def _network(model: _Model) -> Network:
    return Network.of(model.book, dict(model.applies))


def network_of(walk: Walk) -> Network:
    """Return the network of the job's unit; SuspectsError for a book without causes."""
    return _network(_Model(walk.book, tuple(sorted(walk.now.unit.applies().items()))))


def evidence_of(walk: Walk) -> tuple[Network, Evidence]:
    """Return the network of the job's unit and all its answers in order; SuspectsError for a book without causes."""
    network = network_of(walk)
    soft = _near_edges(walk, network)
    told: list[tuple[int, Observed | Tried]] = list(soft)
    softly = {item.sign for _other, item in soft}
    for sign, seen in walk.observations.items():
        if sign in network.signs and sign not in softly:
            no, by = (seen.given.no, seen.given.visit) if seen.given is not None else (0, COMPLAINT)
            told.append((no, Observed(sign, seen.level, by=by)))
    # Only a fix that did not help is a trial: one that helped may have cured a consequence and left its root.
    for given in walk.now.givens:
        if given.check is None and given.answer == "still" and given.subject in walk.book.fixes:
            cures = walk.book.fixes[given.subject].cures
            told.append((given.no, Tried(tuple(c for c in cures if c in network.index), "still", by=given.visit)))
    told.sort(key=lambda row: row[0])
    return network, Evidence().adding(item for _other, item in told)


def _near_edges(walk: Walk, network: Network) -> list[tuple[int, Observed]]:
    """Return what the readings near a band edge say, each band by its probability; the stronger proof still decides."""
    known = walk.now.known
    told: list[tuple[int, Observed]] = []
    for given in walk.now.givens:
        if known is None or given.check is None or given.after_repair or known.of(given.check.id) is not given:
            continue
        bands = likely_bands(walk.book, given, known)
        for item in blend(bands, by=given.visit) if len(bands) > 1 else ():
            seen = walk.observations.get(item.sign)
            if item.sign in network.signs and (seen is None or seen.given is given):
                told.append((given.no, item))
    return told


def answers_told(walk: Walk) -> dict[str, str]:
    """Return label → the question and its answer in the book's words, for every answer that counts."""
    gate = {question.id: question.ask for question in walk.book.gate}
    told = {COMPLAINT: _("The complaint, {words}").format(words=_open_ended(walk.now.words))}
    for given in walk.now.givens:
        answer = ": ".join(part for part in (given.told, given.means) if part) or given.answer
        if given.check is not None:
            told[given.visit] = f"{_open_ended(given.check.wording)}: {answer}"
        elif given.subject in walk.book.fixes:
            answer = WORK_ANSWERS.get(given.answer, _(NOT_DONE))
            told[given.visit] = f"{_open_ended(walk.book.fixes[given.subject].do)}: {answer}"
        else:
            told[given.visit] = f"{_open_ended(gate.get(given.subject, given.subject))}: {answer}"
    return told


def _open_ended(text: str) -> str:
    """Return a sentence without the mark at its end, to go on after it."""
    return text.rstrip("?.! ")


# ── why ─────────────────────────────────────────────────────────────────────


def why_of(walk: Walk, cause: str, *, without: bool = True) -> Why:
    """Account for every answer's part in one cause; SuspectsError where the answers can't be weighed."""
    return why(*evidence_of(walk), cause, without=without)


def turns_of(walk: Walk, cause: str) -> tuple[Turn, ...]:
    """Return what would move a cause among the checks that can be made here and now, the greatest move first."""
    network, evidence = evidence_of(walk)
    return turns(walk.book, network, evidence, cause, blocked=lambda check: why_not(walk, check), done=_done(walk))


def pairs_of(walk: Walk) -> tuple[Pair, ...]:
    """Return the pairs of causes that likely act together."""
    return pairs(*evidence_of(walk))


def roots_of(walk: Walk, chances: Mapping[str, float]) -> dict[str, tuple[str, ...]]:
    """Return found consequence → the causes that could have led to it, likeliest first, while none of them is found."""
    return {
        consequence: tuple(sorted(roots, key=lambda root: -chances.get(root, 0.0)))
        for consequence, roots in walk.conclusion.unexplained.items()
    }


# ── what next ───────────────────────────────────────────────────────────────


def advice_of(walk: Walk) -> Advice | None:
    """
    Return what to do next, and what could be done elsewhere; None where the job wants nothing of the kind.

    That is while safety questions are open, after a stop and in a closed job: a likelihood never outvotes those.
    Raises SuspectsError where the answers can't be weighed.
    """
    rank_all = _rank_all()  # loaded while the safety questions are asked, not with the first check
    now = walk.now
    if now.stopped is not None or now.closed is not None or now.gate_left:
        return None
    network, evidence = evidence_of(walk)
    made = {g.subject for g in now.givens if g.check is None and g.answer != UNKNOWN}
    made.update(fix for g in now.givens for answer in g.chosen for fix in answer.made)
    inside = any(g.check is not None and g.check.inside and g.answer != UNKNOWN for g in now.givens)
    return rank_all(
        walk.book,
        network,
        evidence,
        blocked=lambda check: why_not(walk, check),
        fix_blocked=lambda fix: why_no_fix(walk, fix),
        done=_done(walk),
        fixes_done=made & set(walk.book.fixes),
        unit_open=inside,
    )


@cache
def _rank_all() -> Callable[..., Advice]:
    """Return the engine that ranks checks: with numpy all answers are weighed at once, five times as fast."""
    try:
        from trees.suspects.batch import batch_rank_checks
    except ImportError:
        return rank_checks
    return batch_rank_checks


def why_not(walk: Walk, check: Check) -> str:
    """Say why a check, or a reading that its figure still wants, can't be made here and now; empty if it can."""
    known = walk.now.known
    wanted = [check]
    if check.form == "figure" and known is not None:
        wanted += [walk.book.checks[needed] for needed in known.missing_inputs(check)]
    reasons = (why_blocked(walk.book, walk.now, each) or _no_tool(walk, each) for each in wanted)
    return next((reason for reason in reasons if reason), "")


def _no_tool(walk: Walk, check: Check) -> str:
    """Say which tool is not at hand. A step of a tree is asked all the same: a tool can be borrowed."""
    missing = [walk.book.tools[tool] for tool in check.needs if tool in walk.now.beside.tools_missing]
    return _("Not at hand: {tools}.").format(tools=", ".join(missing)) if missing else ""


def why_no_fix(walk: Walk, fix: Fix) -> str:
    """Say why a fix can't be made here and now; empty if it can."""
    place = walk.now.place
    if place == "phone" and fix.who != "caller":
        return _("A caller may not do this.")
    if place not in fix.place:
        return _("Not {place}.").format(place=PLACE_NAMES[place])
    return no_start(walk.book, walk.now) if fix.uses_start else ""


def _done(walk: Walk) -> set[str]:
    """Return the checks that were answered, could not be told at this place, or have no sense in this job."""
    done = {
        g.check.id
        for g in walk.now.givens
        if g.check is not None and (g.answer != UNKNOWN or g.place == walk.now.place)
    }
    unfit = (check.id for check in walk.book.checks.values() if not walk.now.unit.fits(check.applies))
    return done.union(unfit, (check.id for check in walk.book.checks.values() if not _makes_sense(walk, check)))


def _makes_sense(walk: Walk, check: Check) -> bool:
    """Say whether the question of a check has a sense in this job, as its `propose` tells."""
    if (propose := check.propose) is None:
        return True
    if _seen(walk, propose.never_after):
        return False
    bound = propose.trees or propose.after
    here = walk.now.complaint in propose.trees or walk.now.tree in propose.trees
    return not bound or here or _seen(walk, propose.after)


def _seen(walk: Walk, levels: Mapping[str, str]) -> bool:
    """Say whether one of these signs was seen at its level."""
    seen = walk.observations
    return any(sign in seen and seen[sign].level == level for sign, level in levels.items())
