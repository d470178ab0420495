"""A chart as DOT text: one table per step, its answers as rows with ports, so that no label can lose its line."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from graphviz_export.boxes import Box, BoxKind, Chart, Row
from graphviz_export.letters import BOLD_FACTOR, line_em, wrap
from trees.book.words import GRADES
from trees.language import N_, Said, _

FONT_PT = 14.0
_TEXT_EM = 20.0
_GREY, _PALE, _BLACK, _WAY = "#dedede", "#ececec", "#111111", "#b00020"

KIND_NAMES: Mapping[BoxKind, str] = Said(
    {
        "decision": N_("Question"),
        "reading": N_("Reading"),
        "action": N_("Work"),
        "run": N_("Other chart, then back"),
        "over_to": N_("Other chart"),
        "end": N_("End"),
        "stop": N_("STOP"),
        "return": N_("Back"),
    }
)


def dot_text(chart: Chart) -> str:
    """Return the whole chart as one DOT graph; step 201 is the node `s201`, its third row the port `r2`."""
    parts = (
        chart.title,
        _("{book_title}, edition {edition}, {fingerprint}").format(
            book_title=chart.book_title, edition=chart.edition, fingerprint=chart.fingerprint
        ),
        *chart.remarks,
    )
    heading = quoted(" · ".join(parts))
    lines = [
        f"digraph {quoted(chart.tree)} {{",
        f"  graph [rankdir=LR, nodesep=0.25, ranksep=0.6, label={heading}, labelloc=t, tooltip={heading},"
        f' fontname="Arial", fontsize={FONT_PT + 2:g}];',
        f'  node [shape=plain, fontname="Arial", fontsize={FONT_PT:g}];',
        '  edge [arrowsize=0.8, penwidth=1.2, tooltip=" "];',
    ]
    for box in chart.boxes:
        lines += _node(chart, box)
    for box in chart.boxes:
        lines += _edges(box)
    return "\n".join([*lines, "}", ""])


def quoted(text: str) -> str:
    """Return the text as a DOT string: quotes and backslashes can't end it or start an escape."""
    return '"' + markup(text).replace("\n", " ") + '"'


def markup(text: str) -> str:
    r"""Return the text for a place where DOT reads entities: no tag begins, and \N doesn't become the node's name."""
    entities = {"&": "&amp;", "<": "&lt;", ">": "&gt;", '"': "&quot;", "\\": "&#92;&#92;"}
    return "".join(entities.get(letter, letter) for letter in text)


def _node(chart: Chart, box: Box) -> Iterator[str]:
    kind = f"{KIND_NAMES[box.kind]} {box.no}"
    yield f'  s{box.no} [id="step-{box.no}", class={quoted(box.kind)}, URL="#step-{box.no}", tooltip={quoted(kind)},'
    yield f"    label=<{_table(chart, box)}>];"


def _table(chart: Chart, box: Box) -> str:
    style = ' STYLE="ROUNDED"' if box.kind in ("end", "return", "over_to") else ""
    border = 3 if box.kind == "stop" else 1
    fill = _PALE if box.kind == "end" else "white"
    head = f' BORDER="{border}" CELLBORDER="0" CELLSPACING="0" CELLPADDING="4" COLOR="{_BLACK}" BGCOLOR="{fill}"{style}'
    cells = [_badge_row(chart, box)]
    cells += [_text_row(line) for line in box.lines]
    for hazard in box.hazards:
        cells.append(_text_row(f"(!) {GRADES[hazard.grade]}: {hazard.word}", bold=True))
    if box.marks():
        cells.append(_text_row(" · ".join(box.marks())))
    cells += [_text_row(source) for source in box.sources]
    cells += [_answer_row(index, row) for index, row in enumerate(box.rows)]
    return f"<TABLE{head}>{''.join(cells)}</TABLE>"


def _badge_row(chart: Chart, box: Box) -> str:
    name = KIND_NAMES[box.kind]
    start = _("Begin here · ") if box.no == chart.begin else ""
    port = ' PORT="r0"' if _is_through(box) else ""
    number = f'<TD PORT="in" BGCOLOR="{_BLACK}" WIDTH="44"><FONT COLOR="white"><B>{box.no}</B></FONT></TD>'
    kind = f'<TD ALIGN="LEFT"{port}>{markup(start + name)}</TD>'
    return f"<TR>{number}{kind}</TR>{_text_row(box.text, bold=box.kind in ('end', 'stop'))}"


def _text_row(text: str, *, bold: bool = False) -> str:
    return f"<TR>{_cell(text, 'LEFT', bold=bold)}</TR>"


def _answer_row(index: int, row: Row) -> str:
    if row.kind == "through":
        return ""
    if row.kind == "ask":
        return f"<HR/><TR>{_cell(row.label, 'LEFT', bold=False)}</TR>"
    stop = row.kind == "stop"
    fill = _WAY if row.taken else _BLACK if stop else _GREY
    extra = f' BGCOLOR="{fill}" PORT="r{index}"'
    return f"<HR/><TR>{_cell(row.told, 'RIGHT', bold=True, extra=extra, white=stop or row.taken)}</TR>"


def _cell(text: str, align: str, *, bold: bool, extra: str = "", white: bool = False) -> str:
    """Return a cell that is at least as wide as its text: the layout program counts bytes for letters beyond ASCII."""
    factor = BOLD_FACTOR if bold else 1.0
    lines = wrap(text, _TEXT_EM / factor)
    width = round(max(line_em(line) for line in lines) * factor * FONT_PT) + 10
    written = "".join(f'{markup(line) or " "}<BR ALIGN="{align}"/>' for line in lines)
    if bold:
        written = f"<B>{written}</B>"
    if white:
        written = f'<FONT COLOR="white">{written}</FONT>'
    return f'<TD COLSPAN="2" ALIGN="{align}" BALIGN="{align}" WIDTH="{width}"{extra}>{written}</TD>'


def _is_through(box: Box) -> bool:
    return bool(box.rows) and box.rows[0].kind == "through"


def _edges(box: Box) -> Iterator[str]:
    for index, target in box.ways():
        way = f' [color="{_WAY}", penwidth=4]' if box.rows[index].taken else ""
        yield f"  s{box.no}:r{index}:e -> s{target}:in:w{way};"
