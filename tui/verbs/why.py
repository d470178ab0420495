"""`sootline why`: how a job's suspects stand, why, and what to do next."""

from __future__ import annotations

import argparse
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from trees.errors import WalkError
from trees.language import _
from tui.command_line import Exit
from tui.loading import book_for

if TYPE_CHECKING:
    from trees.suspects import Advice, Pair, Turn, Why, Worth
    from trees.walk import Walk
    from trees.walk.ranking import Suspect

_EXPLAINED = 3
"""Suspects whose reasons are printed where none is named."""
_LEAST = 0.02


@dataclass(frozen=True, slots=True)
class _Account:
    """All that is printed of one job."""

    number: str
    walk: Walk
    suspects: tuple[Suspect, ...]
    trouble: str
    """Why the answers can't be weighed; empty if they can."""
    reasons: tuple[tuple[Why, tuple[Turn, ...]], ...] = ()
    pairs: tuple[Pair, ...] = ()
    advice: Advice | None = None
    whole: bool = False
    """One cause was named: all its answers are shown."""


def run(options: argparse.Namespace) -> int:
    """Print the account of a job; 1 if its answers can't be weighed."""
    from trees.casebook import Casebook, default_path
    from trees.text import json_text, printable
    from trees.walk import Walk

    book = book_for(options)
    with Casebook.open(options.store or default_path(), create=False, seat=options.seat, reading=True) as casebook:
        record = casebook.job(options.job)
        walk = Walk.resume(book, [stored.entry for stored in casebook.entries(record)])
    account = _account(record.number, walk, options.cause)
    if options.format == "json":
        print(json_text(_as_json(account), indent=1))
    else:
        print("\n".join(printable(line) for line in _as_text(account)))
    return Exit.FOUND if account.trouble else Exit.FINE


def _account(number: str, walk: Walk, cause: str | None) -> _Account:
    from trees.walk.ranking import rank
    from trees.walk.reasons import TURNS_TOLD, advice_of, pairs_of, turns_of, why_of

    if cause is not None and cause not in walk.book.causes:
        raise WalkError(_("This book has no cause named {cause}.").format(cause=cause))
    suspects, trouble = rank(walk)
    if trouble:
        return _Account(number, walk, suspects, trouble)
    chosen = [cause] if cause is not None else _explained(suspects)
    return _Account(
        number,
        walk,
        suspects,
        trouble,
        reasons=tuple((why_of(walk, each), turns_of(walk, each)[:TURNS_TOLD]) for each in chosen),
        pairs=pairs_of(walk),
        advice=advice_of(walk),
        whole=cause is not None,
    )


def _explained(suspects: Sequence[Suspect]) -> list[str]:
    weighed = [s for s in suspects if s.probability is not None and s.state != "ruled_out"]
    return [s.cause for s in weighed if s.state or (s.probability or 0.0) >= _LEAST][:_EXPLAINED]


# ── text ────────────────────────────────────────────────────────────────────


def _as_text(account: _Account) -> Iterator[str]:
    from trees.walk.question import PLACE_NAMES
    from trees.walk.reason_words import advice_lines, names_of, pair_line, why_lines

    walk = account.walk
    yield f"{account.number}: {walk.now.words} ({PLACE_NAMES[walk.now.place]})"
    if account.trouble:
        yield account.trouble
        yield _("The walk goes on without suspects. What was found by looks and readings:")
    yield from _suspect_lines(account)
    if account.trouble:
        return
    names = names_of(walk)
    if account.pairs:
        yield ""
        yield _("Likely together:")
        yield from (pair_line(pair, names) for pair in account.pairs)
    yield ""
    if account.advice is not None:
        yield from advice_lines(walk, account.advice)
    else:
        yield _("No check is proposed: the job is closed, stopped for safety, or its safety questions are open.")
    for reasons, turns in account.reasons:
        yield ""
        yield from why_lines(walk, reasons, turns, whole=account.whole)


def _suspect_lines(account: _Account) -> Iterator[str]:
    """Yield roots and consequences apart; a found consequence without its root points at what may have led to it."""
    from trees.walk.ranking import apart
    from trees.walk.reason_words import suspect_line
    from trees.walk.reasons import roots_of

    shown = [s for s in account.suspects if s.state or (s.probability or 0.0) >= _LEAST]
    if not account.trouble:
        yield _("Suspects; several can be true at once, so the chances may add up past 100 %.")
    titles = (_("Causes:"), _("Consequences of other causes:"))
    for title, rows in zip(titles, apart(account.walk, shown), strict=True):
        if rows:
            yield title
        for suspect in rows:
            yield suspect_line(suspect)
            yield from (f"{'':12}{line}" for line in _found_by(account.walk, suspect.cause))
    chances = {s.cause: s.probability or 0.0 for s in account.suspects}
    for consequence, roots in roots_of(account.walk, chances).items():
        causes = account.walk.book.causes
        listed = ", ".join(f"{causes[root].name} ({100 * chances.get(root, 0.0):.0f} %)" for root in roots[:5])
        yield _("What led to {name} is not found yet. It may be: {listed}").format(
            name=causes[consequence].name, listed=listed or _("none of the book")
        )


def _found_by(walk: Walk, cause: str) -> Iterator[str]:
    from trees.walk.reason_words import STATES

    finding = walk.findings.get(cause)
    for reason in finding.reasons if finding is not None else ():
        yield _("{state} by {sentence} (entry {no})").format(
            state=STATES[reason.state], sentence=reason.sentence, no=reason.no
        )
    if finding is not None and finding.contradicted:
        yield _("These contradict each other: look at both again.")


# ── JSON ────────────────────────────────────────────────────────────────────


def _as_json(account: _Account) -> dict[str, Any]:
    walk = account.walk
    return {
        "job": account.number,
        "words": walk.now.words,
        "place": walk.now.place,
        "trouble": account.trouble,
        "suspects": [_suspect_json(walk, suspect) for suspect in account.suspects],
        "why": [_why_json(walk, reasons, turns) for reasons, turns in account.reasons],
        "pairs": [{"causes": list(pair.causes), "chance": pair.chance} for pair in account.pairs],
        "advice": _advice_json(account.advice) if account.advice is not None else None,
    }


def _suspect_json(walk: Walk, suspect: Suspect) -> dict[str, Any]:
    finding = walk.findings.get(suspect.cause)
    return {
        "cause": suspect.cause,
        "name": suspect.name,
        "kind": suspect.kind,
        "probability": suspect.probability,
        "state": suspect.state,
        "contradicted": finding.contradicted if finding is not None else False,
        "by": [
            {"state": reason.state, "entry": reason.no, "told": reason.sentence, "proof": reason.proof}
            for reason in (finding.reasons if finding is not None else ())
        ],
    }


def _why_json(walk: Walk, reasons: Why, turns: Sequence[Turn]) -> dict[str, Any]:
    from trees.walk.reasons import answers_told

    told = answers_told(walk)
    return {
        "cause": reasons.cause,
        "start": reasons.start,
        "end": reasons.end,
        "total_db": _finite(reasons.total_db),
        "answers": [
            {
                "visit": weight.answer,
                "told": told.get(weight.answer, weight.answer),
                "signs": list(weight.signs),
                "db": _finite(weight.db),
                "strength": weight.strength,
                "before": weight.before,
                "after": weight.after,
                "own_db": _finite(weight.own_db),
                "rival": weight.rival,
                "without": weight.without,
            }
            for weight in reasons.weights
        ],
        "would_change": [
            {
                "check": turn.check,
                "answers": list(turn.answers),
                "likely": turn.likely,
                "after": turn.after,
                "db": _finite(turn.db),
            }
            for turn in turns
        ],
    }


def _finite(db: float | None) -> float | str | None:
    """Return a number that JSON can hold: certain and excluded have no finite decibans."""
    if db is None or abs(db) != float("inf"):
        return db
    return "certain" if db > 0 else "excluded"


def _advice_json(advice: Advice) -> dict[str, Any]:
    opening, fix = advice.opening, advice.fix
    return {
        "minutes_now": advice.minutes_now,
        "check": _worth_json(advice.check) if advice.check is not None else None,
        "opening": {"checks": list(opening.checks), "minutes": opening.minutes, "saves": opening.saves}
        if opening is not None
        else None,
        "fix": {"fix": fix.fix, "minutes": fix.minutes, "chance": fix.chance} if fix is not None else None,
        "tells_most": _worth_json(advice.tells_most) if advice.tells_most is not None else None,
        "checks": [_worth_json(worth) for worth in advice.checks],
        "elsewhere": [_worth_json(worth) for worth in advice.elsewhere],
    }


def _worth_json(worth: Worth) -> dict[str, Any]:
    return {
        "check": worth.check,
        "minutes": worth.minutes,
        "saves": worth.saves,
        "bits": worth.bits,
        "needs_first": list(worth.needs_first),
        "inside": worth.inside,
        "blocked": worth.blocked,
    }
