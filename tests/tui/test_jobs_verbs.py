"""`sootline jobs …` from a shell: list, show, export, import, erase, backup, restore."""

from __future__ import annotations

import csv
import json
import sqlite3
import stat
from contextlib import closing
from pathlib import Path

import pytest
from shell import failed, sootline
from stores import server_store

from trees.casebook import Casebook
from trees.walk import Entry

WORDS = "Smokes since the Grey Heron's skipper fuelled"


@pytest.fixture
def store(tmp_path: Path) -> Path:
    """Return a casebook with two jobs."""
    path = tmp_path / "jobs" / "casebook.db"
    with Casebook.open(path, seat="bench") as casebook:
        began = Entry("began", {"words": WORDS, "tree": "smoke_on_start", "place": "bench", "family": None})
        taken = Entry("taken_up", {"seat": "bench", "date": "2026-03-02"})
        casebook.new_job([began, taken, Entry("note", {"text": "=1+1\nsecond line \x1b[31m"})])
        casebook.new_job([began], number="HUT-3")
    return path


def jobs(store: Path | str, *arguments: str | Path, typed: str | None = None):  # type: ignore[no-untyped-def]
    return sootline("--store", store, "jobs", *arguments, typed=typed)


def done(run) -> str:  # type: ignore[no-untyped-def]
    assert (run.returncode, run.stderr) == (0, ""), run
    return str(run.stdout)


def test_jobs_alone_lists(store: Path) -> None:
    """`jobs` and `jobs list` are the same, and so are the places where --format may stand."""
    assert done(jobs(store)) == done(jobs(store, "list"))
    assert [line.split()[0] for line in done(jobs(store)).splitlines()] == ["HUT-3", "J-0001"]
    rows = json.loads(done(jobs(store, "--format", "json")))
    assert [row["number"] for row in rows] == ["HUT-3", "J-0001"]
    assert done(jobs(store, "--format", "json", "list")) == done(jobs(store, "list", "--format", "json"))


def test_show_prints_the_trail(store: Path) -> None:
    """`show` prints each entry with number, time, seat, and what was said, on one safe line each; JSON holds all."""
    shown = done(jobs(store, "show", "1"))
    assert "\x1b" not in shown
    head, first, second, third = shown.splitlines()
    assert head == "J-0001  open, bench, at the seat bench"
    assert first.split()[0] == "1"
    assert first.endswith(f"bench  Complaint: {WORDS}")
    assert "Taken up" in second
    assert "Note: =1+1 / second line" in third
    told = json.loads(done(jobs(store, "show", "1", "--format", "json")))
    assert told["job"]["number"] == "J-0001"
    assert [(one["no"], one["kind"]) for one in told["entries"]] == [(1, "began"), (2, "taken_up"), (3, "note")]
    assert told["entries"][2]["data"]["text"] == "=1+1\nsecond line \x1b[31m"
    assert told["entries"][0]["asked"] == "Complaint"


def test_show_of_answers_that_no_longer_count(demo_store: Path) -> None:
    """A demo job shows the questions and the verdicts in the words of the book."""
    shown = done(jobs(demo_store, "show", "D-03"))
    assert "Voltage at the unit's own plug while the glow pin draws: 10.3 V" in shown
    assert shown.splitlines()[0].endswith("(invented job)")


def test_show_with_a_book_that_does_not_fit(store: Path) -> None:
    """Entries that the book can't read are shown as stored, and stderr says so."""
    with Casebook.open(store) as casebook:
        job = casebook.job("1")
        casebook.append(job, Entry("rated", {}), 4)
        casebook.append(job, Entry("note", {"text": "still shown"}), 5)
    run = jobs(store, "show", "1")
    assert run.returncode == 0
    assert "still shown" in run.stdout
    assert run.stderr.startswith("sootline: the entries stand as they were stored")
    assert run.stderr.count("\n") == 1


def test_export_and_import(store: Path, tmp_path: Path) -> None:
    """What is exported imports into an equal casebook, by file and by pipe; a second time nothing is new."""
    out, other = tmp_path / "all.jsonl", tmp_path / "other.db"
    run = jobs(store, "export", "--out", out)
    assert (run.returncode, run.stdout.strip()) == (0, str(out))
    assert "personal data" in run.stderr
    assert stat.S_IMODE(out.stat().st_mode) == 0o600
    assert done(jobs(other, "import", out)) == f"2 jobs imported into {other}; 0 known already\n"
    assert done(jobs(other, "list", "--format", "json")) == done(jobs(store, "list", "--format", "json"))
    assert done(jobs(other, "export")) == done(jobs(store, "export")) == out.read_text()
    assert done(jobs(other, "import", "-", typed=out.read_text())).startswith("0 jobs imported")


def test_import_of_what_is_no_export(store: Path, tmp_path: Path) -> None:
    """A file that is none, cut off or not there is one sentence, and the casebook stays as it was."""
    before = done(jobs(store, "export"))
    cut, noise = tmp_path / "cut.jsonl", tmp_path / "noise"
    cut.write_text("\n".join(before.splitlines()[:-1]))
    noise.write_bytes(b"\xff\xfe\x00")
    for name in (cut, noise, tmp_path / "none", tmp_path):
        failed(jobs(store, "import", name))
    assert done(jobs(store, "export")) == before


def test_csv_for_spreadsheets(tmp_path: Path) -> None:
    """The list of jobs opens in a spreadsheet as text: a mark for UTF-8 in the file, and no formula."""
    store, out = tmp_path / "c.db", tmp_path / "jobs.csv"
    with Casebook.open(store) as casebook:
        casebook.new_job([Entry("began", {"words": '=HYPERLINK("x")', "tree": "smoke_on_start"})])
    assert jobs(store, "export", "--format", "csv", "--out", out).returncode == 0
    assert out.read_bytes().startswith(b"\xef\xbb\xbfnumber,words,")
    (row,) = csv.DictReader(out.read_text(encoding="utf-8-sig").splitlines())
    assert (row["number"], row["words"]) == ("J-0001", '\'=HYPERLINK("x")')
    assert done(jobs(store, "export", "--format", "csv")).startswith("number,words,")


def test_export_that_can_not_be_written(store: Path, tmp_path: Path) -> None:
    """Where the file can't be written it is one sentence, and nothing half is left."""
    (tmp_path / "there").mkdir()
    for out in (tmp_path / "there", tmp_path / "none" / "x.jsonl", Path("/proc/x.jsonl")):
        failed(jobs(store, "export", "--out", out))
    assert [path.name for path in tmp_path.iterdir() if ".jsonl" in path.name or path.name.startswith(".")] == []


def test_erase_says_what_went_and_what_may_remain(store: Path) -> None:
    """`erase` empties the texts here and in the backups, byte for byte, keeps the entries, and warns of copies."""
    done(jobs(store, "backup"))
    said = done(jobs(store, "erase", "J-0001"))
    assert said.startswith(f"J-0001: 2 texts erased in {store}; also in ")
    assert "Copies may remain in exports" in said
    held = [path for path in store.parent.rglob("*") if path.is_file() and b"second line" in path.read_bytes()]
    assert held == []
    assert len(json.loads(done(jobs(store, "show", "J-0001", "--format", "json")))["entries"]) == 3
    assert WORDS in done(jobs(store, "show", "HUT-3"))
    failed(jobs(store, "erase", "J-0099"))


def test_backup_and_restore(store: Path) -> None:
    """`restore` puts the last good backup back, tells where the replaced casebook lies, and can put that back too."""
    made = Path(done(jobs(store, "backup")).strip())
    assert made.is_file()
    with Casebook.open(store) as casebook:
        casebook.new_job([Entry("began", {"words": "Later", "tree": "smoke_on_start"})])
    listed = done(jobs(store, "restore", "--list")).splitlines()
    assert listed[0].startswith(made.name)
    assert listed[0].endswith("2 jobs")
    said = done(jobs(store, "restore"))
    assert said.startswith(f"{store} is again as in {made.name}: 2 jobs.")
    assert "Later" not in done(jobs(store))
    (replaced,) = store.with_name("casebook.db.backups").glob("*_replaced.sqlite3")
    assert str(replaced) in said
    done(jobs(store, "restore", replaced.name))
    assert "Later" in done(jobs(store))
    failed(jobs(store, "restore", "none.sqlite3"))
    failed(jobs(store.with_name("none.db"), "restore"))


def test_corrupt_page_offers_the_backup(store: Path) -> None:
    """A spoilt casebook is told in a sentence with the command that puts the last good backup back; that works."""
    done(jobs(store, "backup"))
    content = bytearray(store.read_bytes())
    content[4096:] = b"\xaa" * (len(content) - 4096)
    store.write_bytes(content)
    said = failed(jobs(store))
    assert "is damaged" in said
    assert f"with 2 jobs; `sootline --store {store} jobs restore` puts it back" in said
    done(jobs(store, "restore"))
    assert len(done(jobs(store)).splitlines()) == 2


def test_backup_trouble_is_told_and_stops_nobody(store: Path) -> None:
    """Where the daily backup can't be made the list still comes, and stderr says why."""
    folder = store.with_name("casebook.db.backups")
    if folder.is_dir():
        for path in folder.iterdir():
            path.unlink()
        folder.rmdir()
    folder.write_text("in the way")
    run = jobs(store)
    assert (run.returncode, len(run.stdout.splitlines())) == (0, 2)
    assert run.stderr.startswith("sootline: the daily backup was not made. ")


def test_on_a_server() -> None:
    """Every act works on a server too, or says in a sentence that the server does it; no password is ever printed."""
    with server_store() as place:
        word = place.where.partition("://")[2].partition("@")[0].partition(":")[2] or "no password in the address"
        with Casebook.open(place.where, seat="bench") as casebook:
            casebook.new_job([Entry("began", {"words": WORDS, "tree": "smoke_on_start", "place": "bench"})])
        runs = [jobs(place.where, *act) for act in (("list",), ("show", "1"), ("export",), ("erase", "1"))]
        assert [run.returncode for run in runs] == [0] * 4, runs
        assert "the server's log, replicas and backups" in " ".join(runs[3].stdout.split())
        assert WORDS not in done(jobs(place.where, "export"))
        refused = [jobs(place.where, act) for act in ("backup", "restore")]
        for run in refused:
            failed(run)
        failed(again := jobs(place.where, "import", "-", typed=runs[2].stdout))
        for run in (*runs, *refused, again):
            assert word not in run.stdout + run.stderr


def test_nothing_is_made_by_looking(tmp_path: Path) -> None:
    """No act but `import` makes a casebook where there is none."""
    store = tmp_path / "none.db"
    for act in (("list",), ("show", "1"), ("export",), ("erase", "1"), ("backup",), ("restore",)):
        failed(jobs(store, *act))
    assert list(tmp_path.glob("none.db")) == []


def test_erased_in_the_file_itself(store: Path) -> None:
    """The table of personal texts holds nothing of the erased job any more, and all of the other."""
    done(jobs(store, "erase", "HUT-3"))
    with closing(sqlite3.connect(store)) as raw:
        found = raw.execute("SELECT number FROM personal JOIN job ON job.id = job_id GROUP BY number").fetchall()
    assert found == [("J-0001",)]
