"""A check whose tool is not at hand is not advised; what it would save is shown apart, with the tool's name."""

from __future__ import annotations

from safe_gate import behind_gate
from shipped_book import shipped

from trees.walk import Walk
from trees.walk.beside import tools
from trees.walk.reasons import advice_of, why_not


def past_the_gate() -> Walk:
    """Return a job of the shipped book at its first step."""
    walk = Walk.begin(shipped(), words="x", tree="smoke_on_start", family="air_2kw_12v")
    return behind_gate(walk.taken_up("one", "2026-01-05"))


def test_check_without_its_tool_is_not_advised() -> None:
    """With every tool missing, no check that needs one is proposed, and the reason names the tool."""
    walk = past_the_gate()
    bare = tools(walk, walk.book.tools)
    advice, free = advice_of(bare), advice_of(walk)
    assert advice is not None
    assert free is not None
    assert all(not walk.book.checks[worth.check].needs for worth in advice.checks)
    assert any(walk.book.checks[worth.check].needs for worth in free.checks), "the same job with its tools has some"
    apart = {worth.check: worth.blocked for worth in advice.elsewhere}
    assert "multimeter" in walk.book.checks["battery_rest"].needs
    assert apart.get("battery_rest", "Not at hand: Multimeter.").startswith("Not at hand: ")
    assert why_not(bare, walk.book.checks["battery_rest"]) == "Not at hand: Multimeter."


def test_figure_lacks_the_tool_of_its_readings() -> None:
    """A figure that would be worked out from a reading is blocked with the reading's tool."""
    walk = past_the_gate()
    figure = walk.book.checks["supply_drop"]
    assert why_not(walk, figure) == ""
    assert "Multimeter" in why_not(tools(walk, ["multimeter"]), figure)


def test_tree_asks_all_the_same() -> None:
    """A tool can be borrowed: the step of the tree is not blocked."""
    walk = past_the_gate()
    assert tools(walk, walk.book.tools).leave_for("battery_rest").question.blocked == ""
