"""A fault of the program itself: one sentence for the user, the details in a file."""

from __future__ import annotations

import os
import re
import tempfile
from datetime import UTC, datetime
from pathlib import Path

from trees.errors import SootlineError
from trees.language import _

_PASSWORD = re.compile(r"(://[^\s:/@]*):\S*@")
_OPTION = re.compile(r"((?:password|secret)\w*\s*=\s*)[^\s&]+", re.IGNORECASE)


class FaultError(SootlineError):
    """The program has a fault; its text says where the details are kept."""


def _kept(folder: Path, name: str, details: str) -> Path:
    """Write the details into a new file that only its owner can read."""
    path = folder / name
    path.unlink(missing_ok=True)
    with os.fdopen(os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600), "w", encoding="utf-8") as file:
        file.write(without_secrets(details))
    return path


def without_secrets(details: str) -> str:
    """Return details without the passwords of addresses in them."""
    return _OPTION.sub(r"\1***", _PASSWORD.sub(r"\1:***@", details))


def fault(details: str) -> FaultError:
    """Keep the details of a fault in the platform's log folder and return the sentence that says so."""
    from platformdirs import user_log_path

    name = f"fault-{datetime.now(UTC):%Y%m%d-%H%M%S}.txt"
    try:
        folder = user_log_path("sootline", appauthor=False)
        folder.mkdir(parents=True, exist_ok=True, mode=0o700)
        path = _kept(folder, name, details)
    except OSError:
        # A folder of our own: in one that all share somebody could have put a link under a name that can be guessed.
        path = _kept(Path(tempfile.mkdtemp(prefix="sootline-")), name, details)
    return FaultError(
        _("The program has a fault. Every answer that was taken is saved; the details are in {path}.").format(path=path)
    )
