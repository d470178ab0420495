"""A fault of the program itself: one sentence for the user, the details in a file."""

from __future__ import annotations

import tempfile
from datetime import UTC, datetime
from pathlib import Path

from trees.errors import SootlineError


class FaultError(SootlineError):
    """The program has a fault; its text says where the details are kept."""


def fault(details: str) -> FaultError:
    """Keep the details of a fault in the platform's log folder and return the sentence that says so."""
    from platformdirs import user_log_path

    name = f"fault-{datetime.now(UTC):%Y%m%d-%H%M%S}.txt"
    try:
        folder = user_log_path("sootline", appauthor=False)
        folder.mkdir(parents=True, exist_ok=True, mode=0o700)
        path = folder / name
        path.write_text(details, encoding="utf-8")
    except OSError:
        path = Path(tempfile.gettempdir()) / f"sootline-{name}"
        path.write_text(details, encoding="utf-8")
    path.chmod(0o600)
    return FaultError(f"The program has a fault. Every answer that was taken is saved; the details are in {path}.")
