"""`sootline recount --write`: what is taken line by line goes into an overlay, and `--shares` weighs by it."""

from __future__ import annotations

import json
import math
import os
import pty
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
from shell import failed, sootline
from shipped_book import shipped
from small_book import small_book

from trees.book import load_book, shipped_book_path
from trees.book.shares import read_overlay
from trees.errors import SootlineError
from trees.suspects.recount import ClosedJob, recount
from tui.accept_shares import asked, named, write_overlay


def counted(demo_store: Path) -> Any:
    """Return what is counted from the invented jobs."""
    run = sootline("--store", demo_store, "recount", "--invented", "--format", "json")
    return json.loads(run.stdout)


def shares_written(path: Path) -> dict[str, float]:
    """Return cause → share in 100 jobs."""
    return {cause: row.share for cause, row in read_overlay(path, shipped()).shares.items()}


# ── taking ──────────────────────────────────────────────────────────────────


def test_each_cause_is_asked_for_and_the_rest_once() -> None:
    """Ten jobs, seven with a thin cable and one with a flat battery: three questions, the commoner cause first.

    A cause that no job had falls from 25 m to 25 m of 25 + 10 jobs: 25 / 35 = 0.71 times as often.
    """
    jobs = [ClosedJob({"cable_thin": 1.0} if n < 7 else {"battery_flat": 1.0} if n == 7 else {}) for n in range(10)]
    rows = recount({"battery_flat": 0.3, "cable_thin": 0.3, "pump_weak": 0.2, "insert_coked": 0.2}, jobs)
    questions: list[str] = []

    def ask(question: str) -> bool:
        questions.append(question)
        return "Battery" not in question

    rows_taken = asked(small_book(), rows, ask)
    assert [question.partition(":")[0] for question in questions] == [
        "Cable thin", "Battery flat", "2 causes that no job had",
    ]  # fmt: skip
    assert questions[2].endswith("each 0.71 times as often.")
    assert [row.cause for row in rows_taken] == ["cable_thin", "pump_weak", "insert_coked"]


def test_names_are_taken_as_given_and_unknown_ones_refused() -> None:
    """Spaces and empty parts between the commas do not matter."""
    rows = recount({"battery_flat": 0.3, "cable_thin": 0.3}, [])
    assert [row.cause for row in named(rows, " cable_thin ,")] == ["cable_thin"]
    with pytest.raises(SootlineError, match="nix was not counted"):
        named(rows, "cable_thin,nix")


def test_the_file_holds_the_beta_of_the_counts(tmp_path: Path) -> None:
    """5 of 5 jobs against 10 % worth 25: share (2.5 + 5) / 30 = 25 in 100; a whole or no file, nothing left beside."""
    book = small_book()
    write_overlay(book, recount({"pump_weak": 0.1}, [ClosedJob({"pump_weak": 1.0})] * 5), tmp_path / "s.yaml")
    row = read_overlay(tmp_path / "s.yaml", book).shares["pump_weak"]
    assert (row.share, row.jobs) == (25.0, 5.0)
    assert row.interval[0] < 25 < row.interval[1]
    assert [path.name for path in tmp_path.iterdir() if path.is_file()] == ["s.yaml"]


# ── from a shell ────────────────────────────────────────────────────────────


def test_accepted_by_name_for_scripts(demo_store: Path, tmp_path: Path) -> None:
    """Only the cause named is written, as it was counted; the book's files are byte for byte as before."""
    before = shipped().fingerprint
    out = tmp_path / "counted.yaml"
    run = sootline("--store", demo_store, "recount", "--invented", "--write", out, "--accept", "cable_voltage_drop")
    assert run.returncode in {0, 1}
    assert f"1 share written; use `sootline --shares {out}`" in run.stderr
    (row,) = [row for row in counted(demo_store)["causes"] if row["cause"] == "cable_voltage_drop"]
    assert shares_written(out) == {"cable_voltage_drop": pytest.approx(100 * row["share"], abs=1e-3)}
    assert load_book(shipped_book_path()).fingerprint == before


def test_all_are_taken_and_why_weighs_by_them(demo_store: Path, tmp_path: Path) -> None:
    """With `--shares` a suspect starts from its counted share, without from the author's.

    D-03 is an air heater of 12 V: its start is m Z of all causes, given that one of those acts which such a unit has.
    """
    out = tmp_path / "counted.yaml"
    assert sootline("--store", demo_store, "recount", "--invented", "--write", out, "--accept-all").returncode in {0, 1}
    rows = {row["cause"]: row for row in counted(demo_store)["causes"]}
    assert shares_written(out) == {c: pytest.approx(100 * row["share"], abs=1e-3) for c, row in rows.items()}
    ask = ("--store", demo_store, "why", "D-03", "--cause", "cable_voltage_drop", "--format", "json")
    own = json.loads(sootline(*ask).stdout)["why"][0]["start"]
    laid = json.loads(sootline("--shares", out, *ask).stdout)["why"][0]["start"]
    causes = shipped().causes
    has = {c.id for c in causes.values() if {"medium": "air", "voltage": "12"}.items() >= c.applies.items()}
    assert own == pytest.approx(
        start_of("cable_voltage_drop", {c: r["author"] for c, r in rows.items()}, has), abs=1e-6
    )
    assert laid == pytest.approx(
        start_of("cable_voltage_drop", {c: r["share"] for c, r in rows.items()}, has), abs=1e-5
    )
    assert laid > own + 0.01


def start_of(cause: str, shares: dict[str, float], has: set[str]) -> float:
    """Return P(cause) of a unit that only has some of the causes, by plain iteration of Z = 1 - prod(1 - m Z).

    Shares of one cause a job or less leave a rest to 1.02 for a cause that the book does not list (REASONING 2.2).
    """
    total = sum(shares.values())
    rest = 1.02 - total if total <= 1.000001 else 0.0
    z = 1.0
    for _ in range(5000):
        z = 1 - math.prod(1 - m * z for m in (*shares.values(), rest))
    return shares[cause] * z / (1 - math.prod(1 - m * z for m in (*(shares[c] for c in has & shares.keys()), rest)))


def test_counting_again_never_counts_on_top(demo_store: Path, tmp_path: Path) -> None:
    """`--shares` does not change what recount counts against: the jobs would count twice."""
    out = tmp_path / "counted.yaml"
    sootline("--store", demo_store, "recount", "--invented", "--write", out, "--accept-all")
    run = sootline("--shares", out, "--store", demo_store, "recount", "--invented", "--format", "json")
    again, first = json.loads(run.stdout)["causes"], counted(demo_store)["causes"]
    assert [row["author"] for row in again] == [row["author"] for row in first]
    assert [row["share"] for row in again] == pytest.approx([row["share"] for row in first], abs=1e-6)
    assert "--shares is left aside" in run.stderr
    assert sootline("--store", demo_store, "recount", "--invented", "--write", out, "--accept-all").returncode in {
        0,
        1,
    }, "an overlay of our own may be written anew"


def test_what_can_not_be_done_is_a_sentence(demo_store: Path, tmp_path: Path) -> None:
    """No terminal, nowhere to write, somebody else's file, no folder, no job, an unknown cause: nothing is written."""
    other = tmp_path / "letter.txt"
    other.write_text("Dear all,\n")
    out = tmp_path / "s.yaml"
    for arguments, sentence in (
        (("--invented", "--write", out), "no terminal to ask on"),
        (("--invented", "--accept-all"), "Add --write FILE"),
        (("--invented", "--accept-all", "--write", other), "is not overwritten"),
        (("--invented", "--accept-all", "--write", tmp_path / "no" / "s.yaml"), "no folder"),
        (("--accept-all", "--write", out), "nothing to take"),
    ):
        assert sentence in failed(sootline("--store", demo_store, "recount", *arguments))
    run = sootline("--store", demo_store, "recount", "--invented", "--write", out, "--accept", "nix")
    assert run.returncode == 2
    assert "nix was not counted" in run.stderr
    assert not out.exists()
    assert other.read_text() == "Dear all,\n"


def test_an_overlay_of_another_edition_is_refused_everywhere(demo_store: Path, tmp_path: Path) -> None:
    """Every verb that weighs suspects says so in one sentence with the place."""
    out = tmp_path / "s.yaml"
    sootline("--store", demo_store, "recount", "--invented", "--write", out, "--accept-all")
    spoilt = out.read_text().replace(shipped().fingerprint, "0123456789ab")
    out.write_text(spoilt)
    for verb in (
        ("why", "D-03"),
        ("weigh", "exhaust_inside"),
        ("replay",),
        ("report", "D-03", "--out", tmp_path / "r.md"),
    ):
        told = failed(sootline("--shares", out, "--store", demo_store, *verb))
        assert f"{out}:2:7: they were counted with another edition" in told


def test_the_terminal_is_asked_line_by_line(demo_store: Path, tmp_path: Path) -> None:
    """On a terminal y takes a line, anything else leaves it; the end of the input writes nothing at all."""
    rows = [row for row in counted(demo_store)["causes"] if row["seen"] or row["conflict"]]
    rows.sort(key=lambda row: (not row["conflict"], -row["seen"]))
    out = tmp_path / "s.yaml"

    def answer(typed: str) -> subprocess.CompletedProcess[str]:
        master, slave = pty.openpty()
        os.write(master, typed.encode())
        command = [sys.executable, "-m", "tui.command_line", "--store", str(demo_store), "recount", "--invented"]
        try:
            return subprocess.run(
                [*command, "--write", str(out)], stdin=slave, capture_output=True, text=True, check=False, timeout=120
            )
        finally:
            os.close(slave)
            os.close(master)

    ended = answer("y\n\x04")
    assert ended.returncode == 2
    assert "The input ended before all was asked" in ended.stderr
    assert not out.exists()
    none = answer("n\n" * (len(rows) + 1))
    assert "nothing was taken" in none.stderr
    assert not out.exists()
    run = answer("n\ny\n" + "\n" * len(rows))
    assert run.returncode in {0, 1}, run.stderr
    assert list(shares_written(out)) == [rows[1]["cause"]]
