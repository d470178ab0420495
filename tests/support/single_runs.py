"""Many rows of factors in one call, held against the plain program that weighs each of them alone."""

from __future__ import annotations

from collections.abc import Sequence

import pytest

from trees.suspects.case import Case
from trees.suspects.cover import run
from trees.suspects.plan import Plan


def assert_rows_are_single_runs(case: Case, plan: Plan, rows: Sequence[Sequence[float]]) -> None:
    """Weigh the rows (row by cause) together and one by one; AssertionError where a weight differs by over 1e-11."""
    import numpy as np

    from trees.suspects.batch_cover import run_rows

    joints = run_rows(case, plan, np.asarray(rows), absent=True)
    assert joints.absent is not None
    for k, row in enumerate(rows):
        single = run(case, plan, row)
        assert joints.total[k] == pytest.approx(single.total, rel=1e-12, abs=0)
        assert joints.present[k] == pytest.approx(single.present, rel=1e-11, abs=0)
        assert joints.absent[k] == pytest.approx(single.absent, rel=1e-11, abs=0)
