"""The real program as a shell runs it, without a terminal."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path


def sootline(*arguments: str | Path, typed: str | None = None) -> subprocess.CompletedProcess[str]:
    """Run the program; `typed` is what comes through a pipe."""
    command = [sys.executable, "-m", "tui.command_line", *map(str, arguments)]
    return subprocess.run(command, capture_output=True, text=True, check=False, input=typed or "", timeout=120)


def failed(run: subprocess.CompletedProcess[str]) -> str:
    """Assert that a run could not be done and said so in one sentence; return it."""
    assert (run.returncode, run.stdout) == (2, ""), run
    assert "Traceback" not in run.stderr
    (line,) = run.stderr.strip().split("\n")
    assert line.startswith("sootline: ")
    return line
