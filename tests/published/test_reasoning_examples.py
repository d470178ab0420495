"""The worked examples of the cause model, each with its source in reasoning_examples.yaml, to a relative 1e-8."""

from __future__ import annotations

from itertools import permutations, product
from math import prod
from pathlib import Path
from typing import Any

import pytest
import yaml
from bare_book import bare_book

from trees.book.model import Answer, Book, Check, Fix
from trees.suspects import (
    Action,
    Evidence,
    Network,
    Observed,
    Row,
    SignNode,
    Tried,
    decibans,
    fix_plan,
    pairs,
    posterior,
    priors_of,
    rank_checks,
    why,
)
from trees.suspects.beta import beta_quantile
from trees.suspects.recount import LEVEL, ClosedJob, recount

EXAMPLES = {
    example["id"][:3]: example
    for example in yaml.safe_load(Path(__file__).with_name("reasoning_examples.yaml").read_text())["examples"]
}


def close(expected: Any) -> Any:
    return pytest.approx(expected, rel=1e-8, abs=1e-12)


def yes_no(name: str, links: list[float], leak: float) -> SignNode:
    return SignNode(name, ("no", "yes"), Row.of([leak]), {i: Row.of([q]) for i, q in enumerate(links) if q})


def network_of(p: list[float], *signs: SignNode, one: bool = True) -> Network:
    return Network(tuple(f"c{i}" for i in range(len(p))), tuple(p), {sign.id: sign for sign in signs}, at_least_one=one)


def marginals(network: Network, *items: Observed | Tried) -> list[float]:
    return list(posterior(network, Evidence(items)).marginals.values())


def test_e04_two_causes_share_the_blame() -> None:
    """Soot, short cycling and cloudy fuel: both causes stay likely; the joint chance of the pair is exact too."""
    given, expect = EXAMPLES["E04"]["inputs"], EXAMPLES["E04"]["expect"]
    signs = [yes_no(name, row["link"], row["leak"]) for name, row in given["signs"].items()]
    network = network_of(given["p"], *signs)
    soot = posterior(network, Evidence.of({"soot": "yes"}))
    assert list(soot.marginals.values()) == close(expect["after_soot_present"])
    p_one = 1 - (1 - given["p"][0]) * (1 - given["p"][1])
    assert soot.p_evidence * p_one == close(expect["p_soot_and_one"])
    everything = Evidence.of(dict.fromkeys(given["signs"], "yes"))
    assert list(posterior(network, everything).marginals.values()) == close(expect["after_all_three_present"])
    assert pairs(network, everything)[0].chance == close(expect["pair_together"])


@pytest.mark.parametrize("one", [False, True])
def test_e05_three_causes_two_signs_seen(one: bool) -> None:
    """The sum worked by hand and the cover program give the same chances, with and without `at least one`."""
    given, expect = EXAMPLES["E05"]["inputs"], EXAMPLES["E05"]["expect"]
    signs = [yes_no(f"s{k}", row, leak) for k, (row, leak) in enumerate(zip(given["link"], given["leak"], strict=True))]
    said = {f"s{k}": "yes" for k in given["present"]} | {f"s{k}": "no" for k in given["absent"]}
    found = posterior(network_of(given["p"], *signs, one=one), Evidence.of(said))
    key = "posterior_given_at_least_one" if one else "posterior"
    assert list(found.marginals.values()) == close(expect[key])
    p_one = 1 - (1 - 0.08) * (1 - 0.05) * (1 - 0.03)
    p_joint = found.p_evidence * (p_one if one else 1)
    assert p_joint == close(expect["p_evidence_and_one" if one else "p_evidence"])


@pytest.mark.parametrize("level", ["none", "grey", "black"])
def test_e06_pick_one_of_several(level: str) -> None:
    """A sign of three levels: each answer's own chance and what it makes of the causes."""
    given, expect = EXAMPLES["E06"]["inputs"], EXAMPLES["E06"]["expect"][level]
    links = {i: Row.of(row[1:]) for i, row in enumerate(given["alone"])}
    smoke = SignNode("smoke", tuple(given["levels"]), Row.of(given["leak"][1:]), links)
    found = posterior(network_of(given["p"], smoke), Evidence.of({"smoke": level}))
    assert list(found.marginals.values()) == close(expect["posterior"])
    assert found.p_evidence == close(expect["p_answer_given_one"])


def test_e07_shares_become_priors() -> None:
    """Priors are such that each cause's chance, given at least one, is its share."""
    given, expect = EXAMPLES["E07"]["inputs"], EXAMPLES["E07"]["expect"]
    found = priors_of(given["share_of_jobs"])
    assert found.any_cause == close(expect["Z"])
    assert list(found.p) == close(expect["p"])
    assert found.unlisted is None
    assert marginals(network_of(list(found.p))) == close(given["share_of_jobs"])


def test_e11_weight_of_evidence() -> None:
    """Soot, then cloudy fuel, in decibans: the second answer moves the first cause only through its rival."""
    given, expect = EXAMPLES["E11"]["inputs"], EXAMPLES["E11"]["expect"]
    signs = [yes_no(name, given[name]["link"], given[name]["leak"]) for name in ("soot", "fuel_cloudy")]
    network = network_of(given["p"], *signs, one=False)
    absent = Evidence.of({"soot": "no"})
    assert [why(network, absent, c).weights[0].db for c in network.causes] == close(expect["soot_absent_db"])
    both = Evidence.of({"soot": "yes", "fuel_cloudy": "yes"})
    reasons = [why(network, both, cause) for cause in network.causes]
    assert [r.start_db for r in reasons] == close(expect["prior_db"])
    assert [r.weights[0].db for r in reasons] == close(expect["soot_present_db"])
    assert [r.weights[1].db for r in reasons] == close(expect["then_cloudy_db"])
    assert [r.end_db for r in reasons] == close(expect["posterior_db"])
    assert [r.end for r in reasons] == close(expect["posterior"])
    assert reasons[0].weights[1].rival == "c1"
    ruled_out = why(network.without("c1"), both, "c0").weights[1]
    assert ruled_out.db == close(expect["then_cloudy_db_for_cause0_with_cause1_ruled_out"])


def test_e14_a_trial_fix_that_fails() -> None:
    """After a sure fix the unit still fails: the other cause is certain, the first was perhaps there and is gone."""
    given, expect = EXAMPLES["E14"]["inputs"], EXAMPLES["E14"]["expect"]
    network = network_of(given["p"])
    cured = posterior(network, Evidence((Tried(("c0",), "cured"),)))
    assert cured.p_evidence == close(expect["p_cured"])
    failed = posterior(network, Evidence((Tried(("c0",), "still"),)))
    assert failed.marginals["c1"] == close(expect["p_cause1_present"])
    assert failed.marginals["c0"] == close(expect["p_cause0_was_present"])
    assert failed.still_there["c0"] == expect["p_cause0_present_now"]
    assert decibans(failed.odds["c1"]) == float("inf")


def test_e15_unknown_and_unsure() -> None:
    """Unknown is the same as not asking, bit for bit; an unsure answer weighs both levels."""
    given, expect = EXAMPLES["E15"]["inputs"], EXAMPLES["E15"]["expect"]
    signs = [yes_no(name, given[name]["link"], given[name]["leak"]) for name in ("short_cycling", "soot")]
    network = network_of(given["p"], *signs)
    cycling = Observed("short_cycling", "yes")
    assert marginals(network, cycling) == close(expect["without_asking"])
    assert marginals(network, cycling, Observed("soot", "unknown")) == marginals(network, cycling)
    unsure = Observed("soot", weights={"no": 0.3, "yes": 0.7})
    assert marginals(network, cycling, unsure) == close(expect["with_soot_unsure_70_30"])


def _minutes(p: list[float], minutes: list[float], order: tuple[int, ...], *, one: bool) -> float:
    """Expect the minutes of an order by the definition: all sets of causes, fix and try until none is left."""
    total = weight_of_all = 0.0
    for present in product((0, 1), repeat=len(p)):
        if sum(present) != 1 if one else not any(present):
            continue
        weight = prod(p[i] if there else (1 if one else 1 - p[i]) for i, there in enumerate(present))
        last = max(place for place, i in enumerate(order) if present[i])
        total += weight * sum(minutes[i] for i in order[: last + 1])
        weight_of_all += weight
    return total / weight_of_all


def _plan(marginals: list[float], minutes: list[float]) -> tuple[list[int], float]:
    plan = fix_plan([Action(str(i), m, (i,)) for i, m in enumerate(minutes)], marginals)
    return [int(advice.fix) for advice in plan.order], plan.minutes


def test_e01_one_cause_chance_per_minute() -> None:
    """With exactly one cause, the order by chance per minute is best of all 24."""
    given, expect = EXAMPLES["E01"]["inputs"], EXAMPLES["E01"]["expect"]
    order, minutes = _plan(given["p"], given["minutes"])
    assert order == expect["order"]
    assert minutes == close(expect["expected_minutes"])
    every = [_minutes(given["p"], given["minutes"], o, one=True) for o in permutations(range(4))]
    assert min(every) == close(minutes)
    assert max(every) == close(expect["worst_minutes"])


def test_e03_several_causes_odds_per_minute() -> None:
    """With independent causes, the order by odds per minute is best; the marginals are enough to know it."""
    given, expect = EXAMPLES["E03"]["inputs"], EXAMPLES["E03"]["expect"]
    network = network_of(given["p"])
    order, minutes = _plan(marginals(network), given["minutes"])
    assert order == expect["order_odds_over_C"]
    assert minutes == close(expect["expected_minutes"])
    every = {o: _minutes(given["p"], given["minutes"], o, one=False) for o in permutations(range(3))}
    assert min(every.values()) == close(minutes)
    assert every[tuple(expect["order_p_over_C"])] == close(expect["expected_minutes_p_over_C"])


def _book(fixes: list[dict[str, Any]], checks: dict[str, Any]) -> Book:
    made = [
        Check(
            id=name,
            form="look",
            wording="",
            minutes=1,
            answers=tuple(Answer(id=level, means=level, says={name: level}) for level in ("no", "yes")),
        )
        for name in checks
    ]
    cures = [
        Fix(id=str(k), do="", minutes=fix["minutes"], cures=tuple(f"c{i}" for i in fix["cures"]))
        for k, fix in enumerate(fixes)
    ]
    return bare_book(unprompted=0.0, opening_minutes=0.0, checks=made, fixes=cures)


def test_e10_information_is_not_value() -> None:
    """A check that splits two causes with one fix tells one bit and saves nothing; the other saves four minutes."""
    given, expect = EXAMPLES["E10"]["inputs"], EXAMPLES["E10"]["expect"]
    checks = {"A": given["check_A_p_yes"], "B": given["check_B_p_yes"]}
    # vanishing priors given at least one cause: exactly one cause, in these proportions
    network = network_of([p * 1e-10 for p in given["p"]], *(yes_no(name, row, 0.0) for name, row in checks.items()))
    book = _book(given["fixes"], checks)
    advice = rank_checks(book, network, Evidence())
    worth = {w.check: w for w in advice.checks}
    assert advice.minutes_now == close(expect["fix_only_minutes"])
    for name in checks:
        assert worth[name].saves == pytest.approx(expect[f"check_{name}_voi_minutes"], rel=1e-8, abs=1e-7)
        assert worth[name].bits == pytest.approx(expect[f"check_{name}_bits"], rel=1e-7)
    assert advice.check is not None
    assert advice.check.check == "B"


@pytest.mark.parametrize(
    ("name", "seen", "total"), [("k0_N0", 0, 0), ("k5_N5", 5, 5), ("k12_N30", 12, 30), ("k60_N200", 60, 200)]
)
def test_e12_shares_counted_anew(name: str, seen: int, total: int) -> None:
    """Closed jobs move the author's share: mean and equal-tailed 90 % interval of the beta distribution."""
    given, expect = EXAMPLES["E12"]["inputs"], EXAMPLES["E12"]["expect"][name]
    jobs = [ClosedJob({"cause": 1.0} if k < seen else {}) for k in range(total)]
    (found,) = recount({"cause": given["author_share"]}, jobs, prior_jobs=given["prior_weight_cases"])
    assert found.share == close(expect["mean"])
    assert [found.low, found.high] == close(expect["interval"])
    assert given["level"] == LEVEL
    assert beta_quantile(0.05, expect["alpha"], expect["beta"]) == close(expect["interval"][0])
