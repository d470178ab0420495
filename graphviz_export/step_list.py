"""A chart as a numbered list with go-to numbers: for the phone, for reading aloud, for a wall without room."""

from __future__ import annotations

import textwrap

from graphviz_export.boxes import Box, Chart
from graphviz_export.dot import KIND_NAMES
from trees.book.words import GRADES
from trees.language import _


def list_text(chart: Chart, width: int = 80) -> str:
    """Return the steps in the order of their numbers, each answer with the number to go to."""
    head = [
        chart.title,
        _("{book_title}, edition {edition}, reviewed {reviewed}, {fingerprint}").format(
            book_title=chart.book_title, edition=chart.edition, reviewed=chart.reviewed, fingerprint=chart.fingerprint
        ),
        _("Begin at {begin}. The maker's manual and local rules come first.").format(begin=chart.begin),
        *chart.remarks,
    ]
    lines = [line for text in head for line in textwrap.wrap(text, width)]
    for box in chart.boxes:
        lines += ["", *_step(chart, box, width)]
    return "\n".join([*lines, ""]).replace("\N{NO-BREAK SPACE}", " ")


def _step(chart: Chart, box: Box, width: int) -> list[str]:
    indent = " " * 6
    lines = textwrap.wrap(
        f"{KIND_NAMES[box.kind]}: {box.text}", width, initial_indent=f"{box.no:>4}  ", subsequent_indent=indent
    )
    for hazard in box.hazards:
        lines += _under(f"(!) {GRADES[hazard.grade]}: {hazard.word}", width, indent)
    for line in box.lines:
        lines += _under(line, width, indent)
    if box.marks():
        lines += _under(f"[{', '.join(box.marks())}]", width, indent)
    for source in box.sources:
        lines += _under(source, width, indent)
    if box.no == chart.phone_exit:
        lines += _under(_("(by phone: from any step that can't be done from there)"), width, indent)
    for row in box.rows:
        # The number stays with the last word of its answer: a lone number at the start of a line reads as a step.
        way = f"\N{NO-BREAK SPACE}→\N{NO-BREAK SPACE}{row.target}" if row.target is not None else ""
        sign = "*" if row.taken else "-"
        lines += _under(f"{sign} {row.told or _('then')}{way}", width, indent)
    return lines


def _under(text: str, width: int, indent: str) -> list[str]:
    return textwrap.wrap(text, width, initial_indent=indent, subsequent_indent=indent + "  ")
