"""Entries: append-only, in order, each by exactly one seat, with free text apart."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from small_book import small_book
from stores import Store

from trees.casebook import Casebook, StoredEntry
from trees.casebook.book_text import fingerprint_of
from trees.casebook.encode import FREE_TEXT, join, split
from trees.errors import CasebookError, TakenElsewhereError
from trees.walk import KINDS, Entry, Walk

MakeAnswer = Callable[[str], Entry]

texts = st.text(st.characters(exclude_categories=["Cs"], exclude_characters="\0"), max_size=20)
plain = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats(allow_nan=False, allow_infinity=False) | texts,
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(texts, inner, max_size=3),
    max_leaves=8,
)


def test_entries_come_back_as_they_were(casebook: Casebook, began: Entry) -> None:
    """Kind, data and visit of every kind of entry come back as kept, in order, with time, seat and edition."""
    data = {"typed": "11,8 V ±", "values": [11.8, 1e-9, 3], "none": None, "yes": True, "text": "Möwe\n\t\x1b[31m ☠ 𝄞"}
    job = casebook.new_job([began], fingerprint="aaa")
    for no, kind in enumerate(KINDS, start=2):
        extra = {"place": "site"} if kind == "place" else {}
        casebook.append(job, Entry(kind, {**data, **extra}, f"visit/{no}"), no, fingerprint="bbb")
    stored = casebook.entries(job)
    assert [one.no for one in stored] == list(range(1, len(KINDS) + 2))
    assert [one.entry.kind for one in stored] == ["began", *KINDS]
    assert stored[0].entry == began
    assert all({**one.entry.data, "place": None} == {**data, "place": None} for one in stored[1:])
    assert [one.entry.visit for one in stored[1:3]] == ["visit/2", "visit/3"]
    assert (stored[0].fingerprint, stored[1].fingerprint, stored[1].seat) == ("aaa", "bbb", "bench")
    assert stored[1].at == "2026-03-02T08:00:03.000Z"


@given(
    data=st.dictionaries(texts.filter(lambda key: key not in FREE_TEXT), plain, max_size=4),
    free=st.dictionaries(st.sampled_from(FREE_TEXT), texts),
)
def test_any_plain_json_is_kept(data: dict[str, Any], free: dict[str, str]) -> None:
    """Whatever plain JSON an entry holds comes back equal, and its free text is not in the technical part."""
    entry = Entry("answer", {**data, **free}, "visit")
    technical, apart = split(entry)
    assert join("answer", "visit", technical, apart) == entry
    assert apart == {key: value for key, value in free.items() if value}
    assert join("answer", "visit", technical, {}).data == {**data, **dict.fromkeys(free, "")}


def test_append_returns_what_is_on_disk(casebook: Casebook, began: Entry, answer: MakeAnswer) -> None:
    """What `append` returns is what a later reading finds, also where a sign could not be kept."""
    job = casebook.new_job([began])
    returned = [
        casebook.append(job, answer("short"), 2),
        casebook.append(job, Entry("note", {"text": "a\0b\ud800"}), 3),
    ]
    assert list(casebook.entries(job)[1:]) == returned
    assert returned[1].entry.data["text"] == "a\ufffdb\ufffd"


@pytest.mark.parametrize("value", [float("nan"), float("inf"), object(), {1, 2}, b"bytes"])
def test_data_that_are_no_json(casebook: Casebook, began: Entry, answer: MakeAnswer, value: object) -> None:
    """Data that JSON can't hold are refused with a sentence, and nothing is written."""
    job = casebook.new_job([began])
    with pytest.raises(CasebookError, match=r"^The entry `answer` can't be kept: its data are no plain JSON"):
        casebook.append(job, Entry("answer", {"reading": value}), 2)
    assert casebook.append(job, answer("short"), 2).no == 2


def test_free_text_that_is_no_text(casebook: Casebook, began: Entry) -> None:
    """Free text is text: anything else under its key would stay behind when it is erased."""
    job = casebook.new_job([began])
    with pytest.raises(CasebookError, match="its `text` is no text"):
        casebook.append(job, Entry("note", {"text": ["J. Doe"]}), 2)


def test_second_seat_is_shown_the_newer_entries(
    store: Store, casebook: Casebook, began: Entry, answer: MakeAnswer
) -> None:
    """A seat that answers a step which another has answered is told so, gets the newer entries, and writes nothing."""
    job = casebook.new_job([began])
    with Casebook.open(store.where, seat="helpline") as helpline:
        first = helpline.append(job, answer("stays"), 2)
        second = helpline.append(job, Entry("note", {"text": "On the line"}), 3)
    with pytest.raises(TakenElsewhereError) as caught:
        casebook.append(job, answer("short"), 2)
    assert caught.value.newer == (first, second)  # type: ignore[attr-defined]
    assert str(caught.value).startswith("The seat helpline was first at job J-0001 (entry 2, ")
    assert casebook.entries(job)[1:] == (first, second)
    assert casebook.append(job, answer("short"), 4).no == 4


def test_own_other_window_is_first(casebook: Casebook, began: Entry, answer: MakeAnswer) -> None:
    """Where the newer entry is of the same seat, the sentence speaks of another window."""
    job = casebook.new_job([began])
    casebook.append(job, answer("stays"), 2)
    with pytest.raises(TakenElsewhereError, match=r"^Another window of this seat was first"):
        casebook.append(job, answer("short"), 2)


def test_lost_writer_changes_no_summary(casebook: Casebook, began: Entry) -> None:
    """A close that came too late closes nothing."""
    job = casebook.new_job([began])
    casebook.append(job, Entry("note", {"text": "wait"}), 2)
    with pytest.raises(TakenElsewhereError):
        casebook.append(job, Entry("closed", {"end": "released"}), 2)
    assert casebook.jobs(open_only=True)[0].entries == 2


@pytest.mark.parametrize("no", [3, 99, 0, -1])
def test_no_gap_in_the_numbers(casebook: Casebook, began: Entry, answer: MakeAnswer, no: int) -> None:
    """An entry is kept only right after the one before it."""
    job = casebook.new_job([began])
    with pytest.raises(CasebookError):
        casebook.append(job, answer("short"), no)
    assert [one.no for one in casebook.entries(job)] == [1]


def test_jobs_do_not_mix(casebook: Casebook, began: Entry, answer: MakeAnswer) -> None:
    """Each job has its own numbering and its own entries."""
    one, other = casebook.new_job([began]), casebook.new_job([began])
    casebook.append(one, answer("short"), 2)
    casebook.append(other, answer("stays"), 2)
    assert [stored.entry.data["answer"] for job in (one, other) for stored in casebook.entries(job)[1:]] == [
        "short",
        "stays",
    ]


CHANGES = {
    "both": (
        "UPDATE entry SET data = '{}'",
        "UPDATE entry SET no = 9",
        "DELETE FROM entry",
        "UPDATE book_text SET kept_at = ''",
        "DELETE FROM book_text",
    ),
    "sqlite": (
        "REPLACE INTO entry SELECT job_id, no, 'note', visit, data, at, seat, fingerprint FROM entry",
        "INSERT INTO entry SELECT job_id, no + 2, 'note', visit, data, at, seat, fingerprint FROM entry",
        "REPLACE INTO book_text SELECT fingerprint, x'00', kept_at FROM book_text",
    ),
    "postgresql": (
        "TRUNCATE entry",
        "INSERT INTO entry SELECT * FROM entry ON CONFLICT (job_id, no) DO UPDATE SET kind = 'note'",
        "INSERT INTO book_text SELECT * FROM book_text ON CONFLICT (fingerprint) DO UPDATE SET files = ''",
    ),
}


def test_entries_are_append_only(store: Store, casebook: Casebook, began: Entry) -> None:
    """The store itself refuses to change or delete an entry or a kept book, whoever tries."""
    job = casebook.new_job([began])
    before = casebook.entries(job)
    files = {"book.yaml": b"title: Invented\n"}
    casebook.keep_book_text(fingerprint_of(files), files)
    for statement in (*CHANGES["both"], *CHANGES[store.engine]):
        with pytest.raises(Exception, match="is never changed"):
            store.execute(statement)
    assert casebook.entries(job) == before
    assert casebook.book_text(fingerprint_of(files)) == files


def test_free_text_stands_apart(store: Store, casebook: Casebook) -> None:
    """What people typed into a walk stands in `personal` alone; without it the technical record is whole."""
    name = "Skipper of the Grey Heron"
    book = small_book()
    tree = next(iter(book.trees))
    walk = Walk.begin(book, words=name, tree=tree).taken_up("bench", "2026-03-02")
    walk = walk.note(name).work(name).close("to_workshop", name).reopen(name)
    extra = Entry("remark", {"text": name, "step": "smoke"}), Entry("follow_up_of", {"job": "J-0001", "reason": name})
    job = casebook.new_job([*walk.entries, *extra])
    full = casebook.entries(job)
    assert sum(name in str(one.entry.data) for one in full) == 7

    assert name not in str(store.execute("SELECT * FROM entry"))
    assert name not in str(store.execute("SELECT * FROM job"))
    store.execute("DELETE FROM personal WHERE job_id = ?", job.id)

    left = casebook.entries(job)
    assert [one.entry.kind for one in left] == [one.entry.kind for one in full]
    assert [set(one.entry.data) for one in left] == [set(one.entry.data) for one in full]
    assert name not in str(left)
    assert casebook.jobs()[0].words == ""
    assert Walk.resume(book, (one.entry for one in left[: len(walk.entries)])).question == walk.question


def test_damaged_entry_is_named(store: Store, casebook: Casebook, began: Entry) -> None:
    """An entry whose data can't be read any more is named with its job and number."""
    job = casebook.new_job([began])
    for no, data in ((2, "{"), (3, "[]")):
        store.execute("INSERT INTO entry VALUES (?, ?, 'note', '', ?, '', '', '')", job.id, no, data)
        with pytest.raises(CasebookError, match=r"^Entry 2 of job J-0001 in .* is damaged; go on with the last"):
            casebook.entries(job)


def test_walk_goes_on_from_the_store(store: Store, casebook: Casebook) -> None:
    """A walk that is read back asks what the walk asked that was kept."""
    book = small_book()
    walk = Walk.begin(book, words="Smokes", tree=next(iter(book.trees))).taken_up("bench", "2026-03-02")
    job = casebook.new_job(walk.entries, fingerprint=book.fingerprint)
    while len(walk.entries) < 8 and walk.question.kind in {"gate", "check", "work", "rated"}:
        kind = walk.question.kind
        later = walk.answer(walk.question.options[0].id) if kind == "gate" else walk.cannot_tell()
        casebook.append(job, later.entries[-1], len(later.entries), fingerprint=book.fingerprint)
        walk = later
    with Casebook.open(store.where) as again:
        stored: tuple[StoredEntry, ...] = again.entries(again.job(job.number))
    resumed = Walk.resume(book, (one.entry for one in stored))
    assert len(resumed.entries) > 3
    assert (resumed.entries, resumed.question) == (walk.entries, walk.question)
