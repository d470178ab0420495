"""Scripts as programs of their own, as other seats are: start one, tell it a line, hear a line from it."""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Callable, Iterator
from contextlib import ExitStack, contextmanager

Program = subprocess.Popen[str]
Start = Callable[..., Program]


@contextmanager
def running_programs() -> Iterator[Start]:
    """Give what starts a script with arguments; whatever is left of the programs ends with the block."""
    with ExitStack() as stack:

        def start(script: str, *arguments: object) -> Program:
            command = [sys.executable, "-W", "error", "-c", script, *map(str, arguments)]
            program = stack.enter_context(
                subprocess.Popen(command, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True)
            )
            stack.callback(program.kill)
            return program

        yield start


def tell(program: Program, line: object) -> None:
    """Write a line to the program."""
    assert program.stdin is not None
    print(line, file=program.stdin, flush=True)


def hear(program: Program) -> str:
    """Wait for a line from the program and return it; empty if it has ended."""
    assert program.stdout is not None
    return program.stdout.readline().strip()
