"""Lines in and out for plain mode."""

from __future__ import annotations

from collections.abc import Iterable
from errno import EIO
from typing import TextIO

from trees.language import _
from trees.text import printable

YES = {"y", "yes"}


class EndOfInputError(Exception):
    """Nothing more is typed."""


class Talk:
    """Somebody who types lines and reads lines, be it a person or a script."""

    def __init__(self, typed: TextIO, told: TextIO) -> None:
        self.typed, self.told = typed, told

    def say(self, lines: str | Iterable[str]) -> None:
        """Print lines; a text of a book, a job or a file steers no terminal."""
        for line in [lines] if isinstance(lines, str) else lines:
            try:
                print(printable(line, keep="\n"), file=self.told, flush=True)
            except OSError as error:
                if error.errno != EIO:
                    raise
                return  # the terminal went away without a signal: the next question meets the end of the input

    def ask(self, question: str = "") -> str:
        """Print a question and return the line that is typed; EndOfInputError where there is none."""
        if question:
            self.say(question)
        try:
            line = self.typed.readline()
        except OSError:
            line = ""
        if not line:
            raise EndOfInputError
        return line.strip()

    def sure(self, why: str) -> bool:
        """Ask for a second, different word before something is taken that one slip should not do."""
        return self.ask(_("{why} Type yes to take it; anything else leaves it.").format(why=why)).lower() in YES
