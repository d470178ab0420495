"""What changed between two editions is told for the person who walks."""

from __future__ import annotations

import shutil
from pathlib import Path
from typing import Any

import pytest

from trees.book import Book, check_book
from trees.book.changes import Change, changes

SMOKE, VOLTS, SUPPLY, BURNER = (
    "trees/smoke_on_start.yaml",
    "trees/supply_voltage.yaml",
    "checks/supply.yaml",
    "checks/burner.yaml",
)


def book_of(folder: Path, figures: Any) -> Book:
    """Return a sound book."""
    book = check_book(folder, figures).book
    assert book is not None
    return book


def after(tiny: Any, file: str, old: str, new: str) -> tuple[Change, ...]:
    """Change one place and return what is told of it."""
    shutil.copytree(tiny.save(), tiny.folder.with_name("before"))
    tiny.change(file, old, new)
    return changes(book_of(tiny.folder.with_name("before"), tiny.figures), book_of(tiny.save(), tiny.figures))


def test_same_book_has_no_changes(tiny: Any) -> None:
    """Comments and layout are not what somebody walks."""
    assert after(tiny, SMOKE, "begin: watch", "# a comment\n\nbegin:   watch") == ()


def test_answer_that_leads_elsewhere(tiny: Any) -> None:
    """The answer, where it led, where it leads, each with its number; and the paths whose end changed."""
    found = after(tiny, SMOKE, "go: {clean: over, coked: work}", "go: {clean: bring_it, coked: work}")
    assert (
        Change(
            "answer",
            "smoke_on_start.look_in",
            "`clean` led to 208 (commissioning), leads now to 209 (to_workshop)",
        )
        in found
    )
    assert [change.told for change in found if change.what == "path"] == [
        "225 paths: asks `gap` at 401 before, ends as `to_workshop` at 209 now"
    ]
    assert len(found) == 2


def test_number_of_changed_paths_is_what_a_hand_counts(tiny: Any) -> None:
    """Three answers to the smoke, three to the volts, five to the dose, of which four lead on by three and two."""
    by_hand = 3 * 3 * (1 + 4 * 3 * 2)
    found = after(tiny, SMOKE, "go: {clean: over, coked: work}", "go: {clean: bring_it, coked: work}")
    assert f"{by_hand} paths" in next(change.told for change in found if change.what == "path")


def test_new_end_at_the_same_step(tiny: Any) -> None:
    """A path that ends otherwise is told with both ends."""
    found = after(tiny, "trees/commissioning.yaml", "end: released", "end: not_released")
    told = [change.told for change in found if change.where == "commissioning" and change.what == "path"]
    assert told == ["4 paths: ends as `released` at 402 before, ends as `not_released` at 402 now"]


def test_step_added_and_gone(tiny: Any) -> None:
    """Steps are told with number and question; the ways that led there are told too."""
    old = "  volts: {no: 301, check: loaded, go: {low: back, good: back}, unknown: back}"
    new = (
        f"{old.replace('good: back', 'good: more')}\n  more: {{no: 303, check: last_filled, then: back, unknown: back}}"
    )
    found = after(tiny, VOLTS, old, new)
    assert Change("step", "supply_voltage.more", "the step 303 (When was it last filled up?) is new") in found
    assert any(change.told.startswith("`good` led to 302") for change in found)
    back = changes(book_of(tiny.folder, tiny.figures), book_of(tiny.folder.with_name("before"), tiny.figures))
    assert Change("step", "supply_voltage.more", "the step 303 (When was it last filled up?) is gone") in back


def test_conclusion_moved(tiny: Any) -> None:
    """An answer that finds another cause is a conclusion that moved."""
    found = after(tiny, SUPPLY, ", finds: [cable_thin]", ", hints: [cable_thin]")
    assert Change("conclusion", "loaded", "`low` finds: was `cable_thin`, is now none") in found
    assert Change("conclusion", "loaded", "`low` hints: was none, is now `cable_thin`") in found


@pytest.mark.parametrize(
    ("file", "old", "new", "what", "told"),
    [
        (BURNER, "{upto: 0.2, id: rubbing", "{upto: 0.3, id: rubbing", "answer", "`rubbing` upto: was 0.2, is now 0.3"),
        (
            SUPPLY,
            "place: [bench]\n  of",
            "place: [bench, site]\n  of",
            "check",
            "place was `bench`, is now `bench`, `site`",
        ),
        ("fixes.yaml", "minutes: 45", "minutes: 30", "fix", "minutes was 45, is now 30"),
        ("cautions.yaml", "grade: WARNING", "grade: DANGER", "caution", "grade was `WARNING`, is now `DANGER`"),
        ("gate.yaml", "means: Earlier, forbids_starts: true, opens", "means: Earlier, opens", "gate", "forbids starts"),
        ("causes.yaml", "share: 6\n", "share: 9\n", "cause", "share was 6, is now 9"),
        (SMOKE, "phone_exit: bring_it", "phone_exit: over", "tree", "phone exit was `bring_it`, is now `over`"),
        (SMOKE, "{no: 209, end", "{no: 299, end", "step", "number 209 is now 299"),
        (
            SMOKE,
            "{fresh: share, old: share}",
            "{fresh: share, old: use}",
            "answer",
            "`last_filled: old` (phone) led to 204",
        ),
    ],
)
def test_each_kind_of_change_is_told(tiny: Any, file: str, old: str, new: str, what: str, told: str) -> None:
    """One change in the text gives one sentence of its kind."""
    found = [change for change in after(tiny, file, old, new) if change.what == what]
    assert [told in change.told for change in found] == [True], found


def test_check_added_and_gone(tiny: Any) -> None:
    """A check of its own, not only its step."""
    text = tiny.files[BURNER]
    new = "hum:\n  ask: Does it hum?\n  intake: true\n  answers: [{id: no, means: No}, {id: yes, means: Yes}]\n"
    found = after(tiny, BURNER, text, text + new)
    assert found == (Change("check", "hum", "the check is new"),)


def test_note_why_a_tree_is_slower_is_told(tiny: Any) -> None:
    """A reader of the new edition learns that the order costs minutes, and why."""
    (found,) = after(tiny, SMOKE, "begin: watch\n", "begin: watch\nslower: {per_cent: 27, because: It looks first.}\n")
    assert found == Change("tree", "smoke_on_start", "slower was empty, is now `27 % slower: It looks first.`")
