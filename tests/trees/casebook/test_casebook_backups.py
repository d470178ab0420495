"""The rolling backup: made each day, only of a sound casebook, and put back without losing what was there."""

from __future__ import annotations

import sqlite3
import stat
from contextlib import closing
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from trees.casebook import Casebook
from trees.casebook.backups import GENERATIONS, backup_folder, backups, jobs_in, restore, trouble_in
from trees.errors import CasebookError
from trees.walk import Entry

NOW = datetime(2026, 3, 2, 8, 0, tzinfo=UTC)


def opened(path: Path, at: datetime) -> Casebook:
    return Casebook.open(path, clock=lambda: at, seat="bench")


def spoil(path: Path, *, since: int = 1) -> None:
    """Overwrite the beginning of every page of a closed file but the first ones."""
    content = bytearray(path.read_bytes())
    for at in range(since * 4096, len(content), 4096):
        content[at : at + 64] = b"\xaa" * 64
    path.write_bytes(content)


def test_backup_of_the_day(path: Path, began: Entry) -> None:
    """The first opening with a job in it makes a backup, the next one a day later, or when the clock jumped."""
    with opened(path, NOW) as casebook:
        casebook.new_job([began])
    assert backups(path) == ()
    counts = []
    for hours in (0, 1, 24, 25, 26, 24 * 300, 25):
        with opened(path, NOW + timedelta(hours=hours)) as casebook:
            assert casebook.backup_trouble == ""
        counts.append(len(backups(path)))
    assert counts == [1, 1, 1, 2, 2, 3, 4]
    assert [one.order for one in backups(path)] == [4, 3, 2, 1]


def test_backup_is_whole_and_private(path: Path, began: Entry) -> None:
    """A backup made while the casebook is open holds everything acknowledged so far, in one file of mode 0600."""
    with opened(path, NOW) as casebook:
        job = casebook.new_job([began])
        casebook.append(job, Entry("note", {"text": "only in the log"}), 2)
        made = casebook.back_up()
        assert (stat.S_IMODE(made.path.stat().st_mode), stat.S_IMODE(made.path.parent.stat().st_mode)) == (0o600, 0o700)
        assert [one.name for one in backup_folder(path).iterdir()] == [made.path.name]
        with Casebook.open(made.path) as copy:
            assert copy.entries(copy.job("1")) == casebook.entries(job)


def test_few_generations_are_kept(path: Path, began: Entry) -> None:
    """Only the newest few are kept."""
    with opened(path, NOW) as casebook:
        casebook.new_job([began])
        made = [casebook.back_up() for _ in range(GENERATIONS + 2)]
    assert [one.path for one in backups(path)] == [one.path for one in reversed(made[2:])]


def test_spoilt_casebook_pushes_no_backup_out(path: Path, began: Entry) -> None:
    """Of a damaged casebook no backup is made; the sentence offers the last good one with its command."""
    with opened(path, NOW) as casebook:
        for _ in range(40):
            casebook.new_job([began, Entry("note", {"text": "x" * 500})])
        good = casebook.back_up()
    spoil(path, since=12)
    told = []
    try:
        with opened(path, NOW + timedelta(days=3)) as casebook:
            told.append(casebook.backup_trouble)
            casebook.back_up()
    except CasebookError as error:
        told.append(str(error))
    assert told
    for text in filter(None, told):
        assert "is damaged" in text
        assert (
            "The last good backup is of 2026-03-02 08:00 UTC with 40 jobs; "
            f"`sootline --store {path} jobs restore` puts it back and keeps the damaged file."
        ) in text
    assert [one.path for one in backups(path)] == [good.path]


@pytest.mark.parametrize("since", [0, 1])
def test_restored_after_damage(path: Path, began: Entry, since: int) -> None:
    """A casebook with spoilt pages, its first one too, says so and offers the backup, which can be put back."""
    with opened(path, NOW) as casebook:
        job = casebook.new_job([began])
        casebook.back_up()
        whole = casebook.entries(job)
    spoil(path, since=since)
    damaged = path.read_bytes()
    with pytest.raises(CasebookError, match=r"The last good backup is of 2026-03-02 08:00 UTC with 1 job; `sootline"):
        opened(path, NOW).jobs()
    _, before = restore(path, NOW)
    assert before is not None
    assert before.read_bytes() == damaged
    with opened(path, NOW) as casebook:
        assert casebook.entries(casebook.job("1")) == whole
    assert stat.S_IMODE(path.stat().st_mode) == 0o600


def test_restored_over_an_open_casebook(path: Path, began: Entry) -> None:
    """A program that has the replaced casebook open keeps nothing more into it; what it kept before is kept aside."""
    with opened(path, NOW) as casebook:
        job = casebook.new_job([began])
        casebook.back_up()
        casebook.append(job, Entry("note", {"text": "after the backup"}), 2)
        _, before = restore(path, NOW)
        with pytest.raises(CasebookError, match="was moved, deleted or replaced while it was open"):
            casebook.append(job, Entry("note", {"text": "x"}), 3)
    assert before is not None
    with opened(path, NOW) as casebook:
        assert [one.no for one in casebook.entries(casebook.job("1"))] == [1]
    restore(path, NOW, before)
    with opened(path, NOW) as casebook:
        assert [one.entry.data.get("text") for one in casebook.entries(casebook.job("1"))] == [None, "after the backup"]


def test_log_of_the_replaced_goes_with_it(path: Path, began: Entry) -> None:
    """The log beside a casebook that was not closed belongs to it and never to the one that takes its place."""
    with opened(path, NOW) as casebook:
        job = casebook.new_job([began])
        kept = casebook.back_up()
        casebook.append(job, Entry("note", {"text": "in the log"}), 2)
        _, before = restore(path, NOW, kept.path)
        assert not path.with_name(f"{path.name}-wal").exists()
    assert before is not None
    assert trouble_in(before) == ""
    assert jobs_in(path) == 1


def test_nothing_good_to_restore(path: Path, tmp_path: Path, began: Entry) -> None:
    """Without a good backup, or with one named that is none, nothing is changed."""
    with opened(path, NOW) as casebook:
        casebook.new_job([began])
        made = casebook.back_up()
    spoil(made.path)
    before = path.read_bytes()
    letter = tmp_path / "letter.txt"
    letter.write_text("Dear customer")
    for chosen in (None, made.path, letter, tmp_path / "none"):
        with pytest.raises(CasebookError, match=r"no good backup|no sound casebook|There is no backup"):
            restore(path, NOW, chosen)
    assert path.read_bytes() == before


def test_newer_backup_is_passed_over(path: Path, began: Entry) -> None:
    """A backup that a later program made is not taken for a good one."""
    with opened(path, NOW) as casebook:
        casebook.new_job([began])
        older, newer = casebook.back_up(), casebook.back_up()
    with closing(sqlite3.connect(newer.path)) as raw:
        raw.execute("UPDATE store_info SET value = '9999' WHERE name = 'schema_version'")
        raw.commit()
    assert restore(path, NOW)[0] == older.path


def test_backup_that_can_not_be_made_stops_nobody(path: Path, began: Entry) -> None:
    """Where the daily backup can't be made the casebook opens all the same, and says why it could not."""
    with opened(path, NOW) as casebook:
        casebook.new_job([began])
    backup_folder(path).write_text("a file in the way")
    with opened(path, NOW) as casebook:
        assert casebook.backup_trouble.startswith(f"The backups of {path} can't be reached: {backup_folder(path)}: ")
        assert casebook.append(casebook.job("1"), Entry("note", {"text": "x"}), 2).no == 2
