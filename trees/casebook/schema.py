"""The tables of a casebook, the same on SQLite and PostgreSQL.

Whatever a person typed freely (complaint, notes, remarks, customer) stands in `personal` alone, so that emptying it for
a job erases that job's personal data while every entry stays as it was written.
"""

from __future__ import annotations

from sqlalchemy import (
    DDL,
    BigInteger,
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
    text,
)

metadata = MetaData()

_IS_OPEN = text("closed_as IS NULL")
"""Open jobs are few among all that were ever closed, and the day list reads them all the time."""
_IS_REMARK = text("kind = 'remark'")
"""Remarks are few among very many entries, and the author reads them from all jobs."""

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
    Column("serial", Text, comment="the unit's serial number"),
    Column("waiting", Text, comment="for what the job waits: parts, questionnaire, call_back"),
    Column("due", Text, comment="ISO date or moment until which it waits"),
    Index("job_by_counter", "counter"),
    Index("job_by_last", "last_at"),
    Index("job_by_serial", "serial"),
    Index("job_open", "last_at", sqlite_where=_IS_OPEN, postgresql_where=_IS_OPEN),
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
    Index("entry_remarks", "job_id", sqlite_where=_IS_REMARK, postgresql_where=_IS_REMARK),
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

job_search = Table(
    "job_search",
    metadata,
    Column("job_id", ForeignKey("job.id"), primary_key=True, autoincrement=False),
    Column("words", Text, nullable=False, comment="each word of number, unit, serial and free text once"),
)

presence = Table(
    "presence",
    metadata,
    Column("job_id", ForeignKey("job.id"), primary_key=True),
    Column("program", Text, primary_key=True, comment="a running program; a seat may run several"),
    Column("seat", Text, nullable=False),
    Column("since", Text, nullable=False),
    Column("beat_ms", BigInteger, nullable=False, comment="last sign of life, by the clock that all seats share"),
)

FOUND_BY = "array_to_tsvector(string_to_array(words, ' '))"
"""What PostgreSQL finds jobs by. The words come cut and folded, so no dictionary has a say in it."""

# The words come cut and folded: to `ascii` only their spaces part them. No phrase is ever looked for, only words and
# their beginnings, so the index keeps no positions.
_SEARCH = (
    (
        "sqlite",
        "CREATE VIRTUAL TABLE job_search_index USING fts5(words, content='job_search', content_rowid='job_id', "
        "tokenize='ascii', detail='none', columnsize=0, prefix='1 2 3')",
    ),
    (
        "sqlite",
        "CREATE TRIGGER job_search_added AFTER INSERT ON job_search BEGIN "
        "INSERT INTO job_search_index (rowid, words) VALUES (NEW.job_id, NEW.words); END",
    ),
    (
        "sqlite",
        "CREATE TRIGGER job_search_removed AFTER DELETE ON job_search BEGIN INSERT INTO job_search_index "
        "(job_search_index, rowid, words) VALUES ('delete', OLD.job_id, OLD.words); END",
    ),
    (
        "sqlite",
        "CREATE TRIGGER job_search_changed AFTER UPDATE ON job_search BEGIN INSERT INTO job_search_index "
        "(job_search_index, rowid, words) VALUES ('delete', OLD.job_id, OLD.words); "
        "INSERT INTO job_search_index (rowid, words) VALUES (NEW.job_id, NEW.words); END",
    ),
    ("postgresql", f"CREATE INDEX job_search_found ON job_search USING gin ({FOUND_BY})"),
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


def _after(table: Table, dialect: str, statement: str) -> None:
    ddl = DDL(statement)  # type: ignore[no-untyped-call]
    event.listen(table, "after_create", ddl.execute_if(dialect=dialect))


for _table, _why in _NEVER.items():
    for _dialect, _statement in _triggers(_table.name, _why, _NEXT[_table]):
        _after(_table, _dialect, _statement)
for _dialect, _statement in _SEARCH:
    _after(job_search, _dialect, _statement)
