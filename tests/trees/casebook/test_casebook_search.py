"""Finding jobs as one types: by number, unit, serial and words; any text is safe, and the index is never behind."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from stores import ENGINES, Store, empty_store

from trees.casebook import Casebook
from trees.casebook.search import index_all, words_of
from trees.errors import CasebookError
from trees.walk import Entry

HOSTILE = (
    "'; DROP TABLE job; --",
    '"',
    "a AND",
    "NEAR(a b, 3)",
    "words:smoke",
    "*",
    "(",
    "smoke'",
    "!smoke",
    "smoke:*",
    "-smoke",
    "^smoke",
    "smoke | wet & !dry",
    "\\",
    "%",
    "\0",
    "\ud800",
    "smoke\x1b[31m",
    "x" * 5000,
    "smoke " * 3000,
    "☠ 𝄞",
    "",
    "   ",
)


def begun(words: str, family: str | None = "air_2_12") -> Entry:
    return Entry("began", {"words": words, "tree": "smoke", "place": "bench", "family": family})


def numbers(casebook: Casebook, typed: str, limit: int = 50) -> list[str]:
    return [row.number for row in casebook.find(typed, limit)]


def test_found_by_all_that_a_job_says(casebook: Casebook) -> None:
    """A job is found by the beginning of any word of its number, family, serial, complaint, notes and customer."""
    smoke = casebook.new_job([begun("White smoke at the Möwe's mooring")])
    wet = casebook.new_job([begun("Wet chamber", family="coolant_5_24"), Entry("note", {"text": "Straße 7"})])
    casebook.append(smoke, Entry("unit", {"serial": "AB-0815/22", "text": "plate bent"}), 2)
    casebook.append(wet, Entry("remark", {"text": "Ask for the age first", "tree": "smoke", "step": "a"}), 3)
    casebook.keep_customer(wet, {"name": "Harbour office", "phone": "+00 12 34"})
    expected = {
        "smo": smoke,
        "MOWE": smoke,
        "möwe": smoke,
        "strasse": wet,
        "moor whi": smoke,
        "ab0815": smoke,
        "0815": smoke,
        "815": smoke,
        "plate": smoke,
        "age fir": wet,
        "harb": wet,
        "coolant": wet,
        "j-0002": wet,
        "J0001": smoke,
    }
    assert {typed: numbers(casebook, typed) for typed in expected} == {
        typed: [job.number] for typed, job in expected.items()
    }
    assert numbers(casebook, "smoke wet") == []  # each word must be there
    assert numbers(casebook, "moke") == []  # words are found by how they begin
    assert numbers(casebook, "j") == [wet.number, smoke.number]


def test_nothing_typed_gives_the_last_touched(casebook: Casebook) -> None:
    """Before anything is typed the last touched jobs are shown; while typing the newest come first, at most so many."""
    first, second, third = (casebook.new_job([begun("Smokes")]) for _ in range(3))
    casebook.append(first, Entry("note", {"text": "x"}), 2)
    assert numbers(casebook, " ") == [first.number, third.number, second.number]
    assert numbers(casebook, "smo", limit=2) == [third.number, second.number]
    assert casebook.find("smo")[2] == casebook.summary(first)


@pytest.mark.parametrize("typed", HOSTILE, ids=range(len(HOSTILE)))
def test_any_text_is_only_text(casebook: Casebook, typed: str) -> None:
    """Whatever is typed is looked for as words: no error, no SQL, no language of a search engine."""
    job = casebook.new_job([begun("Smoke")])
    words = words_of(typed)
    assert numbers(casebook, typed) == ([job.number] if all("smoke".startswith(word) for word in words) else [])
    assert casebook.job("1") == job


@pytest.fixture(scope="module", params=ENGINES)
def one_job(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Casebook:
    with empty_store(request.param, tmp_path_factory.mktemp("search")) as store, Casebook.open(store.where) as casebook:
        casebook.new_job([begun("Smoke")])
        yield casebook


@given(typed=st.text(max_size=30))
def test_random_text_is_only_text(one_job: Casebook, typed: str) -> None:
    """Texts from all of Unicode are looked for without an error, and a job that holds such words is found by them."""
    one_job.find(typed)


@given(typed=st.text(st.characters(exclude_categories=["Cs"]), min_size=1, max_size=30))
def test_words_are_found_again(typed: str) -> None:
    """Cutting a text into words twice gives the same words, so what is kept and what is typed always meet."""
    words = words_of(typed)
    assert words_of(" ".join(words)) == words
    assert all(word == word.strip() and " " not in word for word in words)


def test_every_text_finds_its_own_job(store: Store, casebook: Casebook) -> None:
    """Words of any script and with odd signs find the job that holds them."""
    texts = ["Ærø ½ ﬁn", "Ελλάδα", "東京 ヒーター", "дым ёлка", "İstanbul ẞ", "naïve co-op 12V/24V", "x²"]
    jobs = [casebook.new_job([begun(text, family=None)]) for text in texts]
    for text, job in zip(texts, jobs, strict=True):
        assert numbers(casebook, text) == [job.number]
        for word in text.split():
            assert job.number in numbers(casebook, word.upper()), word


def test_index_is_never_behind(store: Store, casebook: Casebook) -> None:
    """What jobs are found by is the same as when it is worked out anew from all entries."""
    job = casebook.new_job([begun("White smoke")])
    for no, (kind, data) in enumerate(
        [
            ("note", {"text": "Wet"}),
            ("unit", {"serial": "A-1", "text": ""}),
            ("unit", {"serial": "A-1", "text": "Bent"}),
            ("answer", {"check": "c", "answer": "a"}),
            ("closed", {"end": "released", "text": "Dry"}),
            ("reopened", {"reason": "Back again"}),
        ],
        start=2,
    ):
        casebook.append(job, Entry(kind, data), no)  # type: ignore[arg-type]
    casebook.new_job([begun("Other")])
    kept = store.execute("SELECT job_id, words FROM job_search ORDER BY job_id")
    with casebook._writing() as connection:
        assert index_all(connection) == 2
    assert store.execute("SELECT job_id, words FROM job_search ORDER BY job_id") == kept
    assert numbers(casebook, "back bent") == [job.number]


def test_lost_writer_is_not_found(casebook: Casebook) -> None:
    """The words of an answer that came too late are not found: they were never kept."""
    job = casebook.new_job([begun("Smoke")])
    casebook.append(job, Entry("note", {"text": "first"}), 2)
    with pytest.raises(CasebookError):
        casebook.append(job, Entry("note", {"text": "second"}), 2)
    assert (numbers(casebook, "first"), numbers(casebook, "second")) == ([job.number], [])


def test_index_holds_together(path: Path, file_casebook: Casebook) -> None:
    """SQLite's own check of the index against the words finds nothing after many changes."""
    for n in range(30):
        job = file_casebook.new_job([begun(f"Smoke {n}")])
        file_casebook.append(job, Entry("note", {"text": f"wet {n}"}), 2)
        if n % 5 == 0:
            file_casebook.erase(job)
    check = "INSERT INTO job_search_index (job_search_index, rank) VALUES ('integrity-check', 1)"
    Store(str(path), "sqlite").execute(check)


def test_customer_is_replaced_as_a_whole(casebook: Casebook) -> None:
    """What was told of a customer stands in the place of what was, is found by it, and only known fields are kept."""
    job = casebook.new_job([begun("Smoke")])
    casebook.keep_customer(job, {"name": "Hut warden", "phone": " "})
    assert casebook.customer(job) == {"name": "Hut warden"}
    casebook.keep_customer(job, {"phone": "12"})
    assert casebook.customer(job) == {"phone": "12"}
    assert (numbers(casebook, "warden"), numbers(casebook, "12 smoke")) == ([], [job.number])
    with pytest.raises(CasebookError, match="Of a customer we keep name, phone, address, text, not shoe"):
        casebook.keep_customer(job, {"shoe": "44"})


def test_jobs_of_one_serial_number(casebook: Casebook) -> None:
    """All jobs of a unit are found by its serial number exactly."""
    jobs = [casebook.new_job([begun("Smoke"), Entry("unit", {"serial": serial})]) for serial in ("A-1", "A-2", "A-1")]
    assert {row.number for row in casebook.same_serial("A-1")} == {jobs[0].number, jobs[2].number}
    assert casebook.same_serial("") == ()
