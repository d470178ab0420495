"""Records of the core turned into styled text: pure functions, no widgets, no markup.

Texts of a book, a job or a file are data: they only ever pass through `Content`, which parses nothing.
"""

from __future__ import annotations

from collections.abc import Sequence

from textual.content import Content

from trees.book.model import Caution
from trees.book.words import GRADES, NOT_DONE
from trees.language import _
from trees.walk import Question, TrailItem
from trees.walk.judge import BandEdges
from tui.literal import MUTED as MUTED  # noqa: PLC0414 - given on to all who draw
from tui.literal import hung as hung  # noqa: PLC0414 - given on to all who draw
from tui.literal import plain as plain  # noqa: PLC0414 - given on to all who draw
from tui.literal import say as say  # noqa: PLC0414 - given on to all who draw

GRADE_STYLE = {"DANGER": "bold $text on $error", "WARNING": "bold $background on $warning", "CAUTION": "bold $warning"}


def lines(parts: Sequence[Content]) -> Content:
    """Join lines."""
    return Content("\n").join(parts)


def heading(question: Question, *, field: bool = False) -> Content:
    """
    Return the step's number, its minutes and the tree's title, over the question.

    Aside of the tree it says which key goes back; in a field that key would be typed, so Esc comes first.
    """
    parts: list[Content | tuple[str, str]] = []
    if question.no is not None:
        parts.append((f" {question.no} ", "bold reverse"))
    if question.aside:
        parts.append((_(" aside "), "bold reverse"))
    if question.minutes:
        parts.append((_("  {minutes:g} min").format(minutes=question.minutes), MUTED))
    if question.kind == "gate":
        parts.append((_("  Safety first"), "bold $warning"))
    elif question.aside:
        back = _("Esc, g") if field else "g"
        parts += [("  ", ""), (f" {back} ", "bold reverse"), (_(" to the tree"), MUTED)]
    elif question.tree is not None:
        parts.append((f"  {plain(question.tree.title)}", MUTED))
    return Content.assemble(*parts)


def cautions(question: Question, seen: frozenset[str], *, phone: bool) -> Content:
    """
    Return the cautions before the act: unread DANGER in full and alone, with the key that says it was read.

    Once that is read, what is new in this job stands in full and the rest by name.
    """
    unread = {caution.id for caution in question.unread}
    full = [c for c in question.cautions if (c.id in unread if unread else c.id not in seen)]
    rows = [caution_line(caution, short=False, phone=phone) for caution in full]
    # each on its own line: side by side one would be broken behind its triangle
    rows += [caution_line(c, short=True, phone=phone) for c in question.cautions if c not in full]
    if unread:
        told = _(" Read this aloud, then press r") if phone else _(" Read this, then press r")
        rows.insert(0, Content.assemble((" r ", "bold reverse"), (told, "bold")))
    return lines(rows)


def caution_line(caution: Caution, *, short: bool, phone: bool) -> Content:
    """Return one caution: triangle, grade, hazard, text."""
    head = f" ▲ {GRADES[caution.grade]} · {plain(caution.word)} "
    if short:
        return Content.styled(head, GRADE_STYLE[caution.grade])
    text = caution.phone if phone and caution.phone else caution.text
    return Content.assemble((head, GRADE_STYLE[caution.grade]), " ", plain(text))


PAGE = 9
"""Answers on one page: each has its own digit."""


def options(
    question: Question,
    chosen: int | None,
    ticked: frozenset[str],
    *,
    page: int = 0,
    field: bool = False,
    turns: bool = True,
) -> Content:
    """
    Return the numbered answers of a page; a chosen one is marked and waits for Enter.

    While a field has the keys a digit is typed into it, so the keys are shown as what leads to them: Esc first.
    `turns`: Space turns the page; not while it confirms something.
    """
    rows = []
    before = _("Esc ") if field else ""
    for place, option in enumerate(question.options[page * PAGE : (page + 1) * PAGE]):
        index = page * PAGE + place
        if not question.takes(option):
            continue
        tick = ("[x] " if option.id in ticked else "[ ] ") if question.form == "tick" else ""
        stops = _("  ▲ stops the job") if option.stops else ""
        picked = index == chosen
        rows.append(
            Content.assemble(
                (f" {before}{place + 1} ", "bold $background on $accent" if picked else "bold reverse"),
                " ",
                (("▶ " if picked else "") + tick + plain(option.means), "bold" if picked else ""),
                (stops, "bold $danger"),
            )
        )
    pages = pages_of(question)
    if pages > 1:
        rows.append(
            Content.assemble(
                (_(" Space "), "bold reverse"),
                (_(" page {page} of {pages}, turns it").format(page=page + 1, pages=pages), MUTED),
            )
            if turns
            else say(_("         page {page} of {pages}").format(page=page + 1, pages=pages), MUTED)
        )
    if question.kind in {"gate", "check", "work", "rated"}:
        unknown = _(NOT_DONE) if question.kind == "work" else _("Cannot tell, not now")
        rows.append(Content.assemble((f" {before}0 ", "bold reverse"), (f" {unknown}", MUTED)))
    return lines(rows)


def pages_of(question: Question) -> int:
    """Return how many pages the answers fill."""
    return max(1, -(-len(question.options) // PAGE))


def ruler(edges: BandEdges, value: float | None, unit: str, width: int) -> Content:
    """Draw the bands on a line, the edges under it, and a marker where the value lies.

    The line spans the plausible range, or the edges with a margin where that is not known.
    """
    inner = [high for _band, _low, high in edges.bands if high is not None]
    low, high = edges.plausible or _span(inner)
    if value is not None:
        low, high = min(low, value), max(high, value)
    if high <= low or width < 12:
        return Content("")

    def column(x: float) -> int:
        return max(0, min(width - 1, round((x - low) / (high - low) * (width - 1))))

    bar = list("─" * width)
    under = [" "] * width
    for edge in inner:
        at = column(edge)
        bar[at] = "┼"
        label = f"{edge:.4g}"
        start = max(0, min(width - len(label), at - len(label) // 2))
        if all(under[i] == " " for i in range(max(0, start - 1), min(width, start + len(label) + 1))):
            under[start : start + len(label)] = label
    rows = []
    if value is not None:
        rows.append(say(" " * column(value) + "▼", "bold $accent"))
    rows += [say("".join(bar)), say(f"{''.join(under)}  {unit_shown(unit)}".rstrip(), MUTED)]
    return lines(rows)


def _span(edges: Sequence[float]) -> tuple[float, float]:
    if not edges:
        return 0.0, 1.0
    margin = max(0.25 * (max(edges) - min(edges)), 0.1 * abs(max(edges)), 1e-6)
    return min(edges) - margin, max(edges) + margin


def unit_shown(unit: str) -> str:
    """Return a unit of the book in our spelling; nothing for a plain number."""
    from graphviz_export.limits import unit_words

    return unit_words(unit).strip()


LIMITS = 20
"""Cells for the limits of a band, before what it means."""


def band_list(edges: BandEdges, unit: str, current: str, width: int = 80) -> Content:
    """Return the bands in words with their limits; the one that the reading falls into is marked. Words stay below."""
    rows = []
    measure = f" {unit_shown(unit)}".rstrip()
    for band, low, high in edges.bands:
        if high is None:
            limits = _("above {low:.4g}").format(low=low) if low is not None else _("any")
        else:
            limits = (
                _("up to {high:.4g}").format(high=high)
                if low is None
                else _("{low:.4g} to {high:.4g}").format(low=low, high=high)
            )
        here = band.id == current
        first = f"{limits}{measure}".ljust(LIMITS)
        means = say(band.means, "bold" if here else "")
        room = width - 2 - LIMITS
        words = means.wrap(room) if room >= LIMITS // 2 and means.cell_length > width - 2 - len(first) else [means]
        for at, part in enumerate(words):
            rows.append(
                Content.assemble(
                    ("▶ " if here and not at else "  ", "bold $accent"),
                    (" " * LIMITS if at else first, "bold" if here else MUTED),
                    part.rstrip(),
                )
            )
    return lines(rows)


def trail_line(item: TrailItem) -> Content:
    """Return one line of the trail, the answer first; what no longer counts is struck out and says why."""
    number = f"{item.step_no:>4} " if item.step_no is not None else "   · "
    asked, answered = plain(item.asked), plain(item.answered)
    if item.struck:
        return Content.assemble(
            (number, MUTED),
            (answered, "strike $foreground-muted"),
            (f" ({item.struck})  {asked}", MUTED),
        )
    otherwise = (_("≠ now read otherwise: "), "$warning") if item.reads_otherwise else ("", "")
    return Content.assemble((number, MUTED), otherwise, answered, (f"  {asked}", MUTED))


def bar(share: float, width: int) -> str:
    """Return a bar of eighths for a share of 0 to 1."""
    eighths = round(max(0.0, min(1.0, share)) * width * 8)
    full, rest = divmod(eighths, 8)
    return "█" * full + (" ▏▎▍▌▋▊▉"[rest] if rest else "")
