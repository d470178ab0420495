"""Drawing the model from a book: shares, words, what applies, and what can't be weighed."""

from __future__ import annotations

from typing import Any

import pytest

from trees.book.model import Answer, Cause, Sign
from trees.errors import SuspectsError
from trees.suspects import UNLISTED, Evidence, Network, blend, posterior, priors_of


def _cause(name: str, share: float, shows: Any = None, **more: Any) -> Cause:
    return Cause(id=name, name=name, kind="root", lives="unit", share=share, shows=shows or {}, **more)


def test_chance_before_any_answer_is_the_share(lab: Any) -> None:
    """With nothing known, each cause is as likely as its share of jobs."""
    shares = {"damp_fuel": 60, "oversized": 45, "low_volts": 30}
    network = Network.of(lab.bare_book(causes=tuple(_cause(c, s) for c, s in shares.items())))
    assert posterior(network).marginals == pytest.approx({c: s / 100 for c, s in shares.items()}, rel=1e-12)
    assert network.notes == ()


def test_a_rest_below_100_is_a_cause_of_its_own(lab: Any) -> None:
    """Shares that add up to 70 leave the rest to a cause that the book does not list; the shares stay exact."""
    network = Network.of(lab.bare_book(causes=(_cause("a", 40), _cause("b", 30))))
    found = posterior(network).marginals
    assert found == pytest.approx({"a": 0.40, "b": 0.30, UNLISTED: 0.32}, rel=1e-9)
    assert "does not list" in network.notes[0]


def test_one_cause_in_every_job_stays_finite(lab: Any) -> None:
    """A share of 100 is nearly certain, not a division by zero."""
    assert posterior(Network.of(lab.bare_book(causes=(_cause("a", 100),)))).marginals["a"] > 0.999


def test_levels_and_unprompted_become_running_sums(lab: Any) -> None:
    """Rows hold the chance of each level and of at most each level; one unprompted number is split over the levels."""
    coke = Sign(id="coke", name="Coke", levels=("none", "light", "hard"), unprompted=(0.04,))
    book = lab.bare_book(
        causes=(_cause("a", 60, {"coke": {"light": 0.55, "hard": 0.25}}), _cause("b", 60)), signs=(coke,)
    )
    node = Network.of(book).signs["coke"]
    assert node.links[0].chances == pytest.approx((0.2, 0.55, 0.25))
    assert node.links[0].upto == pytest.approx((0.2, 0.75, 1.0))
    assert node.leak.upto == pytest.approx((0.96, 0.98, 1.0))
    assert 1 not in node.links


def test_words_past_99_percent_are_scaled_and_noted(lab: Any) -> None:
    """A cause whose words for one sign add up past 0.99 is scaled down, and the author is told which."""
    coke = Sign(id="coke", name="Coke", levels=("none", "light", "hard"), unprompted=(0.02, 0.01))
    shows = {"coke": {"light": 0.80, "hard": 0.55}}
    network = Network.of(lab.bare_book(causes=(_cause("a", 60, shows), _cause("b", 60)), signs=(coke,)))
    assert network.signs["coke"].links[0].chances == pytest.approx((0.01, 0.80 * 0.99 / 1.35, 0.55 * 0.99 / 1.35))
    assert network.notes == ("The words of a for coke add up to 1.35; they were scaled to 0.99.",)


def test_what_does_not_apply_is_left_out(lab: Any) -> None:
    """A cause of coolant units is no suspect of an air unit; the others keep their odds; an unknown unit keeps all."""
    causes = (_cause("a", 60), _cause("b", 45), _cause("pump", 30, applies={"medium": "coolant", "voltage": "any"}))
    signs = (
        Sign(id="leak", name="", applies={"medium": "coolant"}),
        Sign(id="v24", name="", applies={"voltage": "24"}),
    )
    book = lab.bare_book(causes=causes, signs=signs)
    whole, air = Network.of(book), Network.of(book, {"medium": "air", "voltage": "24"})
    assert whole.causes == ("a", "b", "pump")
    assert (air.causes, tuple(air.signs)) == (("a", "b"), ("v24",))
    assert air.priors == whole.priors[:2]
    assert posterior(air, Evidence.of({"leak": "yes"})) == posterior(air)


@pytest.mark.parametrize(
    ("causes", "sentence"),
    [
        ((), "no cause with a share"),
        ((_cause("a", 0),), "no cause with a share"),
        ((_cause("a", 120),), "can't be there in 120 of 100 jobs"),
        ((_cause("a", 120, applies={"medium": "coolant"}),), "can't be there in 120"),
        ((_cause("a", 20, applies={"medium": "coolant"}),), "No cause of the book applies"),
        ((_cause("a", 20, {"s": {"yes": -0.1}}),), "below zero in the words of a for s"),
    ],
)
def test_books_that_cannot_be_weighed(lab: Any, causes: tuple[Cause, ...], sentence: str) -> None:
    """What is wrong with the book is told in a sentence."""
    with pytest.raises(SuspectsError, match=sentence):
        Network.of(lab.bare_book(causes=causes, signs=(Sign(id="s", name="s"),)), {"medium": "air"})


def test_shares_survive_the_way_to_priors_and_back() -> None:
    """Shares just above one cause a job, and far above, come back exactly."""
    for shares in ([0.5, 0.4, 0.11], [0.9, 0.8, 0.7, 0.6], [0.34] * 3, [0.03] * 45):
        found = priors_of(shares)
        assert [p / found.any_cause for p in found.p] == pytest.approx(shares, rel=1e-12)
        none = 1.0
        for p in found.p:
            none *= 1 - p
        assert 1 - none == pytest.approx(found.any_cause, rel=1e-9)


def test_a_reading_near_an_edge_counts_for_both_bands() -> None:
    """Bands weigh by their probability; a band that is silent on a sign fits all its levels."""
    low = Answer(id="low", means="", says={"dose_low": "yes"})
    good = Answer(id="good", means="", says={"dose_low": "no", "dose_high": "no"})
    by_sign = {item.sign: item for item in blend([(low, 0.3), (good, 0.7)], by="dose")}
    assert dict(by_sign["dose_low"].weights) == {"yes": 0.3, "no": 0.7}
    assert (dict(by_sign["dose_high"].weights), by_sign["dose_high"].rest) == ({"no": 0.7}, 0.3)
    assert {item.level for item in blend([(good, 1.0), (low, 0.0)])} == {"no"}
