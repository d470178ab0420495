"""The bench on the job screen: the intake of a unit that came alone, and the instruments of the day."""

from __future__ import annotations

import asyncio
from collections.abc import Sequence

from textual import work

from trees.book.model import Check
from trees.book.words import UNKNOWN
from trees.errors import SootlineError
from trees.language import _
from trees.walk import Walk
from tui.instruments import instrument_for
from tui.screens.choose import ChooseCard
from tui.screens.job_facts import JobFacts
from tui.screens.tick import TickCard
from tui.settings import Instrument
from tui.settings_file import save_settings

ALL, SERIAL, FAMILY = ":all", ":serial", ":family"
"""Lines of the intake's list that are no checks."""


class JobBench(JobFacts):
    """The part of the job screen that takes a unit in and knows the instruments."""

    intake: tuple[str, ...] = ()
    """Facts that are still to be asked, one after the other."""

    @work
    async def action_intake(self) -> None:
        """Ask the facts of a unit that came alone, in the order in which the bench can see them."""
        facts = facts_of(self.walk)
        rows = rows_of(self.walk, facts)
        chosen = await self.app.push_screen_wait(ChooseCard(_("Intake: what can be told of the unit?"), rows))
        if chosen is None:
            return
        if chosen == SERIAL:
            self.action_serial()
        elif chosen == FAMILY:
            self.action_family()
        else:
            wanted = [c.id for c in facts if not told_of(self.walk, c)] if chosen == ALL else [chosen]
            self.intake = tuple(wanted)
            await self.next_fact()

    async def next_fact(self) -> None:
        """Ask the next fact of the intake; at its end the tree goes on."""
        if not self.intake or self.walk.now.aside is not None:
            return
        fact, self.intake = self.intake[0], self.intake[1:]
        left = self.intake
        await self.take(lambda: self.walk.leave_for(fact))
        asked = self.walk.question.check
        self.intake = left if asked is not None and asked.id == fact else ()

    async def action_return_to_tree(self) -> None:
        """Go back to the tree without making the check; an intake ends with it."""
        self.intake = ()
        await super().action_return_to_tree()

    # ── instruments ─────────────────────────────────────────────────────────

    def instrument(self) -> Instrument | None:
        """Return what the reading that is asked now is taken with; None where nobody chose one, and by phone."""
        workshop = self.sootline.workshop
        if self.walk.now.place == "phone":
            return None
        check = self.walk.question.check
        units = [self.walk.question.unit, *(f.unit for f in check.readings)] if check is not None else []
        found = (instrument_for(workshop.settings, workshop.today(), unit) for unit in units if unit)
        return next((each for each in found if each is not None), None)

    def ask_instruments_once(self) -> None:
        """At the first reading of the day ask what is measured with today; a dropped card is not shown again."""
        workshop = self.sootline.workshop
        today = workshop.today()
        wanted = self.walk.question.form in {"reading", "readings"} and self.walk.question.kind == "check"
        known = not workshop.settings.instruments or workshop.settings.instruments_on(today) is not None
        if wanted and not known and self.walk.now.place != "phone" and workshop.instruments_asked != today:
            workshop.instruments_asked = today
            self.action_instruments()

    @work
    async def action_instruments(self) -> None:
        """Choose the instruments of the day; each reading keeps which one it was taken with and its uncertainty."""
        workshop = self.sootline.workshop
        settings = workshop.settings
        lines = {each.name: f"{each.name}, ± {each.uncertainty:g} {each.unit}" for each in settings.instruments}
        if not lines:
            self.tell(_("No instrument stands in the settings; F9 on the day list types them in."))
            return
        ticked = await self.app.push_screen_wait(
            TickCard(_("Which instruments are used today?"), lines, settings.chosen)
        )
        if ticked is None:
            return
        try:
            new = await asyncio.to_thread(lambda: save_settings(chosen=ticked, chosen_on=workshop.today()))
        except SootlineError as error:
            self.tell(str(error), wrong=True)
            return
        self.sootline.take_settings(new)
        self.show_walk()

    def show_walk(self) -> None:
        """Draw the walk."""
        raise NotImplementedError


def facts_of(walk: Walk) -> Sequence[Check]:
    """Return the facts of the intake that this place can tell, in the order in which the bench can see them."""
    now = walk.now
    fitting = [c for c in walk.book.checks.values() if c.intake and now.place in c.place and now.unit.fits(c.applies)]
    return sorted(fitting, key=sight)


def sight(check: Check) -> tuple[bool, int, int]:
    """Return when the bench can see a fact: outside before inside, then looked at, read off, measured, told."""
    order = {"look": 0, "measure": 1, "figure": 2, "ask": 3, "tick": 3}
    return check.inside, order[check.form], len(check.needs)


def told_of(walk: Walk, check: Check) -> str:
    """Return what a job knows of a fact; empty if nothing."""
    given = walk.now.known.of(check.id) if walk.now.known is not None else None
    if given is None or given.answer == UNKNOWN:
        return ""
    return ": ".join(part for part in (given.told, given.means) if part) or _("none of these")


def rows_of(walk: Walk, facts: Sequence[Check]) -> list[tuple[str, str]]:
    """Return (id, line) of the intake's list: what is open in one go, the plate, then each fact with what is known."""
    family = walk.now.unit.family
    left = sum(1 for check in facts if not told_of(walk, check))
    rows = [(ALL, _("All that is open, one after the other ({left})").format(left=left))] if left else []
    rows.append((SERIAL, _("Serial number on the plate{serial}").format(serial=_told(walk.now.beside.serial))))
    rows.append((FAMILY, _("Class of unit{name}").format(name=_told(family.name if family else ""))))
    return [*rows, *((check.id, f"{check.wording}{_told(told_of(walk, check))}") for check in facts)]


def _told(told: str) -> str:
    return f"  = {told}" if told else _("  (open)")
