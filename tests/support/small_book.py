"""A small book made of records: a complaint tree, a shared tree, a handover tree, a gate. Invented, for tests only."""

from __future__ import annotations

from trees.book.model import (
    Answer,
    Book,
    ByVoltage,
    Cause,
    Caution,
    Check,
    Family,
    Fix,
    GateQuestion,
    Rated,
    ReadingField,
    Sign,
    Source,
)
from trees.book.tree import Instead, Step, Tree

MEMORY = Source("memory")


def by_id(*rows):  # type: ignore[no-untyped-def]
    """Return records by their id, in order."""
    return {row.id: row for row in rows}


CHECKS = by_id(
    Check(
        id="smoke",
        form="look",
        wording="How long does it smoke?",
        phone="Tell me when the smoke has gone.",
        uses_start=True,
        minutes=6,
        cautions=("gas",),
        answers=(
            Answer(id="short", means="Clears", says={"smoke_stays": "no"}),
            Answer(id="stays", means="Never clears", says={"smoke_stays": "yes"}),
        ),
    ),
    Check(
        id="rested",
        form="measure",
        wording="Rested voltage",
        proof="reading",
        place=("bench", "site"),
        unit="V",
        plausible=(8.0, 32.0),
        minutes=3,
        bands=(
            Answer(id="flat", means="Battery flat", upto=ByVoltage({"12": 12.2, "24": 24.4}), finds=("battery_flat",)),
            Answer(id="good", means="Good", above=ByVoltage({"12": 12.2, "24": 24.4}), rules_out=("battery_flat",)),
        ),
    ),
    Check(
        id="loaded",
        form="measure",
        wording="Voltage under glow load",
        proof="reading",
        place=("bench", "site"),
        unit="V",
        plausible=(6.0, 32.0),
        minutes=5,
        bands=(
            Answer(id="low", means="Too low", upto=11.5, says={"volts_low": "yes"}),
            Answer(id="good", means="Good", above=11.5, says={"volts_low": "no"}, rules_out=("cable_thin",)),
        ),
    ),
    Check(
        id="drop",
        form="figure",
        wording="Volts lost on the way",
        proof="reading",
        unit="V",
        figure="supply_drop",
        inputs={"source_v": "rested", "load_v": "loaded"},
        bands=(
            Answer(id="fair", means="Fair", upto=0.5),
            Answer(id="high", means="Too much", above=0.5, finds=("cable_thin",)),
        ),
    ),
    Check(
        id="dose",
        form="measure",
        wording="Fuel in 100 seconds",
        proof="reading",
        place=("bench", "site"),
        unit="ml",
        of=("family.dose",),
        repeat=3,
        plausible=(0.0, 2.0),
        minutes=10,
        spread=Answer(id="scattered", means="Readings scatter", above=0.05),
        extra=(Answer(id="none", means="Nothing comes"),),
        bands=(
            Answer(id="low", means="Too little", upto=0.9, finds=("pump_weak",)),
            Answer(id="good", means="Right", upto=1.1, rules_out=("pump_weak",)),
            Answer(id="high", means="Too much", above=1.1),
        ),
    ),
    Check(
        id="habits",
        form="tick",
        wording="What is true of its use?",
        proof="words",
        items=(
            Answer(id="low", means="Nearly always on low", hints=("low_by_habit",), otherwise={"low_fire": "no"}),
            Answer(id="long", means="Tubes were lengthened"),
            Answer(id="none", means="None of these", alone=True),
        ),
    ),
    Check(
        id="hours",
        form="measure",
        wording="Run hours at each step",
        proof="reading",
        readings=(ReadingField("low", "h", "Lowest"), ReadingField("high", "h", "Highest")),
    ),
    Check(
        id="insert",
        form="look",
        wording="Look at the burner insert",
        place=("bench", "site"),
        inside=True,
        minutes=20,
        answers=(
            Answer(id="clean", means="Clean", rules_out=("insert_coked",)),
            Answer(id="coked", means="Hard coke", says={"coke": "hard"}, finds=("insert_coked",)),
        ),
    ),
    Check(
        id="blown",
        form="ask",
        wording="Is a fuse blown?",
        proof="words",
        answers=(Answer(id="no", means="No"), Answer(id="yes", means="Yes", finds=("cable_thin",))),
    ),
    Check(
        id="air_only",
        form="ask",
        wording="Is an outlet shut?",
        proof="words",
        applies={"medium": "air"},
        answers=(Answer(id="no", means="No"), Answer(id="yes", means="Yes")),
    ),
)

SMOKE = Tree(
    id="smoke_on_start",
    title="White smoke on start",
    begin="watch",
    phone_exit="to_workshop",
    complaint_words=("smokes white",),
    complaint_says={"smoke_stays": "yes"},
    steps=by_id(
        Step(
            id="watch", no=201, kind="check", refers="smoke", go={"short": "dose", "stays": "supply"}, unknown="supply"
        ),
        Step(id="supply", no=202, kind="run", refers="supply_voltage", then="dose"),
        Step(
            id="dose",
            no=203,
            kind="check",
            refers="dose",
            go={"low": "outlet", "none": "outlet", "scattered": "outlet", "good": "outlet", "high": "outlet"},
            unknown="outlet",
            instead={"phone": Instead(check="blown", go={"no": "outlet", "yes": "outlet"}, unknown="outlet")},
        ),
        Step(id="outlet", no=204, kind="check", refers="air_only", then="habits", unknown="habits"),
        Step(id="habits", no=205, kind="check", refers="habits", then="insert"),
        Step(id="insert", no=206, kind="check", refers="insert", go={"clean": "done", "coked": "work"}, unknown="done"),
        Step(
            id="work",
            no=207,
            kind="do",
            refers="replace_insert",
            go={"cured": "over", "still": "done", "not_tried": "done"},
        ),
        Step(id="over", no=208, kind="over_to", refers="handover"),
        Step(id="done", no=209, kind="end", refers="no_fault"),
        Step(id="to_workshop", no=210, kind="end", refers="to_workshop", bring=("the unit with its tubes",)),
    ),
)
SUPPLY = Tree(
    id="supply_voltage",
    title="Supply under load",
    begin="rested",
    shared=True,
    steps=by_id(
        Step(id="rested", no=301, kind="check", refers="rested", then="drop", unknown="drop"),
        Step(id="drop", no=302, kind="check", refers="drop", go={"fair": "back", "high": "back"}, unknown="back"),
        Step(id="back", no=303, kind="return"),
    ),
)
HANDOVER = Tree(
    id="handover",
    title="Handover",
    begin="loaded",
    handover=True,
    phone_exit="bad",
    steps=by_id(
        Step(id="loaded", no=401, kind="check", refers="loaded", go={"good": "ok", "low": "bad"}, unknown="bad"),
        Step(id="ok", no=402, kind="end", refers="released", text="Tell the customer how to keep it right."),
        Step(id="bad", no=403, kind="end", refers="not_released"),
    ),
)

COLD_LOOK = Tree(
    id="exhaust_inside",
    title="Exhaust in the living space, as history",
    begin="look",
    phone_exit="out",
    steps=by_id(
        Step(id="look", no=501, kind="check", refers="insert", then="again", unknown="again"),
        Step(id="again", no=503, kind="check", refers="smoke", then="out", unknown="out"),
        Step(id="out", no=502, kind="end", refers="out_of_service"),
    ),
)

GATE = (
    GateQuestion(
        id="alarm_now",
        no=1,
        ask="Is an alarm sounding, or is anybody unwell?",
        answers=(Answer(id="no", means="No"), Answer(id="yes", means="Yes", stop="gas")),
        unknown="yes",
    ),
    GateQuestion(
        id="alarm_before",
        no=2,
        ask="Did an alarm sound before?",
        answers=(
            Answer(id="no", means="No"),
            Answer(id="yes", means="An alarm sounded", forbids_starts=True, opens="exhaust_inside"),
        ),
        unknown="yes",
    ),
)


def small_book(**changes: object) -> Book:
    """Return the small book; keyword arguments replace fields."""
    fields: dict[str, object] = {
        "title": "Small book",
        "edition": "t1",
        "language": "en",
        "reviewed": "2026-01-01",
        "fingerprint": "0123456789ab",
        "words": {"often": 0.55},
        "unprompted": 0.03,
        "tools": {},
        "caller_may": {},
        "start_limit": {"bench": 6, "site": 4, "phone": 2},
        "opening_minutes": 15.0,
        "source": MEMORY,
        "families": by_id(
            Family(
                id="air2", name="Air 2 kW 12 V", medium="air", voltage=12, outputs={"low": 0.8, "high": 2.0},
                rated={"dose": Rated(6.6, "ml", MEMORY)},
            ),
            Family(id="water5", name="Coolant 5 kW 24 V", medium="coolant", voltage=24, outputs={"high": 5.0}),
        ),
        "signs": by_id(
            Sign(id="smoke_stays", name="Smoke stays"),
            Sign(id="volts_low", name="Voltage low under load"),
            Sign(id="low_fire", name="Mostly at low fire"),
            Sign(id="coke", name="Coke", levels=("none", "light", "hard"), unprompted=(0.03, 0.01)),
        ),
        "causes": by_id(
            Cause(
                id="battery_flat", name="Battery flat", kind="root", lives="unit", share=30, leads_to=("insert_coked",),
                shows={"smoke_stays": {"yes": 0.55}, "volts_low": {"yes": 0.8}}, prevent="Charge it.",
            ),
            Cause(
                id="cable_thin", name="Cable thin", kind="root", lives="installation", share=30,
                leads_to=("insert_coked",), shows={"volts_low": {"yes": 0.95}},
            ),
            Cause(
                id="pump_weak", name="Pump weak", kind="both", lives="unit", share=20,
                shows={"smoke_stays": {"yes": 0.25}},
            ),
            Cause(
                id="low_by_habit", name="Run low by habit", kind="root", lives="use", share=30,
                leads_to=("insert_coked",), shows={"low_fire": {"yes": 0.95}, "coke": {"light": 0.3, "hard": 0.5}},
            ),
            Cause(
                id="insert_coked", name="Insert coked", kind="consequence", lives="unit", share=20,
                shows={"coke": {"hard": 0.95}, "smoke_stays": {"yes": 0.25}},
            ),
        ),
        "cautions": by_id(
            Caution(
                id="gas", word="CO", grade="DANGER", text="Exhaust kills.", stop_line="STOP: carbon monoxide",
                then=("Out, air.", "Emergency number."),
            ),
        ),
        "checks": CHECKS,
        "fixes": by_id(
            Fix(id="replace_insert", do="Replace the insert", minutes=45, cures=("insert_coked",), parts=("insert",)),
        ),
        "gate": GATE,
        "trees": by_id(SMOKE, SUPPLY, HANDOVER, COLD_LOOK),
    }  # fmt: skip
    fields.update(changes)
    return Book(**fields)  # type: ignore[arg-type]
