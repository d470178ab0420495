"""What changed between two editions of a book for the person who walks: questions, answers, ways, ends, conclusions."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Literal, TypeVar

from trees.book.changed_ends import changed_ends
from trees.book.model import Answer, Book, Check
from trees.book.tree import Step, Tree
from trees.book.words import UNKNOWN

What = Literal["tree", "step", "check", "answer", "conclusion", "fix", "caution", "gate", "cause", "path"]
K = TypeVar("K")
T = TypeVar("T")


@dataclass(frozen=True, slots=True)
class Change:
    """One thing that is otherwise now."""

    what: What
    where: str
    """Id of the tree, check, fix … it concerns; `tree.step` for a step."""
    told: str
    """One sentence."""


def changes(old: Book, new: Book) -> tuple[Change, ...]:
    """Return what is otherwise in the new edition, safety first, then trees, then what is asked and what it means."""
    rows = [*_gate(old, new), *_cautions(old, new)]
    for name, before, after in _pairs(old.trees, new.trees):
        rows += _tree(old, new, name, before, after)
    rows += [Change("path", tree, told) for tree, told in changed_ends(old, new)]
    for name, check, check_now in _pairs(old.checks, new.checks):
        rows += _check(name, check, check_now)
    for name, fix, fix_now in _pairs(old.fixes, new.fixes):
        rows += _plain("fix", name, fix, fix_now, ("do", "how", "cures", "who", "place", "cautions", "minutes"))
    for name, cause, cause_now in _pairs(old.causes, new.causes):
        rows += _plain(
            "cause", name, cause, cause_now, ("name", "kind", "lives", "share", "shows", "leads_to", "fixes")
        )
    return tuple(rows)


def _pairs(old: Mapping[K, T], new: Mapping[K, T]) -> Iterator[tuple[K, T | None, T | None]]:
    yield from ((name, old.get(name), new.get(name)) for name in dict.fromkeys([*new, *old]))


def _plain(what: What, name: str, before: object, after: object, fields: tuple[str, ...]) -> Iterator[Change]:
    """Compare two records field by field."""
    if before is None or after is None:
        yield Change(what, name, f"the {what} is {'new' if before is None else 'gone'}")
        return
    for field in fields:
        was, now = getattr(before, field), getattr(after, field)
        if was != now:
            yield Change(what, name, f"{field.replace('_', ' ')} was {_shown(was)}, is now {_shown(now)}")


def _shown(value: object) -> str:
    if isinstance(value, Mapping):
        return ", ".join(f"{key} {_shown(one)}" for key, one in value.items()) or "empty"
    if isinstance(value, tuple):
        return ", ".join(map(_shown, value)) or "none"
    if isinstance(value, float):
        return f"{value:g}"
    return f"`{value}`" if value not in ("", None) else "empty"


def _gate(old: Book, new: Book) -> Iterator[Change]:
    before, after = ({question.id: question for question in book.gate} for book in (old, new))
    for name, was, now in _pairs(before, after):
        yield from _plain("gate", name, was, now, ("ask", "phone", "place", "unknown", "cautions"))
        if was is None or now is None:
            continue
        for answer, one, other in _pairs({a.id: a for a in was.answers}, {a.id: a for a in now.answers}):
            told = _plain("gate", name, one, other, ("means", "stop", "forbids_starts", "opens", "says"))
            yield from (Change("gate", name, f"answer `{answer}`: {change.told}") for change in told)


def _cautions(old: Book, new: Book) -> Iterator[Change]:
    for name, was, now in _pairs(old.cautions, new.cautions):
        yield from _plain("caution", name, was, now, ("grade", "text", "phone", "stop_line", "then"))


def _tree(old: Book, new: Book, name: str, before: Tree | None, after: Tree | None) -> Iterator[Change]:
    fields = ("title", "shared", "handover", "begin", "phone_exit", "slower", "complaint_words", "complaint_says")
    yield from _plain("tree", name, before, after, fields)
    if before is None or after is None:
        return
    for step, was, now in _pairs(before.steps, after.steps):
        where = f"{name}.{step}"
        if was is None or now is None:
            record, tree, book = (now, after, new) if was is None else (was, before, old)
            state = "new" if was is None else "gone"
            if record is not None:
                yield Change("step", where, f"the step {_step(book, tree, record.id)} is {state}")
            continue
        if was.no != now.no:
            yield Change("step", where, f"number {was.no} is now {now.no}")
        if (was.kind, was.refers) != (now.kind, now.refers):
            yield Change("step", where, f"was `{was.kind}: {was.refers}`, is now `{now.kind}: {now.refers}`")
        yield from _ways((old, before, was), (new, after, now))


def _ways(was_at: tuple[Book, Tree, Step], now_at: tuple[Book, Tree, Step]) -> Iterator[Change]:
    """Compare where each answer leads, at every place."""
    (old, before, was), (new, after, now) = was_at, now_at
    where = f"{after.id}.{now.id}"
    ways_was, ways_now = _ways_of(old, was), _ways_of(new, now)
    for (place, answer), target, target_now in _pairs(ways_was, ways_now):
        at = f" ({place})" if place else ""
        if target is None and target_now is not None:
            yield Change("answer", where, f"`{answer}`{at} is new and leads to {_step(new, after, target_now)}")
        elif target_now is None and target is not None:
            yield Change("answer", where, f"`{answer}`{at} is gone; it led to {_step(old, before, target)}")
        elif target is not None and target_now is not None and target != target_now:
            told = f"led to {_step(old, before, target)}, leads now to {_step(new, after, target_now)}"
            yield Change("answer", where, f"`{answer}`{at} {told}")


def _ways_of(book: Book, step: Step) -> dict[tuple[str, str], str]:
    """Return place (empty for the step's own) and answer → step."""
    ways = {("", answer): target for answer, target in step.go.items()}
    if step.then is not None:
        check = book.checks.get(step.refers) if step.kind == "check" else None
        answers = [answer.id for answer in check.routes()] if check is not None else []
        for answer in answers or ["then"]:
            ways.setdefault(("", answer), step.then)
    unknown = step.unknown or (step.then if step.kind == "check" else None)
    if unknown is not None:
        ways[("", UNKNOWN)] = unknown
    for place, instead in step.instead.items():
        ways |= {(place, f"{instead.check}: {answer}"): target for answer, target in instead.go.items()}
        if instead.unknown is not None:
            ways[(place, f"{instead.check}: {UNKNOWN}")] = instead.unknown
    return ways


def _step(book: Book, tree: Tree, step_id: str) -> str:
    """Name a step with its number and what is done there."""
    step = tree.steps.get(step_id)
    if step is None:
        return f"`{step_id}`"
    what = step.refers or step.kind
    if step.kind == "check" and step.refers in book.checks:
        what = book.checks[step.refers].wording
    elif step.kind == "do" and step.refers in book.fixes:
        what = book.fixes[step.refers].do
    return f"{step.no} ({what.rstrip('.')})"


def _check(name: str, was: Check | None, now: Check | None) -> Iterator[Change]:
    asked = ("form", "wording", "phone", "how", "proof", "place", "inside", "minutes", "needs", "cautions")
    rest = ("uses_start", "while_running", "acts", "applies")
    measured = ("unit", "plausible", "uncertainty", "of", "repeat", "inputs")
    yield from _plain("check", name, was, now, (*asked, *rest, *measured))
    if was is None or now is None:
        return
    answers = _by_id(was), _by_id(now)
    for answer, one, other in _pairs(*answers):
        if one is None or other is None:
            yield Change("answer", name, f"the answer `{answer}` is {'new' if one is None else 'gone'}")
            continue
        yield from (Change("answer", name, told) for told in _moved(one, other, ("means", "upto", "above", "stop")))
        conclusions = ("finds", "rules_out", "hints", "says", "otherwise")
        yield from (Change("conclusion", name, told) for told in _moved(one, other, conclusions))


def _moved(one: Answer, other: Answer, fields: tuple[str, ...]) -> Iterator[str]:
    for field in fields:
        was, now = getattr(one, field), getattr(other, field)
        if was != now:
            words = {"otherwise": "says unticked", "rules_out": "rules out"}.get(field, field)
            yield f"`{one.id}` {words}: was {_shown(was)}, is now {_shown(now)}"


def _by_id(check: Check) -> dict[str, Answer]:
    return {answer.id: answer for answer in (*check.routes(), *check.items)}
