"""The reasons of a job as sentences, the number beside every word: the screen and `sootline why` say the same."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from trees.book.model import Check
from trees.suspects import Advice, FixAdvice, Pair, Turn, Why, Worth, in_words, percent
from trees.walk.question import PLACE_NAMES
from trees.walk.ranking import Suspect
from trees.walk.reasons import answers_told
from trees.walk.walk import Walk

STATES: Mapping[str, str] = {"found": "found", "hinted": "hinted at", "ruled_out": "ruled out"}


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

    return {UNLISTED: "a cause that the book does not list"} | {c.id: c.name for c in walk.book.causes.values()}


def why_lines(walk: Walk, reasons: Why, turns: Sequence[Turn], *, whole: bool) -> Iterator[str]:
    """Yield why a cause stands where it stands, indented by two under each title; `whole` tells the least too."""
    told = for_and_against(reasons, names_of(walk), answers_told(walk))
    yield told.start
    for title, lines in (("For it:", told.speaks_for), ("Against it:", told.speaks_against)):
        if lines:
            yield f"  {title}"
            yield from (f"    {line}" for line in lines)
    if told.hardly and not whole:
        more = "1 more answer" if len(told.hardly) == 1 else f"{len(told.hardly)} more answers"
        yield f"  Hardly moved by {more}; --cause {reasons.cause} shows all."
    elif told.hardly:
        yield "  Hardly moved by:"
        yield from (f"    {line}" for line in told.hardly)
    yield f"  {told.total}"
    if turns:
        yield "  What would change my mind:"
        yield from (f"    {turn_line(walk, turn)}" for turn in turns)


def suspect_line(suspect: Suspect) -> str:
    """Return one suspect: chance, name, what the job found of it."""
    chance = percent(suspect.probability) if suspect.probability is not None else "not weighed"
    state = f" ({STATES[suspect.state]})" if suspect.state else ""
    return f"{chance:>10}  {suspect.name}{state}"


def pair_line(pair: Pair, names: Mapping[str, str]) -> str:
    """Return two causes that likely act together."""
    first, second = (names.get(cause, cause) for cause in pair.causes)
    return f"{percent(pair.chance):>10}  {first}, together with {second}"


def turn_line(walk: Walk, turn: Turn) -> str:
    """Return one answer that would change my mind."""
    check = walk.book.checks[turn.check]
    means = [check.answer(answer).means for answer in turn.answers]
    said = " or ".join(means) if means else "not so"
    after, likely = percent(turn.after), percent(turn.likely)
    return f"{plain_wording(check)}: {said}. Then it would be {after}; {likely} likely to come out so."


def plain_wording(check: Check) -> str:
    """Return the wording of a check without the mark at its end, to go on after it."""
    return check.wording.rstrip("?.")


# ── what next ───────────────────────────────────────────────────────────────


def advice_lines(walk: Walk, advice: Advice) -> tuple[str, ...]:
    """Return what to do next with its minutes, then what would be worth doing elsewhere."""
    lines = [_next(walk, advice)]
    if advice.tells_most is not None:
        lines.append(f"Tells most for its minutes: {_worth(walk, advice.tells_most)}.")
    return (*lines, *elsewhere_lines(walk, advice))


def elsewhere_lines(walk: Walk, advice: Advice) -> tuple[str, ...]:
    """Return the checks that would pay if they were not blocked here, each with its reason."""
    lines = []
    for worth in advice.elsewhere:
        if worth.pays:
            check = walk.book.checks[worth.check]
            lines.append(
                f"{_where(walk, check)} this would save {_minutes(worth.saves - worth.minutes)}: "
                f"{plain_wording(check)}. {worth.blocked}"
            )
    return tuple(lines)


def _where(walk: Walk, check: Check) -> str:
    if walk.now.place in check.place:
        return "If it were allowed"
    name = PLACE_NAMES[check.place[0]]
    return name[0].upper() + name[1:]


def _next(walk: Walk, advice: Advice) -> str:
    if advice.check is not None:
        return f"Next: {_worth(walk, advice.check)}."
    if advice.opening is not None:
        checks = [plain_wording(walk.book.checks[check]) for check in advice.opening.checks]
        return (
            f"Next: open the unit, then {_listed(checks)}. "
            f"Saves {_minutes(advice.opening.saves)} for {_minutes(advice.opening.minutes)}, the opening included."
        )
    if advice.fix is not None:
        return f"No check saves more than it costs. Next: {_fix(walk, advice.fix)}"
    return "Nothing is left to check or fix here."


def _worth(walk: Walk, worth: Worth) -> str:
    check = walk.book.checks[worth.check]
    first = [plain_wording(walk.book.checks[needed]) for needed in worth.needs_first]
    after = f", after {_listed(first)}" if first else ""
    return f"{plain_wording(check)}{after}. Saves {_minutes(worth.saves)} for {_minutes(worth.minutes)}"


def _fix(walk: Walk, fix: FixAdvice) -> str:
    return f"{walk.book.fixes[fix.fix].do} Needed with {percent(fix.chance)}, takes {_minutes(fix.minutes)}."


def _listed(parts: Sequence[str]) -> str:
    return parts[0] if len(parts) == 1 else f"{', '.join(parts[:-1])} and {parts[-1]}"


def _minutes(minutes: float) -> str:
    return f"{minutes:.0f} min" if minutes >= 1 else "under 1 min"
