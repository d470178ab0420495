"""A store written by each schema so far opens, reads and goes on. `released/` holds them as they were written then."""

from __future__ import annotations

import gzip
import sqlite3
import subprocess
import sys
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path

import pytest
from programs import Start, hear, tell
from sqlalchemy import inspect
from stores import ENGINES, EngineName, Store, empty_store

from trees.casebook import Casebook
from trees.casebook.backups import backups, restore
from trees.casebook.held import utc_now
from trees.casebook.migrate import step_directory
from trees.casebook.records import SCHEMA_VERSION
from trees.errors import CasebookError
from trees.walk import Entry

RELEASED = Path(__file__).with_name("released")

OPENING = """
import sys
from trees.casebook import Casebook
print("ready", flush=True)
where = sys.stdin.readline().strip()
with Casebook.open(where, create=False, busy_s=30) as casebook:
    print(bool(casebook.migrated), len(casebook.jobs()), len(casebook.find("möw")), flush=True)
"""


def as_released(store: Store, version: int) -> Store:
    """Put what a program of that schema left into an empty place."""
    if store.engine == "sqlite":
        packed = (RELEASED / f"schema_{version}.sqlite3.gz").read_bytes()
        Path(store.where).write_bytes(gzip.decompress(packed))
    else:
        for statement in (RELEASED / f"schema_{version}.postgresql.sql").read_text().split(";\n\n"):
            store.execute(statement)
    return store


@pytest.fixture(params=[(engine, v) for v in range(1, SCHEMA_VERSION + 1) for engine in ENGINES], ids=str)
def released(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[tuple[Store, int]]:
    """Return a store of each schema on each engine."""
    engine, version = request.param
    with empty_store(engine, tmp_path) as place:
        yield as_released(place, version), version


@pytest.fixture(params=ENGINES)
def old(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[Store]:
    """Return a store of the first schema."""
    with empty_store(request.param, tmp_path) as place:
        yield as_released(place, 1)


def test_store_of_an_earlier_schema(released: tuple[Store, int]) -> None:
    """What was kept then is read as it was meant then, takes new entries, and can be found, exported and backed up."""
    store, version = released
    with Casebook.open(store.where, create=False, seat="hut") as casebook:
        assert bool(casebook.migrated) == (version < SCHEMA_VERSION)
        assert [(row.number, row.words, row.state, row.entries, row.invented) for row in casebook.jobs()] == [
            ("HUT-3", "Does not start", "open", 1, True),
            ("J-0001", "White smoke at the mooring", "closed", 5, False),
        ]
        job = casebook.job("1")
        stored = casebook.entries(job)
        assert [one.entry.kind for one in stored] == ["began", "taken_up", "answer", "note", "closed"]
        assert stored[2].entry == Entry("answer", {"check": "rest", "typed": "12,4 V", "reading": 12.4}, "smoke/rest")
        assert stored[3].entry.data == {"text": "Möwe ☠"}
        assert (stored[4].seat, stored[4].at[:10]) == ("bench", "2026-03-02")
        kept = casebook.book_text(stored[2].fingerprint)
        assert kept == {"book.yaml": b"title: Invented\n", "trees/a.yaml": "words: Möwe\n".encode()}
        assert casebook.append(job, Entry("reopened", {"reason": "Smokes again"}), 6).no == 6
        assert casebook.new_job([stored[0].entry]).number == "J-0002"
        assert casebook.backup_trouble == ""
        assert [[row.number for row in casebook.find(typed)] for typed in ("mowe", "hut3", "again", "moor")] == [
            ["J-0001"],
            ["HUT-3"],
            ["J-0001"],
            ["J-0002", "J-0001"],
        ]
        assert len(list(casebook.export())) == 1 + 1 + 3 + 8 + 1
    assert store.is_sound()
    with Casebook.open(store.where) as again:
        assert again.migrated == ""


def test_brought_up_store_is_as_a_new_one(old: Store, tmp_path: Path) -> None:
    """After all steps the store has the tables, columns, keys, indexes and triggers of one that was made anew."""
    with (
        Casebook.open(old.where) as casebook,
        empty_store(old.engine, tmp_path / "new") as place,
        Casebook.open(place.where) as new,
    ):
        assert shape(casebook) == shape(new)


def shape(casebook: Casebook) -> dict[str, object]:
    found = inspect(casebook._engine)
    tables = sorted(name for name in found.get_table_names() if not name.startswith("job_search_index_"))
    asked = {
        "sqlite": "SELECT name, sql FROM sqlite_master WHERE type = 'trigger' OR sql LIKE 'CREATE VIRTUAL%'",
        "postgresql": "SELECT event_object_table::text, trigger_name::text, event_manipulation::text "
        "FROM information_schema.triggers WHERE trigger_schema = current_schema()",
    }[casebook._engine.dialect.name]
    with casebook._reading() as connection:
        rest = sorted(map(tuple, connection.exec_driver_sql(asked)))
    columns = {t: [(c["name"], str(c["type"]), c["nullable"]) for c in found.get_columns(t)] for t in tables}
    keys = {t: (found.get_pk_constraint(t)["constrained_columns"], str(found.get_foreign_keys(t))) for t in tables}
    indexes = {t: sorted(str(i["name"]) for i in found.get_indexes(t)) for t in tables if t != "job_search"}
    return {"columns": columns, "keys": keys, "indexes": indexes, "rest": rest}


def test_says_what_it_did_and_keeps_what_was(path: Path) -> None:
    """The sentence names both versions and the backup, which holds the store as it was and can be put back."""
    as_released(Store(str(path), "sqlite"), 1)
    with Casebook.open(path) as casebook:
        (kept,) = backups(path)
        assert casebook.migrated == (
            f"The casebook {path} was brought from version 1 of the store to version {SCHEMA_VERSION} (2 jobs). "
            f"As it was before it is kept at {kept.path}. An earlier program can't open it any more."
        )
    with closing(sqlite3.connect(kept.path)) as file:
        assert file.execute("SELECT value FROM store_info WHERE name = 'schema_version'").fetchone() == ("1",)
        assert file.execute("SELECT count(*) FROM sqlite_master WHERE name = 'presence'").fetchone() == (0,)
    restore(path, utc_now(), kept.path)
    with Casebook.open(path) as again:
        assert again.migrated.startswith(f"The casebook {path} was brought from version 1")


def test_step_that_fails_changes_nothing(old: Store) -> None:
    """A step that can't be made leaves the store as it was, of its old version, and says so."""
    old.execute("CREATE TABLE presence (at text)")  # in the way of the third change of the step
    with pytest.raises(CasebookError):
        Casebook.open(old.where)
    assert old.execute("SELECT value FROM store_info WHERE name = 'schema_version'") == [("1",)]
    with pytest.raises(Exception, match="serial"):
        old.execute("SELECT serial FROM job")
    old.execute("DROP TABLE presence")
    with Casebook.open(old.where) as casebook:
        assert len(casebook.jobs()) == 2


def test_no_step_without_a_backup(path: Path) -> None:
    """Where no backup can be made the store stays of its old version."""
    as_released(Store(str(path), "sqlite"), 1)
    path.with_name(f"{path.name}.backups").write_text("in the way")
    with pytest.raises(CasebookError, match=r"is of version 1 of the store and .* not without a backup"):
        Casebook.open(path)
    with closing(sqlite3.connect(path)) as file:
        assert file.execute("SELECT value FROM store_info WHERE name = 'schema_version'").fetchone() == ("1",)


@pytest.mark.parametrize("engine", ENGINES)
def test_programs_that_open_an_old_store_at_once(engine: EngineName, tmp_path: Path, programs: Start) -> None:
    """Of programs that open an old store at the same moment one brings it up, and all of them read it."""
    with empty_store(engine, tmp_path) as store:
        as_released(store, 1)
        running = [programs(OPENING) for _ in range(3)]
        assert [hear(program) for program in running] == ["ready"] * 3
        for program in running:
            tell(program, store.where)
        assert sorted(hear(program) for program in running) == ["False 2 1", "False 2 1", "True 2 1"]
        assert store.is_sound()


def test_one_step_for_each_schema() -> None:
    """The steps form one line from the first schema to the present one."""
    steps = [(step.revision, step.down_revision) for step in step_directory().walk_revisions()]
    assert steps == [(str(v), str(v - 1) if v > 1 else None) for v in range(SCHEMA_VERSION, 0, -1)]


def test_alembic_is_loaded_for_an_old_store_only(path: Path) -> None:
    """Opening a store of the present schema loads no more than before; an old one loads what brings it up."""
    probe = (
        "import sys; from trees.casebook import Casebook; Casebook.open(sys.argv[1]).close(); "
        "print('alembic' in sys.modules)"
    )
    as_released(Store(str(path), "sqlite"), 1)
    said = [
        subprocess.run([sys.executable, "-c", probe, str(path)], capture_output=True, text=True, check=True).stdout
        for _ in range(2)
    ]
    assert said == ["True\n", "False\n"]


STEPPING = """
import os, sys
from trees.casebook import Casebook
import alembic.operations, alembic.runtime.migration, alembic.script
from trees.casebook import migrate
def told(act):
    def wrapped(*given, **more):
        done = act(*given, **more)
        print("at", act.__name__, flush=True)
        sys.stdin.readline()
        return done
    return wrapped
migrate.run_steps, migrate.index_all = told(migrate.run_steps), told(migrate.index_all)
Casebook.open(sys.argv[1])
print("at end", flush=True)
sys.stdin.readline()
"""


@pytest.mark.parametrize("moment", ["run_steps", "index_all", "end"])
def test_killed_while_it_is_brought_up(old: Store, moment: str, programs: Start) -> None:
    """A program killed between the steps leaves the old store whole; the next one brings it up."""
    program = programs(STEPPING, old.where)
    while hear(program) != f"at {moment}":
        tell(program, "on")
    program.kill()
    program.wait(timeout=30)
    old.settle()
    expected = str(SCHEMA_VERSION) if moment == "end" else "1"
    assert old.execute("SELECT value FROM store_info WHERE name = 'schema_version'") == [(expected,)]
    with Casebook.open(old.where) as casebook:
        assert bool(casebook.migrated) == (moment != "end")
        assert len(casebook.find("moor")) == 1
    assert old.is_sound()


def test_verb_says_what_it_did(path: Path) -> None:
    """The real program tells on stderr that it brought the store up and where the old one is kept, once."""
    as_released(Store(str(path), "sqlite"), 1)
    command = [sys.executable, "-m", "tui.command_line", "--store", str(path), "jobs", "list"]
    first, second = (subprocess.run(command, capture_output=True, text=True, check=True) for _ in range(2))
    assert first.stderr.startswith(f"sootline: The casebook {path} was brought from version 1 of the store")
    assert str(backups(path)[0].path) in first.stderr
    assert second.stderr == ""
    assert first.stdout == second.stdout != ""
