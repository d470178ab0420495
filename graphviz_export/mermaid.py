"""A chart as Mermaid text, for pages that draw it themselves.

Mermaid draws at most 500 ways in one picture (measured with 11.17.2: the 501st is refused); the longest shipped tree
has far fewer.
"""

from __future__ import annotations

from graphviz_export.boxes import Box, BoxKind, Chart
from trees.book.words import GRADES
from trees.language import _

_SHAPES: dict[BoxKind, tuple[str, str]] = {
    "decision": ("{", "}"),
    "reading": ("[/", "/]"),
    "action": ("[", "]"),
    "run": ("[[", "]]"),
    "over_to": (">", "]"),
    "end": ("([", "])"),
    "stop": ("{{", "}}"),
    "return": ("([", "])"),
}


def mermaid_text(chart: Chart) -> str:
    """Return the chart as a Mermaid flowchart; step 201 is the node `s201`."""
    lines = [
        "%% "
        + escaped(
            _("{book_title}, edition {edition}, {fingerprint}").format(
                book_title=chart.title, edition=chart.edition, fingerprint=chart.fingerprint
            )
        ),
        "flowchart LR",
    ]
    for box in chart.boxes:
        before, after = _SHAPES[box.kind]
        lines.append(f'    s{box.no}{before}"{escaped(_label(box))}"{after}')
    for box in chart.boxes:
        for index, target in box.ways():
            label = escaped(box.rows[index].told)
            lines.append(f'    s{box.no} -->|"{label}"| s{target}' if label else f"    s{box.no} --> s{target}")
    return "\n".join([*lines, ""])


def escaped(text: str) -> str:
    """Return the text so that nothing in it is syntax."""
    codes = {"#": "#35;", '"': "#quot;", "<": "#lt;", ">": "#gt;", "`": "#96;", "%": "#37;", "{": "#123;", "}": "#125;"}
    return "".join(codes.get(letter, letter) for letter in text.replace("\n", " "))


def _label(box: Box) -> str:
    stops = [row.label for row in box.rows if row.kind == "stop"]
    hazards = [f"{GRADES[hazard.grade]}: {hazard.word}" for hazard in box.hazards]
    return " · ".join([f"{box.no} {box.text}", *box.lines, *hazards, *stops])
