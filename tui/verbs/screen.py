"""`sootline` without a verb: open the screen on the casebook."""

from __future__ import annotations

import argparse
import gc
import shutil
import sys
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from trees.errors import SootlineError
from trees.language import _
from tui.command_line import Exit
from tui.loading import book_for, settings_for

if TYPE_CHECKING:
    from trees.book.model import Book
    from trees.casebook import Casebook, FirstLook
    from tui.opening import Opening
    from tui.settings import Settings
    from tui.workshop import Workshop


def run(options: argparse.Namespace) -> int:
    """Open the screen; casebook and book are opened behind its first frame."""
    from tui.opening import Opening

    refuse_unfit_terminal()
    settings, troubles = settings_for(options)

    def open_casebook() -> Casebook:
        from trees.casebook import Casebook, default_path

        return Casebook.open(options.store or default_path(), seat=options.seat)

    def look() -> FirstLook | None:
        from trees.casebook import default_path, first_look

        return first_look(options.store or default_path(), options.seat)

    notice, put_together = "\n".join(map(str, troubles)), partial(workshop_of, options, settings)
    return open_screen(Opening(open_casebook, lambda: book_for(options), put_together, settings, notice, look=look))


def open_screen(opening: Opening) -> int:
    """Run the program until it is left; a fault in it is told in a sentence."""
    from io import StringIO

    from rich.console import Console

    from tui.app import SootlineApp
    from tui.faults import fault

    # The book stays for good: a search for garbage that walks over it stops the screen for longer than an answer takes.
    # What an answer leaves behind is searched for while the next question is read.
    opening.when_made, opening.at_rest = gc.freeze, gc.collect
    app = SootlineApp(opening)
    details = StringIO()
    app.error_console = Console(file=details, width=120)
    try:
        app.run()
    finally:
        opening.close()
    if app.failure is not None:
        raise app.failure
    if app.return_code:
        raise fault(details.getvalue())
    return Exit.FINE


def workshop_of(options: argparse.Namespace, settings: Settings, casebook: Casebook, book: Book) -> Workshop:
    """Return the workshop that the options and settings ask for, on this casebook and book."""
    from trees.book import shipped_book_path
    from tui.workshop import SharesInForce, Workshop

    return Workshop(
        book,
        casebook,
        casebook.seat,
        place=settings.place,
        report_folder=reports_beside(casebook.path),
        book_folder=options.book or shipped_book_path(),
        settings=settings,
        shares=None if options.shares is None else SharesInForce.of(options.shares, book),
    )


def reports_beside(store: Path | None) -> Path:
    """Return the folder of the reports: beside the casebook's file, or the present one for a server."""
    return Path() if store is None else store.parent / "reports"


def refuse_unfit_terminal() -> None:
    """Say in a sentence that the screen can't be opened here, before anything is touched."""
    from tui.commands import SMALLEST

    if not (sys.stdin.isatty() and sys.stdout.isatty()):
        raise SootlineError(
            _(
                "The screen needs a terminal on standard input and output. `sootline --plain` does without; "
                "see `sootline --help` for verbs."
            )
        )
    size = shutil.get_terminal_size()
    if size.columns < SMALLEST[0] or size.lines < SMALLEST[1]:
        raise SootlineError(
            _(
                "This terminal is {columns} by {lines}; the screen needs {wide} by {high}. Make "
                "the window larger or the letters smaller, then start again."
            ).format(columns=size.columns, lines=size.lines, wide=SMALLEST[0], high=SMALLEST[1])
        )
