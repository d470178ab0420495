"""Which verbs and options authors of books have: check, schema, replay, new, number, diff."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import Any

from trees.language import _


def add_author_verbs(verbs: argparse._SubParsersAction[Any]) -> None:
    """Add the verbs by which a book is written and proved."""
    check = verbs.add_parser(
        "check", help=_("prove a book"), description=_("Prove a book; print every problem with its place.")
    )
    check.add_argument("path", nargs="?", type=Path, help=_("folder of the book (default: the one that ships)"))
    check.add_argument(
        "--format",
        choices=("text", "json", "sarif", "github"),
        default="text",
        help=_("how to print: sarif for code scanning, github for annotations of a workflow (default: text)"),
    )
    check.add_argument("--strict", action="store_true", help=_("warnings count as found too"))
    check.add_argument("--pairs", action="store_true", help=_("also list the causes that no check tells apart"))
    check.add_argument("--watch", action="store_true", help=_("check again after every save, until ctrl+c"))

    schema = verbs.add_parser(
        "schema",
        help=_("write JSON Schemas for editors"),
        description=_(
            "Print the JSON Schema of each kind of file of a book, or write them into a folder. "
            "A file names its schema in a comment: `# yaml-language-server: $schema=schema/causes.json`."
        ),
    )
    schema.add_argument("kind", nargs="?", help=_("only this one: book, causes, checks, trees … (default: all)"))
    schema.add_argument(
        "--out", type=Path, metavar=_("FOLDER"), help=_("write one file for each kind into this folder")
    )

    replay = verbs.add_parser(
        "replay",
        help=_("walk the worked jobs of a book"),
        description=_("Walk the worked jobs of a book again: which fail, and at which step they turned the wrong way."),
    )
    replay.add_argument("path", nargs="?", type=Path, help=_("folder of the book (default: the one that ships)"))
    replay.add_argument("--all-paths", action="store_true", help=_("count every path of every tree instead"))
    replay.add_argument(
        "--place", choices=("bench", "site", "phone"), default="bench", help=_("of --all-paths (default: bench)")
    )
    replay.add_argument("--format", choices=("text", "json"), default="text", help=_("how to print (default: text)"))

    new = verbs.add_parser(
        "new",
        help=_("begin a book, tree, check or family"),
        description=_("Write a commented file to begin with; it passes the checker as it stands."),
    )
    new.add_argument("kind", choices=("book", "tree", "check", "family"), help=_("what to begin"))
    new.add_argument("name", metavar=_("NAME"), help=_("its name; of a book the folder to make"))
    new.add_argument("--in", dest="path", type=Path, metavar=_("FOLDER"), help=_("folder of the book it goes into"))

    number = verbs.add_parser(
        "number",
        help=_("number new steps"),
        description=_("Write a number into each step without one, in the book's own files; none is ever given twice."),
    )
    number.add_argument("path", nargs="?", type=Path, help=_("folder of the book"))

    diff = verbs.add_parser(
        "diff",
        help=_("what changed between two editions of a book"),
        description=_("What changed for the person who walks: answers that lead elsewhere, checks, conclusions, ends."),
    )
    diff.add_argument("old", metavar=_("OLD"), help=_("a folder, or a git revision"))
    diff.add_argument("new", metavar=_("NEW"), help=_("a folder, or a git revision"))
    diff.add_argument("--in", dest="path", type=Path, metavar=_("FOLDER"), help=_("the book whose revisions are meant"))
    diff.add_argument("--format", choices=("text", "json"), default="text", help=_("how to print (default: text)"))
