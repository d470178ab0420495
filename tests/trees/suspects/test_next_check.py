"""The next check: worth in minutes, opening charged once, filters that only filter, and the fix when nothing pays."""

from __future__ import annotations

import math
import random
from itertools import product
from typing import Any

import pytest

from trees.book.model import Answer, Book, Cause, Check, Fix, ReadingField, Sign
from trees.errors import SuspectsError
from trees.suspects import Evidence, Network, Observed, Tried, posterior, rank_checks, turns
from trees.suspects.foresee import Foresight
from trees.suspects.posterior import weigh


def _cause(name: str, share: float, **shows: float) -> Cause:
    levels = {sign: {"yes": chance} for sign, chance in shows.items()}
    return Cause(id=name, name=name, kind="root", lives="unit", share=share, shows=levels)


def _check(name: str, sign: str, minutes: float, **more: Any) -> Check:
    answers = tuple(Answer(id=level, means=level, says={sign: level}) for level in ("no", "yes"))
    return Check(id=name, form="look", wording=name, minutes=minutes, answers=answers, **more)


def _fix(name: str, minutes: float, *cures: str) -> Fix:
    return Fix(id=name, do=name, minutes=minutes, cures=cures)


CAUSES = (
    _cause("damp_fuel", 45, cloudy=0.8, coke=0.6),
    _cause("oversized", 40, low_fire=0.9, coke=0.8),
    _cause("worn_plug", 35, slow_light=0.8, plug_open=0.9),
)
SIGNS = tuple(Sign(id=s, name=s) for s in ("cloudy", "coke", "low_fire", "slow_light", "plug_open"))
FIXES = (
    _fix("drain_tank", 90, "damp_fuel"),
    _fix("advise", 120, "oversized"),
    _fix("new_plug", 60, "worn_plug"),
)
CHECKS = (
    _check("see_fuel", "cloudy", 3),
    _check("ask_use", "low_fire", 2),
    _check("plug_ohm", "plug_open", 5, inside=True),
    _check("see_insert", "coke", 4, inside=True),
)


def _book(lab: Any, **parts: Any) -> Book:
    return lab.bare_book(**({"causes": CAUSES, "signs": SIGNS, "fixes": FIXES, "checks": CHECKS} | parts))


def test_a_foreseen_answer_is_the_answer_given(lab: Any) -> None:
    """The chances foreseen after an answer are those when it is really given, and the answers add up to 1."""
    rng = random.Random(5)
    for _ in range(40):
        network = lab.random_network(rng, causes=6, signs=7)
        evidence = Evidence(
            tuple(i for i in lab.random_evidence(rng, network).items if i.sign not in {"sign0", "sign1"})
        )
        if rng.random() < 0.3:
            evidence = evidence.adding([Tried(("cause0",), "still")])
        signs = [network.signs["sign0"], network.signs["sign1"]]
        says = [dict(zip(("sign0", "sign1"), pair, strict=True)) for pair in product(*(s.levels for s in signs))]
        foresight = Foresight(weigh(network, evidence), evidence)
        given = [posterior(network, evidence.adding(Evidence.of(said).items)) for said in says]
        total = posterior(network, evidence).p_evidence
        assert sum(found.p_evidence for found in given) == pytest.approx(total, rel=1e-9)
        for said, found in zip(says, given, strict=True):
            (outcome,) = foresight.outcomes([said])
            assert outcome.marginals == pytest.approx(list(found.still_there.values()), abs=1e-9)
        chances = sorted(outcome.chance for outcome in foresight.outcomes(says))
        assert chances == pytest.approx(sorted(found.p_evidence / total for found in given), abs=1e-9)


def test_worth_is_minutes_before_less_minutes_after(lab: Any) -> None:
    """A check saves the minutes expected now less those expected after each answer, weighed by its chance."""
    book = _book(lab)
    network = Network.of(book)
    now = rank_checks(book, network, Evidence())
    after = 0.0
    for level in ("no", "yes"):
        said = Evidence.of({"cloudy": level})
        after += posterior(network, said).p_evidence * rank_checks(book, network, said).minutes_now
    worth = next(w for w in now.checks if w.check == "see_fuel")
    assert worth.saves == pytest.approx(now.minutes_now - after, rel=1e-9)
    assert worth.per_minute == pytest.approx(worth.saves / 3)
    assert [w.per_minute for w in now.checks] == sorted((w.per_minute for w in now.checks), reverse=True)


def test_when_no_check_pays_the_fix_is_advised(lab: Any) -> None:
    """Once the fuel is known to be cloudy and the rest normal, more checks cost more than they save: drain the tank."""
    book = _book(lab)
    evidence = Evidence.of({"cloudy": "yes", "low_fire": "no", "plug_open": "no"})
    advice = rank_checks(book, Network.of(book), evidence)
    assert advice.check is None
    assert advice.opening is None
    assert advice.fix is not None
    assert advice.fix.fix == "drain_tank"
    other = rank_checks(book, Network.of(book), evidence, fix_blocked=lambda fix: "no" * (fix.id == "drain_tank"))
    assert other.fix is not None
    assert other.fix.fix != "drain_tank"


def test_blocked_checks_stand_apart_with_their_worth(lab: Any) -> None:
    """A check that can't be done here is never advised; its reason and the minutes it would save are shown apart."""
    book = _book(lab)
    everywhere = rank_checks(book, Network.of(book), Evidence())
    here = rank_checks(
        book, Network.of(book), Evidence(), blocked=lambda c: "needs the bench" if c.id == "ask_use" else ""
    )
    assert everywhere.check is not None
    assert "ask_use" in {w.check for w in everywhere.checks}
    (apart,) = here.elsewhere
    assert (apart.check, apart.blocked) == ("ask_use", "needs the bench")
    assert apart.saves == next(w.saves for w in everywhere.checks if w.check == "ask_use")
    assert here.check is not None
    assert here.check.check != "ask_use"


def test_opening_is_charged_once_to_the_best_bundle(lab: Any) -> None:
    """Closed, the checks inside share the minutes of opening; open, each stands for itself."""
    book = _book(lab, checks=CHECKS[2:], opening_minutes=6.0)
    network = Network.of(book)
    closed = rank_checks(book, network, Evidence())
    assert closed.check is None
    assert closed.opening is not None
    bundle = closed.opening
    assert bundle.minutes == 6.0 + sum(w.minutes for w in closed.checks if w.check in bundle.checks)
    opened = rank_checks(book, network, Evidence(), unit_open=True)
    assert opened.opening is None
    assert opened.check is not None
    assert opened.check.check == bundle.checks[0]
    dear = rank_checks(_book(lab, checks=CHECKS[2:], opening_minutes=500.0), network, Evidence())
    assert (dear.check, dear.opening) == (None, None)
    assert dear.fix is not None


def test_a_bundle_is_worth_what_its_answers_save_together(lab: Any) -> None:
    """The joint worth of a bundle counts every combination of answers."""
    inside = (_check("drain_bowl", "cloudy", 3, inside=True), _check("see_log", "low_fire", 2, inside=True))
    book = _book(lab, checks=(*inside, CHECKS[2]), opening_minutes=20.0)
    network = Network.of(book)
    opening = rank_checks(book, network, Evidence()).opening
    assert opening is not None
    assert len(opening.checks) > 1
    signs = [book.checks[check].answers[0].says for check in opening.checks]
    after = 0.0
    for levels in product(("no", "yes"), repeat=len(signs)):
        said = Evidence.of({next(iter(says)): level for says, level in zip(signs, levels, strict=True)})
        after += posterior(network, said).p_evidence * rank_checks(book, network, said).minutes_now
    assert opening.saves == pytest.approx(rank_checks(book, network, Evidence()).minutes_now - after, rel=1e-9)


def test_only_what_is_not_known_is_offered(lab: Any) -> None:
    """Checks that were answered, also with unknown, and checks of signs already known are not offered again."""
    book = _book(lab)
    network = Network.of(book)
    assert "see_fuel" not in {w.check for w in rank_checks(book, network, Evidence(), done={"see_fuel"}).checks}
    assert "see_fuel" not in {w.check for w in rank_checks(book, network, Evidence.of({"cloudy": "no"})).checks}


def test_a_check_whose_answers_say_nothing_is_no_candidate(lab: Any) -> None:
    """Words for the report alone are worth nothing to the suspects."""
    chat = Check(id="chat", form="ask", wording="", answers=(Answer(id="a", means=""), Answer(id="b", means="")))
    assert rank_checks(_book(lab, checks=(chat,)), Network.of(_book(lab)), Evidence()).checks == ()


def test_a_silent_answer_takes_what_is_left(lab: Any) -> None:
    """Where one answer says nothing, it has the chance that the others leave and changes nothing."""
    half = Check(
        id="half",
        form="ask",
        wording="",
        answers=(Answer(id="y", means="", says={"cloudy": "yes"}), Answer(id="n", means="")),
    )
    book = _book(lab, checks=(half, CHECKS[0]))
    worth = {w.check: w.saves for w in rank_checks(book, Network.of(book), Evidence()).checks}
    assert 0 < worth["half"] < worth["see_fuel"]


def test_ticked_items_and_figures(lab: Any) -> None:
    """A list counts as its best item; a figure costs the readings that it still needs and names them."""
    items = tuple(Answer(id=s, means="", says={s: "yes"}, otherwise={s: "no"}) for s in ("cloudy", "low_fire"))
    bands = (Answer(id="low", means="", says={"low_fire": "yes"}), Answer(id="ok", means="", says={"low_fire": "no"}))
    hours = Check(id="hours", form="measure", wording="", minutes=7, readings=(ReadingField("low", "h"),))
    share = Check(id="share", form="figure", wording="", figure="x", inputs={"low": "hours.low"}, bands=bands)
    book = _book(lab, checks=(Check(id="list", form="tick", wording="", items=items), hours, share, *CHECKS[:2]))
    network = Network.of(book)
    worth = {w.check: w for w in rank_checks(book, network, Evidence()).checks}
    assert worth["list"].saves == max(worth["see_fuel"].saves, worth["ask_use"].saves)
    assert (worth["share"].minutes, worth["share"].needs_first) == (7, ("hours",))
    assert worth["share"].saves == pytest.approx(worth["ask_use"].saves)
    ready = rank_checks(book, network, Evidence(), done={"hours"})
    assert next(w for w in ready.checks if w.check == "share").needs_first == ()


def test_a_fix_that_was_tried_is_not_advised_again(lab: Any) -> None:
    """After a fix that failed, its cause is gone and another fix comes first."""
    book = _book(lab, checks=())
    network = Network.of(book)
    first = rank_checks(book, network, Evidence()).fix
    assert first is not None
    failed = Evidence((Tried(book.fixes[first.fix].cures, "still"),))
    second = rank_checks(book, network, failed).fix
    assert second is not None
    assert second.fix != first.fix


def test_numbers_stay_finite_on_random_books(lab: Any) -> None:
    """Whatever is known, worth and minutes are finite and not negative."""
    rng = random.Random(9)
    for _ in range(40):
        said = {s.id: rng.choice(("no", "yes")) for s in SIGNS if rng.random() < 0.5}
        book = _book(lab)
        unsure = Observed("slow_light", weights={"no": 0.4, "yes": 0.6})
        evidence = Evidence.of({s: v for s, v in said.items() if s != "slow_light"}).adding([unsure])
        advice = rank_checks(book, Network.of(book), evidence)
        assert math.isfinite(advice.minutes_now)
        assert all(w.saves >= 0 and w.bits >= 0 and math.isfinite(w.saves) for w in advice.checks)
        assert sum(x is not None for x in (advice.check, advice.opening, advice.fix)) == 1


def test_a_check_that_leaves_the_order_of_fixes_saves_nothing(lab: Any) -> None:
    """A sign that no suspect shows saves no minute and tells no bit, also where its answers leave a gap."""
    signs = (*SIGNS, Sign(id="paint", name="paint"))
    gap = Check(id="gap", form="ask", wording="", answers=(Answer(id="y", means="", says={"paint": "yes"}),))
    book = _book(lab, signs=signs, checks=(_check("see_paint", "paint", 1), gap))
    for worth in rank_checks(book, Network.of(book), Evidence()).checks:
        assert worth.saves == pytest.approx(0.0, abs=1e-9)
        assert worth.bits == pytest.approx(0.0, abs=1e-9)


def test_what_would_change_my_mind(lab: Any) -> None:
    """The answers that would move a cause most come first, each with where the cause would stand if it were given."""
    book = _book(lab)
    network = Network.of(book)
    evidence = Evidence.of({"coke": "yes"})
    found = turns(book, network, evidence, "oversized", blocked=lambda check: "shut" if check.inside else "")
    assert {turn.check for turn in found} == {"see_fuel", "ask_use"}
    # seen, low fire speaks by (1 - 0.97 * 0.1) / 0.03, about +15 dB; not seen by 0.1, -10 dB
    assert (found[0].check, found[0].answers) == ("ask_use", ("yes",))
    assert [abs(t.db) for t in found] == sorted((abs(t.db) for t in found), reverse=True)
    for turn in found:
        sign = {"see_fuel": "cloudy", "ask_use": "low_fire"}[turn.check]
        given = posterior(network, evidence.adding([Observed(sign, turn.answers[0])]))
        assert turn.after == pytest.approx(given.marginals["oversized"], abs=1e-9)
    with pytest.raises(SuspectsError, match="not among the suspects"):
        turns(book, network, evidence, "water_pump")
