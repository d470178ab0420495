"""What attacks are made of: signs that steer a terminal, and exports as an enemy would write them."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from typing import Any

EVIL = "\x1b]0;owned\x07\x1b[2J\x9b31m\x7f\u202etxt\u2066\u200b\u200d\ufeff\u2028\ue000"
"""Sets a title, clears the screen, colours (C1), deletes, turns text round, hides letters, breaks lines."""
AT = "2026-03-02T08:00:02.000Z"


@dataclass(frozen=True, slots=True)
class Run:
    """What a command gave: exit status, stdout and stderr."""

    status: int
    told: str
    errors: str

    @property
    def sentence(self) -> str:
        """The one sentence of a command that could not be done."""
        assert (self.status, self.told) == (2, ""), self
        (line,) = self.errors.strip().split("\n")
        assert line.startswith("sootline: "), line
        assert "The program has a fault" not in line, line
        return line


RunVerb = Callable[..., Run]


def entry(kind: str, visit: str = "", **data: Any) -> dict[str, Any]:
    """Return one entry of an export, without its number."""
    return {"kind": kind, "visit": visit, "data": data}


def export(
    *entries: Mapping[str, Any], books: Iterable[Mapping[str, Any]] = (), seat: str = "bench", edition: str = ""
) -> str:
    """Return an export with one job that begins soundly and goes on with these entries."""
    books = tuple(books)
    began = entry("began", words="smokes white", tree=None, place="bench", family=None)
    rows = entries if entries and entries[0]["kind"] == "began" else (began, *entries)
    lines: list[Mapping[str, Any]] = [{"line": "casebook", "format": 2}, *books]
    lines.append({"line": "job", "number": "J-0001", "opened_at": AT, "invented": False})
    for no, row in enumerate(rows, start=1):
        made = {"at": AT, "seat": seat, "fingerprint": edition}
        lines.append({"line": "entry", "job": "J-0001", "no": no, **made, **row})
    lines.append({"line": "end", "books": len(books), "jobs": 1, "customers": 0, "entries": len(rows)})
    return "".join(f"{json.dumps(line)}\n" for line in lines)
