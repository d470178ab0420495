"""What is wrong with a book and where: one record, shown as text for people or as plain data for programs."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any, Literal

from trees.book.codes import CODES
from trees.book.model import Spot
from trees.text import printable

Severity = Literal["error", "warning"]
Note = tuple[Spot, str]

LINE_BREAK = re.compile("\r\n|[\n\r\x85\u2028\u2029]")
"""What libyaml counts as the end of a line."""

_SHOWN_CELLS = 96
_SHOWN_TEXT = 48
_LONGEST_NAME = 100
_MOST_ALIKE = 1_000
_MOST_OF_A_KIND = 1_000
"""Problems of one kind kept of one file: a spoilt file of a megabyte has hundreds of thousands."""


@dataclass(frozen=True, slots=True)
class Problem:
    """One thing wrong with a book. `code` is stable and explained in README.md."""

    code: str
    severity: Severity
    message: str
    """One line: the fact, in the author's words."""
    spot: Spot
    help: str = ""
    """What to write instead."""
    notes: tuple[Note, ...] = ()
    """Other places that belong to it."""


@dataclass(slots=True)
class Findings:
    """Collects problems while a book is read and proved."""

    problems: list[Problem] = field(default_factory=list)
    errors: int = 0
    of_a_kind: dict[tuple[str, str], int] = field(default_factory=dict)
    """Code and file → how many there were."""
    effort_left: int = 20_000
    """Names that `nearest` may still compare; a spoilt book of many thousand names must not take minutes."""

    def add(self, code: str, message: str, spot: Spot, help: str = "", notes: Iterable[Note] = ()) -> None:  # noqa: A002
        """Add a problem; its severity stands in the list of codes."""
        severity = CODES[code].severity
        if severity == "error":
            self.errors += 1
        seen = self.of_a_kind.get((code, spot.file), 0)
        self.of_a_kind[code, spot.file] = seen + 1
        if seen < _MOST_OF_A_KIND:
            self.problems.append(Problem(code, severity, message, spot, help, tuple(notes)))

    def told(self) -> tuple[Problem, ...]:
        """Return the problems in order; the last of a kind that was cut short says how many more there are."""
        problems = list(in_order(self.problems))
        for (code, file), number in self.of_a_kind.items():
            if number > _MOST_OF_A_KIND:
                at = max(n for n, p in enumerate(problems) if (p.code, p.spot.file) == (code, file))
                more = f"{problems[at].message}; and {number - _MOST_OF_A_KIND} more of this kind in this file"
                problems[at] = replace(problems[at], message=more)
        return tuple(problems)

    def nearest(self, name: str, among: Collection[str]) -> str:
        """Return the known name most like this one, or an empty text."""
        from difflib import get_close_matches

        self.effort_left -= len(among) // 20
        if self.effort_left <= 0 or len(name) > _LONGEST_NAME:
            return ""
        alike = [known for known in among if abs(len(known) - len(name)) <= max(3, len(name) // 3)]
        if len(alike) > _MOST_ALIKE:  # in a very large book only a slip behind the second letter is found
            alike = [known for known in alike if known[:2] == name[:2]][:_MOST_ALIKE]
        self.effort_left -= len(alike)
        # A case slip is the commonest typing error and counts for nothing.
        by_lower = {known.lower(): known for known in reversed(alike)}
        found = get_close_matches(name.lower(), by_lower, n=1, cutoff=0.6)
        return by_lower[found[0]] if found else ""


def in_order(problems: Iterable[Problem]) -> tuple[Problem, ...]:
    """Sort by file, line and column; say the same thing once."""
    unique = dict.fromkeys(problems)
    return tuple(sorted(unique, key=lambda p: (p.spot.file, p.spot.line, p.spot.column, p.severity, p.code)))


def count(problems: Iterable[Problem]) -> dict[str, int]:
    """Count errors and warnings."""
    tally = {"error": 0, "warning": 0}
    for problem in problems:
        tally[problem.severity] += 1
    return tally


def summary(problems: Sequence[Problem]) -> str:
    """Say how many there are, in one line."""
    tally = count(problems)
    if not problems:
        return "No problems."
    return ", ".join(f"{n} {name}{'' if n == 1 else 's'}" for name, n in tally.items() if n)


def a(what: str) -> str:
    """Return a noun with its article: `a band`, `an item`."""
    return f"{'an' if what[:1] in 'aeiou' else 'a'} {what}"


def quoted(text: str) -> str:
    """Return a piece of the author's text, shortened and safe to print, between backquotes."""
    safe = printable(" ".join(text.split()))
    if len(safe) > _SHOWN_TEXT:
        safe = safe[: _SHOWN_TEXT - 1] + "…"
    return f"`{safe}`"


def cells(text: str) -> int:
    """Count the terminal cells of a printable text: wide characters take two, combining ones none."""
    if text.isascii():
        return len(text)
    return sum(
        0 if unicodedata.category(char) in {"Mn", "Me"} else 2 if unicodedata.east_asian_width(char) in "WF" else 1
        for char in text
    )


def render_text(problems: Sequence[Problem], sources: Mapping[str, str], folder: str = "") -> str:
    """Show problems for people: place, message, the line with a caret, what to do, and a count at the end.

    `sources` maps file to its text; `folder` is put before each file so that the place can be opened from a terminal.
    """
    prefix = f"{printable(folder.rstrip('/'))}/" if folder else ""
    lines = {
        name: LINE_BREAK.split(sources[name])
        for name in {spot.file for p in problems for spot in (p.spot, *(s for s, _ in p.notes))}
        if name in sources
    }
    blocks = [_block(problem, lines, prefix) for problem in problems]
    return "\n".join([*blocks, summary(problems), ""])


def _block(problem: Problem, lines: Mapping[str, Sequence[str]], prefix: str) -> str:
    rows = [f"{_place(problem.spot, prefix)}: {problem.severity}: {problem.message} [{problem.code}]"]
    rows += _excerpt(problem.spot, lines)
    if problem.help:
        rows.append(f"  help: {problem.help}")
    rows += [f"  {_place(spot, prefix)}: {text}" for spot, text in problem.notes]
    return "\n".join([*rows, ""])


def _place(spot: Spot, prefix: str) -> str:
    return f"{prefix}{printable(spot.file)}:{spot.line}:{spot.column}"


def _excerpt(spot: Spot, lines: Mapping[str, Sequence[str]]) -> list[str]:
    """Return the source line and the caret line under it; nothing for a file without text."""
    text_lines = lines.get(spot.file, ())
    if not 1 <= spot.line <= len(text_lines) or not (line := text_lines[spot.line - 1]).strip():
        return []
    start, end = spot.column - 1, max(spot.end_column - 1, spot.column)
    first, last = 0, len(line)
    if cells(printable(line)) > _SHOWN_CELLS:  # a window of the line, the offending text in it
        first = max(0, min(start - _SHOWN_CELLS // 4, last - _SHOWN_CELLS))
        last = min(last, first + _SHOWN_CELLS)
        end = min(end, last)
    before, under, after = (printable(part) for part in (line[first:start], line[start:end], line[end:last]))
    left, right = "…" if first else "", "…" if last < len(line) else ""
    number = f"{spot.line:5}"
    carets = "^" * max(1, cells(under))
    return [
        f"{number} | {left}{before}{under}{after}{right}".rstrip(),
        f"{' ' * len(number)} | {' ' * (cells(left) + cells(before))}{carets}",
    ]


def as_json(problems: Sequence[Problem], counts: Mapping[str, int], trees: Sequence[str]) -> dict[str, Any]:
    """Return what `check --format json` prints: problems, counts and the ids of the trees."""
    return {"problems": [problem_json(p) for p in problems], "counts": dict(counts), "trees": list(trees)}


def problem_json(problem: Problem) -> dict[str, Any]:
    """Return one problem as plain data; lines and columns count from 1, `end` is exclusive."""
    shown: dict[str, Any] = {
        "code": problem.code,
        "severity": problem.severity,
        "message": problem.message,
        **_spot_json(problem.spot),
        "help": problem.help,
    }
    if problem.notes:
        shown["notes"] = [{**_spot_json(spot), "message": text} for spot, text in problem.notes]
    return shown


def _spot_json(spot: Spot) -> dict[str, Any]:
    return {
        "file": spot.file,
        "start": {"line": spot.line, "column": spot.column},
        "end": {"line": spot.line, "column": spot.end_column},
    }
