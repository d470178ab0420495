"""All sheets of a 300-step tree against dot's one picture of the same tree, in the same run: time and memory.

The baseline is a `dot` of this machine if there is one, else the program of the graphviz-pure wheel, which is about as
fast at this size; the run says which. Both are timed as whole processes, in processor time, in turn, the best of six.
"""

from __future__ import annotations

import os
import pickle
import shutil
import sys
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import pytest
from made_chart import made_chart

from graphviz_export.boxes import Box, Chart, Hazard, Row
from graphviz_export.dot import dot_text
from graphviz_export.dot_program import find_dot

pytestmark = pytest.mark.bench

STEPS = 300
RUNS = 6
WORDS = ("burner", "insert", "fan", "hose", "clamp", "plug", "fuse", "glow", "tank", "line", "dose", "cable", "flame")
TIMES_DOT = 8.0
MOST_MB = 250.0
ROOT = Path(__file__).parents[2]
PRINT = """
import pickle, sys
from pathlib import Path
from graphviz_export.layouts import lay_out_chart
from graphviz_export.pages import page_bytes
from graphviz_export.paper import paper
layout = lay_out_chart(pickle.loads(Path(sys.argv[1]).read_bytes()), paper("A3", 0.7))
Path(sys.argv[2]).write_bytes(page_bytes(layout, "pdf")[0])
print(len(layout.sheets), "sheets of A3")
"""


@dataclass(frozen=True, slots=True)
class Cost:
    """What one process took."""

    seconds: float
    megabytes: float


def tree_of(steps: int) -> Chart:
    """Return a tree with that many steps: half are ends, half have several arrivals, two to four answers a question.

    Somewhat denser (449 ways) than the tree by which the limits were set (386).
    """
    inner = steps // 2
    boxes = []
    for index in range(inner):
        text = " ".join(WORDS[(index * 7 + n * 3) % len(WORDS)] for n in range(8 + index % 13))
        wanted = [2 * index + 1, 2 * index + 2, index + 1 + index * 5 % 11, inner + index * 17 % (steps - inner)]
        targets = sorted({to for to in wanted[: 2 + index % 3] if index < to < steps})
        rows = tuple(Row(f"{WORDS[(index + to) % len(WORDS)]} {to % 9}", 100 + to) for to in targets)
        hazards = (Hazard("WARNING", "hot parts"),) if index % 3 == 0 else ()
        kind = ("decision", "reading", "action")[index % 3]
        boxes.append(Box(no=100 + index, kind=kind, text=f"{text}?", rows=rows, hazards=hazards, minutes=5.0))  # type: ignore[arg-type]
    boxes += [Box(no=100 + n, kind="end", text="Released", short="Released") for n in range(inner, steps)]
    return made_chart(*boxes)


def cost_of(run: Callable[[], int]) -> Cost:
    """Return what one process takes; `run` starts it and returns its id."""
    _, status, usage = os.wait4(run(), 0)
    assert os.waitstatus_to_exitcode(status) == 0
    return Cost(usage.ru_utime + usage.ru_stime, usage.ru_maxrss / 1024)


def least(costs: list[Cost]) -> Cost:
    """Return the least time, which a neighbour on the machine only ever makes dearer, and the most memory."""
    return Cost(min(cost.seconds for cost in costs), max(cost.megabytes for cost in costs))


def test_all_sheets_cost_little_more_than_one_picture_by_dot(tmp_path: Path) -> None:
    """At most eight times dot's time for its one picture, and 250 MB."""
    chart = tree_of(STEPS)
    (tmp_path / "chart").write_bytes(pickle.dumps(chart))
    (tmp_path / "chart.dot").write_text(dot_text(chart))
    own = shutil.which("dot")
    program = own or str(find_dot())
    # compiled by the first run, as the installer compiled the libraries, also where writing bytecode is forbidden
    environment = {**os.environ, "PYTHONPATH": str(ROOT), "PYTHONPYCACHEPREFIX": str(tmp_path / "compiled")}
    environment.pop("PYTHONDONTWRITEBYTECODE", None)

    def print_sheets() -> int:
        command = [sys.executable, "-c", PRINT, str(tmp_path / "chart"), str(tmp_path / "chart.pdf")]
        return os.posix_spawn(sys.executable, command, environment)

    def one_picture() -> int:
        command = [program, "-Tsvg", str(tmp_path / "chart.dot"), "-o", str(tmp_path / "chart.svg")]
        quiet = [(os.POSIX_SPAWN_OPEN, 2, os.devnull, os.O_WRONLY, 0)]
        return os.posix_spawn(program, command, environment, file_actions=quiet)

    turns = [(cost_of(one_picture), cost_of(print_sheets)) for _ in range(RUNS)]
    dot, sheets = (least([turn[side] for turn in turns]) for side in (0, 1))
    name = f"dot at {own}" if own else "the wheel graphviz-pure, for there is no dot on this machine"
    ratio = sheets.seconds / dot.seconds
    print(
        f"\nall sheets {sheets.seconds:.2f} s, {sheets.megabytes:.0f} MB; one picture {dot.seconds:.2f} s, "
        f"{dot.megabytes:.0f} MB, by {name}; {ratio:.1f} times"
    )
    assert ratio <= TIMES_DOT
    assert sheets.megabytes <= MOST_MB
