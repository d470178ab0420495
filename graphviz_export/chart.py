"""The door of this package for charts: write a tree, or every tree of a book, in the form that is wished for."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Literal

from graphviz_export.boxes import Chart, chart_of
from graphviz_export.paper import LEAST_ARC_MINUTES, paper
from graphviz_export.write import write_files
from trees.book.model import Book
from trees.errors import PaperError
from trees.language import _

ChartFormat = Literal["pdf", "svg", "png", "dot", "mermaid", "txt"]
FORMATS: dict[str, ChartFormat] = {
    ".pdf": "pdf",
    ".svg": "svg",
    ".png": "png",
    ".dot": "dot",
    ".gv": "dot",
    ".mmd": "mermaid",
    ".mermaid": "mermaid",
    ".txt": "txt",
}
"""Ending of a file's name → what is written."""
Note = Callable[[str], None]
File = tuple[Path, bytes]


@dataclass(frozen=True, slots=True, kw_only=True)
class Wish:
    """How a chart is to look. Only sheets (PDF, PNG) heed paper and distance; the other forms show the whole tree."""

    paper: str | None = None
    """A4 to A0; None for A3, and for the A4 tiles of a poster."""
    read_from_m: float = 0.7
    arc_minutes: float = LEAST_ARC_MINUTES
    """Angle under which capitals are seen."""
    format: str | None = None
    """Name of the form where the ending of the file does not tell it."""
    dot: str | Path | None = None
    """Another layout program for SVG."""
    by_region: bool = False
    """A file for each region of the tree."""
    poster: bool = False
    """One poster, cut into tiles of the paper."""
    sources: bool = False
    """Say at each step what its numbers rest on."""
    drawn_in: Callable[[Chart], Chart] | None = None
    """What is drawn in beside the book's own words: the way of a job, shares."""


def write_chart(
    book: Book, tree_id: str, out: Path, wish: Wish | None = None, *, note: Note | None = None
) -> tuple[Path, ...]:
    """Write the chart of one tree and return the files: one, or one for each region, or for each sheet of a PNG.

    `note` is told what a person should know. PaperError if anything stands in the way; then no file has been touched.
    """
    return _written(list(_files(book, tree_id, out, wish or Wish(), note or _silent)))


def write_book(
    book: Book,
    folder: Path,
    wish: Wish | None = None,
    *,
    note: Note | None = None,
    progress: Callable[[int, int, str], None] | None = None,
) -> tuple[Path, ...]:
    """Write the charts of all trees into a folder, each under its id, and return the files.

    `progress` is told (trees done, trees in all, title of the next). All charts are drawn before the first file is
    written: one that can't be drawn leaves the folder as it was.
    """
    wish = wish or Wish()
    form = _form(wish.format or "pdf")
    suffix = next(suffix for suffix, name in FORMATS.items() if name == form)
    trees = sorted(book.trees.values(), key=lambda tree: tree.steps[tree.begin].no)
    made: list[File] = []
    for done, tree in enumerate(trees):
        if progress is not None:
            progress(done, len(trees), tree.title)
        made += _files(book, tree.id, folder / f"{tree.id}{suffix}", wish, note or _silent)
    if progress is not None:
        progress(len(trees), len(trees), "")
    return _written(made)


def _written(files: list[File]) -> tuple[Path, ...]:
    return write_files([path for path, _other in files], [content for _other, content in files])


def _silent(_sentence: str) -> None:
    """Nobody wants to know."""


def _files(book: Book, tree_id: str, out: Path, wish: Wish, note: Note) -> Iterator[File]:
    """Yield each file with its content; nothing is written yet."""
    form = _form(wish.format) if wish.format is not None else _form_of_name(out)
    if (wish.poster or wish.by_region) and form not in ("pdf", "png"):
        raise PaperError(
            _("A {form} shows the whole tree in one piece; posters and regions are for PDF and PNG sheets.").format(
                form=form
            )
        )
    chart = chart_of(book, tree_id, sources=wish.sources)
    if wish.drawn_in is not None:
        chart = wish.drawn_in(chart)
    if wish.poster:
        yield out, _poster(chart, form, wish, note)
    elif form in ("pdf", "png"):
        yield from _sheets(chart, out, "pdf" if form == "pdf" else "png", wish, note)
    else:
        yield out, _text(form, chart, wish.dot).encode()


def _sheets(chart: Chart, out: Path, form: Literal["pdf", "png"], wish: Wish, note: Note) -> Iterator[File]:
    from graphviz_export.layouts import lay_out_chart, notes_of
    from graphviz_export.pages import page_bytes

    sheet = paper(wish.paper or "A3", wish.read_from_m, wish.arc_minutes)
    layout = lay_out_chart(chart, sheet, by_region=wish.by_region)
    for sentence in notes_of(layout):
        note(sentence)
    if form == "png":
        pages = page_bytes(layout, form)
        yield from zip(_numbered(out, "", len(pages), ".png"), pages, strict=True)
        return
    names = _numbered(out, "region-", len(layout.sets), ".pdf")
    for region, name in enumerate(names):
        yield name, page_bytes(layout, form, region if len(names) > 1 else None)[0]


def _poster(chart: Chart, form: ChartFormat, wish: Wish, note: Note) -> bytes:
    from graphviz_export.poster import lay_out_poster, tile_bytes

    if form != "pdf" or wish.by_region:
        raise PaperError(
            _("A poster is one PDF of tiles; write it without --region and with a name that ends with .pdf.")
        )
    poster = lay_out_poster(chart, paper(wish.paper or "A4", wish.read_from_m, wish.arc_minutes))
    note(poster.note())
    return tile_bytes(poster)


def _text(form: ChartFormat, chart: Chart, dot: str | Path | None) -> str:
    if form == "svg":
        from graphviz_export.svg import svg_text

        return svg_text(chart, dot)
    if form == "dot":
        from graphviz_export.dot import dot_text

        return dot_text(chart)
    if form == "mermaid":
        from graphviz_export.mermaid import mermaid_text

        return mermaid_text(chart)
    from graphviz_export.step_list import list_text

    return list_text(chart)


def _form(wanted: str) -> ChartFormat:
    for form in FORMATS.values():
        if form == wanted.lower():
            return form
    raise PaperError(
        _("“{wanted}” is no form of a chart. Take one of {listed}.").format(
            wanted=wanted, listed=", ".join(dict.fromkeys(FORMATS.values()))
        )
    )


def _form_of_name(out: Path) -> ChartFormat:
    found = FORMATS.get(out.suffix.lower())
    if found is None:
        raise PaperError(
            _(
                "The name “{name}” doesn't tell what to write. End it with one of {listed}, or name a "
                "format: {listed_2}."
            ).format(name=out.name, listed=" ".join(FORMATS), listed_2=", ".join(dict.fromkeys(FORMATS.values())))
        )
    return found


def _numbered(out: Path, word: str, count: int, ending: str) -> tuple[Path, ...]:
    """Return a name for each file; of several each ends as its form does, a single one is named as it was asked for."""
    if count == 1:
        return (out,)
    digits = len(str(count))
    names = (f"{out.stem}-{word}{number:0{digits}}{out.suffix or ending}" for number in range(1, count + 1))
    return tuple(out.with_name(name) for name in names)
