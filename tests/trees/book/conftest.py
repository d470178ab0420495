"""A tiny valid book in a throw-away folder, and a way to break it in one place that is marked in the text itself."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import pytest

from trees.book import Checked, Problem, check_book

FILES = {
    "book.yaml": """\
title: A tiny book
edition: "1"
language: en
reviewed: "2026-11-25"
words: {usually: 0.8, often: 0.55, rarely: 0.08}
tools: {multimeter: Multimeter, torch: Torch}
caller_may: {listen: Listen, look_outside: Look from outside}
start_limit: {bench: 6, site: 4, phone: 2}
source: memory
""",
    "families.yaml": """\
source: practice
air_12:
  name: Air heater, 12 V
  medium: air
  voltage: 12
  outputs: {low: 0.8, high: 2.0}
  rated: {dose: {value: 6.6, unit: ml}, gap_max: {value: 0.4, unit: mm}}
air_24:
  name: Air heater, 24 V
  medium: air
  voltage: 24
  outputs: {low: 0.8, high: 2.0}
  rated: {dose: {value: 6.6, unit: ml}, gap_max: {value: 0.5, unit: mm}}
""",
    "signs.yaml": """\
smoke_stays: {name: Smokes on and on}
coke: {name: Coke on the insert, levels: [none, light, hard], unprompted: {light: 0.03, hard: 0.01}, source: memory}
volts_low: {name: Too few volts}
dose_low: {name: Delivers too little, excludes: [dose_high]}
dose_high: {name: Delivers too much}
""",
    "causes.yaml": """\
insert_coked:
  name: Burner insert coked
  kind: consequence
  lives: unit
  share: 14
  shows: {smoke_stays: often, coke: {light: often, hard: 0.25}}
  fixes: [replace_insert]
cable_thin:
  name: Supply cable too thin
  kind: root
  lives: installation
  share: 6
  shows: {volts_low: usually}
  leads_to: [insert_coked]
dosing_wrong:
  name: Dosing pump wears
  kind: both
  lives: unit
  share: 5
  shows: {dose_low: usually, dose_high: rarely}
source: memory
""",
    "cautions.yaml": """\
exhaust_gas:
  word: Exhaust gas
  grade: DANGER
  text: Run it in the open only.
  stop_line: Everybody out.
  then: [Leave the doors open, Call for help]
hot_parts: {word: Hot parts, grade: WARNING, text: Let it cool down first.}
""",
    "fixes.yaml": """\
replace_insert:
  do: Replace the burner insert
  minutes: 45
  cures: [insert_coked]
  who: technician
  cautions: [hot_parts]
  needs: [torch]
""",
    "gate.yaml": """\
alarm:
  no: 1
  ask: Does an alarm sound right now?
  answers:
    - {id: no, means: No}
    - {id: yes, means: It sounds now, stop: exhaust_gas}
  unknown: yes
alarm_before:
  no: 2
  ask: Did an alarm ever sound with it?
  answers:
    - {id: no, means: No}
    - {id: yes, means: Earlier, forbids_starts: true, opens: gas_before}
  unknown: yes
""",
    "checks/burner.yaml": """\
smoke:
  look: How long does it smoke after it lights?
  phone: Tell me when the smoke has gone.
  uses_start: true
  cautions: [exhaust_gas]
  acts: [look_outside]
  answers:
    - {id: short, means: Less than two minutes, says: {smoke_stays: no}}
    - {id: stays, means: It never clears, says: {smoke_stays: yes}}
insert:
  look: What is on the burner insert?
  place: [bench]
  inside: true
  needs: [torch]
  answers:
    - {id: clean, means: Clean, says: {coke: none}, rules_out: [insert_coked]}
    - {id: coked, means: Coked, says: {coke: hard}, finds: [insert_coked]}
gap:
  measure: Gap between impeller and housing
  place: [bench, site]
  unit: mm
  plausible: [0, 3]
  source: practice
  bands:
    - {upto: 0.2, id: rubbing, means: Rubbing}
    - {upto: family.gap_max, id: good, means: As it should be}
    - {above: family.gap_max, id: wide, means: Too wide}
habits:
  tick: What is true of how it is used?
  items:
    - {id: low, means: Nearly always on low, hints: [insert_coked], else: {coke: none}}
    - {id: none, means: None of these, alone: true}
""",
    "checks/supply.yaml": """\
source: practice
loaded:
  measure: Voltage at the plug while the pin glows
  place: [bench, site]
  unit: V
  plausible: [6, 32]
  bands:
    - {upto: {12: 11.5, 24: 23.0}, id: low, means: Too low, says: {volts_low: yes}, finds: [cable_thin]}
    - {above: {12: 11.5, 24: 23.0}, id: good, means: Good, says: {volts_low: no}, rules_out: [cable_thin]}
hours:
  measure: Run hours at each step
  place: [bench, site]
  readings: {low: {unit: h}, high: {unit: h}}
low_share:
  figure: low_fire_share
  from: {low: hours.low, medium: hours.low, high: hours.high}
  place: [bench, site]
  unit: "1"
  plausible: [0, 1]
  bands:
    - {upto: 0.7, id: normal, means: Mixed use}
    - {above: 0.7, id: low, means: Mostly on low}
dose:
  measure: Fuel delivered in 100 seconds
  place: [bench]
  of: [family.dose]
  repeat: 3
  spread: {above: 0.05, id: scattered, means: Readings scatter}
  or: [{id: none, means: Nothing comes, says: {dose_low: yes}}]
  unit: ml
  plausible: [0, 2]
  bands:
    - {upto: 0.9, id: little, means: Too little, says: {dose_low: yes}, finds: [dosing_wrong]}
    - {above: 0.9, id: enough, means: Enough, says: {dose_low: no, dose_high: no}}
last_filled:
  ask: When was it last filled up?
  answers:
    - {id: fresh, means: This month}
    - {id: old, means: Earlier}
""",
    "trees/smoke_on_start.yaml": """\
title: White smoke when it starts
complaint: {words: [white smoke, smokes on start], says: {smoke_stays: yes}}
begin: watch
phone_exit: bring_it
steps:
  watch:  {no: 201, check: smoke, go: {short: supply, stays: supply}, unknown: supply}
  supply: {no: 202, run: supply_voltage, then: fuel}
  fuel:   {no: 203, check: dose, go: [{on: [little, none, scattered], to: share}, {on: [enough], to: look_in}],
           unknown: share,
           instead: {phone: {check: last_filled, go: {fresh: share, old: share}, unknown: share}}}
  share:  {no: 204, check: low_share, go: {normal: use, low: use}, unknown: use}
  use:    {no: 205, check: habits, then: look_in}
  look_in: {no: 206, check: insert, go: {clean: over, coked: work}, unknown: over}
  work:   {no: 207, do: replace_insert, go: {cured: over, still: over}, then: bring_it}
  over:   {no: 208, over_to: commissioning}
  bring_it: {no: 209, end: to_workshop, bring: [the unit]}
""",
    "trees/supply_voltage.yaml": """\
title: Voltage under load
shared: true
begin: volts
steps:
  volts: {no: 301, check: loaded, go: {low: back, good: back}, unknown: back}
  back: {no: 302, return: true}
""",
    "trees/commissioning.yaml": """\
title: Before it goes back
begin: blades
phone_exit: done
steps:
  blades: {no: 401, check: gap, then: done}
  done: {no: 402, end: released, text: Tell the customer.}
""",
    "trees/gas_before.yaml": """\
title: Sent in because an alarm sounded
begin: halt
steps:
  halt: {no: 501, stop: exhaust_gas}
""",
}


class FigureDouble:
    """What the checker asks of a figure: its inputs, their units, and which of them must be given."""

    name = "low_fire_share"
    title = "Share of the lowest step"

    class result:  # noqa: N801
        """What it gives."""

        unit = "1"

    class _Input:
        unit = "h"
        range = (0.0, 100_000.0)

    inputs = {"low": _Input, "medium": _Input, "high": _Input}  # noqa: RUF012

    def missing(self, given: Mapping[str, object]) -> tuple[str, ...]:
        """All three are needed."""
        return tuple(name for name in self.inputs if name not in given)


FIGURES: Any = {"low_fire_share": FigureDouble(), "supply_drop": FigureDouble()}


def unmarked(text: str) -> tuple[str, tuple[int, int, int]]:
    """Take ‹ and › out of a text; return it with the line, column and end column that they mark."""
    before, _, rest = text.partition("‹")
    inside, _, after = rest.partition("›")
    column = len(before) - before.rfind("\n")
    return before + inside + after, (before.count("\n") + 1, column, column + len(inside))


@dataclass(slots=True)
class TinyBook:
    """A book on disk and what of it was changed."""

    folder: Path
    files: dict[str, str] = field(default_factory=lambda: dict(FILES))
    marked: dict[str, tuple[int, int, int]] = field(default_factory=dict)
    figures: Any = field(default_factory=lambda: FIGURES)

    def change(self, file: str, old: str, new: str) -> TinyBook:
        """Replace the only place where `old` stands; ‹ and › in `new` mark where the problem must be seen."""
        assert self.files[file].count(old) == 1, f"{old!r} stands {self.files[file].count(old)} times in {file}"
        return self.write(file, self.files[file].replace(old, new))

    def write(self, file: str, text: str) -> TinyBook:
        """Replace a whole file."""
        if "‹" in text:
            text, self.marked[file] = unmarked(text)
        self.files[file] = text
        return self

    def save(self) -> Path:
        """Write the book to disk."""
        for name, text in self.files.items():
            path = self.folder / name
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_bytes(text.encode())
        return self.folder

    def check(self) -> Checked:
        """Check the book as it now is."""
        return check_book(self.save(), FIGURES)

    def check_with(self, name: str, data: bytes) -> Checked:
        """Check the book with one file replaced by bytes."""
        (self.save() / name).write_bytes(data)
        return check_book(self.folder, FIGURES)

    def only_problem(self, file: str) -> Problem:
        """Check, and return the one problem there is, after comparing its place with the mark."""
        checked = self.check()
        assert len(checked.problems) == 1, [(p.code, p.message, p.spot) for p in checked.problems]
        problem = checked.problems[0]
        spot = problem.spot
        assert (spot.file, (spot.line, spot.column, spot.end_column)) == (file, self.marked[file]), problem
        return problem


@pytest.fixture
def tiny(tmp_path: Path) -> TinyBook:
    """Return a valid tiny book of our own, invented: nothing in it is any maker's."""
    return TinyBook(tmp_path / "book")
