"""What is installed is what was locked: every package pinned, every file by its hash, nothing that nobody declared."""

from __future__ import annotations

import ast
import re
import sys
import tomllib
from importlib.metadata import packages_distributions
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent.parent
LOCKS = ("requirements.lock", "requirements-test.lock", "requirements-compare.lock")
_PIN = re.compile(r"([A-Za-z0-9][A-Za-z0-9._-]*)(?:\[[a-z,]+\])?==([0-9][A-Za-z0-9.!+_-]*)(?: ; .+)?")
_HASH = re.compile(r"--hash=sha256:[0-9a-f]{64}")


def locked(name: str) -> dict[str, list[str]]:
    """Return each requirement of a lock with its hashes; every line has to be one of the three kinds we know."""
    found: dict[str, list[str]] = {}
    requirement = ""
    for line in (ROOT / name).read_text(encoding="utf-8").splitlines():
        text = line.strip().removesuffix("\\").strip()
        if not text or text.startswith("#"):
            continue
        if line.startswith(" "):
            assert _HASH.fullmatch(text), (name, line)
            found[requirement].append(text)
        else:
            assert _PIN.fullmatch(text), (name, line)
            requirement = text
            assert requirement not in found, (name, line)
            found[requirement] = []
    return found


def normal(name: str) -> str:
    """Return a package's name as PEP 503 writes it."""
    return re.sub(r"[-_.]+", "-", name).lower()


def names(lock: str) -> set[str]:
    """Return the names of the packages in a lock."""
    return {normal(match[1]) for match in map(_PIN.fullmatch, locked(lock)) if match is not None}


@pytest.mark.parametrize("lock", LOCKS)
def test_each_requirement_is_pinned_with_hashes(lock: str) -> None:
    """Each requirement has one exact version and at least one SHA-256; no option, address or path stands there."""
    requirements = locked(lock)
    assert len(requirements) > 10
    assert [name for name, hashes in requirements.items() if not hashes] == []
    text = (ROOT / lock).read_text(encoding="utf-8")
    for word in ("://", "--index", "--extra-index", "--find-links", "--trusted-host", "-e ", " @ ", "--pre", "file:"):
        assert word not in re.sub(r"#.*", "", text), word


@pytest.mark.parametrize(
    ("lock", "groups"),
    [
        ("requirements.lock", ()),
        ("requirements-test.lock", ("test",)),
        ("requirements-compare.lock", ("test", "compare")),
    ],
)
def test_everything_declared_is_locked(lock: str, groups: tuple[str, ...]) -> None:
    """Each dependency that pyproject.toml declares, and what builds the package, stands in its lock."""
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
    declared = [*project["project"]["dependencies"], *project["build-system"]["requires"]]
    declared += [each for group in groups for each in project["dependency-groups"][group]]
    wanted = {normal(re.match(r"[A-Za-z0-9._-]+", each)[0]) for each in declared}  # type: ignore[index]
    assert wanted - names(lock) == set()


def test_locks_agree() -> None:
    """A package has the same version in every lock, so that what is tested is what is installed."""
    for lock in LOCKS[1:]:
        both = {req.partition("==")[0]: req for req in locked(LOCKS[0])}
        for requirement in locked(lock):
            name = requirement.partition("==")[0]
            if " ; " not in requirement and name in both and " ; " not in both[name]:
                assert both[name] == requirement, lock


def test_everything_imported_is_declared() -> None:
    """What the three packages import is Python's own, ours, or declared: nothing is there only by luck."""
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    declared = [
        *project["dependencies"],
        *(each for extra in project["optional-dependencies"].values() for each in extra),
    ]
    known = {normal(re.match(r"[A-Za-z0-9._-]+", each)[0]) for each in declared}  # type: ignore[index]
    known |= {"rich"}  # textual's own drawing library: declared by it, part of its interface
    homes = packages_distributions()
    ours = {"tui", "trees", "graphviz_export"}
    for path in (path for house in ours for path in (ROOT / house).rglob("*.py")):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            modules = [alias.name for alias in node.names] if isinstance(node, ast.Import) else []
            if isinstance(node, ast.ImportFrom) and node.module and not node.level:
                modules = [node.module]
            for top in {module.partition(".")[0] for module in modules} - ours - set(sys.stdlib_module_names):
                assert {normal(each) for each in homes.get(top, [top])} & known, f"{path.name} imports {top}"


def test_make_installs_by_hash_alone() -> None:
    """Whatever make installs from an index is installed by its hash; what is not looked up has no index at all."""
    lines = [line for line in (ROOT / "Makefile").read_text(encoding="utf-8").splitlines() if "pip install" in line]
    assert lines
    assert [line for line in lines if "--require-hashes" not in line and "--no-index" not in line] == []
