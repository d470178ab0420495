"""How problems are shown, for people with line and caret, for programs as plain data; every code is explained."""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import Any

import pytest

from trees.book import Problem, Spot, as_json, check_book, render_text, summary
from trees.book.codes import CODES

README = Path(__file__).parents[3] / "trees" / "book" / "README.md"


def test_text_shows_place_line_caret_help_and_notes(tiny: Any) -> None:
    """One block for each problem and a count at the end."""
    tiny.change("causes.yaml", "  share: 6\n", "  share: 6\n  share: 7\n")
    checked = tiny.check()
    assert render_text(checked.problems, checked.sources, "my/book") == (
        "my/book/causes.yaml:13:3: error: `share` is given twice in the same place [duplicate-key]\n"
        "   13 |   share: 7\n"
        "      |   ^^^^^\n"
        "  help: keep one of the two; the other is in line 12\n"
        "  my/book/causes.yaml:12:3: first given here\n"
        "\n"
        "1 error\n"
    )


def test_caret_stands_under_the_text_in_terminal_cells() -> None:
    """Wide characters take two cells, combining ones none, and a tab one."""
    line = "a:\t漏れe\u0301🔥 bad"
    column = line.index("bad") + 1
    problem = Problem("tab", "error", "m", Spot("f.yaml", 1, column, column + 3))
    shown = render_text([problem], {"f.yaml": line}).splitlines()
    assert shown[1] == "    1 | a: 漏れe\u0301🔥 bad"
    assert shown[2] == "      | " + " " * 11 + "^^^"


def test_wide_offending_text_has_carets_for_every_cell() -> None:
    """Two carets under each wide character."""
    shown = render_text([Problem("tab", "error", "m", Spot("f", 1, 4, 6))], {"f": "a: 漏れ"})
    assert shown.splitlines()[2] == "      |    ^^^^"


def test_long_line_is_shown_around_the_place() -> None:
    """Of a line of a thousand characters a window is shown; the caret stays under its text."""
    line = "a: [" + "x, " * 300 + "here, " + "y, " * 300 + "]"
    column = line.index("here") + 1
    shown = render_text([Problem("tab", "error", "m", Spot("f", 1, column, column + 4))], {"f": line}).splitlines()
    assert len(shown[1]) < 110
    at = shown[2].index("^")
    assert shown[1][at : at + 4] == "here"


@pytest.mark.parametrize("evil", ["\x1b[31m", "\x9b31m", "\u202e", "\x07", "\r", "\u2028"])
def test_nothing_from_a_book_moves_the_cursor(tiny: Any, evil: str) -> None:
    """Control and direction characters are shown as a replacement, in messages, lines and file names."""
    checked = tiny.check_with("signs.yaml", f"a: {{name: b, {evil}nmae: c, k: {evil}}}\n".encode())
    shown = render_text(checked.problems, checked.sources) + json.dumps(as_json(checked.problems, {}, []))
    assert checked.problems
    assert all(char.isprintable() or char == "\n" for char in shown)


def test_json_has_stable_keys_and_counts_from_one(tiny: Any) -> None:
    """Lines and columns count from 1, the end is exclusive, and the whole is plain data."""
    checked = tiny.change("causes.yaml", "share: 6\n", "share: six\n").check()
    data = json.loads(json.dumps(as_json(checked.problems, checked.counts, checked.trees)))
    assert list(data) == ["problems", "counts", "trees"]
    assert data["problems"] == [
        {
            "code": "wrong-type",
            "severity": "error",
            "message": "`six` stands here",
            "file": "causes.yaml",
            "start": {"line": 12, "column": 10},
            "end": {"line": 12, "column": 13},
            "help": "write a number from 0 to 100",
        }
    ]


def test_summary_counts_in_words() -> None:
    """No problems, one error, several warnings."""
    error = Problem("tab", "error", "m", Spot("f", 1, 1, 2))
    warning = Problem("unused-then", "warning", "m", Spot("f", 1, 1, 2))
    assert summary([]) == "No problems."
    assert summary([error, warning, warning]) == "1 error, 2 warnings"


def test_every_code_is_explained_with_a_wrong_and_a_right_example() -> None:
    """README.md has one row for each code, grave as the code is, and none for codes that are not there."""
    rows = re.findall(
        r"^\| `([a-z0-9-]+)` \| (error|warning) \| (.+?) \| (.+?) \| (.+?) \|$", README.read_text("utf-8"), re.M
    )
    assert {row[0]: row[1] for row in rows} == {code: entry.severity for code, entry in CODES.items()}
    assert [row[0] for row in rows] == list(CODES)
    assert {row[0]: row[2] for row in rows} == {code: entry.means for code, entry in CODES.items()}


def test_every_code_is_provoked_by_some_test() -> None:
    """A code that no test provokes would be a promise nobody has seen kept."""
    tests = "".join(path.read_text("utf-8") for path in Path(__file__).parent.glob("test_*.py"))
    assert {code for code in CODES if f'"{code}"' not in tests} <= {"yaml-syntax"}


def test_check_says_the_same_twice(tiny: Any) -> None:
    """The order of problems does not depend on chance."""
    tiny.change("signs.yaml", "volts_low:", "volts:").change("causes.yaml", "share: 5\n", "share: x\n")
    folder = tiny.save()
    assert check_book(folder).problems == check_book(folder).problems


def test_flood_of_one_kind_is_cut_short_and_says_so(tiny: Any) -> None:
    """Of hundreds of thousands of the same problem a thousand are kept; the last says how many more there were."""
    checked = tiny.write("signs.yaml", tiny.files["signs.yaml"] + "a: {name: A}\n" * 1_500).check()
    kept = [problem for problem in checked.problems if problem.code == "duplicate-key"]
    assert len(kept) == 1_000
    assert kept[-1].message.endswith("; and 499 more of this kind in this file")
    assert "more of this kind" not in kept[-2].message
    assert {problem.code for problem in checked.problems} == {"duplicate-key"}
