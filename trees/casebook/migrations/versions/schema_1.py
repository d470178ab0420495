"""Schema 1: the first that was released. Stores begin with it, so there is nothing to do."""

from __future__ import annotations

revision = "1"
down_revision = None


def upgrade() -> None:
    """Do nothing: a store is made whole by `schema.py`, never from an empty one by these steps."""
