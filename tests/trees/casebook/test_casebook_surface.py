"""The casebook's public names, and that asking for a name loads no more than it needs."""

from __future__ import annotations

import subprocess
import sys

import pytest

import trees.casebook


def loaded_after(statement: str) -> str:
    probe = (
        f"{statement}; import sys; print([m for m in ('sqlalchemy', 'sqlite3', 'platformdirs') if m in sys.modules])"
    )
    return subprocess.run([sys.executable, "-c", probe], capture_output=True, text=True, check=True).stdout.strip()


def test_public_names() -> None:
    """Every public name can be imported, and `__all__` lists exactly those."""
    assert sorted(trees.casebook.__all__) == sorted(trees.casebook._HOMES)
    for name in trees.casebook.__all__:
        assert getattr(trees.casebook, name).__name__ == name


def test_unknown_name_is_refused() -> None:
    """A name that the casebook does not have is an AttributeError, as in any module."""
    with pytest.raises(AttributeError, match="no attribute 'Drawer'"):
        _ = trees.casebook.Drawer


@pytest.mark.parametrize(
    "statement",
    [
        "import trees.casebook",
        "from trees.casebook import default_seat, JobRecord, JobSummary, StoredEntry, AnsweredElsewhereError",
        "from trees.casebook import book_files",
    ],
)
def test_names_load_no_database(statement: str) -> None:
    """Importing the casebook, or a name that needs no store, loads no database library."""
    assert loaded_after(statement) == "[]"


def test_default_path_loads_no_database() -> None:
    """Asking where the casebook lies loads no database library."""
    assert loaded_after("from trees.casebook import default_path; default_path()") == "['platformdirs']"


def test_asking_for_the_casebook_loads_its_library() -> None:
    """The probe of these tests sees the library once the casebook itself is asked for."""
    assert "sqlalchemy" in loaded_after("from trees.casebook import Casebook")
