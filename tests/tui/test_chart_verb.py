"""`sootline chart` as a shell runs it: the whole book, a job's way, what hangs behind the book."""

from __future__ import annotations

from pathlib import Path

import pypdf
import pytest
from shell import failed, sootline


def test_the_whole_book_into_a_folder(tmp_path: Path) -> None:
    """One list for each tree, each path on stdout, and no bar where nobody watches."""
    run = sootline("chart", "--all", "--format", "txt", "--out", tmp_path / "wall")
    assert (run.returncode, run.stderr) == (0, "")
    written = sorted(str(path) for path in (tmp_path / "wall").iterdir())
    assert sorted(run.stdout.split()) == written
    assert str(tmp_path / "wall" / "smoke_on_start.txt") in written


def test_a_folder_is_filled_under_the_name_of_the_tree(tmp_path: Path) -> None:
    """`--out FOLDER` needs no name of a file; without a format it is a PDF."""
    run = sootline("chart", "commissioning", "--comfortable", "--read-from", "50 cm", "--out", tmp_path)
    assert run.returncode == 0, run.stderr
    assert (tmp_path / "commissioning.pdf").read_bytes().startswith(b"%PDF")


def test_pictures_end_as_such_where_the_name_does_not(tmp_path: Path) -> None:
    """Several sheets under a name without an ending still open with a double click."""
    run = sootline("chart", "coolant", "--read-from", "0.9m", "--format", "png", "--out", tmp_path / "wall")
    assert run.returncode == 0, run.stderr
    sheets = sorted(tmp_path.glob("wall*"))
    assert len(sheets) > 1
    assert {path.suffix for path in sheets} == {".png"}
    assert all(path.read_bytes().startswith(b"\x89PNG") for path in sheets)


def test_many_sheets_are_said_and_regions_are_written_apart(tmp_path: Path) -> None:
    """Above twelve sheets the list and the regions are offered; with --region each region is a file."""
    run = sootline("chart", "coolant", "--read-from", "0.9m", "--out", tmp_path / "all.pdf")
    assert run.returncode == 0, run.stderr
    assert "--format txt" in run.stderr
    assert "--region" in run.stderr
    run = sootline("chart", "coolant", "--read-from", "0.9m", "--region", "--out", tmp_path / "part.pdf")
    assert run.returncode == 0, run.stderr
    assert "--region" not in run.stderr
    parts = sorted(tmp_path.glob("part-region-*.pdf"))
    assert len(parts) > 1
    assert [str(path) for path in parts] == run.stdout.split()


def test_the_way_of_a_demo_job(demo_store: Path, tmp_path: Path) -> None:
    """The title block says whose way it is and that the job is invented."""
    out = tmp_path / "way.pdf"
    drawn_in = ("--trail", "D-01", "--counts", "--invented")
    run = sootline("--store", demo_store, "chart", "smoke_on_start", *drawn_in, "--out", out)
    assert run.returncode == 0, run.stderr
    text = pypdf.PdfReader(out).pages[0].extract_text()
    assert "Way of job D-01, invented" in text
    assert "closed jobs" in text


def test_what_hangs_there_is_held_against_the_book(tmp_path: Path, small_wall: tuple[Path, Path]) -> None:
    """0 while the wall says what the book says, 1 and the steps when it does not, 2 for a file that is no chart."""
    book, wall = small_wall
    run = sootline("--book", book, "chart", "--verify", wall)
    assert (run.returncode, run.stderr) == (0, "")
    assert "as the book" in run.stdout
    for path in (book / "checks").glob("*.yaml"):
        path.write_text(path.read_text().replace("How long does it smoke after it lights", "How long does it smoke"))
    run = sootline("--book", book, "chart", "--verify", wall)
    assert run.returncode == 1
    assert "behind the book" in run.stdout
    assert "changed:" in run.stdout
    other = tmp_path / "other.pdf"
    other.write_bytes(b"%PDF")
    assert "no PDF chart" in failed(sootline("--book", book, "chart", "--verify", other))


@pytest.fixture
def small_wall(tmp_path: Path) -> tuple[Path, Path]:
    """Return a copy of the shipped book and a chart of it that hangs on the wall."""
    import shutil

    from trees.book import shipped_book_path

    book, wall = tmp_path / "book", tmp_path / "wall.pdf"
    shutil.copytree(shipped_book_path(), book)
    assert sootline("--book", book, "chart", "smoke_on_start", "--out", wall).returncode == 0
    return book, wall


def test_what_is_unclear_is_asked_back(demo_store: Path, tmp_path: Path) -> None:
    """No tree, a tree and --all, no place to write, a file for a whole book, a trail through a whole book."""
    out = tmp_path / "x"
    for arguments in (
        ("--out", out),
        ("smoke_on_start", "--all", "--out", out),
        ("smoke_on_start",),
        ("--all", "--out", tmp_path / "x.pdf"),
        ("--all", "--trail", "D-01", "--out", out),
        ("commissioning", "--trail", "D-99", "--out", tmp_path / "x.pdf"),
        ("smoke_on_start", "--poster", "--region", "--out", tmp_path / "x.pdf"),
        ("--all", "--paper", "A4", "--read-from", "4m", "--out", out),
    ):
        failed(sootline("--store", demo_store, "chart", *arguments))
    assert [path for path in tmp_path.iterdir() if path.name.startswith("x")] == []
