"""The house holds: layers, what a start may load, what the wheel holds, what the locks say."""

from __future__ import annotations

import subprocess
import sys
import tomllib
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent
TOP_LEVEL = {
    "README.md",
    "DEVELOPERS.md",
    "pyproject.toml",
    "tui",
    "trees",
    "graphviz_export",
    "tests",
    "LICENSE",
    "Makefile",
    "requirements.lock",
    "requirements-test.lock",
    "requirements-compare.lock",
}


def loaded(statement: str, *names: str) -> list[str]:
    """Run a statement in a fresh interpreter; return which of the named modules it loaded."""
    code = f"import sys\n{statement}\nprint(*[n for n in {names!r} if n in sys.modules])"
    run = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True, cwd=ROOT)
    return run.stdout.split()


@pytest.mark.parametrize(
    "name", ["trees", "trees.book", "trees.walk", "trees.suspects", "trees.figures", "graphviz_export"]
)
def test_core_starts_without_the_screen_library(name: str) -> None:
    """The core is usable from a script without a terminal."""
    assert loaded(f"import {name}", "textual", "rich") == []


@pytest.mark.parametrize("statement", ["import trees", "from trees import Book, Walk", "import trees.casebook"])
def test_core_loads_nothing_heavy_before_it_is_needed(statement: str) -> None:
    """Importing the core costs no drawing, no database, no units, no graphs."""
    assert loaded(statement, "networkx", "pint", "sqlalchemy", "typst", "numpy") == []


def test_screen_loads_nothing_heavy_before_its_first_frame() -> None:
    """Graphs, units, drawing and the database are imported where they are used."""
    statement = "import tui.app, tui.screens.day_list, tui.screens.job, tui.screens.new_job"
    assert loaded(statement, "networkx", "pint", "sqlalchemy", "typst", "numpy", "yaml") == []


def test_layers_hold() -> None:
    """What stands higher may import what stands lower, never the other way."""
    linter = Path(sys.executable).with_name("lint-imports")
    run = subprocess.run([linter], capture_output=True, text=True, check=False, cwd=ROOT)
    assert run.returncode == 0, run.stdout + run.stderr


def test_top_level_holds_only_what_belongs_there() -> None:
    """Beside the three packages and their tests there is only what tools demand."""
    listed = subprocess.run(["git", "ls-files"], capture_output=True, text=True, check=False, cwd=ROOT).stdout.split(
        "\n"
    )
    names = {line.partition("/")[0] for line in listed if line}
    if not names:
        pytest.skip("not a git checkout")
    assert {name for name in names if not name.startswith(".")} <= TOP_LEVEL


def test_locks_pin_every_dependency_with_hashes_and_no_index() -> None:
    """Each name in the locks has a version and a hash; no address of an index is written down."""
    for name in ("requirements.lock", "requirements-test.lock", "requirements-compare.lock"):
        text = (ROOT / name).read_text()
        assert "://" not in text
        assert "index-url" not in text
        blocks = [block for block in text.split("\n") if block and not block.startswith((" ", "#", "\t"))]
        assert all("==" in block for block in blocks), name
        assert text.count("--hash=sha256:") >= len(blocks)
    wanted = tomllib.loads((ROOT / "pyproject.toml").read_text())["project"]["dependencies"]
    locked = (ROOT / "requirements.lock").read_text().lower()
    for requirement in wanted:
        assert f"{requirement.partition('>')[0].lower()}==" in locked, requirement


def test_wheel_holds_exactly_the_three_packages(tmp_path: Path) -> None:
    """The built wheel carries tui, trees, graphviz_export with their YAML and sheets, and nothing else."""
    import zipfile

    subprocess.run(
        [sys.executable, "-m", "pip", "wheel", "--quiet", "--disable-pip-version-check", "--no-deps", "--no-index",
         "--no-build-isolation", "-w", str(tmp_path), str(ROOT)],
        check=True,
    )  # fmt: skip
    (wheel,) = tmp_path.glob("sootline-*.whl")
    names = zipfile.ZipFile(wheel).namelist()
    tops = {name.partition("/")[0] for name in names}
    assert {top for top in tops if not top.endswith(".dist-info")} == {"tui", "trees", "graphviz_export"}
    for needed in ("trees/heaters/book.yaml", "tui/sootline.tcss", "graphviz_export/report.typ", "trees/py.typed"):
        assert needed in names
