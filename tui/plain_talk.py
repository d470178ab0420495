"""Lines in and out for plain mode."""

from __future__ import annotations

import threading
from collections.abc import Callable, Iterable
from errno import EIO
from typing import TextIO

from trees.language import _
from trees.text import printable
from tui.plain_words import is_word


class EndOfInputError(Exception):
    """Nothing more is typed."""


class Talk:
    """Somebody who types lines and reads lines, be it a person or a script."""

    def __init__(self, typed: TextIO, told: TextIO) -> None:
        self.typed, self.told = typed, told
        self.card: Callable[[], Iterable[str]] | None = None
        """What `emergency` prints in the middle of a question."""
        self.card_shown = False
        """It was printed there and is not written down yet."""

    def say(self, lines: str | Iterable[str]) -> None:
        """Print lines; a text of a book, a job or a file steers no terminal."""
        for line in [lines] if isinstance(lines, str) else lines:
            try:
                print(printable(line, keep="\n"), file=self.told, flush=True)
            except OSError as error:
                if error.errno != EIO:
                    raise
                return  # the terminal went away without a signal: the next question meets the end of the input

    def line(self) -> str:
        """Return the line that is typed; EndOfInputError where there is none."""
        try:
            line = self.typed.readline()
        except OSError:
            line = ""
        if not line:
            raise EndOfInputError
        return line.strip()

    def ask(self, question: str) -> str:
        """Print a question and return what is typed; the emergency card comes first also here, then the question."""
        while True:
            self.say(question)
            line = self.line()
            if self.card is None or not is_word(line, "emergency"):
                return line
            self.say(self.card())
            self.card_shown = True

    def sure(self, why: str) -> bool:
        """Ask for a second, different word before something is taken that one slip should not do."""
        return is_word(self.ask(_("{why} Type yes to take it; anything else leaves it.").format(why=why)), "yes", "y")

    def later(self, seconds: float, told: Callable[[], None]) -> None:
        """Say something when the time has come, also while a line is waited for; it ends with the program."""
        waiting = threading.Timer(seconds, told)
        waiting.daemon = True
        waiting.start()
