"""A book of one's own, on machines that are no heaters: begun, checked, played and weighed by the verbs alone."""

from __future__ import annotations

from pathlib import Path

import pytest
from shell import sootline

from tui.verbs import weigh


@pytest.fixture
def washer(tmp_path: Path) -> Path:
    """Return a new book whose units are electric or run on petrol, with one job for its demo."""
    folder = tmp_path / "washer"
    assert sootline("new", "book", folder).returncode == 0
    change(folder / "book.yaml", "source: memory", "media: [electric, petrol]\nsource: memory")
    change(folder / "families.yaml", "medium: air", "medium: electric")
    change(folder / "families.yaml", "voltage: 12", "voltage: 230")
    family = "petrol_4kw: {name: Petrol, medium: petrol, voltage: 0, outputs: {high: 4.0}}\n"
    change(folder / "families.yaml", "outputs: {low: 0.8, high: 2.0}\n", f"outputs: {{high: 2.0}}\n{family}")
    change(folder / "causes.yaml", "  kind: root", "  for: {medium: electric}\n  kind: root")
    change(folder / "worked" / "first.yaml", "  place: site", "  place: site\n  close: released\n  demo: true")
    return folder


def change(path: Path, old: str, new: str) -> None:
    """Write a file anew with one text in place of another."""
    text = path.read_text("utf-8")
    assert text.count(old) == 1, (path, old)
    path.write_text(text.replace(old, new), "utf-8")


def test_units_of_other_media_make_a_sound_book(washer: Path) -> None:
    """Media of the book's own, a family without a supply, and the worked job are as good as the heaters'."""
    told = sootline("check", washer).stdout
    assert "No problems." in told
    assert "1 tree, 4 steps, 1 check, 1 cause, 1 sign, 2 families, 1 worked job\n" in told
    assert "1 of 1 worked jobs" in sootline("replay", washer).stdout


def test_medium_that_the_book_does_not_name_is_told_with_the_nearest(washer: Path) -> None:
    """A slip of the pen in `for` is an error at its place."""
    change(washer / "causes.yaml", "medium: electric", "medium: elektric")
    told = sootline("check", washer)
    assert told.returncode == 1
    assert "no medium is called `elektric` [unknown-name]" in told.stdout
    assert "did you mean `electric`?" in told.stdout


def test_weighing_for_a_family_leaves_out_causes_of_the_other(washer: Path) -> None:
    """For the petrol unit no cause is left, and that is said in a sentence; for the electric one it is weighed."""
    order = ("--book", washer, "weigh", "will_not_start", "--family")
    assert sootline(*order, "air_2kw_12v").returncode == 0
    told = sootline(*order, "petrol_4kw")
    assert told.returncode == 2
    assert "No cause of the book applies to this unit" in told.stderr


def test_demo_names_the_worked_job_that_can_not_be_played(washer: Path, tmp_path: Path) -> None:
    """A job that can't be closed as it says is named, and the way to find out where it turned."""
    assert "1 invented job" in sootline("--book", washer, "demo", "--fill", tmp_path / "good.db").stdout
    change(washer / "worked" / "first.yaml", "clear_intake: cured", "clear_intake: still")
    told = sootline("--book", washer, "demo", "--fill", tmp_path / "bad.db")
    assert told.returncode == 2
    assert "The worked job leaves_in_the_intake can't be played" in told.stderr
    assert "sootline replay" in told.stderr


def test_new_tree_and_check_name_their_schema(washer: Path) -> None:
    """An editor completes in the new files as in those of `new book`."""
    for kind, place in (("tree", "trees/leaks.yaml"), ("check", "checks/leaks.yaml")):
        assert sootline("new", kind, "leaks", "--in", washer).returncode == 0
        head = (washer / place).read_text("utf-8").partition("\n")[0]
        assert ((washer / place).parent / head.partition("$schema=")[2]).is_file()
    assert "No problems." in sootline("check", washer).stdout


def test_long_work_writes_no_bar_into_a_log(capsys: pytest.CaptureFixture[str]) -> None:
    """What is no terminal gets no progress bar, also when the work has taken a while."""
    bar = weigh._Bar()
    bar._began -= 60
    bar.show(0.5)
    bar.end()
    assert capsys.readouterr().err == ""
