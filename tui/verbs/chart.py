"""`sootline chart`: draw a tree for the wall."""

from __future__ import annotations

import argparse
import sys

from trees.errors import PaperError
from tui.command_line import Exit


def run(options: argparse.Namespace) -> int:
    """Write the chart and print each path."""
    from graphviz_export import write_chart
    from graphviz_export.paper import COMFORTABLE_ARC_MINUTES, LEAST_ARC_MINUTES
    from trees.book import load_book, shipped_book_path

    book = load_book(options.book or shipped_book_path())
    paths = write_chart(
        book,
        options.tree,
        options.out,
        paper=options.paper,
        read_from_m=distance_m(options.read_from),
        arc_minutes=COMFORTABLE_ARC_MINUTES if options.comfortable else LEAST_ARC_MINUTES,
        format=options.format,
        dot=options.dot,
        note=lambda sentence: print(f"sootline: {sentence}", file=sys.stderr),
    )
    for path in paths:
        print(path)
    return Exit.FINE


def distance_m(typed: str) -> float:
    """Return a reading distance in metres; PaperError with a sentence."""
    from trees.errors import ReadingError
    from trees.figures.units import parse_reading

    try:
        return parse_reading(typed, "m").value
    except ReadingError as error:
        raise PaperError(f"The reading distance: {error}") from error
