"""Every number has its standing: what must name a source, what counts before what, and how it reads in words."""

from __future__ import annotations

from typing import Any

import pytest

from trees.book.model import ByVoltage, Source
from trees.book.standing import in_words, of_check, of_family

BURNER, SUPPLY = "checks/burner.yaml", "checks/supply.yaml"
LOW = "upto: {12: 11.5, 24: 23.0}, id: low"

# file, what stands there, what is written instead (‹ › mark the first number for which nobody answers)
UNANSWERED = [
    (BURNER, "  plausible: [0, 3]\n  source: practice\n", "  plausible: ‹[0, 3]›\n"),
    (BURNER, "  plausible: [0, 3]\n  source: practice\n  bands:\n    - {upto: 0.2", "  bands:\n    - {upto: ‹0.2›"),
    ("signs.yaml", "unprompted: {light: 0.03, hard: 0.01}, source: memory", "unprompted: ‹{light: 0.03, hard: 0.01}›"),
    ("causes.yaml", "hard: 0.25}", "hard: ‹0.25›}"),
]


@pytest.mark.parametrize(("file", "old", "new"), UNANSWERED)
def test_number_without_source_is_refused_once_for_its_record(tiny: Any, file: str, old: str, new: str) -> None:
    """A band edge, a plausible range, a chance in figures without a source: one error, at the first of them."""
    if file == "causes.yaml":
        tiny.change(file, "rarely}\nsource: memory\n", "rarely}\n")
    problem = tiny.change(file, old, new).only_problem(file)
    assert (problem.code, problem.severity) == ("number-without-source", "error")
    assert "source" in problem.help


def test_file_without_source_is_refused_for_every_record_with_numbers(tiny: Any) -> None:
    """Families with outputs, checks with bands, spreads or plausible readings; words of an answer need none."""
    for name in ("families.yaml", SUPPLY):
        tiny.write(name, tiny.files[name].replace("source: practice\n", "", 1))
    tiny.change(SUPPLY, "{low: {unit: h}, high: {unit: h}}", "{low: {unit: h, plausible: [0, 9]}, high: {unit: h}}")
    problems = tiny.check().problems
    assert {problem.code for problem in problems} == {"number-without-source"}
    told = [problem.message.split("`")[1] for problem in problems]
    assert told == ["loaded", "hours", "low_share", "dose", "air_12", "air_24"]


def test_every_number_with_its_own_source_needs_no_other(tiny: Any) -> None:
    """A band answers for its edge; an edge that stands with the family has the family's source."""
    tiny.change(BURNER, "  plausible: [0, 3]\n  source: practice\n", "")
    tiny.change(BURNER, "{upto: 0.2, id: rubbing", "{upto: 0.2, source: memory, id: rubbing")
    assert tiny.check().problems == ()


@pytest.mark.parametrize("left_out", ["published: A standard, ", "clause: 4.2, ", "seen: opened"])
def test_published_needs_name_clause_and_how_it_was_seen(tiny: Any, left_out: str) -> None:
    """Who says `published` says where it stands and whether the text was opened or only seen quoted."""
    source = "{published: A standard, clause: 4.2, seen: opened}"
    tiny.change(BURNER, "source: practice", f"source: {source}")
    assert tiny.check().problems == ()
    tiny.write(BURNER, tiny.files[BURNER].replace(left_out, ""))
    assert {problem.code for problem in tiny.check().problems} <= {"missing-key"}
    assert tiny.check().errors == 1


def test_book_without_source_is_refused(tiny: Any) -> None:
    """Minutes, shares and words rest on the book's source, so that a book has one."""
    tiny.change("book.yaml", "source: memory\n", "").change("book.yaml", "title:", "‹title›:")
    problem = tiny.only_problem("book.yaml")
    assert (problem.code, "`source`" in problem.message) == ("missing-key", True)


def test_standing_reads_as_a_sentence_part() -> None:
    """The three standings in words; what was only quoted says so."""
    assert in_words(Source("published", "EN 590", "scope", "opened")) == "published: EN 590, scope, opened"
    assert in_words(Source("published", "EN 590", "scope", "quoted")) == "published: EN 590, scope, seen quoted"
    assert in_words(Source("practice")) == "common practice, no source"
    assert in_words(Source("memory")) == "from memory"


def test_numbers_of_a_check_are_listed_with_their_standing(tiny: Any) -> None:
    """Edges, spread, plausible range, uncertainty: the band's own source before the check's."""
    tiny.change(SUPPLY, f"{{{LOW},", f"{{{LOW}, source: memory,").change(
        SUPPLY, "  unit: V\n", "  unit: V\n  uncertainty: 0.1\n"
    )
    book = tiny.check().book
    rows = [(row.what, row.words) for row in of_check(book.checks["loaded"], book.source)]
    assert rows == [
        ("up to 11.5 V at 12 V or 23 V at 24 V: Too low", "from memory"),
        ("above 11.5 V at 12 V or 23 V at 24 V: Good", "common practice, no source"),
        ("plausible 6 to 32 V", "common practice, no source"),
        ("uncertainty 0.1 V", "common practice, no source"),
    ]
    assert isinstance(book.checks["loaded"].bands[0].upto, ByVoltage)
    dose = [row.what for row in of_check(book.checks["dose"], book.source)]
    assert dose[0] == "up to 0.9 of what is expected: Too little"
    assert dose[2] == "spread above 0.05"
    gap = [row.what for row in of_check(book.checks["gap"], book.source)]
    assert gap == ["up to 0.2 mm: Rubbing", "plausible 0 to 3 mm"]
    smoke = book.checks["smoke"]
    assert of_check(smoke, book.source) == ()


def test_numbers_of_a_family_are_listed_with_their_standing(tiny: Any) -> None:
    """Outputs, then rated data; a rated value may say otherwise than its family."""
    tiny.write("families.yaml", tiny.files["families.yaml"].replace("unit: ml}", "unit: ml, source: memory}", 1))
    book = tiny.check().book
    rows = [(row.what, row.words) for row in of_family(book.families["air_12"], book.source)]
    assert rows == [
        ("output low 0.8 kW", "common practice, no source"),
        ("output high 2 kW", "common practice, no source"),
        ("dose 6.6 ml", "from memory"),
        ("gap max 0.4 mm", "common practice, no source"),
    ]
