"""What closed jobs teach, as pages of text: pure functions of what was read, one page a question."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

from textual.content import Content

from trees.book.model import Book, Check
from trees.casebook.lessons import (
    RETURN_DAYS,
    Counted,
    Repeat,
    Told,
    first_visit,
    minutes_by_tree,
    pareto,
    repeats,
    wilson,
)
from trees.language import N_, _, ngettext
from tui.draw import MUTED, lines, plain, say
from tui.finding_jobs import idle_of
from tui.lesson_plots import LEGEND, axis, bar_of, range_bar, round_top, share_bar, top_of, visits

LEAST_JOBS = 10
"""With fewer jobs nothing is concluded, though it is shown: our own choice, no source."""
SOURCE = N_("Intervals: 95 %, score interval of E. B. Wilson, J. Am. Stat. Assoc. 22 (1927) 209.")
ONE_LINE = 100
"""Columns from which name, plot and numbers stand on one line."""
_NAME = 50


def page_causes(book: Book, jobs: Sequence[Told], width: int) -> Content:
    """Return the causes by how often they were found, with intervals and the running share."""
    counted = pareto(jobs)
    of = counted[0].of if counted else 0
    rows = [
        say(
            _("Causes found, the most frequent first: {of} of {n} closed jobs name one.").format(of=of, n=len(jobs)),
            "bold",
        )
    ]
    rows += _too_few(of)
    if not counted:
        return lines(rows)
    top = top_of(max(row.high for row in counted))
    table = _Table(width, (_("jobs"), _("of 100"), "95 %", _("running")), (5, 7, 10, 8))
    rows.append(table.head())
    rows += [line for row in counted for line in table.row(_cause(book, row.cause), _drawn(row, top), _numbers(row))]
    rows.append(table.axis(100 * top, _("of 100 jobs")))
    rows.append(
        say(
            _("{legend} Running: what this and all more frequent causes make of all that was found.").format(
                legend=_(LEGEND)
            ),
            MUTED,
        )
    )
    rows.append(say(_("A job may have several causes. {source}").format(source=_(SOURCE)), MUTED))
    return lines(rows)


def page_repeats(book: Book, jobs: Sequence[Told], width: int) -> Content:
    """Return the units that came back, with the days between their visits."""
    units = {job.serial for job in jobs if job.serial}
    again = repeats(jobs)
    low, high = wilson(len(again), len(units))
    rows = [
        say(_("Units that came back: {n} of {all} with a serial number.").format(n=len(again), all=len(units)), "bold")
    ]
    rows += _too_few(len(units), _("units"))
    if units:
        share = _("{n:.0f} of 100, 95 % interval {interval}.").format(
            n=100 * len(again) / len(units), interval=_span(low, high)
        )
        rows.append(say(f"{share} {_(SOURCE)}", MUTED))
    missing = sum(not job.serial for job in jobs)
    if missing:
        rows.append(
            say(
                _("{missing} closed jobs have no serial number and can't be told to come back.").format(
                    missing=missing
                ),
                MUTED,
            )
        )
    longest = max((sum(max(0.0, gap) for gap in row.days) for row in again), default=0.0)
    for row in again:
        rows += [Content(""), *_unit(book, row, longest, width)]
    if again:
        rows += [
            Content(""),
            say(_("One dot a visit; the line spans {longest:.0f} days.").format(longest=longest), MUTED),
        ]
    return lines(rows)


def page_first_visit(_book: Book, jobs: Sequence[Told], width: int) -> Content:
    """Return how many of 100 settled jobs were cured at the first visit."""
    rate = first_visit(jobs)
    rows = [
        say(_("Cured at the first visit: {cured} of {of} settled jobs.").format(cured=rate.cured, of=rate.of), "bold"),
        *_too_few(rate.of),
    ]
    if rate.of:
        room = min(width, 72) - 2
        rows += [
            Content(""),
            Content.assemble(
                (_(" {per_100:.0f} of 100 ").format(per_100=rate.per_100), "bold reverse"),
                _("   95 % interval {low:.0f} to {high:.0f}").format(low=rate.low, high=rate.high),
            ),
            Content(""),
            say(" " + share_bar(rate.per_100, rate.low, rate.high, 100.0, room - 14), "$accent"),
            say(" " + axis(100, room - 14, _("of 100 jobs")), MUTED),
            Content(""),
            say(_(LEGEND), MUTED),
        ]
    rows.append(
        say(
            _(
                "Settled: closed as released or settled by phone. Not cured at the first visit: reopened, or "
                "the same unit was opened again within {RETURN_DAYS} days (common practice, no source)."
            ).format(RETURN_DAYS=RETURN_DAYS),
            MUTED,
        )
    )
    blind = sum(not job.serial for job in jobs)
    if blind:
        rows.append(
            say(
                _("{blind} closed jobs have no serial number; that their unit came back can't be known.").format(
                    blind=blind
                ),
                MUTED,
            )
        )
    rows.append(say(_(SOURCE), MUTED))
    return lines(rows)


def page_minutes(book: Book, jobs: Sequence[Told], width: int) -> Content:
    """Return what the jobs of each complaint took."""
    trees = minutes_by_tree(jobs)
    rows = [say(_("Minutes per complaint, by the book's minutes of what was done."), "bold")]
    if not trees:
        return lines([*rows, *_too_few(0)])
    top = round_top(max(row.highest for row in trees))
    table = _Table(width, (_("jobs"), _("median"), _("range")), (5, 8, 13))
    rows.append(table.head())
    for row in trees:
        name = book.trees[row.tree].title if row.tree in book.trees else row.tree
        few = "△ " if row.jobs < LEAST_JOBS else ""
        rows += table.row(
            name,
            lambda room, row=row: range_bar(row.lowest, row.median, row.highest, top, room),  # type: ignore[misc]
            (
                f"{few}{row.jobs}",
                f"{row.median:.0f}",
                _("{lowest:.0f} to {highest:.0f}").format(lowest=row.lowest, highest=row.highest),
            ),
        )
    rows.append(table.axis(top, "min"))
    told = _("● the median job, ├ ┤ the shortest and the longest. △ less than {least} jobs: too few to say.").format(
        least=LEAST_JOBS
    )
    rows.append(say(told, MUTED))
    return lines(rows)


def page_idle(book: Book, jobs: Sequence[Told], width: int) -> Content:
    """Return the checks that never changed anything, those that cost most minutes first."""
    idle = idle_of(book, jobs, LEAST_JOBS)
    rows = [
        say(
            _("Checks that never changed anything, asked in {least} jobs or more.").format(least=LEAST_JOBS),
            "bold",
        )
    ]
    if not idle:
        told = _("Every check that was asked so often changed something.") if len(jobs) >= LEAST_JOBS else ""
        return lines([*rows, *_too_few(len(jobs)), *([say(told)] if told else [])])
    top = round_top(max(row.minutes for row in idle))
    table = _Table(width, (_("asked"), "min", _("may yet")), (6, 7, 12))
    rows.append(table.head())
    for row in idle:
        check = book.checks.get(row.check)
        rows += table.row(
            check.wording if check else row.check,
            lambda room, row=row: bar_of(row.minutes, top, room),  # type: ignore[misc]
            (f"{row.asked}", f"{row.minutes:.0f}", _("0 to {value:.0f}").format(value=100 * wilson(0, row.asked)[1])),
            below=_("always: {check}").format(check=_means(check, row.answer)),
        )
    rows.append(table.axis(top, _("minutes spent")))
    rows.append(say(_("May yet: in so many of 100 more jobs it may change something after all. ") + _(SOURCE), MUTED))
    rows.append(say(_("A check that keeps people safe changes nothing on most days: no reason to drop it."), MUTED))
    return lines(rows)


PAGES: Mapping[str, Callable[[Book, Sequence[Told], int], Content]] = {
    N_("Causes"): page_causes,
    N_("Repeats"): page_repeats,
    N_("First visit"): page_first_visit,
    N_("Minutes"): page_minutes,
    N_("Idle checks"): page_idle,
}
"""The pages by their names, in the order in which they are turned."""


@dataclass(frozen=True, slots=True)
class _Table:
    """Lines of name, plot and numbers; in a narrow window the name has a line of its own."""

    width: int
    titles: tuple[str, ...]
    least: tuple[int, ...]
    """Columns that each number takes at least; a longer title, in another language, takes more."""

    @property
    def columns(self) -> tuple[int, ...]:
        """Columns of each number, with a gap before its title."""
        return tuple(max(least, len(title) + 2) for title, least in zip(self.titles, self.least, strict=True))

    @property
    def name(self) -> int:
        """Columns of the name; 0 where it stands on its own line."""
        return 0 if self.width < ONE_LINE else _NAME

    @property
    def room(self) -> int:
        """Columns of the plot."""
        return max(8, self.width - self.name - sum(self.columns) - 1)

    def head(self) -> Content:
        """Return the titles of the numbers."""
        told = "".join(f"{title:>{columns}}" for title, columns in zip(self.titles, self.columns, strict=True))
        return say(" " * (self.name + self.room) + told, MUTED)

    def row(self, name: str, draw: Callable[[int], str], numbers: Sequence[str], below: str = "") -> Sequence[Content]:
        """Return one row on one line or two, and what stands below it."""
        told = "".join(f"{number:>{columns}}" for number, columns in zip(numbers, self.columns, strict=True))
        drawn = (f"{draw(self.room):<{self.room}}", "$accent")
        shown = " ".join(plain(name).split())
        under = [say(f"  {' '.join(below.split())}", MUTED)] if below else []
        if not self.name:
            return [say(shown, "bold"), Content.assemble(drawn, told), *under]
        if len(shown) >= self.name:
            shown = shown[: self.name - 2] + "…"
        return [Content.assemble((f"{shown:<{self.name}}", "bold"), drawn, told), *under]

    def axis(self, top: float, unit: str) -> Content:
        """Return the numbers under the plots."""
        return say(" " * self.name + axis(top, self.room, unit), MUTED)


def _numbers(row: Counted) -> tuple[str, ...]:
    return f"{row.jobs}", f"{100 * row.share:.0f}", _span(row.low, row.high), f"{100 * row.running:.0f} %"


def _drawn(row: Counted, top: float) -> Callable[[int], str]:
    return lambda room: share_bar(row.share, row.low, row.high, top, room)


def _unit(book: Book, row: Repeat, longest: float, width: int) -> Sequence[Content]:
    told = row.jobs[0] + "".join(f" ─ {days:.0f} d ─ {job}" for job, days in zip(row.jobs[1:], row.days, strict=True))
    names = "; ".join(_cause(book, cause) for cause in row.causes)
    causes = (
        say(_("  the same cause again: {names}").format(names=names), "$warning")
        if names
        else say(_("  no cause was found twice"), MUTED)
    )
    return [
        Content.assemble(
            (plain(row.serial), "bold"),
            (ngettext("  {n} visit", "  {n} visits", len(row.jobs)).format(n=len(row.jobs)), MUTED),
        ),
        say("  " + visits(row.days, longest, max(8, width - 4)), "$accent"),
        say(f"  {told}"),
        causes,
    ]


def _too_few(jobs: int, what: str = "") -> list[Content]:
    if jobs >= LEAST_JOBS:
        return []
    return [
        say(
            _(" △ Too few {what} to say: {jobs} of at least {least}. ").format(
                what=what or _("jobs"), jobs=jobs, least=LEAST_JOBS
            ),
            "bold $warning",
        )
    ]


def _span(low: float, high: float) -> str:
    return _("{low:.0f} to {high:.0f}").format(low=100 * low, high=100 * high)


def _cause(book: Book, cause: str) -> str:
    return book.causes[cause].name if cause in book.causes else cause


def _means(check: Check | None, answer: str) -> str:
    """Return an answer, or the ticked ones, in the book's words."""
    known = {one.id: one.means for one in (*check.routes(), *check.items)} if check else {}
    ids = [part for part in answer.split("+") if part]
    return ", ".join(known.get(part, part) for part in ids) or _("nothing ticked")
