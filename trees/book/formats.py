"""What the checker found, in the form that a reader wants: text, JSON, SARIF 2.1.0, or GitHub's annotations."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from pathlib import PurePath
from typing import Any
from urllib.parse import quote

from trees.book.check import Checked
from trees.book.codes import CODES
from trees.book.model import Spot
from trees.book.problems import Problem, as_json, render_text, summary
from trees.text import json_text, printable

SARIF_SCHEMA = "https://docs.oasis-open.org/sarif/sarif/v2.1.0/errata01/os/schemas/sarif-schema-2.1.0.json"


def render(checked: Checked, folder: str, form: str) -> str:
    """Return all problems in one of FORMATS; `folder` is put before each file. KeyError for another form."""
    return FORMATS[form](checked, folder)


def as_text(checked: Checked, folder: str) -> str:
    """Return the problems for people, or what a sound book holds."""
    shown = render_text(checked.problems, checked.sources, folder)
    return shown if checked.problems else f"{shown}{counted(checked)}\n"


def counted(checked: Checked) -> str:
    """Return how much there is of each kind, in one line."""
    return ", ".join(f"{number} {_noun(what, number)}" for what, number in checked.counts.items())


def _noun(kind: str, number: int) -> str:
    many = "worked jobs" if kind == "worked" else kind
    return {"families": "family"}.get(kind, many.removesuffix("s")) if number == 1 else many


def as_json_text(checked: Checked, _folder: str) -> str:
    """Return problems, counts and ids of the trees as JSON."""
    return _dump(as_json(checked.problems, checked.counts, checked.trees))


def as_sarif(checked: Checked, folder: str) -> str:
    """Return a SARIF 2.1.0 log; columns count characters (code points), as everywhere here."""
    return _dump(sarif_log(checked.problems, folder))


def as_github(checked: Checked, folder: str) -> str:
    """Return one annotation a line. GitHub shows the first ten errors and ten warnings of a step."""
    return "\n".join([*(annotation(problem, folder) for problem in checked.problems), summary(checked.problems), ""])


FORMATS: Mapping[str, Callable[[Checked, str], str]] = {
    "text": as_text,
    "json": as_json_text,
    "sarif": as_sarif,
    "github": as_github,
}


def sarif_log(problems: Sequence[Problem], folder: str) -> dict[str, Any]:
    """Return the log as plain data; each kind of problem is described once, under the rules."""
    kinds = list(dict.fromkeys(problem.code for problem in problems))
    rules = [
        {
            "id": code,
            "shortDescription": {"text": CODES[code].means},
            "defaultConfiguration": {"level": CODES[code].severity},
        }
        for code in kinds
    ]
    run = {
        "tool": {"driver": {"name": "Sootline", "rules": rules}},
        "columnKind": "unicodeCodePoints",
        "results": [_result(problem, kinds.index(problem.code), folder) for problem in problems],
    }
    return {"$schema": SARIF_SCHEMA, "version": "2.1.0", "runs": [run]}


def _result(problem: Problem, rule: int, folder: str) -> dict[str, Any]:
    result: dict[str, Any] = {
        "ruleId": problem.code,
        "ruleIndex": rule,
        "level": problem.severity,
        "message": {"text": _with_help(problem)},
        "locations": [{"physicalLocation": _location(problem.spot, folder)}],
    }
    if problem.notes:
        result["relatedLocations"] = [
            {"id": number, "message": {"text": text}, "physicalLocation": _location(spot, folder)}
            for number, (spot, text) in enumerate(problem.notes, start=1)
        ]
    return result


def _location(spot: Spot, folder: str) -> dict[str, Any]:
    path = PurePath(folder, spot.file)
    uri = path.as_uri() if path.is_absolute() else quote(path.as_posix())
    region = {"startLine": spot.line, "startColumn": spot.column, "endLine": spot.line, "endColumn": spot.end_column}
    return {"artifactLocation": {"uri": uri}, "region": region}


def annotation(problem: Problem, folder: str) -> str:
    """Return one workflow command; its text and its properties are escaped as GitHub wants it."""
    spot = problem.spot
    properties = {
        "file": printable(PurePath(folder, spot.file).as_posix()),
        "line": str(spot.line),
        "endLine": str(spot.line),
        "col": str(spot.column),
        "endColumn": str(spot.end_column),
        "title": problem.code,
    }
    told = ",".join(f"{name}={_escaped(value, in_property=True)}" for name, value in properties.items())
    return f"::{problem.severity} {told}::{_escaped(_with_help(problem))}"


def _escaped(text: str, *, in_property: bool = False) -> str:
    signs = {"%": "%25", "\r": "%0D", "\n": "%0A", **({":": "%3A", ",": "%2C"} if in_property else {})}
    return "".join(signs.get(char, char) for char in text)


def _with_help(problem: Problem) -> str:
    return f"{problem.message}\nhelp: {problem.help}" if problem.help else problem.message


def _dump(data: Mapping[str, Any]) -> str:
    return json_text(data, indent=1) + "\n"
