"""The verbs from a shell: results on stdout, one sentence on stderr, exit status, never a traceback."""

from __future__ import annotations

import json
import shutil
import sqlite3
from pathlib import Path

import pytest
from shell import failed, sootline

from trees.book import shipped_book_path


@pytest.fixture
def book(tmp_path: Path) -> Path:
    """Return a copy of the shipped book to break."""
    copy = tmp_path / "book"
    shutil.copytree(shipped_book_path(), copy)
    return copy


def test_check_of_the_shipped_book_is_clean() -> None:
    """The book that ships has no problem, and is as large as promised."""
    run = sootline("check", "--format", "json")
    assert (run.returncode, run.stderr) == (0, "")
    told = json.loads(run.stdout)
    assert told["problems"] == []
    for what, least in {"trees": 4, "steps": 45, "checks": 30, "causes": 15}.items():
        assert told["counts"][what] >= least, what
    assert {"smoke_on_start", "will_not_start", "supply_voltage", "coked_insert_why"} <= set(told["trees"])


def test_check_prints_place_line_caret_and_help(book: Path) -> None:
    """A wrong name is shown with file, line and column, the text with a caret, and the nearest name."""
    tree = book / "trees" / "supply_voltage.yaml"
    lines = tree.read_text().split("\n")
    at = next(i for i, line in enumerate(lines) if "check: battery_rest" in line)
    lines[at] = lines[at].replace("battery_rest", "batery_rest")
    tree.write_text("\n".join(lines))
    run = sootline("check", book)
    assert run.returncode == 1
    column = lines[at].index("batery_rest") + 1
    assert f"supply_voltage.yaml:{at + 1}:{column}" in run.stdout
    shown = run.stdout.split("\n")
    caret = next(i for i, line in enumerate(shown) if "^^^" in line)
    start = shown[caret].index("^")
    assert shown[caret - 1][start : start + len("batery_rest")] == "batery_rest"
    assert shown[caret].count("^") == len("batery_rest")
    assert "battery_rest" in run.stdout


def test_check_prints_a_cycle_as_its_path(book: Path) -> None:
    """Two trees that lead into one another are shown as the way round."""
    tree = book / "trees" / "coked_insert_why.yaml"
    text = tree.read_text()
    assert "over_to: commissioning" in text
    tree.write_text(text.replace("over_to: commissioning", "over_to: smoke_on_start"))
    run = sootline("check", book)
    assert run.returncode == 1
    assert "smoke_on_start" in run.stdout
    assert "→" in run.stdout


def test_check_of_nothing_is_one_sentence(tmp_path: Path) -> None:
    """A folder that is not there can't be checked."""
    failed(sootline("check", tmp_path / "nowhere"))


def test_strict_counts_warnings(book: Path) -> None:
    """Warnings exit 0, with --strict 1."""
    signs = book / "checks" / "intake.yaml"
    long = "Does it, as far as you can tell and remember, " + "really and truly " * 8 + "run at its lowest step?"
    text = signs.read_text()
    at = text.index("  ask: ")
    end = text.index("\n", at)
    signs.write_text(f"{text[:at]}  ask: {json.dumps(long)}{text[end:]}")
    assert sootline("check", book).returncode == 0
    assert sootline("check", "--strict", book).returncode == 1


def test_broken_yaml_does_not_open(book: Path, tmp_path: Path) -> None:
    """A book that can't be read opens no job and makes no casebook: one sentence with its place."""
    (book / "causes.yaml").write_text("weak_battery: {name: [\n")
    run = sootline("--book", book, "demo", "--fill", tmp_path / "store.db")
    assert "causes.yaml:" in failed(run)
    assert not (tmp_path / "store.db").exists()


def test_unknown_family_is_told_with_the_nearest(book: Path) -> None:
    """A family that is limited to an unknown medium is told at its place."""
    families = book / "families.yaml"
    families.write_text(families.read_text().replace("medium: coolant", "medium: colant", 1))
    run = sootline("check", book)
    assert run.returncode == 1
    assert "colant" in run.stdout
    assert "coolant" in run.stdout


@pytest.mark.parametrize("suffix", ["pdf", "svg", "dot"])
def test_chart_writes_every_format(tmp_path: Path, suffix: str) -> None:
    """The ending of the file tells the format."""
    out = tmp_path / f"smoke.{suffix}"
    run = sootline("chart", "smoke_on_start", "--paper", "A3", "--out", out)
    assert run.returncode == 0, run.stderr
    data = out.read_bytes()
    assert data.startswith({"pdf": b"%PDF", "svg": b"<", "dot": b"digraph"}[suffix]), data[:80]


def test_chart_of_an_unknown_tree_paper_or_place(tmp_path: Path) -> None:
    """What can't be drawn is told in a sentence and leaves no file."""
    for arguments in (
        ("smoke_on_strat", "--out", tmp_path / "x.pdf"),
        ("smoke_on_start", "--paper", "B17", "--out", tmp_path / "x.pdf"),
        ("smoke_on_start", "--out", tmp_path / "x.docx"),
        ("smoke_on_start", "--out", "/proc/nowhere/x.pdf"),
        ("smoke_on_start", "--read-from", "far", "--out", tmp_path / "x.pdf"),
    ):
        failed(sootline("chart", *arguments))
    assert list(tmp_path.glob("x.*")) == []


def test_report_of_a_demo_job(demo_store: Path, tmp_path: Path) -> None:
    """The report tells complaint, readings with verdicts, causes, work, cautions and what was not checked."""
    out = tmp_path / "report.md"
    run = sootline("--store", demo_store, "report", "D-03", "--out", out)
    assert (run.returncode, run.stdout.strip()) == (0, str(out)), run.stderr
    text = out.read_text()
    for wanted in (
        "Invented job",
        "In the harbour on the charger it starts",
        "10.3 V",
        "Supply cable too thin or too long",
        "after repair",
        "## Work done",
        "## Cautions",
        "## Not checked",
        "maker's manual",
    ):
        assert wanted in text, wanted
    pdf = tmp_path / "report.pdf"
    assert sootline("--store", demo_store, "report", "D-03", "--out", pdf).returncode == 0
    assert pdf.read_bytes().startswith(b"%PDF")


def test_report_of_an_unknown_job_or_format(demo_store: Path, tmp_path: Path) -> None:
    """A job that is not there, a casebook that is not there, a format that is none: one sentence each."""
    failed(sootline("--store", demo_store, "report", "D-99", "--out", tmp_path / "r.md"))
    failed(sootline("--store", tmp_path / "none.db", "report", "D-01", "--out", tmp_path / "r.md"))
    failed(sootline("--store", demo_store, "report", "D-01", "--out", tmp_path / "r.docx"))
    assert not (tmp_path / "none.db").exists()


def test_jobs_lists_the_casebook(demo_store: Path) -> None:
    """One line per job, and the same as JSON."""
    assert len(sootline("--store", demo_store, "jobs").stdout.strip().split("\n")) == 12
    rows = json.loads(sootline("--store", demo_store, "jobs", "--format", "json").stdout)
    assert {row["number"] for row in rows} == {f"D-{n:02d}" for n in range(1, 13)}
    assert all(row["invented"] for row in rows)


def test_casebook_from_a_newer_version(demo_store: Path) -> None:
    """A store of a later program is not touched, and the sentence says so."""
    with sqlite3.connect(demo_store) as raw:
        raw.execute("UPDATE store_info SET value = '9999' WHERE name = 'schema_version'")
    raw.close()
    before = demo_store.read_bytes()
    assert "9999" in failed(sootline("--store", demo_store, "jobs"))
    assert demo_store.read_bytes() == before


def test_casebook_that_is_none(tmp_path: Path) -> None:
    """A file that is no casebook is told and left alone."""
    other = tmp_path / "letter.txt"
    other.write_text("Dear customer, " * 200)
    failed(sootline("--store", other, "jobs"))
    assert other.read_text().startswith("Dear customer")


def test_without_a_terminal_the_screen_says_so(tmp_path: Path) -> None:
    """Input from a pipe opens no screen and no casebook."""
    assert "terminal" in failed(sootline("--store", tmp_path / "c.db"))
    assert "terminal" in failed(sootline("demo"))
    assert not (tmp_path / "c.db").exists()
