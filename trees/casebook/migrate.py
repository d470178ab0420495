"""How a store of an earlier schema is brought to the present one: a backup, then all steps in one transaction.

The steps are Alembic's revisions in `migrations/versions/`, one per schema. Which schema a store has stands where every
release looked for it, in `store_info`; Alembic's own table would be a second answer to the same question. Alembic is
loaded only where a store is old.
"""

from __future__ import annotations

from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

from sqlalchemy import Connection, Engine, insert, select, update

from trees.casebook.backups import make_backup
from trees.casebook.records import SCHEMA_VERSION
from trees.casebook.schema import store_info
from trees.casebook.search import index_all
from trees.errors import CasebookError
from trees.language import _, ngettext

if TYPE_CHECKING:
    from alembic.script import ScriptDirectory

_STEPS = Path(__file__).with_name("migrations")


def migrate(engine: Engine, name: str, found: int, *, path: Path | None, now: datetime, lock: int) -> str:
    """
    Bring a store of schema `found` to the present one; returns a sentence that says what was done.

    Args:
        path: The file, of which a backup is made first; None on a server, which is backed up there.
        lock: Key of the lock on a server under which one program at a time does this.

    Raises CasebookError where no backup can be made; nothing is changed then, nor where a step fails.
    """
    try:
        backup = make_backup(path, now).path if path is not None else None
    except CasebookError as error:
        raise CasebookError(
            _(
                "The casebook {name} is of version {found} of the store and has to be brought to version "
                "{SCHEMA_VERSION}, but not without a backup, and none could be made. {error}"
            ).format(name=name, found=found, SCHEMA_VERSION=SCHEMA_VERSION, error=error)
        ) from error
    with engine.execution_options(writes=True).begin() as connection:
        if engine.dialect.name == "postgresql":
            connection.exec_driver_sql(f"SELECT pg_advisory_xact_lock({lock})")
        begin = _version(connection)
        if begin == SCHEMA_VERSION:  # another seat was quicker
            return ""
        run_steps(connection, begin)
        jobs = index_all(connection)
        known = store_info.c.name == "schema_version"
        connection.execute(update(store_info).where(known).values(value=str(SCHEMA_VERSION)))
        at = now.isoformat(timespec="seconds")
        connection.execute(insert(store_info).values(name=f"schema_{SCHEMA_VERSION}_at", value=at))
    kept = _(" As it was before it is kept at {backup}.").format(backup=backup) if backup else ""
    return _(
        "The casebook {name} was brought from version {begin} of the store to version "
        "{SCHEMA_VERSION} ({jobs}).{kept} An earlier program can't open it any more."
    ).format(
        name=name,
        begin=begin,
        SCHEMA_VERSION=SCHEMA_VERSION,
        jobs=ngettext("1 job", "{n} jobs", jobs).format(n=jobs),
        kept=kept,
    )


def run_steps(connection: Connection, begin: int) -> None:
    """Run every step from schema `begin` on, in the transaction of the connection."""
    from alembic.operations import Operations
    from alembic.runtime.migration import MigrationContext

    steps = list(step_directory().iterate_revisions(str(SCHEMA_VERSION), str(begin)))
    with Operations.context(MigrationContext.configure(connection)):
        for step in reversed(steps):
            step.module.upgrade()


def step_directory() -> ScriptDirectory:
    """Return the steps as Alembic reads them."""
    from alembic.script import ScriptDirectory

    return ScriptDirectory(str(_STEPS))


def _version(connection: Connection) -> int:
    return int(connection.scalars(select(store_info.c.value).where(store_info.c.name == "schema_version")).one())
