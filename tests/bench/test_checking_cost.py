"""Checking a book costs little more than reading its YAML: ratios against plain baselines, in the same run.

SOOTLINE_BENCH_STEPS sets the size of the generated book (20,000 steps; the promise is for 100,000).
"""

from __future__ import annotations

import gc
import json
import os
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path

import pytest
from book_folder import written

from trees.book import shipped_book_path

pytestmark = pytest.mark.bench

STEPS = int(os.environ.get("SOOTLINE_BENCH_STEPS", "20000"))
PER_TREE = 500
RUNS = 3

PLAIN = """
import gc, yaml
from pathlib import Path
gc.disable()
kept = [yaml.load(path.read_bytes(), yaml.CSafeLoader) for path in sorted(Path({folder!r}).rglob("*.yaml"))]
"""
CHECK = """
from trees.book import check_book
kept = check_book({folder!r})
assert kept.problems == (), kept.problems[:3]
"""
MEASURE = """
import sys, time
sys.path.insert(0, {root!r})
{before}
begun = time.process_time()
{statement}
spent = time.process_time() - begun
print(spent, next(row.split()[1] for row in open("/proc/self/status") if row.startswith("VmHWM")))
"""
ROOT = str(Path(__file__).parents[2])


def generated(folder: Path, steps: int) -> Path:
    """Write a sound book with that many steps, like one an author writes: choices, readings, shared words."""
    checks = "".join(
        f"check_{n}:\n  look: What does part {n} look like?\n  place: [bench, site]\n  minutes: 3\n  answers:\n"
        f"    - {{id: good, means: As it should be, says: {{sign_{n}: no}}, rules_out: [cause_{n}]}}\n"
        f"    - {{id: bad, means: Worn or broken, says: {{sign_{n}: yes}}, finds: [cause_{n}]}}\n"
        for n in range(50)
    )
    files = {
        "book.yaml": 'title: Made for measuring\nedition: "1"\nlanguage: en\nreviewed: "2026-11-25"\n'
        "words: {often: 0.55}\nstart_limit: {bench: 6, site: 4, phone: 2}\nsource: memory\n",
        "gate.yaml": "alarm:\n  no: 1\n  ask: Does an alarm sound right now?\n  answers:\n    - {id: no, means: No}\n"
        "    - {id: yes, means: Yes, stop: gas}\n  unknown: yes\n",
        "cautions.yaml": "gas: {word: Gas, grade: DANGER, text: Everybody out.}\n",
        "signs.yaml": "".join(f"sign_{n}: {{name: Sign {n}}}\n" for n in range(50)),
        "causes.yaml": "".join(
            f"cause_{n}: {{name: Cause {n}, kind: root, lives: unit, share: 1, shows: {{sign_{n}: often}}}}\n"
            for n in range(50)
        ),
        "checks/all.yaml": checks,
    }
    no = 1
    for tree in range(-(-steps // PER_TREE)):
        rows = [f"title: Tree {tree}", f"complaint: {{words: [trouble {tree}]}}", "begin: step_0", "phone_exit: done"]
        rows.append("steps:")
        for step in range(PER_TREE - 1):
            no += 1
            following = f"step_{step + 1}" if step + 2 < PER_TREE else "done"
            after = f"step_{min(step + 2, PER_TREE - 2)}" if step + 2 < PER_TREE else "done"
            rows.append(
                f"  step_{step}: {{no: {no}, check: check_{step % 50}, go: {{good: {following}, bad: {after}}}, "
                f"unknown: {following}, text: Why this is looked at here and not later.}}"
            )
        no += 1
        rows += [f"  done: {{no: {no}, end: released, text: It may go back.}}", ""]
        files[f"trees/tree_{tree}.yaml"] = "\n".join(rows)
    return written(folder, files)


def measured(statement: str, folder: Path, before: str) -> tuple[float, float]:
    """Run a statement in fresh interpreters; return the least processor seconds and the least memory (kB)."""
    code = MEASURE.format(root=ROOT, before=before, statement=statement.format(folder=str(folder)))
    rows = []
    for _ in range(RUNS):
        run = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
        rows.append([float(number) for number in run.stdout.split()])
    return min(row[0] for row in rows), min(row[1] for row in rows)


IMPORTS = "import yaml, networkx, trees.book.prove, trees.book.reader, trees.figures; trees.figures.registry()"


@pytest.fixture(scope="module")
def folders() -> Iterator[tuple[Path, Path]]:
    """Yield a large book and one a tenth of it."""
    with tempfile.TemporaryDirectory() as name:
        yield generated(Path(name) / "large", STEPS), generated(Path(name) / "small", STEPS // 10)


def measure_all(folders: tuple[Path, Path]) -> dict[str, tuple[float, float]]:
    """Measure checking and plain loading of the large book, and checking of the small one."""
    return {
        "check": measured(CHECK, folders[0], IMPORTS),
        "plain": measured(PLAIN, folders[0], IMPORTS),
        "small": measured(CHECK, folders[1], IMPORTS),
    }


@pytest.fixture(scope="module")
def costs(folders: tuple[Path, Path]) -> dict[str, tuple[float, float]]:
    """Return seconds and memory of checking and of plainly loading the same files."""
    gc.collect()
    found = measure_all(folders)
    for _ in range(2):  # the least of several rounds: a neighbour on the machine only ever makes it dearer
        if found["check"][0] <= 11 * found["small"][0] and found["check"][0] <= 2.5 * found["plain"][0]:
            break
        again = measure_all(folders)
        found = {name: (min(found[name][0], row[0]), min(found[name][1], row[1])) for name, row in again.items()}
    print(json.dumps({"steps": STEPS, **found}))
    return found


def test_checking_takes_at_most_three_times_a_plain_load(costs: dict[str, tuple[float, float]]) -> None:
    """Reading with exact places, traps and all proofs, against yaml.load by libyaml of the same files."""
    assert costs["check"][0] <= 3 * costs["plain"][0], costs


def test_checking_takes_at_most_four_times_the_memory(costs: dict[str, tuple[float, float]]) -> None:
    """The highest memory of the whole process, against that of a plain load which keeps what it read."""
    assert costs["check"][1] <= 4 * costs["plain"][1], costs


def test_cost_grows_with_the_number_of_steps(costs: dict[str, tuple[float, float]]) -> None:
    """Ten times the steps take at most twelve times as long."""
    assert costs["check"][0] <= 12 * costs["small"][0], costs


def test_shipped_book_is_checked_in_twice_the_least_that_any_program_takes(tmp_path: Path) -> None:
    """Whole runs from nothing: a check, against starting, importing yaml and networkx, and plainly loading."""
    shipped = shipped_book_path()
    check = whole_run(f"import sys; sys.path.insert(0, {ROOT!r})\n{CHECK.format(folder=str(shipped))}", tmp_path)
    plain = whole_run(f"import yaml, networkx\n{PLAIN.format(folder=str(shipped))}", tmp_path)
    print(json.dumps({"shipped check": check, "shipped plain": plain}))
    assert check <= 2 * plain, (check, plain)


def whole_run(code: str, compiled: Path) -> float:
    """Return the least processor seconds of a whole interpreter run of this code, compiled before as if installed.

    Where the surroundings forbid writing bytecode (many CI machines do), every run would compile this
    program anew, but not the libraries, which the installer compiled: that measures the compiler.
    """
    code += "\nimport time; print(time.process_time())"
    surroundings = {**os.environ, "PYTHONPYCACHEPREFIX": str(compiled)}
    surroundings.pop("PYTHONDONTWRITEBYTECODE", None)
    runs = [
        subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True, env=surroundings)
        for _ in range(7)
    ]
    return min(float(run.stdout) for run in runs)
