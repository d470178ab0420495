"""The program in German: day list, job, emergency card, settings, command line, with the shipped book's texts."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from german_book import german
from safe_gate import behind_gate
from shipped_book import shipped

from trees.book import shipped_book_path
from trees.casebook import Casebook
from trees.language import speaking, spoken
from trees.walk import Walk
from tui.command_line import main
from tui.settings import Settings
from tui.speech import mixture
from tui.workshop import Workshop


@pytest.fixture
def workshop(casebook: Casebook, tmp_path: Path) -> Iterator[Workshop]:
    """Return a seat that speaks German."""
    with speaking("de"):
        yield Workshop(
            german(),
            casebook,
            casebook.seat,
            report_folder=tmp_path / "reports",
            book_folder=shipped_book_path(),
            settings=Settings(language="de"),
        )


def begun(workshop: Workshop) -> Walk:
    """Keep a job on smoke at the start whose safety questions are answered; return its walk."""
    walk = Walk.begin(workshop.book, words="raucht weiß", tree="smoke_on_start", place="bench")
    walk = behind_gate(walk.taken_up(workshop.seat, workshop.today()))
    workshop.casebook.new_job(walk.entries, fingerprint=workshop.book.fingerprint)
    return walk


async def test_the_day_list_is_german(workshop: Workshop, open_screen: Callable[..., Any]) -> None:
    """Head, jobs, keys in the last line; nothing is said of texts that are missing, for none is."""
    begun(workshop)
    async with open_screen(workshop, (120, 40)) as screen:
        await screen.until(lambda: "Heizungen von Booten" in screen.text())
        text = screen.text()
        assert "1 offener Auftrag" in text
        assert "Neuer Auftrag" in text
        assert "raucht weiß" in text
        assert "noch nicht auf Deutsch" not in text


def test_the_whole_shipped_book_is_german() -> None:
    """No text of trees, checks, fixes and what they name is left in English."""
    assert german().not_translated == 0


async def test_what_a_book_lacks_is_said(workshop: Workshop, open_screen: Callable[..., Any]) -> None:
    """How many texts of a book are not translated stands on the day list."""
    workshop.book = replace(workshop.book, not_translated=3)
    async with open_screen(workshop, (80, 24)) as screen:
        await screen.until(lambda: "3 Texte des Buchs sind noch nicht auf Deutsch" in screen.text())


async def test_a_job_is_german(workshop: Workshop, open_screen: Callable[..., Any]) -> None:
    """Question, answers, cautions and keys of the first step are the German texts of book and interface."""
    walk = begun(workshop)
    async with open_screen(workshop, (120, 40)) as screen:
        await screen.until(lambda: "raucht weiß" in screen.text())
        await screen.press("enter")
        await screen.until(lambda: walk.question.wording[:20] in screen.text())
        text = screen.text()
        assert "an der Werkbank" in text
        assert "GEFAHR" in text
        assert "DANGER" not in text
        await screen.press("r")
        await screen.until(lambda: "Nicht zu sagen, jetzt nicht" in screen.text())
        assert "Cannot tell" not in screen.text()


async def test_the_emergency_card_is_german(workshop: Workshop, open_screen: Callable[..., Any]) -> None:
    """F2 shows hazards, lines and whom to call in German; nothing of it is left in English."""
    async with open_screen(workshop, (110, 45)) as screen:
        await screen.press("f2")
        text = screen.text()
        for told in ("NOTFALL", "Kohlenmonoxid", "Notrufnummer: 112", "Sofort alle hinaus", "Esc schließt"):
            assert told in text
        assert "Everybody" not in text


async def test_another_language_holds_at_once(workshop: Workshop, open_screen: Callable[..., Any]) -> None:
    """A setting turns interface and book to English and back, and no edition changes."""
    begun(workshop)
    fingerprint = workshop.book.fingerprint
    async with open_screen(workshop, (120, 40)) as screen:
        await screen.until(lambda: "1 offener Auftrag" in screen.text())
        screen.app.take_settings(replace(workshop.settings, language="en"))
        await screen.press("l", "l")
        await screen.until(lambda: "1 open job " in screen.text() and "New job" in screen.text())
        assert workshop.book.language == "en"
        screen.app.take_settings(replace(workshop.settings, language="de"))
        assert (spoken(), workshop.book.language, workshop.book.fingerprint) == ("de", "de", fingerprint)
        await screen.press("l", "l")
        await screen.until(lambda: "Neuer Auftrag" in screen.text())


def test_the_command_line_speaks_the_language_of_the_environment(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """LANG decides where no setting does; the sentence of a failure is German."""
    monkeypatch.delenv("LC_ALL")
    monkeypatch.setenv("LANG", "de_DE.UTF-8")
    assert main(["report", "J-0001"]) == 2
    assert "Es gibt kein Auftragsbuch" in capsys.readouterr().err
    with pytest.raises(SystemExit):
        main(["--help"])
    assert "Herausfinden, warum eine kleine Kraftstoffheizung ausfiel" in " ".join(capsys.readouterr().out.split())


ENGLISH = re.compile(r"\b(the|of|with|and|is|than|here|not|no|are|each|what|while|where)\b", re.IGNORECASE)
"""Words that stand in most English sentences and in no German one."""


def test_every_figure_speaks_german() -> None:
    """Title, meaning, inputs, result, accuracy, and what its worked example says beside the result."""
    from trees.figures import registry, work_out_in_full

    with speaking("de"):
        said = {}
        for info in registry().values():
            worked = work_out_in_full(info.name, info.example)
            fields = [text for field in info.inputs.values() for text in (field.label, field.meaning)]
            own = (info.title, info.meaning, info.accuracy, info.result.meaning)
            said[info.name] = (*own, *fields, *(d.label for d in worked.details), *worked.remarks)
    assert {name: found for name, texts in said.items() if (found := [t for t in texts if ENGLISH.search(t)])} == {}
    assert registry()["supply_drop"].title == "Voltage lost on the way to the unit"


@pytest.mark.parametrize(
    ("typed", "told"),
    [
        (["report"], "sootline report: Fehler: es fehlt noch: job"),
        (["weigh", "x", "--causes", "7"], "--causes: 7 steht nicht zur Wahl; möglich sind 1, 2, 3"),
        (["--nonsense"], "nicht verstanden: --nonsense"),
        (["jobs", "export", "--out"], "--out: hier fehlt eine Angabe"),
    ],
)
def test_what_was_typed_wrongly_is_told_in_german(
    typed: list[str], told: str, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """Complaints of the command line are German, with their usage and a status of 2."""
    monkeypatch.setenv("LC_ALL", "de_DE.UTF-8")
    with pytest.raises(SystemExit) as ended:
        main(typed)
    errors = capsys.readouterr().err
    assert ended.value.code == 2
    assert errors.startswith("Aufruf: sootline")
    assert told in errors


@pytest.mark.parametrize("verb", ["", "chart", "report", "jobs", "jobs restore", "why", "weigh", "recount", "replay"])
def test_help_is_german(verb: str, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    """Headings, placeholders and every line of the help."""
    monkeypatch.setenv("LC_ALL", "de_DE.UTF-8")
    with pytest.raises(SystemExit):
        main([*verb.split(), "--help"])
    told = capsys.readouterr().out
    assert told.startswith("Aufruf: sootline")
    assert "diese Hilfe zeigen und enden" in told
    assert ENGLISH.findall(told) == []
    assert not re.search(r"\b(FILE|FOLDER|VERB|arguments|options|positional)\b", told)


def test_reasons_of_the_operating_system_are_german(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """A file or a book that is not there is told without a word of English."""
    monkeypatch.setenv("LC_ALL", "de_DE.UTF-8")
    assert main(["--store", str(tmp_path / "c.db"), "jobs", "import", str(tmp_path / "gone")]) == 2
    assert "ist nicht lesbar: diese Datei oder diesen Ordner gibt es nicht." in capsys.readouterr().err
    assert main(["--book", str(tmp_path / "gone"), "check"]) == 2
    assert "Kein Buch in" in capsys.readouterr().err


def test_quotation_marks_are_those_of_the_language(workshop: Workshop) -> None:
    """What is read aloud, and the words that a complaint fits by, stand between „ and “."""
    from tui.finding import Finder
    from tui.panels.phone import read_aloud
    from tui.screens.new_job import fit_line

    walk = Walk.begin(workshop.book, words="raucht weiß", tree="smoke_on_start", place="phone")
    told = read_aloud(walk.taken_up("s", "2026-12-01").question).plain
    told += fit_line(next(f for f in Finder(workshop.book).fits("weißer rauch") if f.by is not None)).plain
    assert "„" in told
    assert "”" not in told


def test_a_book_without_german_says_so() -> None:
    """An interface in German over a book that has no German texts names the book's own language."""
    own = shipped()
    with speaking("de"):
        assert mixture(own) == "Das Buch hat keine Texte auf Deutsch; es wird auf Englisch gezeigt."
    assert mixture(own) == ""


def test_a_chart_on_the_wall_is_verified_in_the_language_it_was_printed_in(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """A sheet printed in German is as the book also where English is spoken."""
    out = tmp_path / "chart.pdf"
    monkeypatch.setenv("LC_ALL", "de_DE.UTF-8")
    assert main(["chart", "supply_voltage", "--out", str(out)]) == 0
    listed = tmp_path / "chart.txt"
    assert main(["chart", "supply_voltage", "--out", str(listed)]) == 0
    assert "Spannung der Zuleitung unter Last" in listed.read_text("utf-8")
    monkeypatch.setenv("LC_ALL", "C.UTF-8")
    capsys.readouterr()
    assert main(["chart", "--verify", str(out)]) == 0
    assert "is as the book" in capsys.readouterr().out


def test_a_report_is_german() -> None:
    """The customer's page and the record: headings, ends, what to do, and the words of the book."""
    from graphviz_export.report import gather_report
    from graphviz_export.report_customer import customer_pages
    from graphviz_export.report_html import html
    from graphviz_export.report_markdown import markdown

    walk = Walk.begin(german(), words="raucht weiß", tree="smoke_on_start", place="bench").taken_up("s", "2026-11-25")
    walk = walk.answer("yes")  # fire now: stops the job
    with speaking("de"):
        report = gather_report(walk, "J-0001")
        text = markdown(report)
        page = html(report, customer_pages(report)[0])
    for told in ("# Bericht J-0001", "AUS SICHERHEIT ANGEHALTEN: HALT: FEUER", "Das Protokoll zum Bericht", "Notruf"):
        assert told in text
    assert '<html lang="de">' in page
    for left in ("What was", "Nothing was", "Readings", "Not checked", "The job is"):
        assert left not in text


def test_nouns_keep_their_capitals_inside_a_sentence(workshop: Workshop) -> None:
    """A cause among the possible roots of another, and how a job ended, are written as German writes nouns."""
    from tui.concluded import findings_text
    from tui.screens.day_list import state_of

    walk = begun(workshop)
    for caution in walk.question.unread:
        walk = walk.acknowledge(caution.id)
    told = findings_text(walk.answer("wet")).plain
    names = told.partition("Sie kann kommen von: ")[2].partition(".\n")[0].replace("\n", " ").split(", ")
    starts = {cause.name[0] for cause in workshop.book.causes.values()}
    assert all(name[0].isupper() for name in starts), "or the book would prove nothing"
    assert names[0][0].isupper()
    job = workshop.casebook.new_job(walk.close("to_workshop").entries)
    row = next(row for row in workshop.casebook.jobs() if row.number == job.number)
    assert state_of(row) == "In die Werkstatt"
