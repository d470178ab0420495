"""`sootline weigh` and `sootline why` from a shell: figures and reasons on stdout, one sentence on stderr."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from book_folder import new_boats
from shell import sootline, told


def test_weigh_gives_its_three_minutes_in_order() -> None:
    """limit_minutes ≤ best_minutes ≤ author_minutes, with the costliest step and what the best order asks first."""
    found = told("weigh", "exhaust_inside")
    assert 0 < found["limit_minutes"] <= found["best_minutes"] <= found["author_minutes"]
    assert found["costliest"] == max(found["steps"], key=lambda step: step["minutes"])
    assert found["first_check"] in found["checks"]
    assert found["right"] + found["wrong"] == pytest.approx(1)
    assert found["drawn"] == bool(found["author_error"] or found["best_error"])
    assert found["measures"].endswith("no real job")


def test_weigh_tells_a_person_the_same() -> None:
    """The text names the three minutes, the error of the draw, and that no real job was measured."""
    run = sootline("weigh", "exhaust_inside")
    found = told("weigh", "exhaust_inside")
    assert run.returncode == 0
    assert f"Your tree: {found['author_minutes']:.0f} ± {found['author_error']:.1f} min" in run.stdout
    assert f"With the cause known from the start: {found['limit_minutes']:.0f} min." in run.stdout
    assert "It measures no real job." in run.stdout
    assert "Traceback" not in run.stderr


def test_weigh_writes_the_best_order_out() -> None:
    """Turn by turn with its share of jobs, minutes and the id an author writes; only as often as was asked for."""
    found = told("weigh", "exhaust_inside", "--order", "10")
    first = found["order"][0]
    assert (first["depth"], first["share"]) == (0, pytest.approx(1.0))
    assert first["check"] in found["checks"]
    assert all(turning["share"] >= 0.1 for turning in found["order"])
    run = sootline("weigh", "exhaust_inside", "--order", "10")
    assert f"({first['check']})" in run.stdout
    assert told("weigh", "exhaust_inside")["order"] == []
    run = sootline("weigh", "exhaust_inside", "--order", "0")
    assert run.returncode == 2
    assert "give 0.5 to 100" in run.stderr


def test_weigh_of_one_class_of_unit_leaves_out_what_it_can_not_have() -> None:
    """With a family no cause is missed that only another kind of unit has; without one it may be."""
    known = told("weigh", "exhaust_inside", "--family", "air_2kw_12v")
    assert known["author_minutes"] != told("weigh", "exhaust_inside")["author_minutes"]
    run = sootline("weigh", "exhaust_inside", "--family", "nix")
    assert run.returncode == 2
    assert "no family named nix" in run.stderr
    assert "air_2kw_12v" in run.stderr


@pytest.mark.parametrize(("tree", "sentence"), [("nix", "no tree named nix"), ("commissioning", "after a repair")])
def test_weigh_says_why_it_can_not(tree: str, sentence: str) -> None:
    """A tree that can't be weighed is one sentence on stderr and exit status 2."""
    run = sootline("weigh", tree)
    assert (run.returncode, run.stdout) == (2, "")
    assert sentence in run.stderr
    assert run.stderr.count("\n") == 1


def test_why_accounts_for_a_job(demo_store: Path) -> None:
    """Suspects with chance and state, reasons that sum, pairs, and the next check with its minutes."""
    found = told("--store", demo_store, "why", "D-12")
    assert {"cause", "probability", "state", "by"} <= set(found["suspects"][0])
    for reasons in found["why"]:
        assert sum(answer["db"] for answer in reasons["answers"]) == pytest.approx(reasons["total_db"], abs=1e-9)
        chances = {s["cause"]: s["probability"] for s in found["suspects"]}
        assert reasons["end"] == pytest.approx(chances[reasons["cause"]], abs=1e-12)
    assert found["advice"]["check"]["saves"] > found["advice"]["check"]["minutes"]
    text = sootline("--store", demo_store, "why", "D-12").stdout
    assert "Without this answer it would be" in text
    assert "What would change my mind:" in text
    assert "\nNext: " in text


def test_why_of_one_cause_shows_all_its_answers(demo_store: Path) -> None:
    """With a cause named, answers that hardly moved it are shown too."""
    short = sootline("--store", demo_store, "why", "D-03").stdout
    whole = sootline("--store", demo_store, "why", "D-03", "--cause", "cable_voltage_drop").stdout
    assert "more answers; --cause cable_voltage_drop shows all." in short
    assert "Hardly moved by:" in whole
    assert "No check is proposed" in whole, "the job is closed"


def test_why_says_why_it_can_not(demo_store: Path) -> None:
    """An unknown job or cause is one sentence on stderr and exit status 2."""
    for arguments in (("why", "X-99"), ("why", "D-12", "--cause", "nix")):
        run = sootline("--store", demo_store, *arguments)
        assert (run.returncode, run.stdout) == (2, "")
        assert run.stderr.startswith("sootline: ")
        assert run.stderr.count("\n") == 1


def test_recount_counts_closed_jobs_and_changes_nothing(demo_store: Path) -> None:
    """Invented jobs never count as real ones; asked for, they move the shares of what was found in them."""
    real = told("--store", demo_store, "recount")
    assert real["jobs"] == 0
    assert all(row["share"] == pytest.approx(row["author"]) for row in real["causes"])
    counted = {row["cause"]: row for row in told("--store", demo_store, "recount", "--invented")["causes"]}
    assert counted["cable_voltage_drop"]["seen"] == pytest.approx(1, abs=0.01), "cured by its fix in D-03"
    assert counted["corroded_connector"]["seen"] == pytest.approx(0.5, abs=0.01), "found there, its fix did not help"
    assert counted["cable_voltage_drop"]["share"] > counted["cable_voltage_drop"]["author"]
    text = sootline("--store", demo_store, "recount", "--invented").stdout
    assert "The book's own shares are not changed." in text
    refused = sootline("--store", demo_store, "recount", "--prior-jobs", "5")
    assert (refused.returncode, refused.stdout) == (2, "")
    assert "give 10 to 100" in refused.stderr


def test_weigh_shows_why_a_tree_is_slower(tmp_path: Path) -> None:
    """The figure that is weighed now stands beside the author's own and the reason; a tree without a note has none."""
    from trees.book import load_book
    from trees.book.tree import Slower
    from trees.walk.weighing import weigh_tree
    from tui.verbs.weigh import as_json, as_text

    book = load_book(new_boats(tmp_path))
    tree = book.trees["will_not_start"]
    weighing = weigh_tree(book, tree.id)
    assert weighing.slower_per_cent == pytest.approx(100 * (weighing.author.value / weighing.best.value - 1))
    assert not any("says why" in line for line in as_text(book, weighing))
    assert as_json(book, weighing)["slower_because"] is None
    noted = replace(tree, slower=Slower(27.0, "It looks before it opens."))
    book = replace(book, trees={**book.trees, tree.id: noted})
    lines = list(as_text(book, weighing))
    assert f"The tree takes {weighing.slower_per_cent:.0f} % more minutes than that order." in lines
    assert "Its author says why (27 % when written): It looks before it opens." in lines
    assert as_json(book, weighing)["slower_because"] == "It looks before it opens."
