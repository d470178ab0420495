"""Paths are counted from the ends backwards; walking each one by hand gives the same."""

from __future__ import annotations

from pathlib import Path

import pytest
from book_folder import written
from shipped_book import shipped

from trees.book import Book, load_book
from trees.book.words import UNKNOWN, Place
from trees.walk import Walk
from trees.walk.all_paths import count_paths

HEAD = """\
title: A tiny book
edition: "1"
language: en
reviewed: "2026-11-25"
words: {often: 0.55}
start_limit: {bench: 99, site: 99, phone: 99}
source: memory
opening_minutes: 10
caller_may: {see: See}
"""
PIECES = {
    "book.yaml": HEAD,
    "gate.yaml": "g:\n  no: 1\n  ask: Danger?\n  answers: [{id: no, means: No}, {id: yes, means: Yes, stop: c}]\n"
    "  unknown: yes\n",
    "cautions.yaml": "c: {word: Fire, grade: DANGER, text: Out}\n",
    "signs.yaml": "s: {name: Sign}\n",
    "causes.yaml": "bad: {name: Bad, kind: root, lives: unit, share: 5, shows: {s: often}, fixes: [mend]}\n",
    "fixes.yaml": "mend: {do: Mend it, minutes: 30, cures: [bad]}\n",
    "checks/all.yaml": """\
one:
  {look: One?, minutes: 1, acts: [see], answers: [{id: a, means: A, says: {s: yes}}, {id: b, means: B, says: {s: no}}]}
two:
  look: Two?
  minutes: 2
  inside: true
  place: [bench, site]
  answers: [{id: a, means: A, finds: [bad]}, {id: b, means: B}, {id: c, means: C, stop: c}]
three: {ask: Three?, minutes: 4, answers: [{id: a, means: A, finds: [bad]}, {id: b, means: B}]}
four:
  {look: Four?, minutes: 3, acts: [see], caller_proves: true,
   answers: [{id: a, means: A, finds: [bad]}, {id: b, means: B}]}
""",
    "trees/top.yaml": """\
title: Top
complaint: {words: [top]}
begin: first
phone_exit: last
steps:
  first: {no: 10, check: one, go: {a: low, b: mend}, unknown: last}
  low: {no: 11, run: under, then: mend}
  mend: {no: 12, do: mend, go: {cured: last, still: away, not_tried: last}}
  away: {no: 13, over_to: other}
  last: {no: 14, end: released}
""",
    "trees/under.yaml": """\
title: Under
shared: true
begin: in
steps:
  in: {no: 20, check: two, go: {a: out, b: more, c: out}, unknown: out}
  more: {no: 21, check: three, go: {a: out, b: shut}, unknown: out}
  out: {no: 22, return: true}
  shut: {no: 23, stop: c}
""",
    "trees/other.yaml": """\
title: Other
begin: only
steps:
  only: {no: 30, check: four, go: {a: done, b: done}, unknown: done}
  done: {no: 31, end: no_fault}
""",
}


@pytest.fixture
def tiny(tmp_path: Path) -> Book:
    """Return a book of three trees with every kind of step."""
    return load_book(written(tmp_path / "book", PIECES))


def walked(book: Book, tree: str, place: Place) -> list[tuple[Walk, int]]:
    """Walk every path with the real walk; return each finished walk with the steps asked on it."""
    done: list[tuple[Walk, int]] = []
    begun = Walk.begin(book, words="x", tree=tree, place=place).taken_up("one", "2026-01-05").answer("no")
    open_walks = [(begun, 0)]
    while open_walks:
        walk, asked = open_walks.pop()
        question = walk.question
        if question.kind not in {"check", "work"}:
            done.append((walk, asked))
            continue
        assert question.known is None, "the trees of this test ask nothing twice"
        answers = [*(option.id for option in question.options if not question.blocked), UNKNOWN]
        open_walks += [(walk.answer(answer), asked + 1) for answer in answers]
    return done


@pytest.mark.parametrize("place", ["bench", "site", "phone"])
def test_count_is_what_walking_every_path_gives(tiny: Book, place: Place) -> None:
    """Count, longest, mean minutes and paths without a cause agree with the real walk, path by path."""
    for one in count_paths(tiny, place):
        if one.shared:
            continue
        done = walked(tiny, one.tree, place)
        assert one.count == len(done)
        assert one.longest == max(asked for _, asked in done)
        assert one.mean_minutes == pytest.approx(sum(walk.now.minutes for walk, _ in done) / len(done))
        ended = [walk for walk, _ in done if walk.now.stopped is None]
        nothing = [walk for walk in ended if not any(f.state == "found" for f in walk.findings.values())]
        assert one.no_conclusion == len(nothing)


def test_paths_counted_by_hand(tiny: Book) -> None:
    """Under: two gives a, c(stop), unknown and b; behind b three gives a, b(stop), unknown: six paths, two stops."""
    under = next(one for one in count_paths(tiny) if one.tree == "under")
    assert (under.count, under.longest, under.longest_by, under.shared) == (6, 2, (20, 21), True)
    # minutes: a 2+10, c 2+10, unknown 0, b-a 6+10, b-b 6+10, b-unknown 2+10
    assert under.mean_minutes == pytest.approx((12 + 12 + 0 + 16 + 16 + 12) / 6)
    assert under.no_conclusion == 0


@pytest.mark.parametrize("place", ["bench", "site", "phone"])
def test_shipped_book_is_counted_in_no_time(place: Place) -> None:
    """More paths than could ever be walked are counted; the longest path named is as long as it says."""
    paths = count_paths(shipped(), place)
    assert [one.tree for one in paths] == list(shipped().trees)
    assert all(one.count >= 1 and 0 <= one.no_conclusion <= one.count for one in paths)
    assert all(len(one.longest_by) == one.longest for one in paths)
    if place == "bench":
        assert max(one.count for one in paths) > 10**12
