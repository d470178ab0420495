"""The way of holding the program against outside numbers can itself fail, and warns where it should."""

from __future__ import annotations

import dataclasses

import pytest
from published_values import VALUES, MemoryDeviation, PublishedCheck, hold_against, load_checks

CHECK = PublishedCheck("X-1", "calc", {}, {"drop": 1.0}, {"drop": 0.1}, "a table", "published")


def test_a_deviation_from_a_published_value_fails() -> None:
    """Outside the tolerance the test fails, inside it passes."""
    hold_against(CHECK, {"drop": 1.09})
    for wrong in (1.11, 0.89):
        with pytest.raises(AssertionError, match=r"a table says 1\.0"):
            hold_against(CHECK, {"drop": wrong})


def test_a_deviation_from_a_remembered_value_is_shown_and_does_not_fail(monkeypatch: pytest.MonkeyPatch) -> None:
    """A number from memory only warns."""
    monkeypatch.delenv("MEMORY_DEVIATION_FAILS", raising=False)
    with pytest.warns(MemoryDeviation, match="X-1: drop is 2"):
        hold_against(dataclasses.replace(CHECK, status="memory"), {"drop": 2.0})


def test_a_number_that_nobody_computed_fails() -> None:
    """An expected number can't be left out, and a constant without tolerance has to be the same."""
    with pytest.raises(AssertionError, match="not computed"):
        hold_against(CHECK, {"other": 1.0})
    with pytest.raises(AssertionError):
        hold_against(dataclasses.replace(CHECK, tolerance={}), {"drop": 1.0001})


@pytest.mark.parametrize("path", sorted(VALUES.glob("*.yaml")), ids=lambda path: path.stem)
def test_each_value_names_source_and_status(path: object) -> None:
    """Every value of every file carries its source and how it is known, and no id comes twice."""
    checks = load_checks(path.stem)  # type: ignore[attr-defined]
    assert len({check.id for check in checks}) == len(checks)
    for check in checks:
        assert len(check.source) > 5
        assert check.status in {"published", "library", "memory"}
        assert check.expected
