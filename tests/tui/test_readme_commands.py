"""What README.md tells a newcomer to type is taken by the program as it stands there."""

from __future__ import annotations

import re
import shlex
from pathlib import Path

import pytest

from tui.command_line import parser

ROOT = Path(__file__).resolve().parents[2]
COMMANDS = re.findall(r"^\.venv/bin/sootline\b.*$", (ROOT / "README.md").read_text("utf-8"), re.M)


@pytest.mark.parametrize("line", COMMANDS)
def test_command_of_the_readme_is_taken(line: str) -> None:
    """Each line parses; a verb or an option that is gone or misspelt fails here. `--help` leaves with status 0."""
    try:
        parser().parse_args(shlex.split(line, comments=True)[1:])
    except SystemExit as left:
        assert left.code == 0, line


def test_every_verb_stands_in_the_readme() -> None:
    """A newcomer who reads the README has met the name of each verb."""
    text = (ROOT / "README.md").read_text("utf-8")
    verbs = re.search(r"\{([a-z,]{40,})\}|VERB\n((?:    [a-z]+ .*\n(?: {10,}.*\n)*)+)", parser().format_help())
    assert verbs is not None
    names = re.findall(r"^    ([a-z]+) ", verbs[2], re.M) if verbs[2] else verbs[1].split(",")
    assert len(names) > 10
    assert [name for name in names if not re.search(rf"\b{name}\b", text)] == []


def test_targets_of_make_in_the_readme_are_there() -> None:
    """`make X` in the README is a target of the Makefile."""
    targets = set(re.findall(r"^([a-z]+):", (ROOT / "Makefile").read_text("utf-8"), re.M))
    named = set(re.findall(r"(?:^|`)make ([a-z]+)", (ROOT / "README.md").read_text("utf-8"), re.M))
    assert named
    assert named <= targets
