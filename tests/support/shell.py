"""The real program as a shell runs it, without a terminal."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path
from typing import Any

PROGRAM = (sys.executable, "-m", "tui.command_line")


def sootline(*arguments: str | Path, typed: str | None = None) -> subprocess.CompletedProcess[str]:
    """Run the program; `typed` is what comes through a pipe."""
    command = [*PROGRAM, *map(str, arguments)]
    return subprocess.run(command, capture_output=True, text=True, check=False, input=typed or "", timeout=120)


def told(*arguments: str | Path) -> Any:
    """Run a verb that must answer in JSON and have nothing to complain of; return its answer."""
    run = sootline(*arguments, "--format", "json")
    assert (run.returncode, run.stderr) == (0, "")
    return json.loads(run.stdout)


def failed(run: subprocess.CompletedProcess[str]) -> str:
    """Assert that a run could not be done and said so in one sentence; return it."""
    assert (run.returncode, run.stdout) == (2, ""), run
    assert "Traceback" not in run.stderr
    (line,) = run.stderr.strip().split("\n")
    assert line.startswith("sootline: ")
    return line
