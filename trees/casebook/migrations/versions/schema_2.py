"""From schema 1 to 2: the serial number and what a job waits for, finding jobs by words, and who has a job open.

What stands here is never changed: it makes of a store of schema 1 what schema 2 was when it was released.
"""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "2"
down_revision = "1"


def upgrade() -> None:
    """Add the columns and tables of schema 2; the words to find jobs by are worked out afterwards."""
    for name, comment in (
        ("serial", "the unit's serial number"),
        ("waiting", "for what the job waits: parts, questionnaire, call_back"),
        ("due", "ISO date or moment until which it waits"),
    ):
        op.add_column("job", sa.Column(name, sa.Text, comment=comment))
    op.create_index("job_by_serial", "job", ["serial"])
    still_open, remark = sa.text("closed_as IS NULL"), sa.text("kind = 'remark'")
    op.create_index("job_open", "job", ["last_at"], sqlite_where=still_open, postgresql_where=still_open)
    op.create_index("entry_remarks", "entry", ["job_id"], sqlite_where=remark, postgresql_where=remark)
    op.create_table(
        "job_search",
        sa.Column("job_id", sa.Integer, sa.ForeignKey("job.id"), primary_key=True, autoincrement=False),
        sa.Column(
            "words",
            sa.Text,
            nullable=False,
            comment="each word of number, unit, serial and free text once",
        ),
    )
    op.create_table(
        "presence",
        sa.Column("job_id", sa.Integer, sa.ForeignKey("job.id"), primary_key=True, autoincrement=False),
        sa.Column("program", sa.Text, primary_key=True, comment="a running program; a seat may run several"),
        sa.Column("seat", sa.Text, nullable=False),
        sa.Column("since", sa.Text, nullable=False),
        sa.Column(
            "beat_ms", sa.BigInteger, nullable=False, comment="last sign of life, by the clock that all seats share"
        ),
    )
    for statement in _ON_SQLITE if op.get_bind().dialect.name == "sqlite" else _ON_POSTGRESQL:
        op.execute(statement)


_ON_SQLITE = (
    "CREATE VIRTUAL TABLE job_search_index USING fts5(words, content='job_search', content_rowid='job_id', "
    "tokenize='ascii', detail='none', columnsize=0, prefix='1 2 3')",
    "CREATE TRIGGER job_search_added AFTER INSERT ON job_search BEGIN "
    "INSERT INTO job_search_index (rowid, words) VALUES (NEW.job_id, NEW.words); END",
    "CREATE TRIGGER job_search_removed AFTER DELETE ON job_search BEGIN INSERT INTO job_search_index "
    "(job_search_index, rowid, words) VALUES ('delete', OLD.job_id, OLD.words); END",
    "CREATE TRIGGER job_search_changed AFTER UPDATE ON job_search BEGIN INSERT INTO job_search_index "
    "(job_search_index, rowid, words) VALUES ('delete', OLD.job_id, OLD.words); "
    "INSERT INTO job_search_index (rowid, words) VALUES (NEW.job_id, NEW.words); END",
)
_ON_POSTGRESQL = (
    "CREATE INDEX job_search_found ON job_search USING gin (array_to_tsvector(string_to_array(words, ' ')))",
)
