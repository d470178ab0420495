"""The door of this package for charts: write one tree of a book to a file in the form that its name asks for."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Literal

from graphviz_export.boxes import Chart, chart_of
from graphviz_export.paper import LEAST_ARC_MINUTES
from graphviz_export.write import write_files
from trees.book.model import Book
from trees.errors import PaperError

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


def write_chart(
    book: Book,
    tree_id: str,
    out: Path,
    *,
    paper: str = "A3",
    read_from_m: float = 0.7,
    arc_minutes: float = LEAST_ARC_MINUTES,
    format: str | None = None,  # noqa: A002 - the word of the command line
    dot: str | Path | None = None,
    note: Callable[[str], None] | None = None,
) -> tuple[Path, ...]:
    """Write the chart of one tree and return the files: one, or one for each sheet of a PNG.

    PDF and PNG are sheets of `paper` with capitals that can be read from `read_from_m`; SVG, DOT, Mermaid and the
    numbered list show the whole tree. `dot` names another layout program, `note` is told what a person should know.
    PaperError if anything stands in the way; then no file has been touched.
    """
    form = _format(out, format)
    chart = chart_of(book, tree_id)
    if form in ("pdf", "png"):
        from graphviz_export.pages import lay_out_chart, notes_of, page_bytes
        from graphviz_export.paper import paper as paper_of

        layout = lay_out_chart(chart, paper_of(paper, read_from_m, arc_minutes))
        pages = page_bytes(layout, "pdf" if form == "pdf" else "png")
        if note is not None:
            for sentence in notes_of(layout):
                note(sentence)
        return write_files(_names(out, len(pages)), pages)
    return write_files((out,), [_text(form, chart, dot).encode()])


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


def _format(out: Path, wanted: str | None) -> ChartFormat:
    known = ", ".join(dict.fromkeys(FORMATS.values()))
    if wanted is not None:
        for form in FORMATS.values():
            if form == wanted.lower():
                return form
        raise PaperError(f"“{wanted}” is no form of a chart. Take one of {known}.")
    found = FORMATS.get(out.suffix.lower())
    if found is None:
        raise PaperError(
            f"The name “{out.name}” doesn't tell what to write. End it with one of {' '.join(FORMATS)}, "
            f"or name a format: {known}."
        )
    return found


def _names(out: Path, count: int) -> tuple[Path, ...]:
    if count == 1:
        return (out,)
    digits = len(str(count))
    return tuple(out.with_name(f"{out.stem}-{number:0{digits}}{out.suffix}") for number in range(1, count + 1))
