"""`sootline chart`: draw a tree for the wall."""

from __future__ import annotations

import argparse

from trees.errors import PaperError
from tui.command_line import Exit


def run(options: argparse.Namespace) -> int:
    """Write the chart and print the path."""
    from graphviz_export import write_chart
    from trees.book import load_book, shipped_book_path

    book = load_book(options.book or shipped_book_path())
    path = write_chart(
        book,
        options.tree,
        options.out,
        paper=options.paper,
        read_from_m=distance_m(options.read_from),
        dot=options.dot,
    )
    print(path)
    return Exit.FINE


def distance_m(typed: str) -> float:
    """Return a reading distance in metres; PaperError with a sentence."""
    from trees.errors import ReadingError
    from trees.figures.units import parse_reading

    try:
        value = parse_reading(typed, "m").value
    except ReadingError as error:
        raise PaperError(f"The reading distance: {error}") from error
    if not 0.2 <= value <= 10:
        raise PaperError(f"A reading distance of {value:g} m makes no chart; give 0.2 m to 10 m.")
    return value
