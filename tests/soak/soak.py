"""Play random jobs through the real walk and casebook: `python tests/soak/soak.py --jobs 10000 --store NEW_STORE`.

After every move: the entries are on disk, the suspects lie in 0..1, and the walk stands at a step that can be reached.
After every job: what was stored is what was kept, and replaying it gives the same state. Exit 1 with the seed of the
first job that broke a rule; `--seed` plays it again.
"""

from __future__ import annotations

import argparse
import random
import sys
import time
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path

from random_job import begun, moved, reachable

from trees.book import Book, load_book, shipped_book_path
from trees.casebook import AnsweredElsewhereError, Casebook, JobRecord
from trees.walk import Walk
from trees.walk.ranking import rank

MOVES = 60
RANK_EVERY = 5
OTHER_SEAT = 0.02


class BrokenRuleError(AssertionError):
    """A rule that did not hold, with the seed that shows it."""


@dataclass
class Soaked:
    """What was played."""

    jobs: int = 0
    entries: int = 0
    refused_elsewhere: int = 0
    ends: dict[str, int] = field(default_factory=dict)
    memory_kb: list[int] = field(default_factory=list)
    """Resident memory after each hundredth of the jobs."""


@dataclass
class _Seats:
    """Two programs at one store."""

    here: Casebook
    there: Casebook


def soak(book: Book, where: str | Path, jobs: int, seed: int = 0, on_job: object = None) -> Soaked:
    """Play that many jobs; BrokenRuleError with the seed of the first that broke a rule."""
    done = Soaked()
    every = max(1, jobs // 100)
    with Casebook.open(where, seat="bench 1") as here, Casebook.open(where, seat="helpline") as there:
        seats = _Seats(here, there)
        known = reachable(book)
        for number in range(seed, seed + jobs):
            try:
                _play(random.Random(number), book, known, seats, done)
            except Exception as error:
                raise BrokenRuleError(f"job with seed {number}: {error!r}") from error
            if done.jobs % every == 0:
                done.memory_kb.append(resident_kb())
                if callable(on_job):
                    on_job(done)
        _all_there(here, done)
    return done


def _play(dice: random.Random, book: Book, known: frozenset[tuple[str, str]], seats: _Seats, done: Soaked) -> None:
    walk = begun(dice, book)
    record = seats.here.new_job(walk.entries, fingerprint=book.fingerprint)
    for turn in range(dice.randint(5, MOVES)):
        new = moved(dice, walk)
        if len(new.entries) > len(walk.entries) and dice.random() < OTHER_SEAT:
            walk = _taken_elsewhere(dice, seats, record, walk, new)
            done.refused_elsewhere += 1
        else:
            walk = _kept(seats.here, record, walk, new)
        if walk.book is not book:
            book, known = walk.book, reachable(walk.book)
        _stands_well(walk, known, weighed=turn % RANK_EVERY == 0)
    stored = tuple(entry.entry for entry in seats.there.entries(record))
    _rule(stored == walk.entries, "what is stored is not what was kept")
    _rule(_state(Walk.resume(book, stored)) == _state(walk), "the replay gives another state")
    done.jobs += 1
    done.entries += len(stored)
    done.ends[walk.question.kind] = done.ends.get(walk.question.kind, 0) + 1


def _kept(casebook: Casebook, record: JobRecord, old: Walk, new: Walk) -> Walk:
    for no in range(len(old.entries) + 1, len(new.entries) + 1):
        casebook.append(record, new.entries[no - 1], no, fingerprint=new.book.fingerprint)
    return new


def _taken_elsewhere(dice: random.Random, seats: _Seats, record: JobRecord, walk: Walk, mine: Walk) -> Walk:
    """Let the other seat be first; this one must be refused, and goes on from the newer state."""
    theirs = _kept(seats.there, record, walk, walk.note(f"from the helpline {dice.random()}"))
    try:
        _kept(seats.here, record, walk, mine)
    except AnsweredElsewhereError:
        return theirs
    raise BrokenRuleError("two seats answered one step")


def _stands_well(walk: Walk, known: frozenset[tuple[str, str]], *, weighed: bool) -> None:
    visit = walk.now.travel.visit
    if visit is not None and visit.tree.id in walk.book.trees:
        _rule((visit.tree.id, visit.step.id) in known, f"{visit.tree.id}.{visit.step.id} can't be reached")
    if weighed:
        suspects, trouble = rank(walk)
        chances = [s.probability for s in suspects if s.probability is not None]
        _rule(bool(chances) or bool(trouble), "no suspects and no reason")
        _rule(all(0.0 <= chance <= 1.0 for chance in chances), "a suspect lies outside 0..1")


def _state(walk: Walk) -> tuple[object, ...]:
    question = walk.question
    told = tuple((finding.cause, finding.state) for finding in walk.findings.values())
    suspects = tuple((s.cause, s.probability) for s in rank(walk)[0])
    trail = tuple(walk.trail)
    return question.kind, question.visit, question.wording, question.blocked, told, suspects, walk.now.stopped, trail


def _all_there(casebook: Casebook, done: Soaked) -> None:
    """Hold that no job and no entry was lost or doubled over the whole run, in a store that was new."""
    rows = casebook.jobs()
    _rule(len(rows) == done.jobs, f"{len(rows)} jobs are there, {done.jobs} were kept")
    counted = sum(len(casebook.entries(casebook.job(row.number))) for row in rows)
    _rule(counted == done.entries, f"{counted} entries are there, {done.entries} were kept")


def _rule(holds: bool, otherwise: str) -> None:
    if not holds:
        raise BrokenRuleError(otherwise)


def resident_kb() -> int:
    """Return the resident memory of this process in kB."""
    rows = Path("/proc/self/status").read_text("ascii").splitlines()
    return int(next(row.split()[1] for row in rows if row.startswith("VmRSS")))


def told(done: Soaked, seconds: float) -> Iterator[str]:
    """Yield the report."""
    yield f"{done.jobs} jobs, {done.entries} entries in {seconds:.0f} s; no rule broken"
    yield f"answers refused because another seat was first: {done.refused_elsewhere}"
    yield f"jobs stand at: {', '.join(f'{kind} {count}' for kind, count in sorted(done.ends.items()))}"
    memory = done.memory_kb
    if len(memory) > 10:
        early, late = max(memory[len(memory) // 5 : len(memory) // 2]), max(memory[-len(memory) // 5 :])
        yield f"memory after the first fifth {early / 1024:.0f} MB, at the end {late / 1024:.0f} MB"


def main() -> int:
    """Run the soak."""
    parser = argparse.ArgumentParser(description="Play random jobs and watch the rules.")
    parser.add_argument("--jobs", type=int, default=10_000)
    parser.add_argument("--seed", type=int, default=0)
    parser.add_argument("--store", required=True, help="a new SQLite file, or postgresql://...")
    options = parser.parse_args()
    began = time.monotonic()
    where = options.store if "://" in options.store else Path(options.store)
    try:
        done = soak(
            load_book(shipped_book_path()),
            where,
            options.jobs,
            options.seed,
            on_job=lambda so_far: print(f"\r{so_far.jobs} jobs", end="", file=sys.stderr, flush=True),
        )
    except BrokenRuleError as broken:
        print(f"\nsoak: {broken}", file=sys.stderr)
        return 1
    print(file=sys.stderr)
    print("\n".join(told(done, time.monotonic() - began)))
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
