"""The tables of a casebook, the same on SQLite and PostgreSQL.

Whatever a person typed freely (complaint, notes, remarks, customer) stands in `personal` alone, so that emptying it for
a job erases that job's personal data while every entry stays as it was written.
"""

from __future__ import annotations

from sqlalchemy import (
    DDL,
    Boolean,
    CheckConstraint,
    Column,
    ForeignKey,
    Index,
    Integer,
    LargeBinary,
    MetaData,
    Table,
    Text,
    event,
)

SCHEMA_VERSION = 1

metadata = MetaData()

store_info = Table(
    "store_info",
    metadata,
    Column("name", Text, primary_key=True),
    Column("value", Text, nullable=False),
    comment="schema_version, made_at, made_by (version of the program)",
)

job = Table(
    "job",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("number", Text, nullable=False, unique=True),
    Column("counter", Integer, comment="the figure in J-0001, to find the next; null for numbers given by hand"),
    Column("invented", Boolean, nullable=False),
    Column("opened_at", Text, nullable=False),
    # From here on: a summary of the entries for the day list, written together with each entry.
    Column("last_no", Integer, nullable=False),
    Column("last_at", Text, nullable=False),
    Column("seat", Text, nullable=False),
    Column("tree", Text),
    Column("place", Text, nullable=False),
    Column("family", Text),
    Column("unit", Text),
    Column("closed_as", Text),
    Column("closed_at", Text),
    Index("job_by_counter", "counter"),
    Index("job_by_last", "last_at"),
)

entry = Table(
    "entry",
    metadata,
    Column("job_id", ForeignKey("job.id"), primary_key=True),
    Column("no", Integer, CheckConstraint("no >= 1"), primary_key=True, autoincrement=False),
    Column("kind", Text, nullable=False),
    Column("visit", Text, nullable=False),
    Column("data", Text, nullable=False, comment="JSON object; free text is empty here and stands in personal"),
    Column("at", Text, nullable=False),
    Column("seat", Text, nullable=False),
    Column("fingerprint", Text, nullable=False, comment="of the book; empty if unknown"),
    sqlite_with_rowid=False,
)

personal = Table(
    "personal",
    metadata,
    Column("job_id", ForeignKey("job.id"), primary_key=True),
    Column("no", Integer, primary_key=True, autoincrement=False, comment="the entry; 0: the customer"),
    Column("field", Text, primary_key=True, comment="words, text, reason; of no 0: name, phone, address, text"),
    Column("text", Text, nullable=False),
)

book_text = Table(
    "book_text",
    metadata,
    Column("fingerprint", Text, primary_key=True),
    Column("files", LargeBinary, nullable=False, comment="zlib over JSON {name: text}"),
    Column("kept_at", Text, nullable=False),
)

_NEVER = {entry: "an entry of a job is never changed", book_text: "a kept edition of a book is never changed"}


# SQLite's REPLACE deletes without asking a trigger for deletion, so a number that is not the next one is refused too.
_NEXT = {
    entry: "NEW.no <> 1 + (SELECT coalesce(max(no), 0) FROM entry WHERE job_id = NEW.job_id)",
    book_text: "EXISTS (SELECT 1 FROM book_text WHERE fingerprint = NEW.fingerprint)",
}


def _triggers(table: str, why: str, taken: str) -> list[tuple[str, str]]:
    """Return (dialect, statement) for what makes a table append-only, whoever writes to it."""
    stays = f"BEGIN SELECT RAISE(ABORT, '{why}'); END"
    return [
        ("sqlite", f"CREATE TRIGGER {table}_next BEFORE INSERT ON {table} WHEN {taken} {stays}"),
        ("sqlite", f"CREATE TRIGGER {table}_no_update BEFORE UPDATE ON {table} {stays}"),
        ("sqlite", f"CREATE TRIGGER {table}_no_delete BEFORE DELETE ON {table} {stays}"),
        (
            "postgresql",
            f"CREATE FUNCTION {table}_stays() RETURNS trigger LANGUAGE plpgsql "
            f"AS $$ BEGIN RAISE EXCEPTION '{why}'; END $$",
        ),
        (
            "postgresql",
            f"CREATE TRIGGER {table}_stays BEFORE UPDATE OR DELETE OR TRUNCATE ON {table} "
            f"FOR EACH STATEMENT EXECUTE FUNCTION {table}_stays()",
        ),
    ]


for _table, _why in _NEVER.items():
    for _dialect, _statement in _triggers(_table.name, _why, _NEXT[_table]):
        _ddl = DDL(_statement)  # type: ignore[no-untyped-call]
        event.listen(_table, "after_create", _ddl.execute_if(dialect=_dialect))
