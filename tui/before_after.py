"""The readings before the repair beside those after it, each with its limits and its verdict. Pure."""

from __future__ import annotations

from dataclasses import dataclass

from textual.content import Content

from graphviz_export.report_readings import reading_rows
from graphviz_export.report_records import ReadingRow
from trees.book.problems import cells
from trees.language import _
from trees.walk import Walk
from tui import draw
from tui.draw import MUTED
from tui.tree_map import cut

NAME = 40
"""Cells for what was measured, if there is room for more than the readings and their limits."""


@dataclass(frozen=True, slots=True)
class Pair:
    """One thing that was measured: before the repair, after it, or both."""

    what: str
    before: ReadingRow | None
    after: ReadingRow | None

    @property
    def limits(self) -> str:
        """The limits by which the newer reading was judged."""
        newer = self.after or self.before
        return newer.limits if newer is not None else ""


def pairs_of_readings(walk: Walk) -> tuple[Pair, ...]:
    """Return what was measured after the repair or twice, in the order of the first reading; the last one counts."""
    rows: dict[str, dict[str, ReadingRow]] = {}
    for row in reading_rows(walk):
        rows.setdefault(row.what, {})[row.when] = row
    pairs = (Pair(what, whens.get("before"), whens.get("after repair")) for what, whens in rows.items())
    return tuple(pair for pair in pairs if pair.after is not None)


def table(pairs: tuple[Pair, ...], width: int) -> list[Content]:
    """Return the pairs side by side in `width` cells; under each the verdicts in words, and long limits."""
    if not pairs:
        return []
    column = max(9, min(16, (width - 22) // 4))
    spare = width - 2 * column - 4 - NAME  # a name gives way to limits: half of them would mislead
    last = max(column, min(spare, max(cells(draw.plain(pair.limits)) for pair in pairs)))
    first = max(12, width - 2 * column - last - 4)
    columns = (column, column, last)
    words = (_("before"), _("after"), _("limits"))
    head = " ".join([_fill("", first), *map(_fill, words, columns)])
    rows = [Content.styled(cut(head, width), MUTED)]
    for pair in pairs:
        fits = cells(draw.plain(pair.limits)) <= last
        values = (
            pair.before.value if pair.before else "–",
            pair.after.value if pair.after else "–",
            (pair.limits or "–") if fits else _("below"),
        )
        line = " ".join([_fill(pair.what, first), *map(_fill, values, columns)])
        rows.append(draw.say(line.rstrip()))
        if not fits:
            rows.append(draw.say(_("   limits: {limits}").format(limits=pair.limits), MUTED))
        verdicts = [
            f"{when}: {row.verdict}"
            for when, row in ((_("before"), pair.before), (_("after"), pair.after))
            if row and row.verdict
        ]
        if verdicts:
            rows.append(draw.say(f"   {';  '.join(verdicts)}", MUTED))
    return rows


def _fill(text: str, width: int) -> str:
    shown = cut(draw.plain(text), width)
    return shown + " " * max(0, width - cells(shown))
