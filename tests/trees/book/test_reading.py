"""What the records of a book hold once the tiny book is read, and how it is loaded from outside."""

from __future__ import annotations

import shutil
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

from trees import Book
from trees.book import check_book, load_book, shipped_book_path
from trees.book.model import Answer, ByVoltage, FamilyValue, ReadingField, Source
from trees.book.tree import Instead
from trees.errors import BookError


@pytest.fixture
def book(tiny: Any) -> Any:
    """Return the tiny book, read."""
    checked = tiny.check()
    assert checked.problems == ()
    return checked.book


def test_valid_book_has_no_problems_and_is_counted(tiny: Any) -> None:
    """Nothing is said of a sound book but how much there is of it."""
    checked = tiny.check()
    assert checked.problems == ()
    assert checked.counts == {
        "trees": 4, "steps": 14, "checks": 9, "causes": 3, "signs": 5, "families": 2, "worked": 0,
    }  # fmt: skip
    assert checked.trees == ("commissioning", "gas_before", "smoke_on_start", "supply_voltage")


def test_words_become_numbers_and_are_kept(book: Any) -> None:
    """A bare word means the most striking level; a number stands as written."""
    cause = book.causes["insert_coked"]
    assert cause.shows == {"smoke_stays": {"yes": 0.55}, "coke": {"light": 0.55, "hard": 0.25}}
    assert cause.words == {"smoke_stays": {"yes": "often"}, "coke": {"light": "often", "hard": "0.25"}}


def test_unprompted_chance_is_shared_by_the_levels_above_normal(tiny: Any) -> None:
    """A single number is shared evenly, also the default of book.yaml; a mapping is taken level by level."""
    tiny.change(
        "signs.yaml",
        "volts_low: {name: Too few volts}",
        "volts_low: {name: V, levels: [no, a, b], unprompted: 0.3, source: memory}",
    )
    tiny.change("causes.yaml", "shows: {volts_low: usually}", "shows: {dose_low: usually}")
    tiny.change("checks/supply.yaml", ", says: {volts_low: yes}", "").change(
        "checks/supply.yaml", "says: {volts_low: no}, ", ""
    )
    signs = tiny.change("book.yaml", "source: memory", "unprompted: 0.05\nsource: memory").check().book.signs
    assert signs["volts_low"].unprompted == (0.15, 0.15)
    assert signs["coke"].unprompted == (0.03, 0.01)
    assert signs["smoke_stays"].unprompted == (0.05,)


def test_source_is_inherited_from_band_check_file_and_book(tiny: Any) -> None:
    """The nearest that is named counts: band before check before file before book."""
    tiny.change("checks/supply.yaml", "upto: 0.7, id: normal,", "upto: 0.7, source: memory, id: normal,")
    tiny.change(
        "checks/supply.yaml",
        "  figure: low_fire_share",
        "  source: {published: A standard, clause: 4.2, seen: quoted}\n  figure: low_fire_share",
    )
    book = tiny.check().book
    share = book.checks["low_share"]
    assert share.source == Source("published", "A standard", "4.2", "quoted")
    assert [band.source for band in share.bands] == [Source("memory"), share.source]
    assert book.checks["loaded"].source == Source("practice")
    assert book.checks["loaded"].bands[0].source == Source("practice")
    assert book.checks["smoke"].source == Source("memory")


def test_edges_are_numbers_family_values_or_by_voltage(book: Any) -> None:
    """An edge keeps the form in which it was written."""
    assert [band.upto for band in book.checks["gap"].bands] == [0.2, FamilyValue("gap_max"), None]
    assert book.checks["loaded"].bands[1].above == ByVoltage({"12": 11.5, "24": 23.0})


def test_forms_of_checks(book: Any) -> None:
    """`else` becomes otherwise, `or` extra, `from` inputs; what a check can prove depends on its form."""
    checks = book.checks
    assert checks["habits"].items[0].otherwise == {"coke": "none"}
    assert [answer.id for answer in checks["dose"].routes()] == ["little", "enough", "scattered", "none"]
    assert checks["dose"].spread == Answer(
        id="scattered", means="Readings scatter", above=0.05, source=Source("practice")
    )
    assert checks["low_share"].inputs == {"low": "hours.low", "medium": "hours.low", "high": "hours.high"}
    assert checks["hours"].readings == (ReadingField("low", "h"), ReadingField("high", "h"))
    proofs = {name: checks[name].proof for name in ("last_filled", "smoke", "gap", "habits", "low_share")}
    assert proofs == {
        "last_filled": "words",
        "smoke": "look",
        "gap": "reading",
        "habits": "words",
        "low_share": "reading",
    }


def test_figure_lends_its_title_and_unit(tiny: Any) -> None:
    """A check that works a figure out is called as the figure, and is in its unit unless it says so."""
    share = tiny.change("checks/supply.yaml", '  unit: "1"\n', "").check().book.checks["low_share"]
    assert (share.wording, share.unit) == ("Share of the lowest step", "1")


def test_unit_in_another_spelling_is_the_same_unit(tiny: Any) -> None:
    """`MM` and `mm` are one unit."""
    assert tiny.change("checks/burner.yaml", "unit: mm", "unit: MM").check().problems == ()


def test_ways_out_are_read_in_both_forms(book: Any) -> None:
    """`go` is a mapping or a list; `instead` has ways of its own."""
    step = book.trees["smoke_on_start"].steps["fuel"]
    assert step.go == {"little": "share", "none": "share", "scattered": "share", "enough": "look_in"}
    assert step.instead == {
        "phone": Instead(check="last_filled", go={"fresh": "share", "old": "share"}, unknown="share")
    }
    assert (step.spot.file, step.spot.line, step.spot.column) == ("trees/smoke_on_start.yaml", 8, 3)


def test_limits_to_a_kind_of_unit(tiny: Any) -> None:
    """`any` is no limit; a voltage is text without needless zeros."""
    tiny.change("checks/burner.yaml", "  unit: mm\n", "  unit: mm\n  for: {medium: any, voltage: 12.0}\n")
    assert tiny.check().book.checks["gap"].applies == {"voltage": "12"}


def test_fingerprint_changes_with_any_byte_and_not_with_the_folder(tiny: Any, tmp_path: Path) -> None:
    """Twelve hexadecimal digits of names and bytes, the same wherever the book lies."""
    folder = tiny.save()
    first = check_book(folder).book
    shutil.copytree(folder, tmp_path / "elsewhere")
    again = check_book(tmp_path / "elsewhere").book
    (folder / "signs.yaml").write_bytes((folder / "signs.yaml").read_bytes() + b"\n")
    changed = check_book(folder).book
    assert first and again and changed
    assert first.fingerprint == again.fingerprint != changed.fingerprint
    assert len(first.fingerprint) == 12
    assert int(first.fingerprint, 16) >= 0


def test_book_is_loaded_from_a_script(tiny: Any) -> None:
    """`from trees import Book; Book.load(path)` is all that a script needs."""
    assert Book.load(tiny.save()) == load_book(str(tiny.folder))


def test_broken_book_can_not_be_loaded_but_warnings_do_not_matter(tiny: Any) -> None:
    """The error is one sentence with the first place, and carries all problems."""
    tiny.change("causes.yaml", "name: Supply cable too thin", "name: Supply pin #3")
    assert load_book(tiny.save()).causes["cable_thin"].name == "Supply pin"
    tiny.change("causes.yaml", "share: 6\n", "share: six\n").change("causes.yaml", "share: 5\n", "share: five\n")
    with pytest.raises(BookError, match=r"causes\.yaml:12:10: `six` stands here and 1 more") as caught:
        load_book(tiny.save())
    assert [problem.code for problem in caught.value.problems] == ["text-cut-by-hash", "wrong-type", "wrong-type"]


@pytest.mark.parametrize(
    ("path", "says"), [("nowhere", "does not exist"), ("book/book.yaml", "is a file"), ("a\0b", "does not exist")]
)
def test_no_folder_is_one_clear_sentence(tiny: Any, path: str, says: str) -> None:
    """Where there is no book to check, that is an error of its own and no problem of a book."""
    tiny.save()
    with pytest.raises(BookError, match=says):
        check_book(tiny.folder.parent / path)


def test_files_that_are_missing_misnamed_or_unreadable(tiny: Any) -> None:
    """A needed file that is missing is an error, a file that is not read a warning with the nearest name."""
    del tiny.files["gate.yaml"]
    tiny.write("sings.yaml", "a: {}\n").write("worked/one.yml", "a: b\n").write("checks/deep/er.yaml", "a: b\n")
    (tiny.save() / "fixes.yaml").unlink()
    (tiny.folder / "fixes.yaml").mkdir()
    (tiny.folder / ".hidden.yaml").write_text(":", "utf-8")
    del tiny.files["fixes.yaml"]
    problems = {p.spot.file: (p.code, p.severity) for p in tiny.check().problems}
    helps = {p.spot.file: p.help for p in tiny.check().problems}
    assert problems == {
        "gate.yaml": ("missing-file", "error"),
        "fixes.yaml": ("unreadable-file", "error"),
        "sings.yaml": ("unknown-file", "warning"),
        "worked/one.yml": ("unknown-file", "warning"),
        "checks/deep/er.yaml": ("unknown-file", "warning"),
    }
    assert helps["sings.yaml"] == "did you mean signs.yaml?"
    assert helps["worked/one.yml"] == "name it worked/one.yaml"


def test_shipped_book_has_no_errors() -> None:
    """The book that ships can be walked."""
    errors = [p for p in check_book(shipped_book_path()).problems if p.severity == "error"]
    assert errors == []


def test_core_is_imported_without_yaml_and_graphs() -> None:
    """A program that only imports the core pays for neither; a book loads graphs only if it goes round in circles."""
    code = (
        "import sys, trees, trees.book\n"
        "heavy = ('yaml', 'networkx')\n"
        "print(*[m for m in heavy if m in sys.modules])\n"
        "trees.Book.load(trees.book.shipped_book_path())\n"
        "print(*[m for m in heavy if m in sys.modules])\n"
    )
    run = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert run.stdout == "\nyaml\n"


def test_least_standing_of_a_worked_job_is_read_and_its_names_looked_up(tiny: Any) -> None:
    """`least` holds a probability from 0 to 1 and a rank from 1 for causes of this book."""
    job = "j:\n  title: T\n  words: W\n  expect: {least: {cable_thin: {probability: 0.8, rank: 1}}}\n"
    book = tiny.write("worked/a.yaml", job).check().book
    assert book is not None
    assert (
        book.worked["j"].expect.least["cable_thin"].probability,
        book.worked["j"].expect.least["cable_thin"].rank,
    ) == (
        0.8,
        1,
    )
    tiny.write("worked/a.yaml", job.replace("cable_thin", "‹cabel_thin›"))
    assert tiny.only_problem("worked/a.yaml").code == "unknown-name"
    tiny.write("worked/a.yaml", job.replace("0.8", "‹80›"))
    assert tiny.only_problem("worked/a.yaml").code == "number-out-of-range"


@pytest.mark.parametrize("main", ["cable_thin", "[cable_thin, dosing_wrong]"])
def test_expected_causes_and_kind_are_read_and_looked_up(tiny: Any, main: str) -> None:
    """`main` is one cause or those that are accepted; what contributes is a list; the kind is of four words."""
    job = (
        "j:\n  title: T\n  words: W\n"
        f"  expect: {{main: {main}, contributing: [insert_coked], kind: [multi, misleading]}}\n"
    )
    expect = tiny.write("worked/a.yaml", job).check().book.worked["j"].expect
    assert expect.main == tuple(main.strip("[]").split(", "))
    assert (expect.contributing, expect.kind) == (("insert_coked",), ("multi", "misleading"))
    for wrong, code in (("cable_thin", "unknown-name"), ("insert_coked", "unknown-name"), ("multi", "not-a-choice")):
        tiny.write("worked/a.yaml", job.replace(wrong, f"‹{wrong[::-1]}›"))
        assert tiny.only_problem("worked/a.yaml").code == code
    tiny.write("worked/a.yaml", job.replace(f"main: {main}", "main: ‹[]›"))
    assert tiny.only_problem("worked/a.yaml").code == "list-length"


def test_expectation_says_nothing_of_what_it_leaves_out(tiny: Any) -> None:
    """A worked job without `main`, `contributing` and `kind` has none of them."""
    expect = tiny.write("worked/a.yaml", "j: {title: T, words: W}\n").check().book.worked["j"].expect
    assert (expect.main, expect.contributing, expect.kind) == ((), (), ())
