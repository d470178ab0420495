"""Beside the question: the suspects, roots and consequences apart, and what the last answer moved."""

from __future__ import annotations

import textwrap
from collections.abc import Mapping, Sequence

from textual.content import Content

from trees.language import _, pgettext
from trees.walk import Walk
from trees.walk.ranking import Suspect, apart, rank
from tui import draw
from tui.draw import MUTED
from tui.panels.quick_text import QuickText

MARKS = {"found": "●", "hinted": "○", "ruled_out": "✕"}
OUT = 11
"""Cells of per cent and bar, where a cause that was ruled out says so instead."""
SLIM = 26
"""Below so many the bar gives its room to the name; the number says the same."""


class SuspectsPanel(QuickText):
    """The causes, what was really found on top, then by probability; it keeps the ranking before the last answer."""

    answers: tuple[int, ...] = ()
    chances: Mapping[str, float] | None = None
    """As they are shown now; None before the first ranking."""
    before: Mapping[str, float] | None = None
    """As they were before the last answer."""
    walk: Walk | None = None
    """What is ranked."""

    def on_resize(self) -> None:
        """Fill the room that there is now."""
        if self.walk is not None:
            self.show(self.walk)

    def show(self, walk: Walk) -> None:
        """Rank, and show as many suspects as there is room for."""
        self.walk = walk
        suspects, trouble = rank(walk)
        if not trouble:
            self.keep(walk, {s.cause: s.probability for s in suspects if s.probability is not None})
        roots, consequences = apart(walk, suspects)
        width, height = max(20, self.size.width or 30), self.size.height or 10
        rows = panel_rows(roots, consequences, trouble, {} if trouble else self.moves(), width=width, height=height)
        self.update(draw.lines(rows), layout=False)  # its height is fixed

    def keep(self, walk: Walk, chances: Mapping[str, float]) -> None:
        """Note a new ranking; a note or a look at another screen leaves what the last answer moved in sight."""
        answers = tuple(given.no for given in walk.now.givens)
        if (answers, chances) != (self.answers, self.chances):
            self.answers, self.before, self.chances = answers, self.chances, chances

    def moves(self) -> Mapping[str, int]:
        """Return cause → points by which the last answer moved it, as the shown per cents differ."""
        if self.before is None or self.chances is None:
            return {}
        both = self.before.keys() & self.chances.keys()
        return {cause: points(self.chances[cause]) - points(self.before[cause]) for cause in both}


def points(probability: float) -> int:
    """Return a probability in whole per cent, as it is printed."""
    return round(100 * probability)


def per_cent(probability: float | None) -> str:
    """Return a probability in five cells; never 0 % or 100 % for what is not certain."""
    if probability is None:
        return "· "
    if 0.0 < probability < 0.005:
        return "<1 %"
    return ">99 %" if 0.995 < probability < 1.0 else f"{points(probability)} %"


def panel_rows(
    roots: Sequence[Suspect],
    consequences: Sequence[Suspect],
    trouble: str,
    moves: Mapping[str, int],
    *,
    width: int,
    height: int,
) -> list[Content]:
    """Return the lines of the panel: roots under the first heading, consequences under the second, never too many."""
    title = _("Suspects: roots")
    fitting = (
        more for more in (_("  several can be true at once"), _("  several at once"), "") if len(title + more) <= width
    )
    rows = [Content.assemble((title, "bold"), (next(fitting, ""), MUTED))]
    room = height - 1
    if trouble:
        rows.append(draw.say(trouble, "$warning"))
        room -= len(textwrap.wrap(draw.plain(trouble), width))
    room = max(2, room - (1 if consequences else 0))
    below = min(len(consequences), max(room // 3, room - len(roots)))
    rows += [line(suspect, moves.get(suspect.cause, 0), width) for suspect in roots[: room - below]]
    if below:
        rows.append(draw.say(_("Consequences"), "bold"))
        rows += [line(suspect, moves.get(suspect.cause, 0), width) for suspect in consequences[:below]]
    return rows


def line(suspect: Suspect, moved: int, width: int) -> Content:
    """
    Return one suspect: mark, per cent, bar, name, and by how many points the last answer moved it.

    What a look or a reading found or ruled out is said in words: it is no question of chance any more, whatever the
    answers about its signs would give.
    """
    mark = MARKS.get(suspect.state or "", " ")
    if suspect.state in {"found", "ruled_out"}:
        found = suspect.state == "found"
        told = pgettext("suspect", "found") if found else pgettext("suspect", "ruled out")
        return Content.assemble(
            (f"{mark} ", "bold"),
            (f"{told:<{OUT}.{OUT}}", "bold" if found else ""),
            (shortened(suspect.name, width - 2 - OUT), "bold" if found else "strike $foreground-muted"),
        )
    move = f" {'▲' if moved > 0 else '▼'}{abs(moved)}" if moved else ""
    bar = f"{draw.bar(suspect.probability or 0.0, 4):<4} " if width >= SLIM else ""
    name = shortened(suspect.name, width - 8 - len(bar) - len(move))
    return Content.assemble(
        (f"{mark} ", "bold"),
        f"{per_cent(suspect.probability):>5} ",
        (bar, "$accent"),
        name,
        (move, "$warning" if moved > 0 else MUTED),
    )


def shortened(name: str, room: int) -> str:
    """Return a name in so many cells, at least three."""
    name, room = draw.plain(name), max(3, room)
    return name if len(name) <= room else name[: room - 1] + "…"
