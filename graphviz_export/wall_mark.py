"""The mark that a printed chart carries in its file, and whether a wall is behind a later book."""

from __future__ import annotations

import hashlib
import json
import re
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from urllib.parse import quote, unquote

from graphviz_export.boxes import Box, Chart, chart_of
from trees.book.model import Book
from trees.errors import PaperError
from trees.language import _, reason_of, speaking, spoken

_NAME = "sootline-chart-1"
_MARK = re.compile(rb"<pdf:Keywords>\s*" + _NAME.encode() + rb";([^<]*)</pdf:Keywords>")
_DIGITS = 8
_MOST_BYTES = 200_000_000


@dataclass(frozen=True, slots=True)
class Hanging:
    """What a chart on the wall says of itself."""

    tree: str
    edition: str
    fingerprint: str
    spoken: str
    """Language in which the program put in its own words, such as `de`."""
    steps: Mapping[int, str]
    """Number of a step → digest of all that its box says."""


@dataclass(frozen=True, slots=True)
class Comparison:
    """A chart on the wall beside the book as it is now."""

    hanging: Hanging
    edition: str
    fingerprint: str
    changed: tuple[int, ...]
    """Steps that read otherwise now."""
    new: tuple[int, ...]
    gone: tuple[int, ...]
    """Steps on the wall that the tree no longer has; all of them where the tree is gone."""

    @property
    def is_behind(self) -> bool:
        """Whether the wall says something else than the book."""
        return bool(self.changed or self.new or self.gone)

    @property
    def sentence(self) -> str:
        """What a person should know."""
        wall = _("edition {edition}, {fingerprint}").format(
            edition=self.hanging.edition, fingerprint=self.hanging.fingerprint
        )
        if not self.is_behind and self.hanging.fingerprint == self.fingerprint:
            return _("“{tree}” is as the book ({wall}).").format(tree=self.hanging.tree, wall=wall)
        now = _("edition {edition}, {fingerprint}").format(edition=self.edition, fingerprint=self.fingerprint)
        if not self.is_behind:
            return _("“{tree}” still says what the book says ({wall}; the book is now {now}).").format(
                tree=self.hanging.tree, wall=wall, now=now
            )
        told = [
            f"{word} {', '.join(map(str, steps))}"
            for word, steps in (
                (_("changed:"), self.changed),
                (_("new:"), self.new),
                (_("no longer there:"), self.gone),
            )
            if steps
        ]
        return _(
            "“{tree}” is behind the book ({wall}; the book is now {now}). Steps {listed}. Print it anew "
            "and take the old sheets down."
        ).format(tree=self.hanging.tree, wall=wall, now=now, listed="; ".join(told))


def mark_of(chart: Chart) -> str:
    """Return the mark of a chart: letters that need no escaping in a PDF."""
    steps = " ".join(f"{box.no}:{_digest(box)}" for box in chart.boxes)
    fields = (quote(chart.tree, ""), quote(chart.edition, ""), quote(chart.fingerprint, ""), spoken(), steps)
    return ";".join((_NAME, *fields))


def read_mark(path: Path) -> Hanging:
    """Return the mark in a file; PaperError if it can't be read or carries none."""
    try:
        with path.open("rb") as file:
            data = file.read(_MOST_BYTES)
    except OSError as error:
        raise PaperError(_("{path} can't be read: {strerror}.").format(path=path, strerror=reason_of(error))) from None
    found = _MARK.search(data)
    fields = found[1].decode("ascii", "replace").split(";") if found else []
    if len(fields) != 5:
        raise PaperError(
            _(
                "{path} is no PDF chart of this program, or another program saved it anew and dropped its "
                "mark. Compare the fingerprint in its title block with that of a fresh print."
            ).format(path=path)
        )
    pairs = (step.partition(":") for step in fields[4].split())
    steps = {int(no): digest for no, _other, digest in pairs if no.isdecimal() and len(no) < 10}
    return Hanging(unquote(fields[0]), unquote(fields[1]), unquote(fields[2]), fields[3], steps)


def compare(hanging: Hanging, book: Book) -> Comparison:
    """Hold a chart on the wall against a book."""
    with speaking(hanging.spoken):  # a wall in another language of the program is not behind for that
        boxes = chart_of(book, hanging.tree).boxes if hanging.tree in book.trees else ()
        now = {box.no: _digest(box) for box in boxes}
    return Comparison(
        hanging,
        book.edition,
        book.fingerprint,
        changed=tuple(no for no, digest in now.items() if hanging.steps.get(no, digest) != digest),
        new=tuple(no for no in now if no not in hanging.steps),
        gone=tuple(no for no in hanging.steps if no not in now),
    )


def _digest(box: Box) -> str:
    """Return a few letters that change when anything changes that the book says at this step."""
    rows = [(row.label, row.target, row.kind) for row in box.rows]
    hazards = [(hazard.grade, hazard.word) for hazard in box.hazards]
    said = [box.no, box.kind, box.text, box.lines, rows, hazards, box.marks()]
    return hashlib.sha256(json.dumps(said, ensure_ascii=False).encode()).hexdigest()[:_DIGITS]
