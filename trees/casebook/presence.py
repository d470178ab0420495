"""Who has a job open just now: each program leaves a sign at the job, renews it, and takes it away when it goes.

A sign that was not renewed for ALIVE_S belongs to a program that was killed and counts no more. All seats measure by
one clock: the server's, or for a file that of the machine. A sign that is ahead of it by more is as dead, so that a
clock that was set back leaves no ghosts.
"""

from __future__ import annotations

from sqlalchemy import ColumnElement, Connection, and_, delete, func, insert, not_, select, update

from trees.casebook.records import Presence
from trees.casebook.schema import presence

ALIVE_S = 30.0
"""For how long a sign counts."""
BEAT_S = 10.0
"""After how long a program renews its sign."""


def now_ms(connection: Connection, machine_ms: int) -> int:
    """Return the time that all seats share, in milliseconds."""
    if connection.dialect.name == "sqlite":
        return machine_ms
    return int(connection.scalar(select(func.floor(func.extract("epoch", func.clock_timestamp()) * 1000))) or 0)


def sign(connection: Connection, job_id: int, program: str, seat: str, *, since: str, at_ms: int) -> None:
    """Leave or renew a program's sign at a job, and clear away the dead ones there."""
    connection.execute(delete(presence).where(and_(presence.c.job_id == job_id, not_(_alive(at_ms)))))
    mine = and_(presence.c.job_id == job_id, presence.c.program == program)
    if connection.execute(update(presence).where(mine).values(beat_ms=at_ms, seat=seat)).rowcount == 0:
        row = {"job_id": job_id, "program": program, "seat": seat, "since": since, "beat_ms": at_ms}
        connection.execute(insert(presence).values(**row))


def unsign(connection: Connection, program: str, job_id: int | None = None) -> None:
    """Take a program's sign away from a job, or from all."""
    mine = presence.c.program == program
    connection.execute(delete(presence).where(mine if job_id is None else and_(mine, presence.c.job_id == job_id)))


def others_at(connection: Connection, job_id: int, program: str, at_ms: int) -> tuple[Presence, ...]:
    """Return who else has the job open, who came first before the others."""
    query = select(presence.c.seat, presence.c.since).where(
        and_(presence.c.job_id == job_id, presence.c.program != program, _alive(at_ms))
    )
    return tuple(Presence(*row) for row in connection.execute(query.order_by(presence.c.since)))


def _alive(at_ms: int) -> ColumnElement[bool]:
    reach = int(ALIVE_S * 1000)
    return presence.c.beat_ms.between(at_ms - reach, at_ms + reach)
