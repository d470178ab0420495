"""`sootline report`: to a file or to standard output, with the workshop's own head, or the blank sheet."""

from __future__ import annotations

import json
from io import BytesIO
from pathlib import Path

import pypdf
import pytest
from small_book import small_book

from trees.casebook import Casebook
from trees.walk import Walk
from tui.command_line import main

JOB = "J-0001"


@pytest.fixture
def store(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Return a casebook with one real job, beside settings that name the workshop."""
    settings = tmp_path / "settings.toml"
    settings.write_text('emergency_number = "115"\n[workshop]\nname = "Workshop at the pier"\naddress = ["Pier 3"]\n')
    monkeypatch.setenv("SOOTLINE_SETTINGS", str(settings))
    path = tmp_path / "casebook.db"
    walk = Walk.begin(small_book(), words="smokes white", tree="smoke_on_start")
    with Casebook.open(path, seat="one") as casebook:
        casebook.new_job(walk.taken_up("one", "2026-01-05").entries, number=JOB)
    return path


def text_of(data: bytes) -> str:
    """Return all text of a PDF, white space folded."""
    return " ".join(" ".join(page.extract_text() for page in pypdf.PdfReader(BytesIO(data)).pages).split())


@pytest.mark.parametrize("form", ["pdf", "html", "md", "json"])
def test_the_ending_tells_the_form(store: Path, tmp_path: Path, form: str, capsys: pytest.CaptureFixture[str]) -> None:
    """Each ending is written in its form, with the head from the settings, and the path is printed."""
    out = tmp_path / f"report.{form}"
    assert main(["--store", str(store), "report", JOB, "--out", str(out)]) == 0
    assert capsys.readouterr().out.strip() == str(out)
    data = out.read_bytes()
    text = text_of(data) if form == "pdf" else data.decode()
    assert "Workshop at the pier" in text
    assert "115" in text
    assert "Invented" not in text


def test_without_a_file_it_goes_to_standard_output(store: Path, capfdbinary: pytest.CaptureFixture[bytes]) -> None:
    """Standard output gets the report alone: Markdown, or the form that is asked for."""
    assert main(["--store", str(store), "report", JOB]) == 0
    assert capfdbinary.readouterr().out.decode().startswith("Workshop at the pier")
    assert main(["--store", str(store), "report", JOB, "--format", "json"]) == 0
    assert json.loads(capfdbinary.readouterr().out)["number"] == JOB
    assert main(["--store", str(store), "report", JOB, "--format", "pdf"]) == 0
    assert capfdbinary.readouterr().out.startswith(b"%PDF")


def test_format_wins_over_an_ending_that_tells_nothing(store: Path, tmp_path: Path) -> None:
    """`--format` names the form where the file's name does not."""
    out = tmp_path / "report.txt"
    assert main(["--store", str(store), "report", JOB, "--out", str(out), "--format", "md"]) == 0
    assert "# Report J-0001" in out.read_text()


def test_intake_sheet_bears_the_jobs_number(store: Path, tmp_path: Path) -> None:
    """`--intake` writes the blank sheet with the number and the workshop's head."""
    out = tmp_path / "sheet.pdf"
    assert main(["--store", str(store), "report", JOB, "--intake", "--out", str(out)]) == 0
    text = text_of(out.read_bytes())
    assert "Intake sheet for job J-0001" in text
    assert "Workshop at the pier" in text


def test_what_does_not_go_together_is_refused(store: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A sheet as HTML, a sheet with sources and an unknown job end with 2 and one sentence; nothing is written."""
    out = tmp_path / "sheet.pdf"
    for arguments in (
        ["report", JOB, "--intake", "--format", "html", "--out", str(out)],
        ["report", JOB, "--intake", "--sources", "--out", str(out)],
        ["report", JOB, "--intake", "--out", str(tmp_path / "sheet.md")],
        ["report", "J-9999", "--out", str(out)],
    ):
        assert main(["--store", str(store), *arguments]) == 2
        told = capsys.readouterr()
        assert told.out == ""
        assert told.err.startswith("sootline: ")
        assert told.err.count("\n") == 1
    assert not list(tmp_path.glob("sheet*"))


def test_settings_that_are_wrong_are_told_and_the_report_is_written(
    store: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """One mistake in the settings costs one setting, not the report."""
    (tmp_path / "settings.toml").write_text('emergency_number = 115\n[workshop]\nname = "Workshop at the pier"\n')
    out = tmp_path / "r.md"
    assert main(["--store", str(store), "report", JOB, "--out", str(out)]) == 0
    assert "emergency_number" in capsys.readouterr().err
    assert "Workshop at the pier" in out.read_text()
    assert "your local number" in out.read_text()
