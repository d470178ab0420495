"""A book from elsewhere can't bring the program down: bombs of YAML cost what their bytes cost, and no more."""

from __future__ import annotations

import gc
import time
import tracemalloc
from collections.abc import Callable
from pathlib import Path

import pytest

from trees.book import check_book
from trees.book import reader as book_reader
from trees.book.problems import Findings
from trees.book.source import read_source
from tui.settings import settings_of

SIZE = 40_000


def doubled(no: int) -> bytes:
    """Return a line that holds twice what the line before it holds."""
    return b"a%d: &a%d [*a%d, *a%d]\n" % (no, no, no - 1, no - 1)


BOMBS: dict[str, Callable[[int], bytes]] = {
    "aliases in aliases": lambda n: b"a0: &a0 [x]\n" + b"".join(map(doubled, range(1, n // 24))),
    "many anchors": lambda n: b"".join(b"k%d: &a%d v\n" % (i, i) for i in range(n // 14)),
    "merge keys": lambda n: b"a: &a {b: c}\n" + b"".join(b"k%d: {<<: *a}\n" % i for i in range(n // 16)),
    "many keys": lambda n: b"".join(b"k%d: v\n" % i for i in range(n // 10)),
    "one key many times": lambda n: b"a: b\n" * (n // 5),
    "deep brackets": lambda n: b"a: " + b"[" * n,
    "deep braces": lambda n: b"{a: " * (n // 4),
    "deep dashes": lambda n: b"- " * (n // 2),
    "deep questions": lambda n: b"? " * (n // 2),
    "deep indentation": lambda n: b"".join(b" " * i + b"a:\n" for i in range(min(n // 100, 900))),
    "dashes and a key": lambda n: b"- " * (n // 2) + b"a: b",
    "many colons": lambda n: b"a: " * (n // 3),
    "many blanks before a colon": lambda n: b"a " * (n // 2) + b":",
    "quotes": lambda n: b"'" * n,
    "open quotes": lambda n: b"a: 'x\n" * (n // 6),
    "backslashes": lambda n: b'a: "' + b"\\" * n,
    "stars": lambda n: b"*" * n,
    "tags": lambda n: b"a: " + b"!x " * (n // 3),
    "comments": lambda n: b"a: b" + b" #" * (n // 2),
    "one long line": lambda n: b"a: " + b"x" * n,
    "text over many lines": lambda n: b"a: x\n" + b"  y\n" * (n // 4),
    "many documents": lambda n: b"---\na: b\n" * (n // 9),
    "zero bytes": lambda n: b"\0" * n,
    "signs that turn text": lambda n: "\u202e".encode() * (n // 3),
    "no UTF-8": lambda n: b"\xff" * n,
    "an error behind everything": lambda n: b"a: [b]\n" * (n // 7) + b"@",
}


def cost_s(data: bytes) -> float:
    """Return the seconds of the processor that reading takes, the best of three, without collecting others' garbage."""
    best = float("inf")
    for _ in range(3):
        gc.collect()
        gc.disable()
        try:
            began = time.process_time()
            read_source("causes.yaml", data, Findings())
            best = min(best, time.process_time() - began)
        finally:
            gc.enable()
    return best


@pytest.mark.parametrize("bomb", BOMBS)
def test_bomb_is_read_or_refused(bomb: str) -> None:
    """Each bomb is read as what it is or refused with its place; nothing is raised, nothing is multiplied."""
    findings = Findings()
    data = BOMBS[bomb](SIZE)
    tracemalloc.start()
    try:
        source = read_source("causes.yaml", data, findings)
        _, most = tracemalloc.get_traced_memory()
    finally:
        tracemalloc.stop()
    assert source.root is not None or findings.errors
    assert most < 500 * len(data) + 2_000_000
    assert len(findings.told()) <= 1_100


@pytest.mark.parametrize("bomb", BOMBS)
def test_bomb_of_four_times_the_size_costs_no_square(bomb: str) -> None:
    """Four times the bytes take about four times as long, and never sixteen times: no rule of ours looks back."""
    small, large = cost_s(BOMBS[bomb](SIZE)), cost_s(BOMBS[bomb](4 * SIZE))
    assert large < 11 * small + 0.02


def test_file_and_book_have_a_largest_size(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A file, and a book of many files, beyond all that people write is told and not read; here with low limits."""
    for name in ("book.yaml", "gate.yaml", "causes.yaml", "signs.yaml"):
        (tmp_path / name).write_text(f"# {'x' * 700}\n")
    monkeypatch.setattr(book_reader, "_LARGEST", 500)
    assert [p.spot.file for p in check_book(tmp_path).problems if p.code == "unreadable-file"] == [
        "book.yaml", "causes.yaml", "gate.yaml", "signs.yaml"
    ]  # fmt: skip
    monkeypatch.setattr(book_reader, "_LARGEST", 1_000)
    monkeypatch.setattr(book_reader, "_LARGEST_BOOK", 1_500)
    told = [p.message for p in check_book(tmp_path).problems if p.code == "unreadable-file"]
    assert len(told) == 2
    assert all("the book is larger than" in message for message in told)


LINES = ["a" * 5000, "a." * 2500, "a . " * 1200, "'" * 5000, '"a"' * 1500, "[" * 5000, "a-" * 2500 + "!", "a b" * 1500]


@pytest.mark.parametrize("line", LINES, ids=range(len(LINES)))
def test_settings_with_any_line_are_read(line: str) -> None:
    """A mistake in the settings is told whatever lines stand around it; with 30 letters in one, years went by once."""
    inside = line.replace("'''", "")
    settings, troubles = settings_of(f"strange = 1\nseat = '''\n{inside}\n'''\nodd = 2\n")
    assert [each.line for each in troubles][:1] == [1]
    assert settings.theme == "dark"


def test_settings_that_say_where_they_are_wrong() -> None:
    """Keys in each form that TOML knows are found at their line."""
    text = "a = 1\n\"b\" = 2\n'c' = 3\n[workshop]\nnane = 'x'\n\n[today]\n dates = 1\n"
    assert [each.line for each in settings_of(text)[1]] == [1, 2, 3, 5, 8]
