"""Numbers from outside the project: how they are loaded, and how the program's numbers are held against them.

A deviation from a published or library value fails. One from a remembered value is shown as a warning, no more.
"""

from __future__ import annotations

import math
import os
import warnings
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import yaml

VALUES = Path(__file__).parents[1] / "published" / "values"
Computed = Mapping[str, float | str]


class MemoryDeviation(UserWarning):
    """The program differs from a number that was remembered, not retrieved: one of the two is wrong."""


@dataclass(frozen=True, slots=True)
class PublishedCheck:
    """One check value: inputs, expected numbers with tolerance, source and status."""

    id: str
    kind: str
    inputs: Mapping[str, Any]
    """Name → number or text, in the unit that the file states."""
    expected: Mapping[str, Any]
    tolerance: Mapping[str, float]
    """Absolute, in the unit of the expected number."""
    source: str
    status: str
    """published, library or memory."""


def load_checks(field: str) -> list[PublishedCheck]:
    """Read the check values of one field."""
    text = (VALUES / f"{field}.yaml").read_text(encoding="utf-8")
    return [
        PublishedCheck(
            id=entry["id"],
            kind=entry["kind"],
            inputs={name: value for name, (value, _unit) in entry["inputs"].items()},
            expected={name: value for name, (value, _unit) in entry["expected"].items()},
            tolerance=entry["tolerance"],
            source=entry["source"],
            status=entry["status"],
        )
        for entry in yaml.safe_load(text)["checks"]
    ]


def calculation_for(check_id: str, table: Mapping[str, Callable[..., Computed]]) -> Callable[..., Computed]:
    """Find the calculation of a check: the longest key of the table that its id begins with."""
    keys = [key for key in table if check_id.startswith(key)]
    assert keys, f"nobody computes {check_id}"
    return table[max(keys, key=len)]


def hold_against(check: PublishedCheck, computed: Computed) -> None:
    """Compare every expected number of a check with the computed one; the source's status decides fail or warn."""
    assert check.source
    assert set(check.expected) <= set(computed), f"{check.id}: not computed: {set(check.expected) - set(computed)}"
    wrong = [
        f"{name} is {computed[name]}, {check.source} says {value} ± {check.tolerance.get(name, 0)}"
        for name, value in check.expected.items()
        if not _agrees(value, computed[name], check.tolerance.get(name))
    ]
    if not wrong:
        return
    message = f"{check.id}: " + "; ".join(wrong)
    # A mutation run asks whether a deviation would be seen, and a warning is seen.
    if check.status == "memory" and "MEMORY_DEVIATION_FAILS" not in os.environ:
        warnings.warn(MemoryDeviation(message), stacklevel=2)
        return
    raise AssertionError(message)


def _agrees(expected: Any, computed: float | str, tolerance: float | None) -> bool:
    if isinstance(expected, str) or isinstance(computed, str):
        return expected == computed
    if tolerance is None:
        # A limit or a table value without tolerance is a constant: it has to be the same number.
        return bool(abs(computed - expected) <= 1e-9 * abs(expected))
    # The reference prints six digits: 25/3 stands there as 8.33333, whatever tolerance goes with it.
    printed = 0.5 * 10.0 ** (math.floor(math.log10(abs(expected))) - 5) if expected else 0.0
    return bool(abs(computed - expected) <= max(tolerance, printed))
