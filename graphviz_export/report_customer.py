"""The customer's page: what was wrong, why, what was done, what to do now; shortened until one page holds it.

Nothing is lost by shortening: the record behind the page has every text whole, and the page says what stands there.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from graphviz_export.report_records import IF_TRUE, Bar, ReadingRow, Report
from trees.book.words import END_NAMES, going_on
from trees.language import N_, Said, _, pgettext
from trees.walk.question import PLACE_NAMES

END_TELLS: Mapping[str, str] = Said(
    {
        "released": N_("The heater was released for use."),
        "not_released": N_("The heater was not released. It stays off until a workshop has put right what is open."),
        "to_workshop": N_("Leave the heater off. It goes to a workshop as it is."),
        "to_licensed": N_("Leave the heater off. What is left to do is for a licensed person."),
        "no_fault": N_("No fault was found. If it comes back, write down when and what you see, and call again."),
        "out_of_service": N_("Out of service: it must not be started again as it is."),
    }
)
"""Kind of end → what the customer is told to do."""


@dataclass(frozen=True, slots=True)
class BeforeAfter:
    """One reading before and after the repair."""

    what: str
    before: str
    after: str
    limits: str
    verdict: str


@dataclass(frozen=True, slots=True, kw_only=True)
class CustomerPage:
    """What stands on the one page for the customer."""

    complaint: str
    customer: str
    """Who it is for; empty where nobody said."""
    unit: str
    where: str
    """Place and day."""
    closed: str
    stop: str
    stop_lines: tuple[str, ...]
    wrong: tuple[str, ...]
    why: tuple[str, ...]
    done: tuple[str, ...]
    now: tuple[str, ...]
    readings: tuple[BeforeAfter, ...]
    run_hours: tuple[Bar, ...]
    moved: str = ""
    """What was shortened or left out here and stands whole in the record; empty if nothing was."""

    @property
    def facts(self) -> tuple[tuple[str, str], ...]:
        """What stands at the head of the page, each with its name."""
        return (
            (_("Complaint"), self.complaint),
            *(((_("Customer"), self.customer),) if self.customer else ()),
            (_("Unit"), self.unit),
            (_("Done"), self.where),
            (_("Result"), self.closed),
        )


@dataclass(frozen=True, slots=True)
class _Room:
    """How much may stand on the page."""

    rows: int
    letters: int
    readings: int


ROOMS = (
    _Room(12, 600, 14),
    _Room(8, 300, 12),
    _Room(7, 220, 10),
    _Room(6, 160, 8),
    _Room(5, 120, 6),
    _Room(4, 90, 4),
    _Room(3, 70, 3),
    _Room(2, 50, 2),
)
"""From roomy to tight; the last fits an A4 page whatever the texts are."""


_VALUE_LETTERS = 24


@dataclass(slots=True)
class _Cutter:
    """Shortens for one room and remembers what was shortened."""

    room: _Room
    moved: dict[str, None] = field(default_factory=dict)

    def line(self, text: str, name: str, most: int | None = None) -> str:
        flat, most = " ".join(text.split()), most or self.room.letters
        if len(flat) <= most:
            return flat
        self.moved[name] = None
        cut = flat[: most - 2]
        space = cut.rfind(" ")
        return f"{cut[:space] if space > most // 2 else cut} …"

    def lines(self, texts: Sequence[str], name: str, most: int | None = None) -> tuple[str, ...]:
        most = self.room.rows if most is None else most
        if len(texts) > most:
            self.moved[name] = None
        return tuple(self.line(text, name) for text in texts[:most])


def customer_pages(report: Report) -> tuple[CustomerPage, ...]:
    """Return the page for every room, the roomiest first; the first that one sheet holds is the one to print."""
    return tuple(_page(report, _Cutter(room)) for room in ROOMS)


def _page(report: Report, cutter: _Cutter) -> CustomerPage:
    rows = _before_after(report.readings)
    most = cutter.room.readings
    if len(rows) > most:
        cutter.moved[_(_("readings"))] = None
    wrong, why = _wrong_and_why(report)
    done = [f"{row.do} ({row.state})" if row.state != _("done") else row.do for row in report.work if row.done]
    if report.parts:
        done.append(_("Parts: {listed}.").format(listed=", ".join(report.parts)))
    page = CustomerPage(
        complaint=cutter.line(report.complaint, _("complaint")),
        customer=cutter.line(report.customer, _("customer")),
        unit=cutter.line(report.unit, _("unit")),
        where=cutter.line(f"{report.place}, {report.day}", _("place")),
        closed=cutter.line(report.closed, _("result")),
        stop=cutter.line(report.stop, _("stop")),
        stop_lines=cutter.lines(report.stop_lines, _("what to do after the stop"), max(5, cutter.room.rows)),
        wrong=cutter.lines(wrong, _("what was wrong")),
        why=cutter.lines(why, _("why")),
        done=cutter.lines(done or [_("No work was done.")], _("work done")),
        now=cutter.lines(_now(report), _("what to do now"), cutter.room.rows + 2),
        readings=tuple(
            BeforeAfter(
                cutter.line(r.what, _("readings")),
                cutter.line(r.before, _("readings"), _VALUE_LETTERS),
                cutter.line(r.after, _("readings"), _VALUE_LETTERS),
                cutter.line(r.limits, _("readings")),
                cutter.line(r.verdict, _("readings")),
            )
            for r in rows[:most]
        ),
        run_hours=tuple(
            Bar(cutter.line(bar.label, _("run hours")), cutter.line(bar.told, _("run hours")), bar.share)
            for bar in report.run_hours[: max(3, most)]
        ),
    )
    return _with_moved(page, cutter.moved)


def _with_moved(page: CustomerPage, moved: Mapping[str, None]) -> CustomerPage:
    from dataclasses import replace

    return replace(
        page,
        moved=_("Shortened here, whole in the record behind: {parts}.").format(parts=", ".join(moved)) if moved else "",
    )


def _wrong_and_why(report: Report) -> tuple[list[str], list[str]]:
    """Say what was broken, and by what: a root without consequences is itself what was wrong."""
    if report.consequences:
        wrong = [row.name for row in report.consequences]
        why = [_with_inside(row.name, row.inside) for row in report.roots]
    else:
        wrong = [row.name for row in report.roots]
        why = [row.inside or row.by for row in report.roots]
    why += [_("Perhaps also: {name} (pointed at, not proven)").format(name=row.name) for row in report.contributing]
    why += report.open_roots
    if not wrong:
        wrong = (
            [_("Nothing was proven: the job was stopped for safety.")]
            if report.stop
            else [_("Nothing was proven yet.")]
        )
        why += (
            [_("Pointed at, not proven: {name}").format(name=row.name) for row in report.hinted]
            if not report.contributing
            else []
        )
    return wrong, why or [_("The reason was not found.")]


def _with_inside(name: str, inside: str) -> str:
    return f"{name}. {inside}" if inside else name


def _now(report: Report) -> list[str]:
    end = report.closed.partition(".")[0]
    told = _("The job is still open; this page is not final.") if end == pgettext("job", "Open") else ""
    told = next((END_TELLS[kind] for kind, name in END_NAMES.items() if name == end and kind in END_TELLS), told)
    rows = [told] if told else []
    if report.starts_forbidden:
        rows.append(_("Do not start it: {reason}.").format(reason=going_on(report.starts_forbidden, report.language)))
    if report.place == PLACE_NAMES["phone"] and report.end_words:
        rows.append(report.end_words)
    if report.bring:
        rows.append(_("Please bring: {listed}.").format(listed=", ".join(report.bring)))
    rows += [
        _("{do} For {who}.").format(do=row.do, who=row.who)
        for row in report.work
        if not row.done and _(IF_TRUE) not in row.state
    ]
    return rows + list(report.advice)


def _before_after(readings: Sequence[ReadingRow]) -> list[BeforeAfter]:
    """Pair the readings before and after the repair: carbon monoxide, both, those after it, what was out of order."""
    pairs: dict[str, dict[str, ReadingRow]] = {}
    for row in readings:
        if row.limits or row.verdict:
            pairs.setdefault(row.what, {})[row.when] = row
    # Carbon monoxide, the one gas in ppm here, never gives way where the page is short: people breathe it.
    order = sorted(
        pairs.values(),
        key=lambda pair: (
            "after repair" not in pair or pair["after repair"].unit != "ppm",
            len(pair) < 2,
            "after repair" not in pair,
        ),
    )
    return [_pair(pair) for pair in order]


def _pair(pair: Mapping[str, ReadingRow]) -> BeforeAfter:
    before, after = pair.get("before"), pair.get("after repair")
    newest = after or before
    if newest is None:
        raise ValueError(_("a pair of readings holds at least one"))
    verdict = _("{verdict}, too close to call").format(verdict=newest.verdict) if newest.close_call else newest.verdict
    return BeforeAfter(
        newest.what, before.value if before else "–", after.value if after else "–", newest.limits, verdict
    )
