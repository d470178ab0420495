"""However a book is damaged, no traceback: either it still reads, or there are problems with a place inside it."""

from __future__ import annotations

import json
import os
import resource
import shutil
import subprocess
import sys
import tempfile
import time
import unicodedata
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from trees.book import Checked, as_json, check_book, render_text
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


def lines_of(folder: Path, name: str) -> list[str]:
    """Return the lines of a file of the book; one empty line for a file that is not there."""
    path = folder / name
    text = path.read_bytes().decode("utf-8", "replace").removeprefix("\ufeff") if path.is_file() else ""
    return LINE_BREAK.split(text)


def assert_inside(lines: list[str], spot: Any) -> None:
    """Assert that a place lies in a file, at a line it has, at most one past the end of the line."""
    assert 1 <= spot.line <= len(lines), spot
    assert 1 <= spot.column <= max(len(lines[spot.line - 1]), 1) + 1, (spot, lines[spot.line - 1])
    assert spot.column < spot.end_column <= max(len(lines[spot.line - 1]), 1) + 2, (spot, lines[spot.line - 1])


EXAMPLES = int(os.environ.get("SOOTLINE_DAMAGE_EXAMPLES", "1000"))
"""The nightly run of CI takes 20,000."""
MOST_TIMES = 20
MOST_MEMORY_KB = 300 * 1024


def seconds(folder: Path, figures: Any, *, tries: int) -> tuple[float, Checked]:
    """Check a book; return the least processor seconds of some tries, and what was found."""
    least = float("inf")
    for _ in range(tries):
        begun = time.process_time()
        checked = check_book(folder, figures)
        least = min(least, time.process_time() - begun)
    return least, checked


def peak_kb() -> int:
    """Return the highest memory that this process ever had."""
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss


@dataclass(slots=True)
class Patient:
    """A sound book on disk, of which one file at a time is damaged and healed again."""

    folder: Path
    figures: Any
    files: dict[str, str]
    whole_s: float
    peak_kb: int


@pytest.fixture(scope="module")
def patients(folder: Path) -> dict[str, Patient]:
    """Return nothing yet: the first example writes the book, all others use it."""
    return {}


def patient_of(patients: dict[str, Patient], tiny: Any, folder: Path) -> Patient:
    """Return the book of all examples."""
    if not patients:
        shutil.copytree(tiny.save(), folder, dirs_exist_ok=True)
        whole_s, checked = seconds(folder, tiny.figures, tries=5)
        assert checked.problems == ()
        patients["one"] = Patient(folder, tiny.figures, dict(tiny.files), whole_s, peak_kb())
    return patients["one"]


def assert_sound_report(folder: Path, checked: Checked) -> None:
    """Assert that every problem lies inside its file, that only sound books are given out, that nothing can steer."""
    lines: dict[str, list[str]] = {}
    for problem in checked.problems:
        for spot in (problem.spot, *(note[0] for note in problem.notes)):
            if spot.file not in lines:
                lines[spot.file] = lines_of(folder, spot.file)
            assert_inside(lines[spot.file], spot)
        assert "\n" not in problem.message
    assert (checked.book is None) == any(p.severity == "error" for p in checked.problems)
    shown = render_text(checked.problems, checked.sources)
    steering = {char for char in set(shown) if unicodedata.category(char)[0] == "C" or char in "\u2028\u2029"}
    assert steering <= {"\n"}
    json.dumps(as_json(checked.problems, checked.counts, checked.trees))


@settings(max_examples=EXAMPLES, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(data=st.data())
def test_damaged_book_gives_problems_and_never_a_traceback(
    tiny: Any, folder: Path, patients: dict[str, Patient], data: st.DataObject
) -> None:
    """Cut, swapped, repeated, retyped or re-encoded: problems with places inside, in little time and memory."""
    patient = patient_of(patients, tiny, folder)
    name = data.draw(st.sampled_from(sorted(patient.files)))
    text = patient.files[name]
    for spoil in data.draw(st.lists(damage(), min_size=1, max_size=4)):
        text = spoil(text)
    encoding = data.draw(st.sampled_from(ENCODINGS) if data.draw(st.integers(0, 4)) == 0 else st.just("utf-8"))
    (folder / name).write_bytes(text.encode(encoding, "replace"))
    try:
        spent, checked = seconds(folder, patient.figures, tries=1)
        if spent > MOST_TIMES * patient.whole_s:  # another program may have had the processor's caches
            spent, checked = seconds(folder, patient.figures, tries=3)
        assert spent <= MOST_TIMES * patient.whole_s
        assert peak_kb() - patient.peak_kb < MOST_MEMORY_KB
        assert_sound_report(folder, checked)
    finally:
        (folder / name).write_bytes(patient.files[name].encode())


def _deep(size: int) -> str:
    return "a: " + "[" * size + "]" * size


NEAR_ONE_MB = 1_000_000
LARGE = {
    "one long line": "title: " + "x " * (NEAR_ONE_MB // 2 - 10),
    "many unknown keys": "".join(f"key_{n}: {{nmae: x}}\n" for n in range(NEAR_ONE_MB // 24)),
    "many duplicates": "a: 1\n" * (NEAR_ONE_MB // 5),
    "deep brackets": _deep(NEAR_ONE_MB // 2 - 10),
    "deep blocks": "".join(f"{' ' * n}a:\n" for n in range(1_390)),
    "many anchors": "a: [" + "&x 1, " * (NEAR_ONE_MB // 8) + "]",
    "aliases of aliases": "a: &a [1]\n" + "".join(f"b{n}: &b{n} [*a, *a, *a]\n" for n in range(NEAR_ONE_MB // 30)),
    "open quote": 'a: "' + "x\n" * (NEAR_ONE_MB // 2 - 10),
    "hashes": "a: b #c\n" * (NEAR_ONE_MB // 9),
    "controls": "a: \x00\n" * (NEAR_ONE_MB // 6),
    "wide": "ä漏🔥: 漏\n" * (NEAR_ONE_MB // 16),
    "steps": "title: T\nbegin: s\nsteps:\n" + "  s: {no: 1, check: c, go: {a: b}}\n" * (NEAR_ONE_MB // 36),
    "circle": "title: T\nbegin: s0\nsteps:\n"
    + "".join(f"  s{n}: {{no: {n + 1000}, check: insert, then: s{(n + 1) % 15000}}}\n" for n in range(15_000)),
}


IN_CHILD = """
import json, sys, time
sys.path.insert(0, {root!r})
from trees.book import check_book
def spent(folder):
    begun = time.process_time()
    checked = check_book(folder)
    peak = next(int(row.split()[1]) for row in open("/proc/self/status") if row.startswith("VmHWM"))
    return time.process_time() - begun, peak, checked.errors
print(json.dumps([spent(folder) for folder in {folders!r}]))
"""


@pytest.mark.parametrize("kind", LARGE)
def test_hostile_file_of_almost_a_megabyte(tiny: Any, tmp_path: Path, kind: str) -> None:
    """Problems inside the file, less than 300 MB, and at most 20 times the time of a sound file of that size."""
    name = "trees/gas_before.yaml" if kind in {"steps", "circle"} else "signs.yaml"
    assert NEAR_ONE_MB * 0.5 < len(LARGE[kind].encode()) <= NEAR_ONE_MB * 1.1
    sound = "".join(f"sign_{n:05}: {{name: Sign of number {n}, excludes: []}}\n" for n in range(NEAR_ONE_MB // 56))
    whole = shutil.copytree(tiny.save(), tmp_path / "whole")
    (whole / "signs.yaml").write_text(tiny.files["signs.yaml"] + sound)
    hurt = tiny.write(name, LARGE[kind]).save()
    # A process of its own, since this one may have had more; ru_maxrss would be inherited from it.
    code = IN_CHILD.format(root=str(Path(__file__).parents[3]), folders=[str(whole), str(hurt)])
    run = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    (whole_s, _, _), (hurt_s, peak, errors) = json.loads(run.stdout)
    assert errors
    assert hurt_s <= MOST_TIMES * whole_s
    assert peak < MOST_MEMORY_KB
    assert_sound_report(hurt, check_book(hurt, tiny.figures))
