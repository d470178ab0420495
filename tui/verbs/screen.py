"""`sootline` without a verb: open the screen on the casebook."""

from __future__ import annotations

import argparse
import shutil
import sys
from pathlib import Path
from typing import TYPE_CHECKING

from trees.errors import SootlineError
from tui.command_line import Exit
from tui.loading import book_for

if TYPE_CHECKING:
    from tui.workshop import Workshop


def run(options: argparse.Namespace) -> int:
    """Open the screen."""
    from trees.book import shipped_book_path
    from trees.casebook import Casebook, default_path
    from tui.workshop import Workshop

    refuse_unfit_terminal()
    folder = options.book or shipped_book_path()
    book = book_for(options)
    store = options.store or default_path()
    with Casebook.open(store, seat=options.seat) as casebook:
        reports = reports_beside(casebook.path)
        return open_screen(Workshop(book, casebook, casebook.seat, report_folder=reports, book_folder=folder))


def open_screen(workshop: Workshop) -> int:
    """Run the program until it is left; a fault in it is told in a sentence."""
    from io import StringIO

    from rich.console import Console

    from tui.app import SootlineApp
    from tui.faults import fault

    app = SootlineApp(workshop)
    details = StringIO()
    app.error_console = Console(file=details, width=120)
    app.run()
    if app.return_code:
        raise fault(details.getvalue())
    return Exit.FINE


def reports_beside(store: Path | None) -> Path:
    """Return the folder of the reports: beside the casebook's file, or the present one for a server."""
    return Path() if store is None else store.parent / "reports"


def refuse_unfit_terminal() -> None:
    """Say in a sentence that the screen can't be opened here, before anything is touched."""
    from tui.commands import SMALLEST

    if not (sys.stdin.isatty() and sys.stdout.isatty()):
        raise SootlineError(
            "The screen needs a terminal on standard input and output. See `sootline --help` for verbs."
        )
    size = shutil.get_terminal_size()
    if size.columns < SMALLEST[0] or size.lines < SMALLEST[1]:
        raise SootlineError(
            f"This terminal is {size.columns} by {size.lines}; the screen needs {SMALLEST[0]} by {SMALLEST[1]}. "
            "Make the window larger or the letters smaller, then start again."
        )
