"""An empty place for a casebook on either engine, and a look into it past the casebook."""

from __future__ import annotations

import os
import secrets
import sqlite3
import time
from collections.abc import Iterator
from contextlib import closing, contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Literal

import pytest

EngineName = Literal["sqlite", "postgresql"]
ENGINES: tuple[EngineName, ...] = ("sqlite", "postgresql")
SERVER = "SOOTLINE_TEST_SERVER"
REQUIRED = "SOOTLINE_DATABASE_REQUIRED"


@dataclass(frozen=True, slots=True)
class Store:
    """Where a casebook may be made: what `--store` takes, and the engine behind it."""

    where: str
    engine: EngineName

    def execute(self, statement: str, *values: object) -> list[tuple[Any, ...]]:
        """Run one statement of SQL on a connection of its own and return its rows; `?` stands for a value."""
        if self.engine == "sqlite":
            with closing(sqlite3.connect(self.where, isolation_level=None, timeout=30)) as file:
                return file.execute(statement, values).fetchall()
        import psycopg

        with psycopg.connect(self.where, autocommit=True) as server:
            cursor = server.execute(statement.replace("?", "%s"), values)  # type: ignore[arg-type]
            return cursor.fetchall() if cursor.description else []

    def settle(self) -> None:
        """Wait until no other program is at it: a server may still be at work for a program that was killed."""
        if self.engine == "sqlite":
            return
        others = "SELECT pid FROM pg_stat_activity WHERE application_name = ? AND pid <> pg_backend_pid()"
        name = self.where.rpartition("application_name=")[2]
        until = time.monotonic() + 30
        while self.execute(others, name):
            assert time.monotonic() < until, "a session of a killed program stays on the server"

    def is_sound(self) -> bool:
        """Tell whether the store holds together: the file's own check, and each job's entries without a gap."""
        gaps = self.execute(
            "SELECT job.id FROM job LEFT JOIN entry ON entry.job_id = job.id GROUP BY job.id, job.last_no "
            "HAVING count(entry.no) <> job.last_no OR min(entry.no) <> 1 OR max(entry.no) <> job.last_no"
        )
        whole = self.engine == "postgresql" or self.execute("PRAGMA integrity_check") == [("ok",)]
        return whole and not gaps


def server_address() -> str:
    """Return the address of the server for tests; without one the test is not run, or fails where it is required."""
    if address := os.environ.get(SERVER):
        return address
    if os.environ.get(REQUIRED) == "1":
        pytest.fail(f"{REQUIRED}=1, but {SERVER} names no PostgreSQL server: start the tests by .ci/run")
    pytest.skip(f"NOT RUN: the PostgreSQL half; {SERVER} names no server (.ci/run starts one)")


@contextmanager
def server_store() -> Iterator[Store]:
    """Give a schema of its own on the server, so that no test meets another's casebook; it is gone afterwards."""
    import psycopg

    address, name = server_address(), f"casebook_{secrets.token_hex(6)}"
    joint = "&" if "?" in address else "?"
    with psycopg.connect(address, autocommit=True) as server:
        server.execute(f"CREATE SCHEMA {name}")  # type: ignore[arg-type]
    try:
        yield Store(f"{address}{joint}options=-csearch_path%3D{name}&application_name={name}", "postgresql")
    finally:
        with psycopg.connect(address, autocommit=True) as server:
            server.execute("SET lock_timeout = '20s'; SET client_min_messages = warning")
            server.execute(f"DROP SCHEMA {name} CASCADE")  # type: ignore[arg-type]


@contextmanager
def empty_store(engine: EngineName, folder: Path) -> Iterator[Store]:
    """Give an empty place for a casebook on the engine; a file lies in the folder."""
    if engine == "sqlite":
        yield Store(str(folder / "casebook.sqlite3"), "sqlite")
        return
    with server_store() as store:
        yield store
