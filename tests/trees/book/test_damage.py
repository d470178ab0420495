"""However a book is damaged, no traceback: either it still reads, or there are problems with a place inside it."""

from __future__ import annotations

import json
import shutil
import tempfile
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from trees.book import as_json, check_book, render_text
from trees.book.problems import LINE_BREAK

NASTY = [
    "",
    " ",
    "\n",
    "\t",
    ":",
    ": ",
    "- ",
    "[",
    "]",
    "{",
    "}",
    ",",
    "#",
    " #",
    '"',
    "'",
    "&a ",
    "*a",
    "!!x ",
    "<<: ",
    "|",
    ">",
]
NASTY += [
    "%",
    "@",
    "`",
    "?",
    "---\n",
    "...\n",
    "\x00",
    "\x1b",
    "\ufeff",
    "\u2028",
    "\xa0",
    "\u202e",
    "漏",
    "🔥",
    "\r",
    "\\",
    "~",
]
NASTY += [
    "010",
    "1e999",
    ".nan",
    "-1",
    "12:30",
    "yes",
    "null",
    "unknown",
    "family.",
    "figure.x",
    "source: ",
    "[[[[",
    "}}}}",
    "then: ",
]
ENCODINGS = ["utf-8", "utf-8-sig", "utf-16", "utf-16-le", "utf-32", "latin-1", "cp1252"]


@st.composite
def damage(draw: st.DrawFn) -> Callable[[str], str]:
    """Return one way to spoil a text."""
    kind = draw(
        st.sampled_from(["cut", "swap", "repeat", "retype", "line out", "line twice", "shift line", "truncate"])
    )
    places = sorted(draw(st.lists(st.floats(0, 1), min_size=4, max_size=4)))
    length = draw(st.integers(1, 40))
    nasty = draw(st.sampled_from(NASTY))
    by = draw(st.integers(-4, 6))

    def spoil(text: str) -> str:
        a, b = (int(place * len(text)) for place in (places[0], places[2]))
        lines = text.split("\n")
        row = int(places[1] * (len(lines) - 1))
        if kind == "cut":
            return text[:a] + text[a + length :]
        if kind == "swap":
            c, d = min(a + length, b), b + length
            return text[:a] + text[b:d] + text[c:b] + text[a:c] + text[d:]
        if kind == "repeat":
            return text[: a + length] + text[a:]
        if kind == "retype":
            return text[:a] + nasty + text[a + draw_less(length) :]
        if kind == "truncate":
            return text[:a]
        if kind == "shift line":
            lines[row] = " " * by + lines[row] if by > 0 else lines[row][-by:]
        else:
            lines[row : row + 1] = [] if kind == "line out" else [lines[row]] * 2
        return "\n".join(lines)

    return spoil


def draw_less(length: int) -> int:
    """Half of the retyped signs replace nothing: they are put in between."""
    return length // 2 if length % 2 else 0


@pytest.fixture(scope="module")
def folder() -> Any:
    """Return one folder for all examples; what was damaged is put back before the next."""
    with tempfile.TemporaryDirectory() as name:
        yield Path(name) / "book"


def assert_inside(folder: Path, spot: Any) -> None:
    """Assert that a place lies in a file of the book, at a line it has, at most one past the end of the line."""
    path = folder / spot.file
    text = path.read_bytes().decode("utf-8", "replace").removeprefix("\ufeff") if path.is_file() else ""
    lines = LINE_BREAK.split(text)
    assert 1 <= spot.line <= len(lines), spot
    assert 1 <= spot.column <= max(len(lines[spot.line - 1]), 1) + 1, (spot, lines[spot.line - 1])
    assert spot.column < spot.end_column <= max(len(lines[spot.line - 1]), 1) + 2, (spot, lines[spot.line - 1])


@settings(max_examples=200, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(data=st.data())
def test_damaged_book_gives_problems_and_never_a_traceback(tiny: Any, folder: Path, data: st.DataObject) -> None:
    """Cut, swapped, repeated, retyped or re-encoded: every problem has a place inside the file it is told of."""
    shutil.copytree(tiny.save(), folder, dirs_exist_ok=True)
    name = data.draw(st.sampled_from(sorted(tiny.files)))
    text = tiny.files[name]
    for spoil in data.draw(st.lists(damage(), min_size=1, max_size=4)):
        text = spoil(text)
    encoding = data.draw(st.sampled_from(ENCODINGS) if data.draw(st.integers(0, 4)) == 0 else st.just("utf-8"))
    (folder / name).write_bytes(text.encode(encoding, "replace"))
    checked = check_book(folder, tiny.figures)
    for problem in checked.problems:
        for spot in (problem.spot, *(note[0] for note in problem.notes)):
            assert_inside(folder, spot)
        assert "\n" not in problem.message
    assert (checked.book is None) == any(p.severity == "error" for p in checked.problems)
    shown = render_text(checked.problems, checked.sources)
    assert all(char.isprintable() or char == "\n" for char in shown)
    json.dumps(as_json(checked.problems, checked.counts, checked.trees))
