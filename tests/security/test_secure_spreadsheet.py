"""No cell of the CSV is a formula, whichever sign the spreadsheet parts cells by."""

from __future__ import annotations

import csv
import io
from collections.abc import Callable
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from security_support import RunVerb, entry, export

from trees.casebook.spreadsheet import harmless

BEGINS = "=+-@＝＋－＠\t\r"


def cells(text: str, sign: str) -> list[str]:
    """Return all cells of a CSV as a spreadsheet with that separator sees them."""
    return [cell for row in csv.reader(io.StringIO(text, newline=""), delimiter=sign) for cell in row]


@pytest.mark.parametrize("sign", [",", ";", "|", "\t"])
@pytest.mark.parametrize(
    "words",
    [
        '=HYPERLINK("http://x.example","y")',
        "  =1+1",
        "\t=1+1",
        "\r=1+1",
        "@SUM(1)",
        "-1+cmd|' /C calc'!A0",
        "smokes;=1+1",
        'smokes";=1+1',
        'smokes;"=1+1',
        "smokes; '\" =1+1",
        "smokes|=1+1",
        "smokes\t=1+1",
        "smokes\n=1+1",
        "smokes;＝1+1",
        'smokes",=1+1',
    ],
)
def test_complaint_is_no_formula(imported: Callable[[str], Path], run: RunVerb, words: str, sign: str) -> None:
    """A complaint stays text in a spreadsheet that parts cells by comma, semicolon, bar or tab."""
    began = entry("began", words=words, tree=None, place="bench", family=None)
    told = run("--store", imported(export(began)), "jobs", "export", "--format", "csv").told
    found = cells(told, sign)
    assert found
    assert [cell for cell in found if cell.lstrip(" \"'\n").startswith(tuple(BEGINS)) and "'" not in cell[:4]] == []


@given(st.text(alphabet="=+-@;|,\"' \t\r\n\u200bax", max_size=12))
def test_no_mixture_of_signs_is_a_formula(text: str) -> None:
    """Of any mixture of separators, quotes, blanks and signs of a formula no part begins a formula."""
    cell = harmless(text)
    for sign in ";|\n":
        for part in cell.split(sign):
            assert not part.strip(' "\n').startswith(tuple(BEGINS)), (text, cell)


@pytest.mark.parametrize(
    "text", ["J-0001", "smokes white; at the second go", "2026-03-02", "Möwe – 12 V", "a=b", "x - y"]
)
def test_ordinary_text_is_not_touched(text: str) -> None:
    """What is no formula is written as it was typed."""
    assert harmless(text) == text
