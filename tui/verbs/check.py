"""`sootline check`: prove a book and print every problem with its place."""

from __future__ import annotations

import argparse
import json

from tui.command_line import Exit


def run(options: argparse.Namespace) -> int:
    """Prove the book; 0 fine, 1 problems (with --strict also warnings), 2 no book to read."""
    from trees.book import as_json, check_book, render_text, shipped_book_path

    path = options.path or options.book or shipped_book_path()
    checked = check_book(path)
    if options.format == "json":
        print(json.dumps(as_json(checked.problems, checked.counts, checked.trees), ensure_ascii=False, indent=1))
    else:
        print(render_text(checked.problems, checked.sources, str(path)), end="")
        if not checked.problems:
            print(", ".join(f"{number} {what}" for what, number in checked.counts.items()))
    found = checked.errors or (options.strict and checked.problems)
    return Exit.FOUND if found else Exit.FINE
