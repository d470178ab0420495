"""What a tree is worth: its minutes, those of the best order found with the same checks, and those with no search."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace

from trees.book.model import Book
from trees.book.tree import Step, Tree
from trees.book.words import Place
from trees.errors import SuspectsError, WalkError
from trees.language import _
from trees.suspects.network import Network
from trees.walk.unit import UnitFacts
from trees.walk.weighing.best_order import BestOrder, Rule
from trees.walk.weighing.branches import Draw, Estimate, TooManyBranches
from trees.walk.weighing.drawn_order import HANDOVER, DrawnOrder, StepKey, Tally
from trees.walk.weighing.outcome import Best, EndMiss, StepCost, Weighing
from trees.walk.weighing.outline import Turning
from trees.walk.weighing.repairs import Repairs
from trees.walk.weighing.worlds import Worlds

MOST_CAUSES = 3
EXACT_BELOW = 400
"""A tree with fewer ends of branches than this is followed whole, without a draw."""
# measured: six draws at 0.03, in half the time, put a tree at 25 % over the best order that these put at 13
_TREE_LEAST, _TREE_DRAWS = 0.01, 4
_ORDER_LEAST, _ORDER_DRAWS = 0.01, 4

Progress = Callable[[float], None]
"""Told what part of the work is done, 0..1."""


def weigh_tree(
    book: Book,
    tree_id: str,
    *,
    causes: int = 1,
    rollout: bool = False,
    place: Place = "bench",
    network: Network | None = None,
    order_to: float | None = None,
    progress: Progress = lambda _part: None,
) -> Weighing:
    """
    Weigh a tree against the best order found with the same checks and against knowing the causes from the start.

    A job has exactly one cause, or one to `causes` of them. `network` stands in for the one drawn from the book. With
    `order_to` the best order is written out as far as such a part of all jobs (0..1) gets. The
    same book gives the same figures: what is drawn is drawn with fixed seeds. Raises WalkError for an unknown tree and
    SuspectsError where the book can't be weighed. Source: reasoning/REASONING.md section 5.
    """
    tree = book.trees.get(tree_id)
    if tree is None:
        raise WalkError(
            _("This book has no tree named {tree_id}. Its trees are: {listed}.").format(
                tree_id=tree_id, listed=", ".join(book.trees)
            )
        )
    if tree.handover:
        raise WalkError(
            _("The tree {tree_id} takes the readings after a repair; it looks for no cause. Weigh another.").format(
                tree_id=tree_id
            )
        )
    if not 1 <= causes <= MOST_CAUSES:
        raise SuspectsError(
            _("A job with {causes} causes can't be weighed; give 1 to {MOST_CAUSES}.").format(
                causes=causes, MOST_CAUSES=MOST_CAUSES
            )
        )
    repairs = Repairs(Worlds(book, network or Network.of(book), tree.complaint_says, causes))
    checks = tuple(dict.fromkeys(check for step in _steps(book, tree) for check in _checks_of(step, place)))
    work = _Work(book, repairs, tree, place=place, checks=checks, progress=progress)
    tallies = work.tallies()
    rules: tuple[Rule, ...] = ("minutes", "bits", "rollout") if rollout else ("minutes", "bits")
    orders: dict[Best, _Order] = {rule: work.order(rule, at, len(rules)) for at, rule in enumerate(rules)}
    weighing = work.weighing(tallies, orders)
    if order_to is None:
        return weighing
    rule = min(rules, key=lambda rule: orders[rule].whole.value)
    return replace(weighing, order=work.written_out(rule, order_to), order_by=rule)


@dataclass(frozen=True, slots=True)
class _Order:
    whole: Estimate
    checks: Estimate
    first: str | None


class _Work:
    """One weighing in progress."""

    def __init__(
        self, book: Book, repairs: Repairs, tree: Tree, *, place: Place, checks: tuple[str, ...], progress: Progress
    ) -> None:
        self._book, self._repairs, self._tree, self._place, self._checks = book, repairs, tree, place, checks
        self._progress, self._limit = progress, repairs.limit()
        self._done = 0.0
        self._part = 0.0
        offered = [book.checks[check] for check in checks if check in book.checks]
        self._best = BestOrder(book, repairs, offered, place, self._turned)

    def tallies(self) -> list[Tally]:
        """Follow the tree: whole where that is few branches, else by some draws."""
        drawn = DrawnOrder(self._book, self._repairs, self._tree, self._place, UnitFacts())
        try:
            return [drawn.tally(Draw(0.0, 0, EXACT_BELOW))]
        except TooManyBranches:
            tallies = []
        for seed in range(_TREE_DRAWS):
            tallies.append(drawn.tally(Draw(_TREE_LEAST, seed)))
            self._progress(0.2 * (seed + 1) / _TREE_DRAWS)
        return tallies

    def order(self, rule: Rule, at: int, count: int) -> _Order:
        """Follow one rule."""
        whole, checks = [], []
        for seed in range(_ORDER_DRAWS):
            self._done = 0.2 + 0.8 * (at + seed / _ORDER_DRAWS) / count
            self._part = 0.8 / _ORDER_DRAWS / count
            draw = Draw(_ORDER_LEAST, seed)
            check_minutes, fix_minutes_more = self._best.minutes(rule, draw)
            whole.append(check_minutes + fix_minutes_more + self._limit)
            checks.append(check_minutes)
            if not draw.drew:
                break
        first = self._best.first_check(rule)
        return _Order(Estimate.of(whole), Estimate.of(checks), first.id if first is not None else None)

    def written_out(self, rule: Rule, least: float) -> tuple[Turning, ...]:
        """Return an order turn by turn."""
        return tuple(self._best.written_out(rule, least))

    def weighing(self, tallies: list[Tally], orders: dict[Best, _Order]) -> Weighing:
        """Gather what was found; the tree's own order counts among those that may be best."""
        author = Estimate.of([t.check_minutes + t.fix_minutes_more + self._limit for t in tallies])
        author_checks = Estimate.of([t.check_minutes for t in tallies])
        asked = self._book.trees[self._tree.id].steps[self._tree.begin]
        own = _Order(author, author_checks, asked.refers if asked.kind == "check" else None)
        candidates: dict[Best, _Order] = {"tree": own, **orders}
        best_by = min(candidates, key=lambda name: candidates[name].whole.value)
        best = candidates[best_by]
        return Weighing(
            tree=self._tree.id,
            most_causes=self._repairs.worlds.most_causes,
            place=self._place,
            sets=len(self._repairs.worlds.sets),
            covers=self._repairs.worlds.covers,
            checks=self._checks,
            author=author,
            author_checks=author_checks,
            best=best.whole,
            best_checks=best.checks,
            best_by=best_by,
            limit_minutes=self._limit,
            first_check=best.first,
            right=Estimate.of([t.right for t in tallies]),
            nothing=Estimate.of([t.nothing for t in tallies]),
            steps=self._step_costs(tallies),
            ends=self._end_misses(tallies),
            missed=_missed(tallies),
        )

    def _turned(self, weight: float) -> None:
        self._done += self._part * weight
        self._progress(min(1.0, self._done))

    def _step_costs(self, tallies: list[Tally]) -> tuple[StepCost, ...]:
        count, costs = len(tallies), []
        for key in dict.fromkeys(key for tally in tallies for key in tally.steps):
            rows = [tally.steps[key] for tally in tallies if key in tally.steps]
            costs.append(
                StepCost(
                    *key,
                    self._no(key),
                    minutes=sum(row.minutes for row in rows) / count,
                    reached=sum(row.reached for row in rows) / count,
                    finds_wrong=sum(row.finds_wrong for row in rows) / count,
                )
            )
        return tuple(sorted(costs, key=lambda cost: -cost.minutes))

    def _end_misses(self, tallies: list[Tally]) -> tuple[EndMiss, ...]:
        count, misses = len(tallies), []
        for key in dict.fromkeys(key for tally in tallies for key in tally.ends):
            rows = [tally.ends[key] for tally in tallies if key in tally.ends]
            reached, wrong = sum(row.reached for row in rows) / count, sum(row.wrong for row in rows) / count
            misses.append(EndMiss(*key, self._no(key), reached, wrong))
        return tuple(sorted(misses, key=lambda miss: -miss.wrong))

    def _no(self, key: StepKey) -> int:
        return 0 if key == HANDOVER else self._book.trees[key[0]].steps[key[1]].no


def _missed(tallies: list[Tally]) -> tuple[tuple[str, float], ...]:
    names = dict.fromkeys(name for tally in tallies for name in tally.missed)
    rows = [(name, sum(tally.missed.get(name, 0.0) for tally in tallies) / len(tallies)) for name in names]
    return tuple(sorted(rows, key=lambda row: -row[1]))


def _steps(book: Book, tree: Tree) -> Iterator[Step]:
    """Yield the steps of a tree and of all trees that it runs or goes over to, without the handover."""
    seen, waiting = {tree.id}, [tree]
    while waiting:
        here = waiting.pop(0)
        for step in here.steps.values() if not here.handover else ():
            yield step
            other = book.trees.get(step.refers) if step.kind in {"run", "over_to"} else None
            if other is not None and other.id not in seen:
                seen.add(other.id)
                waiting.append(other)


def _checks_of(step: Step, place: Place) -> Iterator[str]:
    if step.kind == "check":
        yield step.instead[place].check if place in step.instead else step.refers
