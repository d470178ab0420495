"""How is a file opened at a line in the author's own editor? The command, and running it in the foreground."""

from __future__ import annotations

import shlex
import subprocess
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from trees.errors import SootlineError
from trees.language import N_, _

if TYPE_CHECKING:
    from textual.app import App

NONE_SET = N_("No editor is set: put its name into VISUAL or EDITOR, then start Sootline again.")
TAKE_A_LINE = frozenset(
    {
        "ed",
        "emacs",
        "emacsclient",
        "ex",
        "jed",
        "jmacs",
        "joe",
        "kak",
        "mcedit",
        "mg",
        "micro",
        "nano",
        "ne",
        "nvim",
        "pico",
        "vi",
        "view",
        "vim",
    }
)
"""Editors that read `+LINE` before the file as the line to go to; from memory, common practice."""

RunEditor = Callable[["App[None]", Sequence[str]], int]
"""Runs a command while the screen stands back; gives its exit status."""


class EditorError(SootlineError):
    """An editor that can't be started."""


def editor_command(environment: Mapping[str, str], file: Path, line: int) -> tuple[str, ...]:
    """Return the command that opens a file at a line (from 1); raises EditorError where no editor is set."""
    named = environment.get("VISUAL", "").strip() or environment.get("EDITOR", "").strip()
    try:
        words = shlex.split(named)
    except ValueError as error:
        raise EditorError(
            _("The editor “{named}” can't be read as a command: a quotation mark is left open.").format(named=named)
        ) from error
    if not words:
        raise EditorError(_(NONE_SET))
    takes_line = Path(words[0]).name in TAKE_A_LINE
    return (*words, *([f"+{line}"] if takes_line else []), str(file))


def in_the_foreground(app: App[None], command: Sequence[str]) -> int:
    """Run the editor with the terminal to itself; Textual's SuspendNotSupported where there is none."""
    with app.suspend():
        return subprocess.run(command, check=False).returncode
