"""What a job knows of its causes: found, hinted, ruled out, weighed; what contradicts, and what would change it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from graphviz_export.report_records import Bar, CauseRow, EvidenceRow
from trees.book.model import Check
from trees.book.words import UNKNOWN, in_a_sentence
from trees.errors import SuspectsError
from trees.language import _, listed_or
from trees.walk import Finding, Reason, Walk
from trees.walk.question import PLACE_NAMES
from trees.walk.ranking import Suspect
from trees.walk.reason_words import STATES, plain_wording

SHOWN = 0.02
"""Suspects less likely than this, of whom nothing was found, are left out."""
MOST_BARS = 8
MOST_EXPLAINED = 8
MOST_OPEN = 6
MOST_CHECKS = 3
"""So many checks are named of one open cause."""


def cause_row(walk: Walk, cause_id: str) -> CauseRow:
    """Return a cause with the sentences by which it stands where it stands."""
    finding, cause = walk.findings[cause_id], walk.book.causes[cause_id]
    by = dict.fromkeys(_sentence(r) for r in finding.reasons if r.state == finding.state)
    return CauseRow(cause_id, cause.name, "; ".join(by), cause.inside)


def _sentence(reason: Reason) -> str:
    """Return what proves it as one line; a fix ends in a full stop, behind which nothing goes on."""
    return reason.sentence.replace(".: ", ": ")


def hinted_ids(walk: Walk) -> tuple[str, ...]:
    """Return the causes that something points at, beyond those that contribute to what was found."""
    return tuple(c for c, f in walk.findings.items() if f.state == "hinted" and c not in walk.conclusion.contributing)


def open_roots(walk: Walk) -> tuple[str, ...]:
    """Return a sentence for each consequence whose root was not found."""
    causes = walk.book.causes
    return tuple(
        _("{name}: its reason was not found. Possible: {listed}.").format(
            name=causes[c].name,
            listed=", ".join(in_a_sentence(causes[p].name, walk.book.language) for p in roots)
            or _("none in this book"),
        )
        for c, roots in walk.conclusion.unexplained.items()
    )


def contradictions(walk: Walk) -> tuple[str, ...]:
    """Return what speaks against itself: causes found and ruled out, signs told both ways, readings read otherwise."""
    book = walk.book
    rows = [
        _("{name}: found and ruled out. Which was wrong? ").format(name=book.causes[c].name)
        + "; ".join(f"{_sentence(r)} ({STATES[r.state]})" for r in f.reasons)
        for c, f in walk.findings.items()
        if f.contradicted
    ]
    rows += [
        _("{name}: “{check}: {means}” counts; “{check_2}: {means_2}” said otherwise.").format(
            name=book.signs[sign].name,
            check=plain_wording(seen.given.check),
            means=seen.given.means,
            check_2=plain_wording(other.check),
            means_2=other.means,
        )
        for sign, seen in walk.observations.items()
        for other in seen.contradicted
        if seen.given is not None and seen.given.check is not None and other.check is not None
    ]
    rows += [
        _("{asked}: this edition of the book reads “{answered}”, when it was given it read otherwise.").format(
            asked=item.asked, answered=item.answered
        )
        for item in walk.trail
        if item.reads_otherwise and not item.struck
    ]
    return tuple(dict.fromkeys(rows))


def suspect_bars(suspects: Sequence[Suspect]) -> tuple[Bar, ...]:
    """Return the likeliest causes as bars, what was found first."""
    from trees.suspects import percent

    shown = [s for s in suspects if s.probability is not None and s.state != "ruled_out"]
    shown = [s for s in shown if s.state is not None or (s.probability or 0.0) >= SHOWN][:MOST_BARS]
    return tuple(
        Bar(
            f"{s.name} ({STATES[s.state]})" if s.state else s.name,
            percent(s.probability or 0.0),
            min(1.0, s.probability or 0.0),
        )
        for s in shown
    )


def evidence_rows(walk: Walk, suspects: Sequence[Suspect], *, weighed: bool) -> tuple[EvidenceRow, ...]:
    """Return for each cause of the result, and the likeliest others, what speaks for it and against it."""
    told = [s for s in suspects if s.state in {"found", "hinted"}]
    told += [s for s in suspects if s.state is None and (s.probability or 0.0) >= 0.05][:MOST_CHECKS]
    return tuple(_evidence(walk, suspect, weighed=weighed) for suspect in told[:MOST_EXPLAINED])


def _evidence(walk: Walk, suspect: Suspect, *, weighed: bool) -> EvidenceRow:
    from trees.walk.reason_words import for_and_against, names_of
    from trees.walk.reasons import answers_told, why_of

    finding = walk.findings.get(suspect.cause)
    account = None
    if weighed and suspect.probability is not None:
        try:
            account = for_and_against(why_of(walk, suspect.cause, without=False), names_of(walk), answers_told(walk))
        except SuspectsError:
            account = None  # found by a look, but no suspect of this kind of unit
    return EvidenceRow(
        cause=suspect.name,
        state=STATES[suspect.state] if suspect.state else _("not proven"),
        chance=suspect.probability,
        proved=_proved(finding),
        start=account.start if account else "",
        speaks_for=account.speaks_for if account else (),
        speaks_against=account.speaks_against if account else (),
        hardly=len(account.hardly) if account else 0,
        total=account.total if account else "",
    )


def _proved(finding: Finding | None) -> tuple[str, ...]:
    if finding is None:
        return ()
    words = {"words": _("by words"), "look": _("by a look"), "reading": _("by a reading"), "cure": _("by its cure")}
    return tuple(dict.fromkeys(f"{STATES[r.state]} {words[r.proof]}: {_sentence(r)}" for r in finding.reasons))


# ── what would still change the result ──────────────────────────────────────


def would_change(walk: Walk, suspects: Sequence[Suspect], *, weighed: bool) -> tuple[str, ...]:
    """Return the checks not made that would prove or exclude an open cause, or carry it across even odds."""
    chances = {s.cause: s.probability or 0.0 for s in suspects}
    rows = [
        f"{walk.book.causes[cause].name}: {line}"
        for cause in _open_causes(walk, suspects, chances)
        for line in _lines(walk, cause, chances.get(cause, 0.0), weighed=weighed)
    ]
    return tuple(dict.fromkeys(rows))


def _open_causes(walk: Walk, suspects: Sequence[Suspect], chances: Mapping[str, float]) -> tuple[str, ...]:
    result = walk.conclusion
    possible = sorted((c for roots in result.unexplained.values() for c in roots), key=lambda c: -chances.get(c, 0.0))
    likely = [s.cause for s in suspects if s.state is None and (s.probability or 0.0) >= 0.1]
    wanted = dict.fromkeys((*result.contributing, *hinted_ids(walk), *possible[:MOST_CHECKS], *likely))
    found = {c for c, f in walk.findings.items() if f.state == "found"}
    return tuple(c for c in wanted if c not in found)[:MOST_OPEN]


def _lines(walk: Walk, cause: str, chance: float, *, weighed: bool) -> Iterator[str]:
    told: set[str] = set()
    for check in _unmade(walk):
        answers = (*check.routes(), *check.items)
        finds = check.proof != "words" and any(cause in a.finds for a in answers)
        excludes = check.proof != "words" and any(cause in a.rules_out for a in answers)
        if (finds or excludes) and len(told) < MOST_CHECKS:
            told.add(check.id)
            verb = _("proved or excluded") if finds and excludes else _("proved") if finds else _("excluded")
            yield _("can be {verb} {where}: {check}").format(
                verb=verb, where=_where(check), check=_ended(check.wording)
            )
    if weighed and len(told) < MOST_CHECKS:
        yield from _turns(walk, cause, chance, told)


def _turns(walk: Walk, cause: str, chance: float, told: set[str]) -> Iterator[str]:
    from trees.suspects import turns
    from trees.walk.reason_words import turn_line
    from trees.walk.reasons import evidence_of

    unmade = {check.id for check in _unmade(walk)}
    try:
        found = turns(walk.book, *evidence_of(walk), cause, done=set(walk.book.checks) - unmade, least_likely=0.05)
    except SuspectsError:
        return
    for turn in found:
        if turn.check not in told and (turn.after >= 0.5) != (chance >= 0.5) and len(told) < MOST_CHECKS:
            told.add(turn.check)
            where = _where(walk.book.checks[turn.check])
            yield f"{turn_line(walk, turn).removesuffix('.')} ({where})."


def _unmade(walk: Walk) -> tuple[Check, ...]:
    made = {g.check.id for g in walk.now.givens if g.check is not None and g.answer != UNKNOWN}
    return tuple(
        check for check in walk.book.checks.values() if check.id not in made and walk.now.unit.fits(check.applies)
    )


def _ended(wording: str) -> str:
    return wording if wording.endswith(("?", ".")) else f"{wording}."


def _where(check: Check) -> str:
    return listed_or(PLACE_NAMES[place] for place in check.place)
