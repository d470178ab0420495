"""`sootline chart`: draw a tree or the whole book for the wall, or say whether what hangs there is behind the book."""

from __future__ import annotations

import argparse
import sys
import tempfile
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

from trees.errors import CasebookError, PaperError
from trees.language import LANGUAGES, _, speaking, spoken
from tui.command_line import Exit

if TYPE_CHECKING:
    from graphviz_export import Wish
    from graphviz_export.boxes import Chart
    from graphviz_export.wall_mark import Comparison, Hanging
    from trees.book import Book
    from trees.casebook import Casebook
    from trees.walk import Walk

_BAR = 24


def run(options: argparse.Namespace) -> int:
    """Write the charts and print each path; with --verify, 1 if a chart on the wall is behind the book."""
    from trees.book import load_book, shipped_book_path

    book = load_book(options.book or shipped_book_path(), spoken())
    if options.verify:
        return _verify(book, options.book or shipped_book_path(), options.verify)
    _refuse_unclear(options)
    if options.trail or options.counts:
        book, drawn_in = _from_casebook(book, options)
        wish = _wish(options, drawn_in)
    else:
        wish = _wish(options, None)
    for path in _write(book, options, wish):
        print(path)
    return Exit.FINE


def _write(book: Book, options: argparse.Namespace, wish: Wish) -> tuple[Path, ...]:
    from graphviz_export import write_book, write_chart
    from graphviz_export.chart import FORMATS
    from trees.text import printable

    def note(sentence: str) -> None:
        print(_("{clear}sootline: {sentence}").format(clear=_clear(), sentence=printable(sentence)), file=sys.stderr)

    if options.all:
        return write_book(book, options.out, wish, note=note, progress=_progress)
    out = options.out
    if out.is_dir():
        form = (options.format or "pdf").lower()
        out /= f"{options.tree}{next((end for end, name in FORMATS.items() if name == form), '')}"
    return write_chart(book, options.tree, out, wish, note=note)


def _refuse_unclear(options: argparse.Namespace) -> None:
    if options.all == (options.tree is not None):
        raise PaperError(_("Name one tree, or --all for the whole book; or --verify and the files that hang there."))
    if options.out is None:
        raise PaperError(_("Say where to write: --out FILE, or --out FOLDER with --all."))
    if options.all and options.trail:
        raise PaperError(_("A trail is drawn into one tree. Name the tree."))
    if options.all and options.out.suffix and not options.out.is_dir():
        raise PaperError(
            _("--all writes a file for each tree: name a folder instead of {out}.").format(out=options.out)
        )


def _wish(options: argparse.Namespace, drawn_in: Callable[[Chart], Chart] | None) -> Wish:
    from graphviz_export import Wish
    from graphviz_export.paper import COMFORTABLE_ARC_MINUTES, LEAST_ARC_MINUTES

    return Wish(
        paper=options.paper,
        read_from_m=distance_m(options.read_from),
        arc_minutes=COMFORTABLE_ARC_MINUTES if options.comfortable else LEAST_ARC_MINUTES,
        format=options.format,
        dot=options.dot,
        by_region=options.region,
        poster=options.poster,
        sources=options.sources,
        drawn_in=drawn_in,
    )


def _from_casebook(book: Book, options: argparse.Namespace) -> tuple[Book, Callable[[Chart], Chart]]:
    """Return what draws a job's way or the shares of closed jobs into a chart, and the edition to draw it by."""
    from graphviz_export.overlay import with_shares, with_trail
    from trees.casebook import Casebook, default_path
    from trees.walk import Walk

    way: tuple[Walk, str, bool] | None = None
    closed: list[Walk] = []
    with Casebook.open(options.store or default_path(), create=False, seat=options.seat) as casebook:
        if options.trail:
            record = casebook.job(options.trail)
            stored = casebook.entries(record)
            book = _edition_of_job(casebook, book, record.number, stored[-1].fingerprint if stored else "")
            way = (Walk.resume(book, [one.entry for one in stored]), record.number, record.invented)
        for row in casebook.jobs() if options.counts else ():
            if row.closed is not None and row.invented == options.invented:
                entries = casebook.entries(casebook.job(row.number))
                closed.append(Walk.resume(book, [one.entry for one in entries]))

    def draw(chart: Chart) -> Chart:
        if options.counts:
            chart = with_shares(chart, closed)
        return chart if way is None else with_trail(chart, way[0], way[1], invented=way[2])

    return book, draw


def _edition_of_job(casebook: Casebook, present: Book, number: str, edition: str) -> Book:
    """Return the edition that a job was last worked by: its way drawn into another would tell a lie on paper."""
    from trees.book import load_book
    from trees.casebook import write_book_files
    from trees.text import printable

    if edition in ("", present.fingerprint):
        return present
    try:
        files = casebook.book_text(edition)
    except CasebookError:
        raise CasebookError(
            _(
                "Job {number} was last worked by the book {edition}, this one is {fingerprint}, and the "
                "casebook keeps no text of the older one. Name it with --book."
            ).format(number=number, edition=edition, fingerprint=present.fingerprint)
        ) from None
    told = _("sootline: drawn by the book {edition}, by which job {number} was last worked.").format(
        edition=edition, number=number
    )
    print(printable(told), file=sys.stderr)
    with tempfile.TemporaryDirectory(prefix="sootline-") as name:
        return load_book(write_book_files(files, Path(name)))


def _verify(book: Book, folder: Path, paths: list[Path]) -> int:
    from graphviz_export.wall_mark import read_mark
    from trees.text import printable

    found = [(path, _compared(read_mark(path), book, folder)) for path in paths]
    for path, comparison in found:
        print(printable(f"{path}: {comparison.sentence}"))
    return Exit.FOUND if any(comparison.is_behind for _other, comparison in found) else Exit.FINE


def _compared(hanging: Hanging, book: Book, folder: Path) -> Comparison:
    """Hold a chart against the book in the language that it was printed in: the one with the fewest differences."""
    from graphviz_export.wall_mark import compare
    from trees.book.check import shown_in

    found = []
    for language in LANGUAGES:
        with speaking(language):
            found.append(compare(hanging, shown_in(book, folder, language)))
    return min(found, key=lambda one: len(one.changed) + len(one.new) + len(one.gone))


def _progress(done: int, count: int, title: str) -> None:
    """Draw the bar where a person watches; a script gets the paths and nothing else."""
    if not sys.stderr.isatty():
        return
    from trees.text import printable

    filled = _BAR * done // max(count, 1)
    bar = f"[{'#' * filled}{'-' * (_BAR - filled)}] {done}/{count} {printable(title)[:40]}"
    print(f"{_clear()}{bar}", end="" if done < count else "\n", file=sys.stderr, flush=True)


def _clear() -> str:
    return "\r\x1b[K" if sys.stderr.isatty() else ""


def distance_m(typed: str) -> float:
    """Return a reading distance in metres; PaperError with a sentence."""
    from trees.errors import ReadingError
    from trees.figures.units import parse_reading

    try:
        return parse_reading(typed, "m").value
    except ReadingError as error:
        raise PaperError(_("The reading distance: {error}").format(error=error)) from error
