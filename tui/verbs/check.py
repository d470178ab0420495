"""`sootline check`: prove a book and print every problem with its place."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path

from trees.errors import BookError
from trees.language import _
from tui.command_line import Exit


def run(options: argparse.Namespace) -> int:
    """Prove the book; 0 fine, 1 problems (with --strict also warnings), 2 no book to read."""
    from trees.book import shipped_book_path

    path = options.path or options.book or shipped_book_path()
    if options.pairs and options.format not in {"text", "json"}:
        raise BookError(_("--pairs goes with --format text or json."))
    return watch(path, options) if options.watch else once(path, options)


def watch(path: Path, options: argparse.Namespace) -> int:
    """Check again after every save; ctrl+c ends it, which is no failure: the last list stays on the screen."""
    from watchfiles import watch as saved

    if not path.is_dir():
        return once(path, options)
    try:
        _again(path, options)
        for _other in saved(path, watch_filter=_is_yaml, raise_interrupt=True):
            _again(path, options)
    except KeyboardInterrupt:
        pass
    return Exit.FINE


def _is_yaml(_change: object, path: str) -> bool:
    return path.endswith((".yaml", ".yml"))


def _again(path: Path, options: argparse.Namespace) -> None:
    """Show the list in place of the one before; a book that is gone for a moment ends nothing."""
    from trees.text import printable

    if sys.stdout.isatty():
        print("\x1b[2J\x1b[H", end="")
    try:
        once(path, options)
    except BookError as error:
        print(printable(_("sootline: {error}").format(error=error), keep="\n"), file=sys.stderr)
    if sys.stdout.isatty():
        print(_("Watching; ctrl+c ends it."))
    sys.stdout.flush()


def once(path: Path, options: argparse.Namespace) -> int:
    """Check the book as it is now and print what is found."""
    from trees.book import as_json, check_book
    from trees.book.formats import render
    from trees.book.pairs import alike, told
    from trees.text import json_text, printable

    checked = check_book(path)
    pairs = alike(checked.book) if options.pairs and checked.book is not None else ()
    if options.pairs and options.format == "json":
        found = as_json(checked.problems, checked.counts, checked.trees)
        print(json_text({**found, "pairs": [list(pair) for pair in pairs]}, indent=1))
    else:
        print(render(checked, str(path), options.format), end="")
        if options.pairs and checked.book is not None:
            print(printable(told(checked.book, pairs), keep="\n"), end="")
    return Exit.FOUND if checked.errors or (options.strict and checked.problems) else Exit.FINE
