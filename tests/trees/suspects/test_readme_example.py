"""The examples of the reasoning's README run as they stand."""

from __future__ import annotations

import contextlib
import io
import re
from pathlib import Path

import trees.suspects


def test_the_notebook_examples_run() -> None:
    """All code of the page, in order, in one notebook: it runs and prints chances, minutes and shares."""
    page = Path(trees.suspects.__file__).with_name("README.md").read_text(encoding="utf-8")
    cells = re.findall(r"```python\n(.*?)```", page, flags=re.DOTALL)
    assert len(cells) >= 6
    names: dict[str, object] = {}
    printed = io.StringIO()
    with contextlib.redirect_stdout(printed):
        for cell in cells:
            exec(compile(cell, "README.md", "exec"), names)
    text = printed.getvalue()
    assert "would make it" in text
    assert "saves" in text
    assert "2.5 of 14.5 jobs; author 4 %" in text
    assert re.search(r"\d+ min by the tree, \d+ best found, \d+ limit", text)
