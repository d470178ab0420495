"""The reference page of all figures, made from the registration alone.

`python -m trees.figures.reference_page` writes README.md beside this file.
"""

from __future__ import annotations

from pathlib import Path

from trees.figures.plain import plain_number
from trees.figures.registry import FIELDS, FigureInfo, Input, registry
from trees.figures.uncertainty import work_out_in_full

PAGE = Path(__file__).with_name("README.md")
STATUS_WORDS = {
    "published": "published: number or formula retrieved from the source",
    "library": "library: a definition, or agreed with an independent library",
    "memory": "memory: constants remembered, not retrieved",
    "practice": "practice: a rule of the trade without a source",
}
HEAD = """# The figures

<!-- Made by `python -m trees.figures.reference_page`; a test keeps it equal to the registration. -->

Every calculation of the trade that the program knows: {count} figures. Each is a pure function in the module that its
section names, takes and gives numbers in the units of its table, and refuses what lies outside the ranges. Readings in
other units are turned at the edge (`trees.figures.units`). The examples are invented.

    from trees.figures import work_out, work_out_in_full
    work_out("supply_drop", {{"source_v": 12.4, "load_v": 10.9}})
    work_out_in_full("supply_drop", {{"source_v": 12.4, "load_v": 10.9}}, {{"source_v": 0.05, "load_v": 0.05}}).text

How each is backed: {statuses}.
"""


def reference_page() -> str:
    """Return the whole page as Markdown."""
    statuses = "; ".join(STATUS_WORDS.values())
    parts = [HEAD.format(count=len(registry()), statuses=statuses)]
    for field in FIELDS:
        infos = [info for info in registry().values() if info.field == field]
        parts.append(f"## {field.replace('_', ' ').capitalize()}\n")
        parts.append("| figure | gives | meaning |\n|---|---|---|")
        parts.append(
            "\n".join(f"| [{i.name}](#{i.name}) | {_unit(i.result.unit)} | {i.meaning} |" for i in infos) + "\n"
        )
        parts.extend(_section(info) for info in infos)
    return "\n".join(parts)


def _section(info: FigureInfo) -> str:
    worked = work_out_in_full(info.name, info.example)
    example = " ".join(f"{name}={plain_number(value, 6)}" for name, value in info.example.items())
    rows = "\n".join(_row(name, field) for name, field in info.inputs.items())
    lines = [
        f"### {info.name}\n",
        f"**{info.title}.** {info.meaning}.\n",
        f"    {info.formula}\n",
        f"| input | unit | range | if left out | what it is |\n|---|---|---|---|---|\n{rows}\n",
        f"Gives: {info.result.meaning}, {_unit(info.result.unit)}.  ",
        f"Accuracy: {info.accuracy}.  ",
        f"Source: {info.source} ({info.status}).  ",
        f"Example: `sootline figure {info.name} {example}` → {worked.text}\n",
    ]
    return "\n".join(lines)


def _row(name: str, field: Input) -> str:
    low, high = (plain_number(end, 7) for end in field.range)
    default = "must be given" if field.default is None else plain_number(field.default)
    return f"| `{name}` | {_unit(field.unit)} | {low} to {high} | {default} | {field.meaning} |"


def _unit(unit: str) -> str:
    return "a plain number" if unit == "1" else unit


if __name__ == "__main__":
    PAGE.write_text(reference_page(), encoding="utf-8")
