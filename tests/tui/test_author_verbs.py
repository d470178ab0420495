"""The verbs for authors from a shell: formats, schemas, replay, new, number, diff, watching; never a traceback."""

from __future__ import annotations

import json
import os
import re
import select
import shutil
import signal
import subprocess
import time
from pathlib import Path

import pytest
from shell import PROGRAM, failed, sootline


@pytest.fixture
def book(tmp_path: Path) -> Path:
    """Return a new book, as the program writes it."""
    folder = tmp_path / "boats"
    assert sootline("new", "book", folder).returncode == 0
    return folder


def spoil(book: Path) -> None:
    """Let one answer lead nowhere."""
    path = book / "trees" / "will_not_start.yaml"
    path.write_text(path.read_text().replace("shut: clear}", "shut: claer}"))


def test_check_for_machines(book: Path) -> None:
    """SARIF and annotations name the code, the file below the given folder, the line; exit status as ever."""
    spoil(book)
    run = sootline("check", "--format", "sarif", book)
    assert run.returncode == 1
    (result,) = json.loads(run.stdout)["runs"][0]["results"][:1]
    assert result["ruleId"] == "unknown-name"
    assert result["locations"][0]["physicalLocation"]["artifactLocation"]["uri"].endswith("will_not_start.yaml")
    run = sootline("check", "--format", "github", book)
    assert run.returncode == 1
    assert run.stdout.startswith(f"::error file={book.as_posix()}/trees/will_not_start.yaml,line=")


def test_pairs_are_listed_or_refused(book: Path) -> None:
    """As text and as JSON; an annotation has no place for them."""
    assert "told from every other" in sootline("check", "--pairs", book).stdout
    assert json.loads(sootline("check", "--pairs", "--format", "json", book).stdout)["pairs"] == []
    assert "--pairs" in failed(sootline("check", "--pairs", "--format", "sarif", book))


def test_schema_prints_and_writes(tmp_path: Path) -> None:
    """All by name, one by kind, or files in a folder; an unknown kind names those there are."""
    names = set(json.loads(sootline("schema").stdout))
    assert {"book.json", "causes.json", "checks.json", "trees.json"} <= names
    assert json.loads(sootline("schema", "causes").stdout)["$schema"].startswith("http://json-schema.org/draft-07")
    assert sootline("schema", "--out", tmp_path / "s").returncode == 0
    assert {path.name for path in (tmp_path / "s").iterdir()} == names
    assert "causes" in failed(sootline("schema", "recipes"))


def test_replay_tells_what_failed_and_where_it_turned(book: Path) -> None:
    """0 while all end where they say; 1 with the step as soon as one does not; 2 for a broken book."""
    assert sootline("replay", book).returncode == 0
    job = book / "worked" / "first.yaml"
    job.write_text(job.read_text().replace("intake_look: shut", "intake_look: free"))
    run = sootline("replay", book)
    assert run.returncode == 1
    assert "turned at step 101 (`intake` of will_not_start)" in run.stdout
    told = json.loads(sootline("replay", "--format", "json", book).stdout)
    assert told["failed"] == 1
    assert told["jobs"][0]["turn"]["no"] == 101
    spoil(book)
    failed(sootline("replay", book))


def test_all_paths_of_the_shipped_book() -> None:
    """Counts that no walk could reach, as text and as whole numbers in JSON."""
    run = sootline("replay", "--all-paths")
    assert (run.returncode, run.stderr) == (0, "")
    assert "smoke_on_start" in run.stdout
    trees = json.loads(sootline("replay", "--all-paths", "--place", "phone", "--format", "json").stdout)["trees"]
    assert {tree["place"] for tree in trees} == {"phone"}
    assert all(isinstance(tree["count"], int) for tree in trees)


def test_new_pieces_pass_and_overwrite_nothing(book: Path) -> None:
    """Tree, check and family go into the book, which stays clean; what is there stays."""
    for kind, name in (("tree", "hums"), ("check", "hum"), ("family", "air_4kw")):
        run = sootline("new", kind, name, "--in", book)
        assert (run.returncode, run.stderr) == (0, "")
        assert sootline("check", "--strict", book).returncode == 0
        assert name in failed(sootline("new", kind, name, "--in", book))
    before = {path: path.read_bytes() for path in book.rglob("*") if path.is_file()}
    failed(sootline("new", "book", book))
    failed(sootline("new", "tree", "../out", "--in", book))
    failed(sootline("new", "tree", "whines"))
    assert before == {path: path.read_bytes() for path in book.rglob("*") if path.is_file()}


def test_number_writes_into_the_files(book: Path) -> None:
    """The new step gets a number above all others; a second run has nothing to do."""
    path = book / "trees" / "will_not_start.yaml"
    path.write_text(path.read_text().replace("{no: 103, end", "{end"))
    assert sootline("check", book).returncode == 1
    assert sootline("number", book).stdout == "105  trees/will_not_start.yaml: done\n"
    assert sootline("check", "--strict", book).returncode == 0
    assert sootline("number", book).stdout == "Every step has its number.\n"
    failed(sootline("number"))


def test_diff_of_folders_and_revisions(book: Path, tmp_path: Path) -> None:
    """0 where nothing changed; else 1 and the answer that leads elsewhere; git revisions of a folder inside a repo."""
    old = tmp_path / "old"
    shutil.copytree(book, old)
    assert sootline("diff", old, book).returncode == 0
    git = ["git", "-C", str(tmp_path), "-c", "user.name=a workshop", "-c", "user.email=a@example.org"]
    for arguments in (["init", "-q"], ["add", "boats"], ["commit", "-qm", "first"]):
        subprocess.run([*git, *arguments], check=True, capture_output=True)
    path = book / "trees" / "will_not_start.yaml"
    path.write_text(
        path.read_text().replace("shut: clear}", "shut: to_workshop}").replace("free: to_workshop", "free: clear")
    )
    run = sootline("diff", old, book)
    assert run.returncode == 1
    assert "`shut` led to 102" in run.stdout
    told = json.loads(sootline("diff", "HEAD", book, "--in", book, "--format", "json").stdout)["changes"]
    assert any("`shut` led to 102" in change["told"] for change in told)
    assert "git revision" in failed(sootline("diff", "no-such-revision", book, "--in", book))
    failed(sootline("diff", "--in", book, old, book / "none"))


def test_watch_checks_again_after_a_save(book: Path) -> None:
    """The list comes at once, and again when a file was saved; ctrl+c ends it without a word."""
    program = subprocess.Popen(
        [*PROGRAM, "check", "--watch", str(book)],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        env={**os.environ, "PYTHONUNBUFFERED": "1"},
    )
    assert program.stdout is not None
    try:
        assert program.stdout.readline() == "No problems.\n"
        assert "1 tree, " in program.stdout.readline()
        end = time.monotonic() + 30
        spoilt = False
        while not spoilt and time.monotonic() < end:
            spoil(book)  # saved again until the watcher has begun to look
            os.utime(book / "trees" / "will_not_start.yaml")
            spoilt = bool(select.select([program.stdout], [], [], 0.5)[0])
        assert spoilt
        shown = ""
        while not re.search(r"^\d+ errors?$", shown, re.MULTILINE):
            shown += program.stdout.readline()
        assert "unknown-name" in shown
    finally:
        program.send_signal(signal.SIGINT)
        code = program.wait(timeout=30)
        program.stdout.close()
        assert program.stderr is not None
        told = program.stderr.read()
        program.stderr.close()
    assert (code, told) == (0, "")
