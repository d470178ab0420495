"""`make measure`: run what backs each promise of the README, and write the measured figures beside it.

Only figures that this run measured are written; a promise whose test fails or measured nothing stops it, and the README
stays as it was.
"""

from __future__ import annotations

import json
import os
import subprocess
import sys
import tempfile
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import UTC, datetime
from itertools import pairwise
from pathlib import Path
from typing import Any

ROOT = Path(__file__).parents[1]
FULL_SIZE = {"SOOTLINE_TEST_KILLS": "100", "SOOTLINE_TEST_ANSWERS": "2000", "SOOTLINE_DATABASE_REQUIRED": "1"}
"""What is promised is measured in full; a database server that is missing fails what says "both engines"."""
BEGIN, END = "<!-- measured by `make measure` -->", "<!-- end of what was measured -->"


@dataclass(frozen=True, slots=True)
class Promise:
    """One line of the table."""

    key: str
    promise: str
    figure: str
    """What was measured, with the names of its figures in braces."""
    tests: tuple[str, ...]
    """What measures it."""

    @property
    def command(self) -> str:
        """The command that measures this line alone."""
        return f"pytest -s {' '.join(self.tests)}"


PROMISES = (
    Promise(
        "published_values",
        "Figures are right to values published outside the project",
        "{passed} checks passed, {failed} failed",
        ("tests/published",),
    ),
    Promise(
        "two_libraries",
        "Suspects are exact: two independent libraries agree",
        "largest difference {largest:.1e} over {models} models",
        ("tests/trees/suspects/test_against_libraries.py",),
    ),
    Promise(
        "killed",
        "No answer that was shown is lost when the program is killed",
        "{lost} of {shown} acknowledged answers lost in {kills} kills, both engines",
        ("tests/trees/casebook/test_casebook_durability.py",),
    ),
    Promise(
        "seats",
        "Several seats at one casebook",
        "{writers} writers, {answers} answers on each engine: {lost} lost, {doubled} doubled",
        ("tests/trees/casebook/test_casebook_seats.py",),
    ),
    Promise(
        "book",
        "The book that ships is whole and sound",
        "{trees} trees, {steps} steps, {checks} checks, {causes} causes, {worked} worked jobs",
        ("tests/trees/heaters/test_shipped_book.py",),
    ),
    Promise(
        "worked_jobs",
        "The true main cause of a worked job leads the suspects",
        "first in {first} of {jobs}, among three in {among_three}; {stopped} of {must_stop} stops stopped",
        ("tests/trees/heaters/test_worked_jobs.py",),
    ),
    Promise(
        "first_frame",
        "The first frame is there at once",
        "{first_frame:.2f} times an empty Textual program, the day list {day_list:.2f} times",
        ("tests/bench/test_first_frame_cost.py",),
    ),
    Promise(
        "answer_latency",
        "An answer is durable, weighed and shown at once",
        "p95 {p95_ms:.0f} ms; a one-line repaint {repaint_ms:.1f} ms",
        ("tests/bench/test_answer_latency.py",),
    ),
    Promise(
        "capitals",
        "Wall charts can be read from where people stand",
        "{capitals} capitals read back from the PDF within {worst_per_cent:.2f} % of what was asked",
        ("tests/graphviz_export/test_printed_pages.py",),
    ),
)


def measure(promise: Promise, folder: Path) -> str:
    """Run what measures one promise and return its figure; SystemExit with a sentence where nothing was measured."""
    told = folder / f"{promise.key}.jsonl"
    run = subprocess.run(
        [sys.executable, "-m", "pytest", "-q", *promise.tests],
        cwd=ROOT,
        env={**FULL_SIZE, **os.environ, "SOOTLINE_MEASURED": str(told)},
        capture_output=True,
        text=True,
        check=False,
    )
    if run.returncode != 0:
        raise SystemExit(f"measure: {promise.command} failed:\n{run.stdout[-2000:]}{run.stderr[-1000:]}")
    rows = [json.loads(line) for line in told.read_text("utf-8").splitlines()] if told.exists() else []
    rows = [row for row in rows if row["promise"] == promise.key]
    if promise.key == "published_values":
        rows = [counted(run.stdout)]
    if not rows:
        raise SystemExit(f"measure: {promise.command} measured nothing: {run.stdout[-500:]}")
    return promise.figure.format(**together(rows))


def counted(output: str) -> dict[str, Any]:
    """Return how many tests passed and failed, from the last line of pytest."""
    words = output.strip().splitlines()[-1].replace(",", "").split()
    counts = {word: int(number) for number, word in pairwise(words) if number.isdigit()}
    return {"passed": counts.get("passed", 0), "failed": counts.get("failed", 0)}


def together(rows: list[Mapping[str, Any]]) -> dict[str, Any]:
    """Put several measurements of one promise together: counts of the same name add up, others take the worst."""
    sums = {"lost", "shown", "kills", "doubled", "models", "capitals"}
    names = [name for name in rows[0] if name != "promise"]
    return {name: (sum if name in sums else max)(row[name] for row in rows) for name in names}


def table(figures: Mapping[str, str]) -> Iterator[str]:
    """Yield the lines of the table."""
    machine = f"{os.cpu_count()} shared cores, Python {sys.version.split()[0]}"
    yield f"Measured on {datetime.now(UTC):%Y-%m-%d} on {machine}; the ratios are held by tests."
    yield ""
    yield "| promise | measured | by |"
    yield "|---|---|---|"
    for promise in PROMISES:
        yield f"| {promise.promise} | {figures[promise.key]} | `{promise.command}` |"


@contextmanager
def server() -> Iterator[None]:
    """Have the private database server that half of the promises needs; SystemExit with a sentence without one."""
    if os.environ.get("SOOTLINE_TEST_SERVER"):
        yield
        return
    folder = tempfile.mkdtemp(prefix="sootline-server.")
    start = subprocess.run([ROOT / ".ci/server", "start", folder], capture_output=True, text=True, check=False)
    if start.returncode != 0:
        raise SystemExit("measure: no PostgreSQL on this machine (on Debian: apt install postgresql).")
    os.environ["SOOTLINE_TEST_SERVER"] = start.stdout.strip()
    try:
        yield
    finally:
        subprocess.run([ROOT / ".ci/server", "stop", folder], check=False)


def main() -> int:
    """Measure all and write the table."""
    figures: dict[str, str] = {}
    with server(), tempfile.TemporaryDirectory() as name:
        for no, promise in enumerate(PROMISES, start=1):
            print(f"[{no}/{len(PROMISES)}] {promise.command}", file=sys.stderr, flush=True)
            figures[promise.key] = measure(promise, Path(name))
            print(f"    {figures[promise.key]}", file=sys.stderr, flush=True)
    path = ROOT / "README.md"
    text = path.read_text("utf-8")
    before, _, rest = text.partition(BEGIN)
    _, _, after = rest.partition(END)
    if not after:
        raise SystemExit(f"measure: README.md has no place for the table; write {BEGIN} and {END} where it belongs.")
    path.write_text("\n".join([f"{before}{BEGIN}", *table(figures), f"{END}{after}"]), "utf-8")
    print("\n".join(table(figures)))
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
