"""The casebook's public names, and that asking for a name loads no more than it needs."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest
from stores import Store

import trees.casebook
from trees.errors import CasebookError


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


def test_what_a_casebook_says_of_itself(store: Store, casebook: trees.casebook.Casebook) -> None:
    """On either engine a casebook tells its name, seat and file; on a server it has no file and shows no password."""
    assert casebook.seat == "bench"
    if store.engine == "sqlite":
        assert (casebook.name, casebook.path) == (store.where, Path(store.where))
        return
    assert casebook.path is None
    assert casebook.name.startswith("postgresql://tests:***@") or "@" not in store.where
    address, _, schema = store.where.partition("@")[2].partition("application_name=")
    assert casebook.name.partition("@")[2].startswith(address.partition("?")[0])
    assert schema in casebook.name


def test_backup_on_a_server_is_the_servers(store: Store, casebook: trees.casebook.Casebook) -> None:
    """A file is backed up by us; a server is backed up there, and the sentence says what gives a copy here."""
    if store.engine == "sqlite":
        assert casebook.back_up().path.is_file()
        return
    with pytest.raises(CasebookError, match=r"lies on a server and is backed up there .* jobs export --out FILE"):
        casebook.back_up()
