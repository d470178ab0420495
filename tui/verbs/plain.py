"""`sootline --plain`: walk jobs line by line on standard input and output."""

from __future__ import annotations

import argparse
import asyncio
import signal
import sys
from typing import NoReturn

from tui.command_line import Exit
from tui.loading import book_for, settings_for


def _stop(_signal: int, _frame: object) -> NoReturn:
    """End at the first Ctrl+C: with Python's own handler, asyncio would wait for the line that is being read."""
    raise KeyboardInterrupt


def run(options: argparse.Namespace) -> int:
    """Take lines until there are no more."""
    from trees.casebook import Casebook, default_path
    from tui.plain import Dialogue
    from tui.plain_talk import Talk
    from tui.verbs.screen import workshop_of

    settings, _ = settings_for(options)
    book = book_for(options)
    with Casebook.open(options.store or default_path(), seat=options.seat) as casebook:
        workshop = workshop_of(options, settings, casebook, book)
        workshop.keep_book()
        before = signal.signal(signal.SIGINT, _stop)
        try:
            asyncio.run(Dialogue(workshop, Talk(sys.stdin, sys.stdout)).run())
        finally:
            signal.signal(signal.SIGINT, before)
    return Exit.FINE
