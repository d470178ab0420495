"""How sharp are the figure tests? Flip one sign, operator or constant at a time and see whether a test fails.

    python tests/mutation/mutate_figures.py                     every mutant of every field
    python tests/mutation/mutate_figures.py --only fuel air      of some modules
    python tests/mutation/mutate_figures.py --sample 100         of a random sample (--seed)

Each mutant is a copy of trees/figures with one change, tested in a forked process. The generated reference page is left
out of these tests: it would compare the program with its own output.
"""

from __future__ import annotations

import argparse
import ast
import os
import random
import shutil
import signal
import sys
import tempfile
import time
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).parents[2]
MODULES = (
    "air", "combustion", "fuel", "fuel_grades", "mixture", "exhaust", "ducts", "heat_load", "heat_transport",
    "run_hours", "electrical", "supply", "sensors", "conformity", "exposure", "uncertainty", "plain",
    "typed_numbers", "units",
)  # fmt: skip
TESTS = (
    "tests/published/test_air_and_fire_values.py",
    "tests/published/test_installation_values.py",
    "tests/published/test_measuring_values.py",
    "tests/published/test_sharper_values.py",
    "tests/trees/figures",
)
NEAREST = {
    **dict.fromkeys(("air", "combustion", "fuel", "fuel_grades", "mixture", "exhaust"), "test_air_and_fire_values"),
    **dict.fromkeys(("ducts", "heat_load", "heat_transport", "electrical", "supply"), "test_installation_values"),
    **dict.fromkeys(("sensors", "conformity", "exposure"), "test_measuring_values"),
}
"""The quickest tests to notice a change; only what they pass is shown to all the others."""
LEFT_OUT = ("test_reference_page.py",)
OTHER_PROCESS = "tests/trees/figures/test_units.py::test_the_everyday_reading_does_not_load_pint"
OPERATORS: dict[type, tuple[str, str]] = {
    ast.Add: ("+", "-"), ast.Sub: ("-", "+"), ast.Mult: ("*", "/"), ast.Div: ("/", "*"), ast.Pow: ("**", "*"),
    ast.Lt: ("<", ">="), ast.LtE: ("<=", ">"), ast.Gt: (">", "<="), ast.GtE: (">=", "<"),
}  # fmt: skip
LONGEST_S = 90


@dataclass(frozen=True, slots=True)
class Mutant:
    """One change of one file: bytes from start to end become `new`."""

    module: str
    line: int
    start: int
    end: int
    old: str
    new: str

    def __str__(self) -> str:
        return f"{self.module}.py:{self.line}: {self.old} → {self.new}"


class Finder(ast.NodeVisitor):
    """Collects mutants of formulas and constants; what only words or ranges of a registration hold is passed over."""

    def __init__(self, module: str, source: bytes) -> None:
        self.module, self.source = module, source
        self.starts = [0]
        for line in source.splitlines(keepends=True):
            self.starts.append(self.starts[-1] + len(line))
        self.found: list[Mutant] = []

    def place(self, line: int, column: int) -> int:
        return self.starts[line - 1] + column

    def add(self, line: int, start: int, end: int, new: str) -> None:
        self.found.append(Mutant(self.module, line, start, end, self.source[start:end].decode(), new))

    def visit_FunctionDef(self, node: ast.FunctionDef) -> None:
        for part in (*node.args.defaults, *[d for d in node.args.kw_defaults if d], *node.body):
            self.visit(part)

    def visit_Call(self, node: ast.Call) -> None:
        if isinstance(node.func, ast.Name) and node.func.id in {"Input", "Output", "figure"}:
            return
        self.generic_visit(node)

    def visit_JoinedStr(self, node: ast.JoinedStr) -> None:
        """Pass over texts."""

    def visit_Constant(self, node: ast.Constant) -> None:
        if isinstance(node.value, bool) or not isinstance(node.value, int | float):
            return
        new = node.value + 1 if isinstance(node.value, int) else (node.value * 1.1 if node.value else 1.0)
        start = self.place(node.lineno, node.col_offset)
        self.add(node.lineno, start, self.place(node.end_lineno or 0, node.end_col_offset or 0), repr(new))

    def visit_UnaryOp(self, node: ast.UnaryOp) -> None:
        if isinstance(node.op, ast.USub):
            start = self.place(node.lineno, node.col_offset)
            self.add(node.lineno, start, start + 1, "+")
        self.generic_visit(node)

    def visit_BinOp(self, node: ast.BinOp) -> None:
        self.swap(node.left, node.right, node.op)
        self.generic_visit(node)

    def visit_Compare(self, node: ast.Compare) -> None:
        for left, right, operator in zip((node.left, *node.comparators), node.comparators, node.ops, strict=False):
            self.swap(left, right, operator)
        self.generic_visit(node)

    def swap(self, left: ast.expr, right: ast.expr, operator: ast.operator | ast.cmpop) -> None:
        old, new = OPERATORS.get(type(operator), ("", ""))
        start = self.place(left.end_lineno or 0, left.end_col_offset or 0)
        end = self.place(right.lineno, right.col_offset)
        at = self.source[start:end].find(old.encode()) if old else -1
        if at >= 0:
            self.add(left.end_lineno or 0, start + at, start + at + len(old), new)


def mutants(modules: list[str]) -> list[Mutant]:
    """Return every mutant of these modules, in the order of the files."""
    found: list[Mutant] = []
    for module in modules:
        source = (ROOT / f"trees/figures/{module}.py").read_bytes()
        finder = Finder(module, source)
        finder.visit(ast.parse(source))
        found.extend(finder.found)
    return found


def copy_project(to: Path) -> None:
    """Copy what the figure tests need, without the tests that compare the program with itself."""
    shutil.copytree(ROOT / "trees/figures", to / "trees/figures", ignore=shutil.ignore_patterns("__pycache__"))
    for name in ("errors.py", "__init__.py"):
        if (ROOT / "trees" / name).exists():
            shutil.copy(ROOT / "trees" / name, to / "trees" / name)
    for tests in ("tests/published", "tests/trees/figures", "tests/support"):
        shutil.copytree(ROOT / tests, to / tests, ignore=shutil.ignore_patterns("__pycache__", *LEFT_OUT))
    shutil.copy(ROOT / "pyproject.toml", to / "pyproject.toml")
    if (ROOT / "tests/conftest.py").exists():
        shutil.copy(ROOT / "tests/conftest.py", to / "tests/conftest.py")


def survives(project: Path, module: str = "") -> bool:
    """Run the figure tests of a project copy, the nearest ones first; True if all pass."""
    nearest = NEAREST.get(module)
    if nearest and not passes(project, (f"tests/published/{nearest}.py",)):
        return False
    return passes(project, TESTS)


def passes(project: Path, tests: tuple[str, ...]) -> bool:
    """Run tests of a project copy in a forked process; True if all pass."""
    child = os.fork()
    if child == 0:
        signal.alarm(LONGEST_S)
        os.chdir(project)
        sys.path.insert(0, str(project))
        sys.dont_write_bytecode = True
        os.environ["MEMORY_DEVIATION_FAILS"] = "1"
        silence = os.open(os.devnull, os.O_WRONLY)
        os.dup2(silence, 1)
        os.dup2(silence, 2)
        import pytest

        # Hypothesis is loaded before pytest on purpose; its own asserts need no rewriting.
        warm = ["-W", "ignore::pytest.PytestAssertRewriteWarning", "-p", "no:cacheprovider"]
        code = pytest.main(["-x", "-q", *warm, "--deselect", OTHER_PROCESS, *tests])
        os._exit(0 if code == 0 else 1)
    _, status = os.waitpid(child, 0)
    return os.waitstatus_to_exitcode(status) == 0


def preload() -> None:
    """Load what does not change, so that each forked process starts warm."""
    import hypothesis
    import pint
    import pytest
    import yaml

    assert pytest
    assert yaml
    pint.UnitRegistry()
    hypothesis.settings.register_profile("mutation", max_examples=20, derandomize=True, database=None, deadline=None)
    hypothesis.settings.load_profile("mutation")


def main() -> int:
    """Test the mutants and print the survivors; 1 if there are any."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--only", nargs="+", default=list(MODULES), choices=MODULES, help="modules to change")
    parser.add_argument("--sample", type=int, help="test only so many, drawn at random")
    parser.add_argument("--seed", type=int, default=4, help="of the sample; the same seed draws the same mutants")
    arguments = parser.parse_args()
    chosen = mutants(arguments.only)
    if arguments.sample and arguments.sample < len(chosen):
        chosen = sorted(
            random.Random(arguments.seed).sample(chosen, arguments.sample), key=lambda m: (m.module, m.start)
        )
    preload()
    with tempfile.TemporaryDirectory(prefix="mutants-") as folder:
        project = Path(folder)
        copy_project(project)
        if not survives(project):
            print("The tests fail without any change: nothing can be learnt.", file=sys.stderr)
            return 2
        left = run(chosen, project)
    print(f"{len(chosen)} mutants, {len(chosen) - len(left)} noticed, {len(left)} survive")
    for mutant in left:
        print(f"  survives {mutant}")
    return 1 if left else 0


def run(chosen: list[Mutant], project: Path) -> list[Mutant]:
    """Test each mutant in the project copy; return those that no test notices."""
    left = []
    begun = time.monotonic()
    for number, mutant in enumerate(chosen, 1):
        path = project / f"trees/figures/{mutant.module}.py"
        original = path.read_bytes()
        path.write_bytes(original[: mutant.start] + mutant.new.encode() + original[mutant.end :])
        try:
            if survives(project, mutant.module):
                left.append(mutant)
                print(f"survives {mutant}", file=sys.stderr, flush=True)
        finally:
            path.write_bytes(original)
        if number % 25 == 0:
            print(f"{number}/{len(chosen)} in {time.monotonic() - begun:.0f} s", file=sys.stderr, flush=True)
    return left


if __name__ == "__main__":
    raise SystemExit(main())
