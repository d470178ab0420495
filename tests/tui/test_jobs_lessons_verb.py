"""`sootline jobs lessons` from a shell: the numbers of the screen as text and as JSON."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from shell import failed, sootline

from trees.casebook import Casebook
from trees.walk import Entry


@pytest.fixture
def store(demo_store: Path) -> Path:
    """Return a casebook with the invented jobs and one real one that no book can read."""
    with Casebook.open(demo_store, seat="bench") as casebook:
        casebook.new_job([Entry("began", {"words": "\x1b[31m"}), Entry("rated", {}), Entry("closed", {"end": "x"})])
    return demo_store


def test_the_invented_jobs_teach_only_when_asked(store: Path) -> None:
    """Nine of the twelve demo jobs are closed; of real jobs there is one, which tells nothing, and that is said."""
    run = sootline("--store", store, "jobs", "lessons", "--invented", "--format", "json")
    assert (run.returncode, run.stderr) == (0, "")
    told = json.loads(run.stdout)
    with Casebook.open(store) as casebook:
        closed = [row for row in casebook.jobs() if row.closed and row.invented]
    assert told["jobs"] == len(closed) == 9
    assert told["invented"] is True
    assert told["first_visit"]["of"] == sum(row.closed in {"released", "settled_by_phone"} for row in closed)
    assert all(row["low"] <= row["share"] <= row["high"] for row in told["causes"])
    assert sum(row["jobs"] for row in told["minutes_by_tree"]) == 9
    assert told["interval"]["level"] == 0.95
    run = sootline("--store", store, "jobs", "lessons", "--format", "json")
    assert json.loads(run.stdout)["jobs"] == 0
    assert "1 closed job can't be read by this book" in run.stderr


def test_the_text_shows_every_page(store: Path) -> None:
    """Plots in plain characters with their numbers; what is too few is called so; no escape sequence."""
    run = sootline("--store", store, "jobs", "lessons", "--invented")
    assert run.returncode == 0
    for part in ("9 closed invented jobs", "Causes found", "Units that came back", "Cured at the first visit"):
        assert part in run.stdout
    assert "Minutes per complaint" in run.stdout
    assert "never changed anything" in run.stdout
    assert "Too few jobs to say" in run.stdout
    assert "█" in run.stdout
    assert "\x1b" not in run.stdout
    assert max(len(line) for line in run.stdout.splitlines()) <= 78


def test_no_casebook_is_a_sentence(tmp_path: Path) -> None:
    """Nothing is made where nothing was."""
    assert "no casebook" in failed(sootline("--store", tmp_path / "none.db", "jobs", "lessons")).lower()
    assert not (tmp_path / "none.db").exists()
