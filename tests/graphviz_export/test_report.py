"""The report gathers what the job knows: readings, causes, evidence, work, and what nobody looked at."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from small_book import MEMORY, by_id, small_book

from graphviz_export.report import gather_report
from graphviz_export.report_file import write_report
from graphviz_export.report_records import Report
from trees.book.model import Book, Check, ReadingField
from trees.errors import PaperError
from trees.walk import Walk


def job(words: str = "smokes white", book: Book | None = None) -> Walk:
    """Return a job with a root, a consequence, readings before and after, work, notes and something not told."""
    walk = Walk.begin(book or small_book(), words=words, tree="smoke_on_start", family="air2")
    walk = walk.taken_up("one", "2026-01-05")
    walk = walk.answer("no").answer("no").acknowledge("gas").answer("stays").reading("12.1").cannot_tell()
    walk = walk.cannot_tell().reading("6.5 6.6 6.4").answer("no").tick(["low"]).answer("coked").answer("cured")
    return walk.reading("12.3").note("call back in spring")


def report_of(walk: Walk) -> Report:
    """Return the report of a job."""
    return gather_report(walk, "J-1")


def sharper(check_id: str, **changes: object) -> Book:
    """Return the small book with one check changed."""
    book = small_book()
    return small_book(checks={**book.checks, check_id: replace(book.checks[check_id], **changes)})  # type: ignore[arg-type]


def test_readings_carry_unit_band_and_verdict() -> None:
    """A reading is told with its unit, the band it fell into, by what it was judged, and when it was taken."""
    rows = {(r.what, r.when): r for r in report_of(job()).readings}
    rested = rows["Rested voltage", "before"]
    assert (rested.value, rested.limits, rested.verdict) == ("12.1 V", "up to 12.2 V", "Battery flat")
    assert (rested.number, rested.unit, rested.low, rested.high) == (12.1, "V", None, 12.2)
    dose = rows["Fuel in 100 seconds", "before"]
    assert dose.judged_by == "dose 6.6 ml"
    assert dose.typed == "6.5 6.6 6.4"
    assert dose.verdict.startswith("Right")
    assert rows["Voltage under glow load", "after repair"].verdict == "Good"


def test_reading_near_its_limit_is_too_close_to_call() -> None:
    """A reading whose band is less than 95 % sure says so and what would settle it; a clear one does not."""
    near = report_of(job(book=sharper("rested", uncertainty=0.1))).readings[0]
    # 0.1 V below the limit with u = 0.1 V: normal distribution, 84 % below (tables of the normal distribution).
    assert near.close_call.startswith("Too close to call: Battery flat 84 %, Good 16 %.")
    assert "would settle it" in near.close_call
    assert near.uncertain == "± 0.10 V"
    clear = report_of(job(book=sharper("rested", uncertainty=0.01))).readings[0]
    assert clear.close_call == ""


def test_instrument_is_the_tool_of_the_check() -> None:
    """What a reading was taken with is told in the book's words for its tools."""
    book = replace(sharper("rested", needs=("meter",)), tools={"meter": "Multimeter"})
    assert report_of(job(book=book)).readings[0].instrument == "Multimeter"


def test_altitude_and_weather_stand_beside_the_readings_of_their_place() -> None:
    """The noted test place belongs to readings of the same hands before the repair, not to those after it."""
    place = Check(
        id="test_place",
        form="measure",
        wording="Altitude and weather",
        proof="reading",
        readings=(ReadingField("altitude", "m", "Altitude"), ReadingField("air_temp", "degC", "Air")),
    )
    book = small_book()
    walk = job(book=small_book(checks={**book.checks, "test_place": place}))
    assert "Altitude and weather of the test place were not noted." in report_of(walk).not_checked
    assert {r.conditions for r in report_of(walk).readings} == {""}
    begun = Walk.begin(walk.book, words="x", tree="smoke_on_start", family="air2").taken_up("one", "2026-01-05")
    begun = begun.answer("no").answer("no").leave_for("test_place").readings({"altitude": "2150", "air_temp": "-4"})
    begun = begun.acknowledge("gas").answer("stays").reading("12.1").cannot_tell().cannot_tell().reading("6.5 6.6 6.4")
    begun = begun.answer("no").tick(["low"]).answer("coked").answer("cured").reading("12.3")
    told = {(r.what, r.when): r.conditions for r in report_of(begun).readings}
    assert told["Rested voltage", "before"] == "2150 m, -4 °C"
    assert told["Voltage under glow load", "after repair"] == ""


def test_figure_tells_formula_inputs_and_source() -> None:
    """A number that was worked out says how, from which readings, and on whose word."""
    walk = Walk.begin(small_book(), words="x", tree="smoke_on_start", family="air2").taken_up("one", "2026-01-05")
    walk = walk.answer("no").answer("no").acknowledge("gas").answer("stays").reading("12.6").reading("11.8")
    (row,) = report_of(walk.take_figure()).figures
    assert row.inputs[:2] == (("Rested voltage", "12.6 V"), ("Voltage under glow load", "11.8 V"))
    assert row.value.startswith("0.8 V")
    assert row.formula
    assert row.source
    assert row.standing


def test_run_hours_become_bars() -> None:
    """Hours at each step are told as a share of all hours, also a step without hours."""
    walk = Walk.begin(small_book(), words="x", tree="smoke_on_start", family="air2").taken_up("one", "2026-01-05")
    walk = walk.answer("no").answer("no").leave_for("hours").readings({"low": "900", "high": "100"})
    bars = report_of(walk).run_hours
    assert [(bar.label, bar.told, bar.share) for bar in bars] == [
        ("Lowest", "900 h (90 %)", 0.9),
        ("Highest", "100 h (10 %)", 0.1),
    ]


def test_causes_are_three_lists_each_with_its_proof() -> None:
    """Root, contributing and consequence stand apart, each with what it is known by."""
    report = report_of(job())
    assert [c.name for c in report.roots] == ["Battery flat"]
    assert [c.name for c in report.contributing] == ["Run low by habit"]
    assert [c.name for c in report.consequences] == ["Insert coked"]
    assert "Rested voltage: 12.1 V" in report.roots[0].by
    assert report.advice == ("Charge it.",)


def test_evidence_is_told_in_words_with_decibans() -> None:
    """Each cause of the result says by what it was proved, and what each answer moved, in dB."""
    rows = {row.cause: row for row in report_of(job()).evidence}
    assert {"Battery flat", "Insert coked", "Run low by habit"} <= set(rows)
    flat = rows["Battery flat"]
    assert flat.proved == ("found by a reading: Rested voltage: 12.1 V: Battery flat",)
    assert all(" dB" in line for line in (*flat.speaks_for, *flat.speaks_against, flat.total))
    assert flat.start.endswith("before any answer.")


def test_suspects_are_bars_between_0_and_1() -> None:
    """Causes are drawn by their chance, what was ruled out is left out."""
    report = report_of(job())
    assert report.suspects
    assert all(0 <= bar.share <= 1 for bar in report.suspects)
    assert not any("Pump weak" in bar.label for bar in report.suspects)


def test_what_was_not_checked_is_told() -> None:
    """Cannot tell, and an installation that nobody saw, are listed and never told as good."""
    report = report_of(job())
    assert "Voltage under glow load (could not be told)" in report.not_checked
    assert "The installation was not seen where it works." in report.not_checked


def test_what_would_still_change_the_result_names_check_and_place() -> None:
    """A check not made that would prove an open cause is named with where it is made."""
    walk = Walk.begin(small_book(), words="x", tree="smoke_on_start", family="air2").taken_up("one", "2026-01-05")
    walk = walk.answer("no").answer("no").acknowledge("gas").answer("stays")
    assert any(
        line == "Battery flat: can be proved or excluded at the bench or where it is fitted: Rested voltage."
        for line in report_of(walk).would_change
    )
    assert not any(line.startswith("Battery flat:") for line in report_of(job()).would_change)


def test_contradiction_is_told_with_both_sides() -> None:
    """A cause that one answer found and another ruled out is named as a contradiction."""
    walk = job().leave_for("rested").reading("12.9")
    book = walk.book
    assert not report_of(job()).contradictions
    before = Walk.begin(book, words="x", tree="smoke_on_start", family="air2").taken_up("one", "2026-01-05")
    before = before.answer("no").answer("no").leave_for("rested").reading("12.9")
    before = before.acknowledge("gas").answer("stays").reading("12.1")
    (line,) = report_of(before).contradictions
    assert "Battery flat: found and ruled out" in line
    assert "12.9 V" in line
    assert "12.1 V" in line


def test_work_says_who_may_do_it_and_what_parts() -> None:
    """Work that was done stands first with its parts; the parts of work not done are no parts used."""
    report = report_of(job())
    assert [(r.do, r.state, r.who, r.parts) for r in report.work if r.done] == [
        ("Replace the insert", "done, cured", "a technician", ("insert",))
    ]
    assert report.parts == ("insert",)
    undone = Walk.begin(small_book(), words="x", tree="smoke_on_start").taken_up("one", "2026-01-05")
    assert report_of(undone.answer("no").answer("no")).parts == ()


def test_answers_taken_back_stay_in_the_record() -> None:
    """An answer that no longer counts is told with the reason why."""
    walk = Walk.begin(small_book(), words="x", tree="smoke_on_start").taken_up("one", "2026-01-05")
    walk = walk.answer("no").answer("no").acknowledge("gas").answer("short").back()
    assert report_of(walk).struck == ("How long does it smoke?: Clears (taken back)",)


def test_sources_are_told_on_request_only() -> None:
    """Every number that a reading was judged by says what it rests on, if asked."""
    book = replace(small_book(), source=MEMORY, families=by_id(*small_book().families.values()))
    assert gather_report(job(book=book), "J-1").numbers == ()
    rows = gather_report(job(book=book), "J-1", sources=True).numbers
    assert ("Fuel in 100 seconds", "from memory") in {(r.where, r.standing) for r in rows}
    assert any(r.where == "Air 2 kW 12 V" and "dose 6.6 ml" in r.what for r in rows)


def test_report_file_is_whole_or_not_there(tmp_path: Path) -> None:
    """An ending that is none and a folder that can't be written leave nothing behind."""
    with pytest.raises(PaperError, match="neither"):
        write_report(job(), "J-1", tmp_path / "r.docx")
    with pytest.raises(PaperError):
        write_report(job(), "J-1", Path("/proc/nowhere/r.md"))
    assert {path.name for path in tmp_path.iterdir()} <= {"home", "work"}
    out = write_report(job(), "J-1", tmp_path / "new" / "r.md")
    assert out.read_text().startswith("# Report J-1")
