"""A run of the program in this process, in a home of its own; an enemy's export in a casebook."""

from __future__ import annotations

import os
from collections.abc import Callable
from pathlib import Path

import pytest
from security_support import Run, RunVerb

from tui.command_line import main


@pytest.fixture
def home() -> Path:
    """Return the throw-away home of this test."""
    return Path(os.environ["HOME"])


@pytest.fixture
def run(capfd: pytest.CaptureFixture[str]) -> RunVerb:
    """Give what runs a verb and takes in what it wrote."""

    def verb(*arguments: str | Path) -> Run:
        capfd.readouterr()
        try:
            status = main([str(argument) for argument in arguments])
        except SystemExit as left:  # the parser's own way out
            status = int(left.code or 0)
        told, errors = capfd.readouterr()
        return Run(status, told, errors)

    return verb


@pytest.fixture
def imported(tmp_path: Path, run: RunVerb) -> Callable[[str], Path]:
    """Give what puts an export into a new casebook and returns its path."""

    def make(text: str) -> Path:
        (tmp_path / "export.jsonl").write_text(text, encoding="utf-8")
        store = tmp_path / "casebook.db"
        done = run("--store", store, "jobs", "import", tmp_path / "export.jsonl")
        assert done.status == 0, done
        return store

    return make
