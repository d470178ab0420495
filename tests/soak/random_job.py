"""One random job: answers, take-backs, changes, skips, side checks, hand-overs and a book edited meanwhile."""

from __future__ import annotations

import random
from collections.abc import Callable, Iterator
from dataclasses import replace

from trees.book import Book
from trees.book.tree import Step, Tree
from trees.book.words import Place
from trees.errors import ReadingError, WalkError
from trees.walk import Walk
from trees.walk.question import Question

PLACES: tuple[Place, ...] = ("bench", "site", "phone")
Move = Callable[[random.Random, Walk], Walk]


def begun(dice: random.Random, book: Book) -> Walk:
    """Return a new job about anything, also without a tree or a known unit."""
    tree = dice.choice([None, *(tree.id for tree in book.trees.values())])
    family = dice.choice([None, *book.families])
    walk = Walk.begin(book, words="made by dice", tree=tree, place=dice.choice(PLACES), family=family)
    return walk.taken_up("bench 1", "2026-01-01")


def moved(dice: random.Random, walk: Walk) -> Walk:
    """Return the walk after one random move; the same walk where the move is refused, in a sentence, as a user's is."""
    moves: list[tuple[float, Move]] = [
        (30, _answer),
        (1.5, lambda _, w: w.back()),
        (1.5, _change),
        (1, lambda _, w: w.skip()),
        (1.5, _aside),
        (0.5, lambda _, w: w.return_to_tree()),
        (0.3, lambda d, w: w.set_place(d.choice(PLACES))),
        (0.2, lambda d, w: w.set_family(d.choice([None, *w.book.families]))),
        (0.3, lambda d, w: w.taken_up(d.choice(["bench 1", "helpline"]), d.choice(["2026-01-01", "2026-01-02"]))),
        (0.2, lambda _, w: w.emergency_card()),
        (0.3, lambda _, w: w.note("[b]odd[/b] \u202e text \x1b[31m")),
        (0.1, lambda _, w: w.close("not_released", "dice")),
        (0.3, lambda _, w: w.reopen("dice")),
        (0.2, _edited),
    ]
    weights, all_moves = zip(*moves, strict=True)
    move: Move = dice.choices(all_moves, weights)[0]
    try:
        return move(dice, walk)
    except (WalkError, ReadingError):
        return walk


def _answer(dice: random.Random, walk: Walk, visit: str | None = None) -> Walk:
    question = walk.question if visit is None else walk.question_at(visit)
    if question.kind in {"end", "stop"} and dice.random() < 0.5:
        return walk.close(question.end or "out_of_service")
    for caution in question.unread:
        walk = walk.acknowledge(caution.id)
    if question.kind == "gate":  # mostly harmless, or nearly every job would stop here
        answers = question.gate.answers if question.gate else ()
        harmless = [a.id for a in answers if not (a.stop or a.forbids_starts or a.opens)]
        return walk.answer(dice.choice(harmless) if dice.random() < 0.97 else dice.choice(answers).id, visit)
    if dice.random() < 0.15:
        return walk.cannot_tell(visit)
    if visit is None and question.known is not None and dice.random() < 0.9:
        return walk.take_over()
    return _told(dice, walk, question, visit)


def _told(dice: random.Random, walk: Walk, question: Question, visit: str | None) -> Walk:
    if question.form == "reading":
        check = question.check
        repeat = check.repeat if check is not None else 1
        ends = check.plausible if check is not None and check.plausible else (0.0, 10.0)
        low, high = (edge if isinstance(edge, float | int) else dice.uniform(0.0, 20.0) for edge in ends)
        middle = dice.uniform(low, high)
        typed = " ".join(f"{middle * dice.uniform(0.97, 1.03):.4g}" for _ in range(repeat))
        return walk.reading(f"{typed} {question.unit}", visit, sure=dice.random() < 0.7)
    if question.form == "readings" and question.check is not None:
        return walk.readings({f.name: f"{dice.uniform(0, 900):.1f} {f.unit}" for f in question.check.readings}, visit)
    if question.form == "tick" and question.check is not None:
        items = [item.id for item in question.check.items]
        return walk.tick(dice.sample(items, dice.randint(0, len(items))), visit)
    if question.form == "figure":
        return walk.take_figure(visit)
    if not question.options:
        raise WalkError("Nothing to choose.")
    return walk.answer(dice.choice(question.options).id, visit)


def _change(dice: random.Random, walk: Walk) -> Walk:
    visits = [given.visit for given in walk.now.givens if not given.visit.startswith("gate")]
    if not visits:
        raise WalkError("Nothing to change.")
    return _answer(dice, walk, dice.choice(visits))


def _aside(dice: random.Random, walk: Walk) -> Walk:
    return walk.leave_for(dice.choice(list(walk.book.checks)))


def _edited(dice: random.Random, walk: Walk) -> Walk:
    """Let the author take a step out of a tree while the job is open."""
    trees = [tree for tree in walk.book.trees.values() if any(_removable(tree, step) for step in tree.steps.values())]
    if not trees:
        raise WalkError("Nothing to take out.")
    tree = dice.choice(trees)
    gone = dice.choice([step for step in tree.steps.values() if _removable(tree, step)])
    book = replace(
        walk.book,
        trees={**walk.book.trees, tree.id: without(tree, gone)},
        fingerprint=f"{dice.getrandbits(256):064x}",
    )
    return Walk.resume(book, walk.entries)


def _removable(tree: Tree, step: Step) -> bool:
    return step.kind == "check" and step.id not in {tree.begin, tree.phone_exit} and step.unknown is not None


def without(tree: Tree, gone: Step) -> Tree:
    """Return a tree without one of its checks: what led there leads to where cannot-tell led on."""
    onward = str(gone.unknown)

    def led(target: str | None) -> str | None:
        return onward if target == gone.id else target

    steps = {
        name: replace(
            step,
            go={answer: str(led(target)) for answer, target in step.go.items()},
            then=led(step.then),
            unknown=led(step.unknown),
            instead={
                place: replace(
                    instead,
                    go={answer: str(led(target)) for answer, target in instead.go.items()},
                    unknown=led(instead.unknown),
                )
                for place, instead in step.instead.items()
            },
        )
        for name, step in tree.steps.items()
        if name != gone.id
    }
    return replace(tree, steps=steps)


def reachable(book: Book) -> frozenset[tuple[str, str]]:
    """Return (tree, step) of every step that any job can come to, by plain search over the book's own ways."""
    open_keys = [(t.id, name) for t in book.trees.values() for name in (t.begin, t.phone_exit) if name]
    seen: set[tuple[str, str]] = set()
    while open_keys:
        key = open_keys.pop()
        if key not in seen:
            seen.add(key)
            open_keys += _onward(book, *key)
    return frozenset(seen)


def _onward(book: Book, tree: str, name: str) -> Iterator[tuple[str, str]]:
    step = book.trees[tree].steps[name]
    yield from ((tree, target) for _, target in step.targets())
    if step.kind in {"run", "over_to"} and step.refers in book.trees:
        yield step.refers, book.trees[step.refers].begin
