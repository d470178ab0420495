"""A small hand-made book (an invented workshop for harbour boats and mountain huts) and charts made by chance."""

from __future__ import annotations

import random
from collections.abc import Callable

import pytest
from bare_book import bare_book
from made_chart import made_chart

from graphviz_export.boxes import Box, Chart, Hazard, Row
from trees.book.model import Answer, Book, ByVoltage, Caution, Check, FamilyValue, Fix, ReadingField, Source
from trees.book.tree import Instead, Step, Tree

MakeBook = Callable[..., Book]
MakeChart = Callable[[int, int], Chart]


def _checks() -> tuple[Check, ...]:
    return (
        Check(
            id="smoke",
            form="ask",
            wording="How long does it smoke after it lights?",
            minutes=6,
            uses_start=True,
            cautions=("exhaust_gas", "carbon_monoxide"),
            answers=(
                Answer(id="short", means="Less than two minutes"),
                Answer(id="stays", means="It never clears"),
                Answer(id="ill", means="Somebody feels ill", stop="carbon_monoxide"),
            ),
        ),
        Check(
            id="gap",
            form="measure",
            wording="Gap between impeller and housing",
            place=("bench", "site"),
            inside=True,
            minutes=6,
            needs=("feeler_gauge",),
            cautions=("rotating_fan",),
            unit="mm",
            bands=(
                Answer(id="rubbing", means="Rubbing or nearly so", upto=0.2),
                Answer(id="good", means="As it should be", upto=0.4),
                Answer(id="wide", means="Too wide", above=0.4),
            ),
        ),
        Check(
            id="dose",
            form="measure",
            wording="Fuel delivered in 100 seconds",
            place=("bench", "site"),
            of=("family.dose",),
            repeat=3,
            unit="ml",
            needs=("measuring_glass",),
            cautions=("fuel",),
            spread=Answer(id="scattered", means="Readings scatter", above=0.05),
            extra=(Answer(id="none", means="Nothing comes"),),
            bands=(
                Answer(id="low", means="Too little", upto=0.9),
                Answer(id="good", means="Right", upto=1.1),
                Answer(id="high", means="Too much", above=1.1),
            ),
        ),
        Check(
            id="volts",
            form="measure",
            wording="Voltage at the heater's plug while the glow element draws",
            unit="V",
            needs=("multimeter",),
            bands=(
                Answer(id="low", means="Too low", upto=ByVoltage({"12": 11.5, "24": 23.0})),
                Answer(id="high", means="Enough", above=ByVoltage({"12": 11.5, "24": 23.0})),
            ),
        ),
        Check(
            id="coil",
            form="measure",
            wording="Resistance of the glow element, cold",
            unit="Ω",
            bands=(
                Answer(id="short", means="Shorted", upto=FamilyValue("family.element_min")),
                Answer(id="good", means="In order", upto=FamilyValue("family.element_max")),
                Answer(id="open", means="Broken", above=FamilyValue("family.element_max")),
            ),
        ),
        Check(
            id="habits",
            form="tick",
            wording="What is true of how it is used?",
            proof="words",
            items=(
                Answer(id="low", means="Nearly always on low"),
                Answer(id="bio", means="More than B7 in the tank"),
                Answer(id="none", means="None of these", alone=True),
            ),
        ),
        Check(
            id="hours",
            form="measure",
            wording="Run hours at each output step, and starts",
            readings=(ReadingField("low", "h", "Lowest step"), ReadingField("starts", "1")),
        ),
        Check(
            id="filled",
            form="ask",
            wording="When was the tank last filled?",
            phone="When did you last fill the tank, please?",
            answers=(Answer(id="fresh", means="This month"), Answer(id="old", means="Longer ago")),
        ),
    )


def _steps() -> tuple[Step, ...]:
    instead = Instead(check="filled", go={"fresh": "gap", "old": "habits"}, unknown="gap")
    return (
        Step(
            id="watch", no=201, kind="check", refers="smoke", go={"short": "dose", "stays": "supply"}, unknown="supply"
        ),
        Step(id="supply", no=202, kind="run", refers="supply", then="dose"),
        Step(
            id="dose",
            no=203,
            kind="check",
            refers="dose",
            go={"low": "line", "none": "line", "scattered": "line", "good": "gap", "high": "habits"},
            unknown="gap",
            instead={"phone": instead},
        ),
        Step(id="line", no=204, kind="do", refers="bleed", go={"cured": "done", "still": "gap", "not_tried": "gap"}),
        Step(
            id="gap",
            no=205,
            kind="check",
            refers="gap",
            go={"good": "habits", "wide": "halt"},
            then="work",
            unknown="hours",
        ),
        Step(id="hours", no=206, kind="check", refers="hours", then="habits", unknown="habits"),
        Step(id="habits", no=207, kind="check", refers="habits", then="work", unknown="work"),
        Step(
            id="work",
            no=208,
            kind="do",
            refers="replace_insert",
            go={"cured": "over", "still": "over", "not_tried": "over"},
        ),
        Step(id="over", no=209, kind="over_to", refers="commissioning"),
        Step(id="done", no=210, kind="end", refers="released", text="Run at full output for an hour each week."),
        Step(id="halt", no=211, kind="stop", refers="carbon_monoxide"),
        Step(id="away", no=219, kind="end", refers="to_workshop", bring=("the unit with its tubes", "the pump")),
    )


def _supply_steps() -> tuple[Step, ...]:
    return (
        Step(id="loaded", no=301, kind="check", refers="volts", go={"low": "coil", "high": "coil"}, unknown="back"),
        Step(id="coil", no=302, kind="check", refers="coil", applies={"voltage": "24"}, then="back", unknown="back"),
        Step(id="back", no=303, kind="return"),
    )


def _trees(title: str) -> tuple[Tree, ...]:
    closing = Step(id="handover", no=401, kind="end", refers="released")
    return (
        Tree(
            id="smoke_on_start",
            title=title,
            begin="watch",
            steps={step.id: step for step in _steps()},
            phone_exit="away",
            complaint_words=("smokes on start",),
        ),
        Tree(
            id="supply",
            title="Supply voltage under load",
            begin="loaded",
            shared=True,
            steps={step.id: step for step in _supply_steps()},
        ),
        Tree(id="commissioning", title="Commissioning", begin="handover", steps={"handover": closing}),
    )


@pytest.fixture
def make_book() -> MakeBook:
    """Return a function that builds the book; `title` and `wording` replace two of its texts."""

    def make(*, title: str = "White or blue smoke when it starts", wording: str = "") -> Book:
        checks = {check.id: check for check in _checks()}
        if wording:
            checks["smoke"] = Check(
                id="smoke", form="ask", wording=wording, answers=(Answer(id="short", means=wording),)
            )
        cautions = (
            Caution(id="exhaust_gas", word="exhaust gas", grade="WARNING", text="Stand upwind."),
            Caution(id="rotating_fan", word="rotating fan", grade="CAUTION", text="Supply off."),
            Caution(id="fuel", word="fuel", grade="WARNING", text="No flame."),
            Caution(
                id="carbon_monoxide",
                word="carbon monoxide",
                grade="DANGER",
                text="It can't be smelt.",
                stop_line="Everybody out into fresh air",
                then=("Switch the heater off if that is on the way.", "Call the emergency number."),
            ),
        )
        fixes = (
            Fix(id="bleed", do="Bleed the fuel line", minutes=10, cautions=("fuel",)),
            Fix(
                id="replace_insert",
                do="Replace the burner insert",
                minutes=45,
                parts=("insert", "gasket set"),
                who="licensed",
            ),
        )
        return bare_book(
            title="Heaters of boats and huts",
            edition="2026.1",
            reviewed="2026-11-25",
            fingerprint="0123456789ab",
            tools={"feeler_gauge": "Feeler gauges", "multimeter": "Multimeter", "measuring_glass": "Measuring glass"},
            start_limit={"bench": 6, "site": 4, "phone": 2},
            source=Source("memory"),
            cautions=cautions,
            checks=checks,
            fixes=fixes,
            trees=_trees(title),
        )

    return make


@pytest.fixture
def make_chart() -> MakeChart:
    """Return a function (seed, steps) that makes a chart by chance: acyclic, all reachable, half of them ends."""
    return _chance_chart


_WORDS = [
    "hose",
    "clamp",
    "plug",
    "glow",
    "element",
    "fuse",
    "fan",
    "burner",
    "insert",
    "tank",
    "line",
    "filter",
    "dose",
    "sensor",
    "cable",
    "flame",
    "start",
    "smoke",
]


def _chance_chart(seed: int, steps: int) -> Chart:
    chance = random.Random(seed)
    inner = max(1, steps // 2)
    numbers = [100 + index for index in range(steps)]
    reached = {numbers[0]}
    boxes: list[Box] = []
    for index, no in enumerate(numbers[:inner]):
        later = numbers[index + 1 :]
        missing = [step for step in later if step not in reached]
        ways = [chance.choice(later[: steps // 3 + 2]) for _ in range(chance.randint(1, 4))]
        if missing:  # the nearest, so that every step is reached before its turn, and one by chance
            ways = [missing[0], chance.choice(missing), *ways[2:]]
        if index == inner - 1:
            ways = [*(step for step in missing if step not in ways), *ways]
        reached.update(ways)
        rows = tuple(Row(_words(chance, 1, 4), way) for way in ways)
        if len(rows) == 1 and chance.random() < 0.5:
            rows = (Row("", ways[0], "through"),)
        kind = chance.choice(("decision", "reading", "action"))
        hazards = (Hazard("WARNING", "hot parts"),) if chance.random() < 0.3 else ()
        boxes.append(Box(no=no, kind=kind, text=_words(chance, 4, 20) + "?", rows=rows, hazards=hazards, minutes=5.0))
    boxes += [Box(no=no, kind="end", text=_words(chance, 2, 8), short="Released") for no in numbers[inner:]]
    return made_chart(*boxes)


def _words(chance: random.Random, least: int, most: int) -> str:
    return " ".join(chance.choice(_WORDS) for _ in range(chance.randint(least, most)))
