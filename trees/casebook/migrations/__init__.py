"""The steps from each released schema to the next, one file each, as Alembic revisions; see `migrate.py`."""
