"""Random jobs break no rule, on either engine; and a casebook that loses something is found out."""

from __future__ import annotations

import os
from pathlib import Path
from typing import Any

import pytest
import soak
from stores import ENGINES, EngineName, empty_store

from trees.book import load_book, shipped_book_path
from trees.casebook import Casebook

JOBS = int(os.environ.get("SOOTLINE_SOAK_JOBS", "60"))


@pytest.mark.parametrize("engine", ENGINES)
def test_random_jobs_break_no_rule(engine: EngineName, tmp_path: Path) -> None:
    """Take-backs, changes, skips, side checks, hand-overs and edited books: nothing lost, every replay the same."""
    with empty_store(engine, tmp_path) as store:
        done = soak.soak(load_book(shipped_book_path()), store.where, JOBS)
        assert done.jobs == JOBS
        assert done.refused_elsewhere > 0
        assert store.is_sound()


class Forgetful(Casebook):
    """A casebook that loses the newest entry of every job."""

    def entries(self, record: Any) -> Any:
        """Leave the last entry out."""
        return super().entries(record)[:-1]


def test_lost_entry_is_found_out(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Positive control: a casebook that forgets the newest entry breaks a rule, which names the seed."""
    monkeypatch.setattr(soak, "Casebook", Forgetful)
    with pytest.raises(soak.BrokenRuleError, match=r"job with seed 0: .*not what was kept"):
        soak.soak(load_book(shipped_book_path()), tmp_path / "c.sqlite3", 1)
