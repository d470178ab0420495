"""Writing a file whole or not at all."""

from __future__ import annotations

import os
import tempfile
from pathlib import Path

from trees.errors import PaperError


def write_whole(out: Path, data: bytes) -> Path:
    """Write beside the target and rename, so that nothing half-written is ever left; PaperError with a sentence."""
    try:
        out.parent.mkdir(parents=True, exist_ok=True)
        handle, name = tempfile.mkstemp(dir=out.parent, prefix=f".{out.name}.")
    except OSError as error:
        raise PaperError(f"{out.parent} can't be written: {error.strerror}. Choose another folder.") from error
    temporary = Path(name)
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(data)
        temporary.chmod(0o644)
        temporary.replace(out)
    except OSError as error:
        temporary.unlink(missing_ok=True)
        raise PaperError(f"{out} can't be written: {error.strerror}.") from error
    return out
