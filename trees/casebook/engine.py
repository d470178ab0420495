"""Opening a store: connections with the right settings, and the check that it is a casebook we can read."""

from __future__ import annotations

import sqlite3
import time
from datetime import datetime
from pathlib import Path
from typing import Any

from sqlalchemy import URL, Connection, Engine, create_engine, event, func, insert, inspect, make_url, select, update
from sqlalchemy.exc import ArgumentError
from sqlalchemy.pool import QueuePool

from trees.casebook.faults import is_busy
from trees.casebook.records import SCHEMA_VERSION
from trees.casebook.schema import metadata, store_info
from trees.errors import CasebookError, NewerCasebookError
from trees.language import _

_PAUSE_S = 0.02
_SERVER_ANSWERS_S = 10
_MAKING = 0x500741E
"""Key of the lock on a server under which a casebook is made; any number that nobody else uses."""


def sqlite_engine(path: Path, busy_s: float) -> Engine:
    """Return an engine on a file. Nothing is read or written before the first connection."""
    address = URL.create("sqlite", database=str(path))
    engine = create_engine(address, connect_args={"timeout": busy_s}, hide_parameters=True)

    @event.listens_for(engine, "connect")
    def _settings(connection: Any, _record: object) -> None:
        connection.isolation_level = None  # BEGIN is ours: sqlite3 would only begin before the first change
        for pragma in ("foreign_keys = ON", "synchronous = FULL"):
            connection.execute(f"PRAGMA {pragma}").close()

    @event.listens_for(engine, "begin")
    def _begin(connection: Connection) -> None:
        # A writer takes its lock at once: one that reads first and finds the store changed would have to give up.
        writes = connection.get_execution_options().get("writes")
        connection.exec_driver_sql("BEGIN IMMEDIATE" if writes else "BEGIN")

    return engine


def server_engine(address: str) -> Engine:
    """Return an engine on a PostgreSQL server; CasebookError without its driver or for an address that is none."""
    try:
        url = make_url(address).set(drivername="postgresql+psycopg")
        if "@" in f"{url.host}{url.database}":  # the tail of a password would be told as the name of a host
            raise CasebookError(_("An @ inside a password is written %40 in the address of a server."))
        limits = {} if "connect_timeout" in url.query else {"connect_timeout": _SERVER_ANSWERS_S}
        engine = create_engine(url, pool_pre_ping=True, hide_parameters=True, connect_args=limits)
    except (ArgumentError, ValueError) as error:
        raise CasebookError(_("That is no address of a server; write postgresql://user@host:port/database.")) from error
    except ModuleNotFoundError as error:
        raise CasebookError(
            _("A casebook on a PostgreSQL server needs the package psycopg: pip install 'psycopg[binary]'.")
        ) from error

    @event.listens_for(engine, "begin")
    def _durable(connection: Connection) -> None:
        # A server may be set to acknowledge what is not on its disk yet; stricter settings than `on` are left alone.
        if connection.get_execution_options().get("writes"):
            connection.exec_driver_sql(
                "SELECT set_config('synchronous_commit', 'on', true) "
                "WHERE current_setting('synchronous_commit') IN ('off', 'local')"
            )

    return engine


def writing(engine: Engine) -> Engine:
    """Return the engine for transactions that write."""
    return engine.execution_options(writes=True)


def make_ready(engine: Engine, name: str, *, path: Path | None, create: bool, now: datetime, busy_s: float) -> str:
    """Check that the store is a casebook of a version that we read; make it one if it is empty, new if it is old.

    Returns what was done to an old one as a sentence; empty if nothing was. Nothing is written to a store that is
    something else. Raises NewerCasebookError, CasebookError.
    """
    done = ""
    with engine.connect() as connection:
        version = read_version(connection, name)
    if version is None:
        if not create:
            raise CasebookError(
                _("{name} holds no casebook: it is empty. Give the right one with --store.").format(name=name)
            )
        _use_wal(engine, busy_s)
        _create(engine, name, now)
    else:
        _use_wal(engine, busy_s)
        if version < SCHEMA_VERSION:
            from trees.casebook.migrate import migrate

            done = migrate(engine, name, version, path=path, now=now, lock=_MAKING)
    with writing(engine).connect() as connection:  # shows a lock or a read-only store now, not at the first answer
        connection.execute(
            update(store_info).where(store_info.c.name == "schema_version").values(value=store_info.c.value)
        )
        connection.rollback()
    return done


def readable_engine(path: Path) -> Engine | None:
    """Return an engine that reads a file as it is and writes nothing beside it; None where that can't be done.

    SQLite reads a log only with the shared memory beside it. One that we made in somebody else's folder would lock its
    owner out, so where there is a log without that, a copy has to be read.
    """
    log, shared = (path.with_name(path.name + beside) for beside in ("-wal", "-shm"))
    if log.exists() and log.stat().st_size and not shared.exists():
        return None
    still = "" if log.exists() and log.stat().st_size else "&immutable=1"

    def connect() -> sqlite3.Connection:
        return sqlite3.connect(f"{path.as_uri()}?mode=ro{still}", uri=True, check_same_thread=False)

    return create_engine("sqlite://", creator=connect, poolclass=QueuePool, hide_parameters=True)


def read_version(connection: Connection, name: str) -> int | None:
    """Return the schema version of a casebook, None for an empty store; raises for everything else."""
    tables = inspect(connection).get_table_names()
    if not tables:
        return None
    columns = {c["name"] for c in inspect(connection).get_columns("store_info")} if "store_info" in tables else set()
    if columns != {"name", "value"}:
        raise CasebookError(
            _(
                "{name} is a database of another program, no casebook. Nothing in it was changed; give "
                "another path with --store."
            ).format(name=name)
        )
    rows = {row.name: row.value for row in connection.execute(select(store_info))}
    found = rows.get("schema_version", "")
    if not found.isascii() or not found.isdigit() or int(found) < 1:
        raise CasebookError(
            _("{name} does not say which version of a casebook it is; go on with the last good backup.").format(
                name=name
            )
        )
    if int(found) > SCHEMA_VERSION:
        by = _(" by Sootline {made_by}").format(made_by=rows["made_by"]) if rows.get("made_by") else ""
        raise NewerCasebookError(
            _(
                "The casebook {name} was written{by} as version {found} of the store; this program reads up "
                "to version {SCHEMA_VERSION}. Install the newer program here, or open another casebook with "
                "--store. Nothing in it was changed."
            ).format(name=name, by=by, found=found, SCHEMA_VERSION=SCHEMA_VERSION)
        )
    return int(found)


def _create(engine: Engine, name: str, now: datetime) -> None:
    from importlib.metadata import PackageNotFoundError, version

    try:
        made_by = version("sootline")
    except PackageNotFoundError:
        made_by = ""
    facts = {"schema_version": str(SCHEMA_VERSION), "made_at": now.isoformat(timespec="seconds"), "made_by": made_by}
    with writing(engine).begin() as connection:
        if engine.dialect.name == "postgresql":
            connection.execute(select(func.pg_advisory_xact_lock(_MAKING)))
        if read_version(connection, name) is not None:  # another seat made it in between
            return
        metadata.create_all(connection)
        connection.execute(insert(store_info), [{"name": k, "value": v} for k, v in facts.items()])


def _use_wal(engine: Engine, busy_s: float) -> None:
    """Set SQLite's write-ahead log, which stays set; it may not be set inside a transaction."""
    if engine.dialect.name != "sqlite":
        return
    until = time.monotonic() + busy_s
    while True:
        connection = engine.raw_connection()
        try:
            connection.cursor().execute("PRAGMA journal_mode = WAL")
            return
        except Exception as error:
            # SQLite does not wait here: two programs that both wait to change the mode would wait for ever.
            if not is_busy(error) or time.monotonic() > until:
                raise
        finally:
            connection.close()
        time.sleep(_PAUSE_S)
