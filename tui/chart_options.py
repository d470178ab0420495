"""Which options `sootline chart` has."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import Any

from trees.language import _


def add_chart(verbs: argparse._SubParsersAction[Any]) -> None:
    """Add the verb that draws trees for the wall."""
    chart = verbs.add_parser(
        "chart",
        help=_("draw a tree for the wall"),
        description=_(
            "Draw a tree, or the whole book, for the wall: sheets of PDF or PNG, a picture of the whole tree "
            "as SVG, DOT or Mermaid, or a numbered list. With --verify: is what hangs there behind the book?"
        ),
    )
    add = chart.add_argument
    add("tree", nargs="?", help=_("id of the tree, as `sootline check --format json` lists them"))
    add("--all", action="store_true", help=_("every tree of the book, each under its id in the folder --out"))
    add("--out", type=Path, metavar=_("PATH"), help=_("file to write, its ending tells the format; or a folder"))
    add("--format", help=_("pdf, svg, png, dot, mermaid or txt, where the ending does not tell"))
    add("--paper", help=_("A4 to A0 (default: A3; for the tiles of a poster A4)"))
    add("--read-from", default="0.7m", metavar=_("DISTANCE"), help=_("reading distance (default: 0.7m)"))
    add("--comfortable", action="store_true", help=_("larger capitals: 20 minutes of arc instead of 16"))
    add("--region", action="store_true", help=_("a set of sheets for each region of a large tree"))
    add("--poster", action="store_true", help=_("one poster, cut into tiles of the paper to glue together"))
    add("--sources", action="store_true", help=_("say at each step what its numbers rest on"))
    add("--trail", metavar=_("JOB"), help=_("draw the way of this job of the casebook into the chart"))
    add("--counts", action="store_true", help=_("in each answer, how many of the closed jobs went that way"))
    add("--invented", action="store_true", help=_("with --counts: count the invented jobs of a demo instead"))
    add("--dot", type=Path, help=_("another dot program than the one that comes along"))
    add(
        "--verify",
        nargs="+",
        type=Path,
        metavar=_("FILE"),
        help=_("say whether these PDF charts are behind the book"),
    )
