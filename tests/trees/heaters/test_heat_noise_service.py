"""Too little heat, noise, soot, a unit sent in alone and the yearly service: what these trees must never get wrong."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TypeAlias

import pytest
from shipped_book import shipped

from trees.book.words import Place
from trees.walk import Walk

Told: TypeAlias = str | Sequence[str] | Mapping[str, str]
STEPS_AT_MOST = 120

SPACE = {
    "shell": "30",
    "shell_u": "2",
    "window": "3",
    "window_u": "5.7",
    "volume": "14",
    "changes": "2",
    "inside": "20",
    "usual": "5",
}
"""A poorly insulated van: 30·2 + 3·5.7 + 0.34·2·14 = 86.6 W/K by hand, EN 12831 form."""


def walked(tree: str, place: Place, told: Mapping[str, Told], *, until: str = "") -> tuple[Walk, list[str]]:
    """Walk a tree with some answers, cannot tell for the rest; return the walk and what was asked, in order."""
    walk = Walk.begin(shipped(), words="x", tree=tree, place=place, family="air_2kw_12v").taken_up("one", "2026-01-05")
    asked: list[str] = []
    for _ in range(STEPS_AT_MOST):
        for caution in walk.question.unread:
            walk = walk.acknowledge(caution.id)
        question = walk.question
        if question.kind in {"end", "stop"}:
            break
        if question.gate is not None and question.kind == "gate":
            harmless = next(a for a in question.gate.answers if not (a.stop or a.forbids_starts or a.opens))
            walk = walk.answer(harmless.id)
            continue
        name = question.check.id if question.check is not None else question.fix.id if question.fix is not None else ""
        asked.append(name)
        if name == until:
            break
        walk = _answered(walk, told.get(name))
    return walk, asked


def _answered(walk: Walk, told: Told | None) -> Walk:
    question = walk.question
    if question.known is not None:
        return walk.take_over()
    if question.form == "figure":
        return walk.take_figure() if question.value is not None else walk.cannot_tell()
    if told is None or question.blocked:
        return walk.cannot_tell()
    if isinstance(told, Mapping):
        return walk.readings(told)
    if not isinstance(told, str):
        return walk.tick(list(told))
    return walk.answer(told) if told in {option.id for option in question.options} else walk.reading(told)


def found(walk: Walk) -> set[str]:
    """Return the causes that the job has proven."""
    return {cause for cause, finding in walk.findings.items() if finding.state == "found"}


@pytest.mark.parametrize(("coldest", "too_small"), [("-20", True), ("0", False)])
def test_a_unit_is_too_small_only_where_its_load_is_above_its_full_output(coldest: str, too_small: bool) -> None:
    """86.6 W/K need 3464 W at 40 K of difference and 1732 W at 20 K; the unit gives 2000 W."""
    told: dict[str, Told] = {
        "burn_times": "always_full",
        "mild_weather": "mild_ok",
        "space_data": {**SPACE, "coldest": coldest},
        "show_heat_load": "not_tried",
    }
    walk, _ = walked("low_heat", "site", told)
    load = next(given.values[""] for given in walk.now.givens if given.subject == "load_when_cold")
    assert load == pytest.approx((30 * 2 + 3 * 5.7 + 0.34 * 2 * 14) * (20 - float(coldest)), rel=0.005)
    assert ("undersized_unit" in found(walk)) is too_small


def test_a_scraping_fan_is_not_started_by_phone() -> None:
    """A caller whose fan scrapes is never asked for a start, and the unit goes to the workshop."""
    walk, asked = walked("noisy_blower", "phone", {"noise_kind": "scrape"})
    assert (walk.question.kind, walk.question.end) == ("end", "to_workshop")
    checks = [shipped().checks[name] for name in asked if name in shipped().checks]
    assert checks
    assert not [check.id for check in checks if check.uses_start or check.while_running]


@pytest.mark.parametrize("tree", ["black_soot", "intake_alone", "yearly_service"])
def test_a_caller_runs_no_sooting_or_unknown_unit_before_something_was_put_right(tree: str) -> None:
    """By phone these trees ask from memory; the only start is the one try after something was put right."""
    _, asked = walked(tree, "phone", {"complaint_run": "black", "complaint_start": "starts"})
    running = {name for name in asked if name in shipped().checks and _runs(name)}
    assert running <= {"try_after_work"}


def _runs(name: str) -> bool:
    check = shipped().checks[name]
    return check.uses_start or check.while_running


def test_a_fan_that_rubs_is_not_run_on_the_bench() -> None:
    """A unit sent in alone whose fan rubs goes on to its tree without the run on the bench installation."""
    told: dict[str, Told] = {"came_with": "bare", "raw_fuel_look": "dry", "blower_by_hand": "rubs"}
    _, asked = walked("intake_alone", "bench", told)
    assert "blower_by_hand" in asked
    assert "bench_kit_run" not in asked


def test_what_runs_well_alone_has_nothing_exchanged() -> None:
    """A bare unit with a complaint that runs well on the bench is not released, and no part is fitted."""
    told: dict[str, Told] = {
        "came_with": "bare",
        "complaint_start": "smoke",
        "raw_fuel_look": "dry",
        "blower_by_hand": "free",
        "bench_kit_run": "runs",
    }
    walk, asked = walked("intake_alone", "bench", told)
    assert (walk.question.kind, walk.question.end) == ("end", "not_released")
    assert not [name for name in asked if name in shipped().fixes]


@pytest.mark.parametrize(
    ("told", "tree"),
    [
        ({"complaint_start": "smoke"}, "smoke_on_start"),
        ({"complaint_start": "nothing"}, "will_not_start"),
        ({"complaint_start": "starts", "complaint_run": "black"}, "black_soot"),
        ({"complaint_start": "starts", "complaint_run": "noise"}, "noisy_blower"),
        ({"complaint_start": "starts", "complaint_run": "service"}, "yearly_service"),
    ],
)
def test_a_unit_sent_in_alone_goes_on_in_the_tree_of_its_complaint(told: dict[str, Told], tree: str) -> None:
    """What the owner says decides the tree that goes on when the same trouble shows on the bench."""
    told |= {"came_with": "bare", "raw_fuel_look": "dry", "blower_by_hand": "free", "bench_kit_run": "fails"}
    walk, _ = walked("intake_alone", "bench", told)
    assert [given for given in walk.now.givens if given.visit.startswith(f"{tree}.")]


def test_a_cracked_exchanger_ends_the_job_wherever_the_unit_was_opened() -> None:
    """A crack found while the insert is cleaned puts the unit out of service, whatever the complaint was."""
    walk, asked = walked("black_soot", "bench", {"insert_look": "light", "exchanger_soot": "crack"})
    assert asked[-1] == "exchanger_soot"
    assert (walk.question.kind, walk.question.end) == ("end", "out_of_service")
    assert "exchanger_holed" in found(walk)


def test_the_yearly_service_asks_why_when_the_insert_is_foul_without_a_complaint() -> None:
    """Hard coke found at a service leads on to the tree that asks for the reason."""
    told: dict[str, Told] = {"insert_look": "hard_even", "insert_sound": "sound", "clean_insert": "not_tried"}
    walk, _ = walked("yearly_service", "bench", told)
    assert [given for given in walk.now.givens if given.visit.startswith("coked_insert_why.")]
    assert "insert_coked" in found(walk)
    clean, _ = walked("yearly_service", "bench", {"insert_look": "clean"})
    assert not [given for given in clean.now.givens if given.visit.startswith("coked_insert_why.")]


def test_every_check_that_a_caller_may_do_can_be_read_aloud() -> None:
    """Each check for the phone has its own wording and tells what a caller may get wrong."""
    for check in shipped().checks.values():
        if "phone" in check.place and check.form != "figure":
            assert check.phone, check.id
            assert check.may_mistake, check.id
