"""`sootline --plain`: walk jobs line by line on standard input and output."""

from __future__ import annotations

import argparse
import asyncio
import sys

from tui.command_line import Exit
from tui.loading import book_for, settings_for


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
        asyncio.run(Dialogue(workshop, Talk(sys.stdin, sys.stdout)).run())
    return Exit.FINE
