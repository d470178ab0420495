"""Counted shares and links as text: what the author wrote, what was counted, the interval, and where they conflict."""

from __future__ import annotations

from collections.abc import Sequence

from textual.content import Content

from trees.book.model import Book
from trees.casebook.lessons import wilson
from trees.language import _, ngettext
from trees.suspects.links import LinkSeen
from trees.suspects.recount import HALF_LIFE_YEARS, LEVEL, PRIOR_JOBS, Recounted
from tui.draw import MUTED, lines, plain, say
from tui.lesson_plots import NEW, OLD, OLD_AND_NEW, axis, old_and_new, top_of
from tui.panels.lessons import LEAST_JOBS, SOURCE
from tui.recounting import Count

REST, WRITE = "…rest", "…write"
"""Ids of the lines that are no cause; no id of a book holds such a dot."""
_INDENT = "    "


def share_row(book: Book, row: Recounted, taken: bool, top: float, width: int) -> Content:
    """Return one share on three lines: cause, numbers, and both on the interval; all lines share one axis."""
    room = max(20, min(60, width - len(_INDENT) - 8))
    numbers = _("author {author} → {share} of 100 ({low} to {high}); {seen} of {jobs} jobs").format(
        author=_of_100(row.author),
        share=_of_100(row.share),
        low=_of_100(row.low),
        high=_of_100(row.high),
        seen=_count(row.seen),
        jobs=_count(row.jobs),
    )
    drawn = old_and_new(row.author, row.share, (row.low, row.high), top, room)
    return lines(
        [
            Content.assemble(
                ("[x] " if taken else "[ ] ", "bold"),
                (_("≠ conflict  ") if row.conflict else "", "bold $warning"),
                (" ".join(plain(book.causes[row.cause].name).split()), "bold"),
            ),
            say(_INDENT + numbers),
            Content.assemble(_INDENT, (f"{drawn:<{room}}", "$accent"), (f"┊{100 * top:g}", "")),
        ]
    )


def common_top(rows: Sequence[Recounted]) -> float:
    """Return the end of the axis that holds all of them."""
    return top_of(max((max(row.author, row.high) for row in rows), default=1.0))


def rest_row(rest: Sequence[Recounted], taken: bool) -> Content:
    """Return the line of all causes that no job had."""
    times = rest[0].share / rest[0].author
    what = ngettext("1 cause", "{n} causes", len(rest)).format(n=len(rest))
    return Content.assemble(
        ("[x] " if taken else "[ ] ", "bold"),
        (_("{what} that no job had: each {times:.2f} times as often").format(what=what, times=times), ""),
    )


def write_row(taken: int) -> Content:
    """Return the last line: what Enter writes there."""
    if not taken:
        return say(_("    Nothing is taken yet: Enter on a line takes it."), MUTED)
    return say(
        ngettext(
            "  ▶ Write the share taken into a file …", "  ▶ Write the {n} shares taken into a file …", taken
        ).format(n=taken),
        "bold",
    )


def shares_note(count: Count) -> Content:
    """Return what the numbers rest on, and whether there are too few jobs."""
    if not count.jobs:
        return say(_("No closed job says which cause it had; there is nothing to count."), "bold $warning")
    few = (
        _("△ Too few jobs to say: {jobs} of at least {least}. ").format(jobs=count.jobs, least=LEAST_JOBS)
        if count.jobs < LEAST_JOBS
        else ""
    )
    conflict = _("≠ conflict: the jobs contradict the author. ") if any(row.conflict for row in count.spoken) else ""
    told = _(
        "{old} the author, {new} the count, ├ ┤ {level:.0%} of its beta distribution. {conflict}The "
        "author's share is worth {prior_jobs:g} jobs; a job counts half after {half_life:g} "
        "years, and half without a cure."
    ).format(old=OLD, new=NEW, level=LEVEL, conflict=conflict, prior_jobs=PRIOR_JOBS, half_life=HALF_LIFE_YEARS)
    return Content.assemble((few, "bold $warning"), (told.replace("%", " %"), MUTED))


def links_page(book: Book, count: Count, width: int) -> Content:
    """Return how often causes showed their signs, beside the author's word."""
    jobs = ngettext("1 closed job", "{n} closed jobs", count.single).format(n=count.single)
    rows = [
        say(
            _("How often a cause showed its signs: {jobs} with one cause, confirmed by a cure.").format(jobs=jobs),
            "bold",
        ),
        say(_("Only signs that were asked for count: a biased sample that names links worth a look."), MUTED),
    ]
    if not count.links:
        return lines([*rows, Content(""), say(_("△ Too few jobs to say: no link was seen yet."), "bold $warning")])
    room = max(20, min(60, width - 8))
    for row in count.links:
        rows += [Content(""), *_link(book, row, room)]
    rows += [say(axis(100, room, _("of 100")), MUTED), Content("")]
    rows.append(
        say(
            _("{legend} The author's chance includes the sign's showing unprompted. {source}").format(
                legend=_(OLD_AND_NEW), source=_(SOURCE)
            ),
            MUTED,
        )
    )
    return lines(rows)


def _link(book: Book, row: LinkSeen, room: int) -> Sequence[Content]:
    few = _("  △ too few to say") if row.asked < LEAST_JOBS and not row.conflict else ""
    flag = _("  ≠ conflict") if row.conflict else ""
    names = f"{book.causes[row.cause].name} → {book.signs[row.sign].name}"
    word = row.word.replace("_", " ")
    return [
        say(" ".join(names.split()), "bold"),
        Content.assemble(
            _("{word} ({expected} of 100), seen in {seen} of {asked}").format(
                word=plain(word), expected=_of_100(row.expected), seen=row.seen, asked=row.asked
            ),
            (flag, "bold $warning"),
            (few, "$warning"),
        ),
        say(old_and_new(row.expected, row.seen / row.asked, wilson(row.seen, row.asked), 1.0, room), "$accent"),
    ]


def _of_100(share: float) -> str:
    return f"{100 * share:.0f}" if share >= 0.0995 else f"{100 * share:.1f}"


def _count(number: float) -> str:
    return f"{number:.0f}" if number >= 100 or abs(number - round(number)) < 0.05 else f"{number:.1f}"
