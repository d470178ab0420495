"""The suspects beside the question: roots and consequences apart, found on top, what the last answer moved."""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable
from dataclasses import replace
from typing import Any

import pytest
from screen_jobs import past_gate
from small_book import small_book

from trees.walk import Walk
from trees.walk.ranking import Suspect, apart, rank
from tui.concluded import findings_text
from tui.panels.suspects import SuspectsPanel, panel_rows, per_cent
from tui.workshop import Workshop

Open = Callable[..., Any]
TODAY = ("bench one", "2026-01-05")

SHARES = {"battery_flat": 0.3, "cable_thin": 0.3, "pump_weak": 0.2, "low_by_habit": 0.3, "insert_coked": 0.2}
SMOKES = {"battery_flat": 0.55, "pump_weak": 0.25, "insert_coked": 0.25}
UNPROMPTED = 0.03


def by_enumeration(smoke_stays: bool) -> dict[str, float]:
    """Return P(cause | the smoke sign) of the small book by all 32 sets of causes, at least one of them acting."""
    causes = list(SHARES)
    # Z = 1 - prod(1 - m Z), by plain iteration from above: it contracts, since the shares sum to more than 1.
    z = 1.0
    for _ in range(2000):
        z = 1 - math.prod(1 - share * z for share in SHARES.values())
    total, with_cause = 0.0, dict.fromkeys(causes, 0.0)
    for acting in itertools.product((False, True), repeat=len(causes)):
        if not any(acting):
            continue
        chance = math.prod(SHARES[c] * z if on else 1 - SHARES[c] * z for c, on in zip(causes, acting, strict=True))
        clear = (1 - UNPROMPTED) * math.prod(1 - SMOKES.get(c, 0.0) for c, on in zip(causes, acting, strict=True) if on)
        chance *= 1 - clear if smoke_stays else clear
        total += chance
        for cause, on in zip(causes, acting, strict=True):
            with_cause[cause] += chance if on else 0.0
    return {cause: weight / total for cause, weight in with_cause.items()}


def begun() -> Walk:
    """Return a job of smoke that has passed the gate."""
    walk = Walk.begin(small_book(), words="smokes", tree="smoke_on_start", place="bench", family="air2")
    return walk.taken_up(*TODAY).answer("no").answer("no").acknowledge("gas")


def suspect(name: str, kind: str = "root", probability: float | None = 0.5, state: Any = None) -> Suspect:
    """Return a suspect whose id is its name."""
    return Suspect(name, name, kind, probability, state)  # type: ignore[arg-type]


def drawn(roots: list[Suspect], consequences: list[Suspect], *, trouble: str = "", **moves: int) -> list[str]:
    """Return the panel as the screen of 80 by 24 has it: 32 columns, 10 lines."""
    return [row.plain for row in panel_rows(roots, consequences, trouble, moves, width=32, height=10)]


# ── roots and consequences apart ────────────────────────────────────────────


def test_consequences_stand_apart_and_what_was_found_first() -> None:
    """Each suspect stands once; the found insert is a consequence and leads them, whatever its probability."""
    walk = begun().answer("short").reading("6.6 6.6 6.6").answer("no").tick(["low"]).answer("coked")
    roots, consequences = apart(walk, rank(walk)[0])
    assert [s.cause for s in consequences] == ["insert_coked"]
    assert consequences[0].state == "found"
    assert {s.cause for s in roots} == set(SHARES) - {"insert_coked"}
    order = {"found": 0, "hinted": 1, None: 2, "ruled_out": 3}
    assert [order[s.state] for s in roots] == sorted(order[s.state] for s in roots)
    assert roots[0].cause == "low_by_habit", "hinted at"


@pytest.mark.parametrize("found", [True, False])
def test_a_cause_of_both_kinds_goes_below_a_found_root(found: bool) -> None:
    """Pump weak (both) is a root until battery flat, that leads to it, is found: a reading of 11.9 V finds it."""
    book = small_book()
    battery = replace(book.causes["battery_flat"], leads_to=("pump_weak",))
    book = replace(book, causes={**book.causes, "battery_flat": battery})
    walk = Walk.begin(book, words="smokes", tree="smoke_on_start", place="bench", family="air2")
    walk = walk.taken_up(*TODAY).answer("no").answer("no").acknowledge("gas").answer("stays")
    walk = walk.reading("11.9" if found else "12.7")
    roots, consequences = apart(walk, rank(walk)[0])
    assert ("pump_weak" in {s.cause for s in consequences}) is found
    assert ("pump_weak" in {s.cause for s in roots}) is not found


# ── ten lines ───────────────────────────────────────────────────────────────


@pytest.mark.parametrize(("roots", "below"), [(20, 20), (20, 1), (1, 20), (3, 0), (0, 3), (0, 0)])
def test_the_panel_never_has_more_than_its_ten_lines(roots: int, below: int) -> None:
    """Both groups are in sight, no line is wider than the panel, and a free line is never wasted."""
    long = "a name that is far too long for a panel"
    rows = drawn([suspect(f"r{n} {long}") for n in range(roots)], [suspect(f"c{n} {long}") for n in range(below)])
    headings = 2 if below else 1
    assert len(rows) == min(10, headings + roots + below)
    assert all(len(row) <= 32 for row in rows)
    assert rows[0].startswith("Suspects: roots")
    assert ("Consequences" in rows) is bool(below)
    if below:
        at = rows.index("Consequences")
        assert at - 1 >= min(roots, 5)
        assert len(rows) - at - 1 >= min(below, 2)


def test_a_sentence_of_trouble_takes_its_lines_from_the_suspects() -> None:
    """Where the answers can't be weighed, the sentence (70 letters: 3 lines of 32) and both groups fit ten lines."""
    trouble = "These answers contradict each other in this book: " + "look at both again."
    rows = drawn([suspect(f"r{n}", probability=None) for n in range(9)], [suspect("c")], trouble=trouble)
    assert rows[1] == trouble
    assert len(rows) - 1 + 3 == 10


# ── what the last answer moved ──────────────────────────────────────────────


def test_a_move_is_an_arrow_with_points() -> None:
    """Up, down, and nothing where nothing moved; a long name gives way to it."""
    rows = drawn(
        [suspect("up"), suspect("down"), suspect("still"), suspect("x" * 40)], [], up=12, down=-3, **{"x" * 40: 7}
    )
    assert rows[1].endswith("up ▲12")
    assert rows[2].endswith("down ▼3")
    assert rows[3].endswith("still")
    assert rows[4].endswith("…\u2009▲7".replace("\u2009", " "))
    assert len(rows[4]) == 32


@pytest.mark.parametrize(
    ("probability", "shown"),
    [(0.0, "0 %"), (0.004, "<1 %"), (0.4567, "46 %"), (0.996, ">99 %"), (1.0, "100 %"), (None, "· ")],
)
def test_only_what_is_certain_is_0_or_100(probability: float | None, shown: str) -> None:
    """Five cells hold every chance; the ends are kept for certainty."""
    assert per_cent(probability) == shown
    assert len(shown) <= 5


async def test_the_arrows_are_those_of_the_last_answer(open_screen: Open, workshop: Workshop) -> None:
    """The complaint says that smoke stays; the look says it clears: points as all 32 sets of causes give them.

    A note leaves them in sight; taking the answer back turns them round.
    """
    told, looked = by_enumeration(smoke_stays=True), by_enumeration(smoke_stays=False)
    moves = {cause: round(100 * looked[cause]) - round(100 * told[cause]) for cause in SHARES}
    assert moves["battery_flat"] < 0 < moves["cable_thin"]

    def line(name: str) -> str:
        return next(row for row in screen.text().splitlines() if f" {name}" in row)

    async with open_screen(workshop, size=(120, 40)) as screen:
        await past_gate(screen)
        await screen.press("r")
        panel = screen.app.screen.query_one(SuspectsPanel)
        assert panel.chances == pytest.approx(told, abs=1e-9)
        assert "▲" not in screen.text().replace("▲ ", "")
        await screen.press("1", "enter")
        assert panel.moves() == moves
        assert f"Battery flat ▼{-moves['battery_flat']}" in line("Battery flat")
        assert f"Cable thin ▲{moves['cable_thin']}" in line("Cable thin")
        assert f"{looked['battery_flat'] * 100:.0f} %" in line("Battery flat")
        await screen.press("escape", "j")
        await screen.type("from a carton")
        await screen.press("enter")
        await screen.until(lambda: bool(screen.app.screen.walk.now.notes))
        await screen.settle()
        assert panel.moves() == moves
        await screen.press("b")
        assert panel.moves() == {cause: -points for cause, points in moves.items()}


async def test_both_headings_stand_on_a_screen_of_80_by_24(open_screen: Open, workshop: Workshop) -> None:
    """The small terminal shows roots, consequences and all five causes of the small book."""
    async with open_screen(workshop) as screen:
        await past_gate(screen)
        await screen.press("r", "1", "enter")
        text = screen.text()
        for wanted in ("Suspects: roots", "Consequences", "Battery flat", "Pump weak", "Insert coked", "Cable thin"):
            assert wanted in text, wanted


# ── the conclusion ──────────────────────────────────────────────────────────


def test_a_found_consequence_names_its_likeliest_root_first() -> None:
    """Coke found with the smoke clearing and low fire denied: battery and cable by their own posterior, then habit."""
    walk = begun().answer("short").reading("6.6 6.6 6.6").answer("no").tick(["long"]).answer("coked")
    chances = {s.cause: s.probability for s in rank(walk)[0]}
    text = findings_text(walk).plain
    (line,) = [row for row in text.splitlines() if "has no root yet" in row]
    candidates = line.partition("It may come from: ")[2].rstrip(".").replace("\u00a0", " ").split(", ")
    names = {walk.book.causes[c].name.lower(): c for c in ("battery_flat", "cable_thin", "low_by_habit")}
    order = sorted(names, key=lambda name: -(chances[names[name]] or 0.0))
    assert candidates == [f"{name} ({100 * (chances[names[name]] or 0.0):.0f} %)" for name in order]
    assert order != ["battery flat", "cable thin", "run low by habit"], "the book's own order would prove nothing"
