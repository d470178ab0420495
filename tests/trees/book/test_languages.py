"""Texts of a book in another language: laid over it, changing nothing else; the checker tells what no longer fits."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from safe_gate import behind_gate
from shipped_book import shipped

from trees.book import check_book, load_book, shipped_book_path
from trees.book.languages import in_language, load_translation, texts_of_book
from trees.casebook.book_text import book_files, fingerprint_of
from trees.errors import BookError
from trees.walk import Walk

if TYPE_CHECKING:
    from conftest import TinyBook

SMOKE_AND_WHAT_IT_RUNS = (
    "smoke_on_start",
    "supply_voltage",
    "fuel_delivery",
    "ignition_parts",
    "air_path",
    "coked_insert_why",
    "commissioning",
)


def translated(tiny: TinyBook, text: str, language: str = "de") -> TinyBook:
    """Lay a file of texts beside the tiny book."""
    return tiny.write(f"languages/{language}.yaml", text)


def of(tiny: TinyBook, part: str, name: str) -> str:
    """Return the `of` that a record of the tiny book wants, as its checker names it."""
    wanted = next(p for p in tiny.check().problems if p.code == "translation-outdated" and f"`{name}`" in p.message)
    assert part
    return wanted.help.partition("`of: ")[2].rstrip("`")


def test_texts_are_laid_over_and_nothing_else_changes(tiny: TinyBook) -> None:
    """A name is German, every other text the book's own; ids, answers, numbers, ways and the fingerprint stay."""
    before = load_book(tiny.save())
    translated(tiny, "language: de\ncauses:\n  cable_thin: {name: Zuleitung zu dünn}\n").save()
    laid = load_book(tiny.folder, "de")
    assert laid.causes["cable_thin"].name == "Zuleitung zu dünn"
    assert (laid.language, laid.own_language) == ("de", "en")
    own = replace(laid.causes["cable_thin"], name=before.causes["cable_thin"].name)
    back = replace(laid, causes={**laid.causes, "cable_thin": own}, language="en", own=None, not_translated=0)
    assert back == before
    assert laid.fingerprint == before.fingerprint == fingerprint_of(book_files(tiny.folder))
    assert laid.not_translated == sum(len(texts) for _, texts in texts_of_book(before)) - 1


def test_a_language_without_texts_is_the_book_itself(tiny: TinyBook) -> None:
    """No file, or the book's own language: the book as it is written."""
    own = load_book(tiny.save())
    assert load_book(tiny.folder, "de") == load_book(tiny.folder, "en") == own


def test_the_checker_names_what_belongs_to_nothing(tiny: TinyBook) -> None:
    """A misspelt id and a text that the record does not have are warnings at their place; the book is still used."""
    translated(tiny, "language: de\ncauses:\n  cable_thni: {name: Zuleitung}\n")
    problems = [p for p in tiny.check().problems if p.code == "translation-of-nothing"]
    assert [(p.severity, p.spot.line, p.help) for p in problems] == [("warning", 3, "did you mean `cable_thin`?")]
    translated(tiny, "language: de\ncauses:\n  cable_thin: {inside: Ein dünnes Kabel.}\n")
    problems = [p for p in tiny.check().problems if p.code == "translation-of-nothing"]
    assert [(p.spot.file, p.spot.line) for p in problems] == [("languages/de.yaml", 3)]
    assert tiny.check().errors == 0


def test_a_changed_source_makes_its_translation_outdated(tiny: TinyBook) -> None:
    """With the digits that the checker names it is silent; when the book's text changes it says so, and only there."""
    text = "language: de\ncauses:\n  cable_thin: {{of: '{}', name: Zuleitung zu dünn}}\n"
    translated(tiny, text.format("000000"))
    translated(tiny, text.format(of(tiny, "causes", "cable_thin")))
    assert tiny.check().problems == ()
    tiny.change("causes.yaml", "Supply cable too thin", "Supply cable much too thin")
    assert [(p.code, p.severity) for p in tiny.check().problems] == [("translation-outdated", "warning")]


def test_a_lost_number_is_told(tiny: TinyBook) -> None:
    """A number of the book's text must stand in its translation; a decimal comma is the point."""
    tiny.change("causes.yaml", "Supply cable too thin", "Supply cable under 2.5 mm²")
    text = 'language: de\ncauses:\n  cable_thin: {name: "Zuleitung unter SIZE mm²"}\n'
    translated(tiny, text.replace("SIZE", "25"))
    assert [p.message for p in tiny.check().problems if p.code == "translation-lost-number"] == [
        "the text does not say 2.5, as the book does"
    ]
    translated(tiny, text.replace("SIZE", "2,5"))
    assert not [p for p in tiny.check().problems if p.code == "translation-lost-number"]


def test_a_file_under_another_name_is_told(tiny: TinyBook) -> None:
    """`language: fr` in de.yaml is a warning at that line."""
    translated(tiny, "language: fr\n")
    assert [(p.code, p.spot.line) for p in tiny.check().problems] == [("translation-misnamed", 1)]


def test_a_broken_file_stops_only_its_language(tiny: TinyBook) -> None:
    """The checker reports an error; the book still loads in its own language, and in German says where it breaks."""
    translated(tiny, "language: de\ncauses: [a, b]\n")
    assert tiny.check().errors == 1
    assert load_book(tiny.folder).language == "en"
    with pytest.raises(BookError, match="line 2"):
        load_book(tiny.folder, "de")


def test_the_shipped_tree_is_whole_in_german() -> None:
    """Smoke on start with every tree that it runs: steps, checks, work; every caution, cause, sign, and the gate."""
    own = shipped()
    translation = load_translation(shipped_book_path(), "de")
    assert translation is not None
    wanted = {("trees", tree) for tree in SMOKE_AND_WHAT_IT_RUNS} | {("cautions", c) for c in own.cautions}
    wanted |= {("gate", question.id) for question in own.gate} | {("head", "")}
    wanted |= {("causes", c) for c in own.causes} | {("signs", s) for s in own.signs}
    for tree in SMOKE_AND_WHAT_IT_RUNS:
        for step in own.trees[tree].steps.values():
            wanted |= {("checks", step.refers)} if step.kind == "check" else set()
            wanted |= {("fixes", step.refers)} if step.kind == "do" else set()
            wanted |= {("checks", other.check) for other in step.instead.values()}
    texts = dict(texts_of_book(own))
    missing = [(*key, path) for key in wanted for path in texts[key] if path not in translation.texts.get(key, {})]
    assert missing == []


def test_the_shipped_german_has_no_problem() -> None:
    """No unknown id, no lost number, nothing outdated."""
    told = [p for p in check_book(shipped_book_path()).problems if p.spot.file.startswith("languages/")]
    assert told == []


def test_a_job_walked_in_german_is_read_in_english() -> None:
    """Entries hold ids: the same entries give the same step, findings and stop in both languages, in other words."""
    own = shipped()
    translation = load_translation(Path(shipped_book_path()), "de")
    assert translation is not None
    german = in_language(own, translation)
    begun = Walk.begin(german, words="raucht weiß", tree="smoke_on_start", place="bench")
    walk = behind_gate(begun.taken_up("s", "2026-11-25"))
    asked = walk.question.wording
    english = Walk.resume(own, walk.entries)
    assert asked != english.question.wording
    assert (walk.question.no, walk.question.visit) == (english.question.no, english.question.visit)
    assert [(i.step_no, i.kind) for i in walk.trail] == [(i.step_no, i.kind) for i in english.trail]
    assert walk.book.fingerprint == english.book.fingerprint
