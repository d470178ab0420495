"""The command line goes by the settings file where it says nothing itself."""

from __future__ import annotations

import json
from pathlib import Path

from real_program import RealProgram
from shell import sootline

from trees.casebook import Casebook
from trees.walk.entries import Entry


def made(path: Path, words: str) -> Path:
    """Make a casebook with one job."""
    with Casebook.open(path, seat="one") as casebook:
        casebook.new_job([Entry("began", {"words": words, "tree": None, "place": "bench", "family": None})])
    return path


def words_in(*arguments: str) -> list[str]:
    """Return the complaints that `sootline jobs` lists."""
    run = sootline(*arguments, "jobs", "--format", "json")
    assert run.returncode == 0, run.stderr
    return [job["words"] for job in json.loads(run.stdout)]


def test_store_of_the_settings_is_used_and_the_command_line_wins(tmp_path: Path, settings_file: Path) -> None:
    """A path without a root begins where the settings file lies; --store is stronger."""
    made(tmp_path / "mine.sqlite3", "of the settings")
    other = made(tmp_path / "other.sqlite3", "of the command line")
    settings_file.write_text('store = "mine.sqlite3"\n')
    assert words_in() == ["of the settings"]
    assert words_in("--store", str(other)) == ["of the command line"]


def test_mistakes_are_told_on_standard_error_and_the_rest_holds(tmp_path: Path, settings_file: Path) -> None:
    """File, line and column; the verb goes on with the other settings."""
    made(tmp_path / "mine.sqlite3", "of the settings")
    settings_file.write_text('theme = "blue"\nstore = "mine.sqlite3"\n')
    run = sootline("jobs")
    assert run.returncode == 0
    assert run.stderr.startswith(f"sootline: {settings_file}:1:1: `theme` is 'blue'")
    assert "of the settings" in run.stdout


def test_screen_goes_on_with_a_broken_settings_file_and_says_so(tmp_path: Path, settings_file: Path) -> None:
    """The notice stands over the day list with its place; after leaving it stands on the terminal."""
    settings_file.write_text('seat = "a\n')
    program = RealProgram(["--store", str(tmp_path / "c.db")], columns=200)
    text = program.until("No job is open")
    assert f"{settings_file}:1:10: this is no TOML" in text
    program.keys("\x11")
    assert program.finish() == 0


def test_seat_and_place_of_the_settings_are_used(tmp_path: Path, settings_file: Path) -> None:
    """The day list names the seat; a new job begins at the place."""
    settings_file.write_text('seat = "quay bench"\nplace = "phone"\n')
    program = RealProgram(["--store", str(tmp_path / "c.db")])
    program.until("seat quay bench")
    program.keys("n")
    program.until("by phone")
    program.keys("\x1b")
    program.until("No job is open")
    program.keys("\x11")
    assert program.finish() == 0
