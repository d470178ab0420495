"""The reasons of a job as sentences, the number beside every word: the screen and `sootline why` say the same."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from trees.book.model import Check
from trees.language import N_, Said, _, listed_and, listed_or, ngettext
from trees.suspects import Advice, FixAdvice, Pair, Turn, Why, Worth, in_words, percent
from trees.walk.question import PLACE_NAMES
from trees.walk.ranking import Suspect
from trees.walk.reasons import answers_told
from trees.walk.walk import Walk

STATES: Mapping[str, str] = Said({"found": N_("found"), "hinted": N_("hinted at"), "ruled_out": N_("ruled out")})


@dataclass(frozen=True, slots=True)
class ForAndAgainst:
    """What speaks for a cause and against it, a sentence per answer in the order of the answers."""

    start: str
    speaks_for: tuple[str, ...]
    speaks_against: tuple[str, ...]
    hardly: tuple[str, ...]
    """Answers that moved it by less than 1 dB."""
    total: str


def for_and_against(reasons: Why, causes: Mapping[str, str], answers: Mapping[str, str]) -> ForAndAgainst:
    """Sort the sentences of `in_words` by what each answer did."""
    start, *lines, total = in_words(reasons, causes, answers)
    pairs = list(zip(reasons.weights, lines, strict=True))
    return ForAndAgainst(
        start=start,
        speaks_for=tuple(line for weight, line in pairs if weight.db >= 1),
        speaks_against=tuple(line for weight, line in pairs if weight.db <= -1),
        hardly=tuple(line for weight, line in pairs if abs(weight.db) < 1),
        total=total,
    )


def names_of(walk: Walk) -> dict[str, str]:
    """Return cause → its name, the one that stands for all that the book does not list too."""
    from trees.suspects import UNLISTED

    return {UNLISTED: _("a cause that the book does not list")} | {c.id: c.name for c in walk.book.causes.values()}


def why_lines(walk: Walk, reasons: Why, turns: Sequence[Turn], *, whole: bool) -> Iterator[str]:
    """Yield why a cause stands where it stands, indented by two under each title; `whole` tells the least too."""
    told = for_and_against(reasons, names_of(walk), answers_told(walk))
    yield told.start
    for title, lines in ((_("For it:"), told.speaks_for), (_("Against it:"), told.speaks_against)):
        if lines:
            yield f"  {title}"
            yield from (f"    {line}" for line in lines)
    if told.hardly and not whole:
        n = len(told.hardly)
        more = ngettext("1 more answer", "{n} more answers", n).format(n=n)
        yield _("  Hardly moved by {more}; --cause {cause} shows all.").format(more=more, cause=reasons.cause)
    elif told.hardly:
        yield _("  Hardly moved by:")
        yield from (f"    {line}" for line in told.hardly)
    yield f"  {told.total}"
    if turns:
        yield _("  What would change my mind:")
        yield from (f"    {turn_line(walk, turn)}" for turn in turns)


def suspect_line(suspect: Suspect) -> str:
    """Return one suspect: chance, name, what the job found of it; what was ruled out has no chance any more."""
    chance = percent(suspect.probability) if suspect.probability is not None else _("not weighed")
    chance = "–" if suspect.state == "ruled_out" else chance
    state = f" ({STATES[suspect.state]})" if suspect.state else ""
    return f"{chance:>10}  {suspect.name}{state}"


def pair_line(pair: Pair, names: Mapping[str, str]) -> str:
    """Return two causes that likely act together."""
    first, second = (names.get(cause, cause) for cause in pair.causes)
    return _("{chance:>10}  {first}, together with {second}").format(
        chance=percent(pair.chance), first=first, second=second
    )


def turn_line(walk: Walk, turn: Turn) -> str:
    """Return one answer that would change my mind."""
    check = walk.book.checks[turn.check]
    means = [check.answer(answer).means for answer in turn.answers]
    said = listed_or(means) if means else _("not so")
    after, likely = percent(turn.after), percent(turn.likely)
    return _("{check}: {said}. Then it would be {after}; {likely} likely to come out so.").format(
        check=plain_wording(check), said=said, after=after, likely=likely
    )


def plain_wording(check: Check) -> str:
    """Return the wording of a check without the mark at its end, to go on after it."""
    return check.wording.rstrip("?.")


# ── what next ───────────────────────────────────────────────────────────────


def advice_lines(walk: Walk, advice: Advice) -> tuple[str, ...]:
    """Return what to do next with its minutes, then what would be worth doing elsewhere."""
    lines = [_next(walk, advice)]
    if advice.tells_most is not None:
        lines.append(_("Tells most for its minutes: {worth}.").format(worth=_worth(walk, advice.tells_most)))
    return (*lines, *elsewhere_lines(walk, advice))


def elsewhere_lines(walk: Walk, advice: Advice) -> tuple[str, ...]:
    """Return the checks that would pay if they were not blocked here, each with its reason."""
    lines = []
    for worth in advice.elsewhere:
        if worth.pays:
            check = walk.book.checks[worth.check]
            lines.append(
                _("{where} this would save {saves}: {check}. {blocked}").format(
                    where=_where(walk, check),
                    saves=_minutes(worth.saves - worth.minutes),
                    check=plain_wording(check),
                    blocked=worth.blocked,
                )
            )
    return tuple(lines)


def _where(walk: Walk, check: Check) -> str:
    if walk.now.place in check.place:
        return _("If it were allowed")
    name = PLACE_NAMES[check.place[0]]
    return name[0].upper() + name[1:]


def _next(walk: Walk, advice: Advice) -> str:
    if advice.check is not None:
        return _("Next: {worth}.").format(worth=_worth(walk, advice.check))
    if advice.opening is not None:
        checks = [plain_wording(walk.book.checks[check]) for check in advice.opening.checks]
        return _("Next: open the unit, then {checks}. Saves {saves} for {minutes}, the opening included.").format(
            checks=listed_and(checks), saves=_minutes(advice.opening.saves), minutes=_minutes(advice.opening.minutes)
        )
    if advice.fix is not None:
        return _("No check saves more than it costs. Next: {fix}").format(fix=_fix(walk, advice.fix))
    return _("Nothing is left to check or fix here.")


def _worth(walk: Walk, worth: Worth) -> str:
    check = walk.book.checks[worth.check]
    first = [plain_wording(walk.book.checks[needed]) for needed in worth.needs_first]
    after = _(", after {first}").format(first=listed_and(first)) if first else ""
    return _("{check}{after}. Saves {saves} for {minutes}").format(
        check=plain_wording(check), after=after, saves=_minutes(worth.saves), minutes=_minutes(worth.minutes)
    )


def _fix(walk: Walk, fix: FixAdvice) -> str:
    return _("{do} Needed with {chance}, takes {minutes}.").format(
        do=walk.book.fixes[fix.fix].do, chance=percent(fix.chance), minutes=_minutes(fix.minutes)
    )


def _minutes(minutes: float) -> str:
    return _("{minutes:.0f} min").format(minutes=minutes) if minutes >= 1 else _("under 1 min")
