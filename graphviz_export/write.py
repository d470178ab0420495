"""Put files on disk whole or not at all."""

from __future__ import annotations

import contextlib
import os
import tempfile
from collections.abc import Sequence
from pathlib import Path

from trees.errors import PaperError
from trees.language import _, reason_of


def write_files(paths: Sequence[Path], contents: Sequence[bytes], *, private: bool = False) -> tuple[Path, ...]:
    """Write each content to its path and return the paths; PaperError if one can't be written, then none is.

    Everything is written beside its place first and only then renamed, so that a full disk or a broken run leaves the
    old file as it was, and what a link points to is never touched. A private file can be read by its owner alone.
    """
    waiting: list[tuple[Path, Path]] = []
    try:
        for path, content in zip(paths, contents, strict=True):
            if path.is_dir():
                raise PaperError(_("{path} is a folder. Name a file in it.").format(path=path))
            if path.exists() and not path.is_file():  # a device would be renamed away
                raise PaperError(_("{path} is no ordinary file. Name a file.").format(path=path))
            waiting.append((_write_beside(path, content, private=private), path))
        for temporary, path in waiting:
            temporary.replace(path)
    except OSError as error:
        raise PaperError(
            _("{filename} can't be written: {strerror}.").format(
                filename=error.filename or paths[0], strerror=reason_of(error)
            )
        ) from None
    finally:
        for temporary, _other in waiting:
            temporary.unlink(missing_ok=True)
    return tuple(paths)


def _write_beside(path: Path, content: bytes, *, private: bool) -> Path:
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        handle, name = tempfile.mkstemp(prefix=f".{path.stem[:40]}-", suffix=".part", dir=path.parent)
    except OSError as error:
        raise PaperError(
            _("{path} can't be written: {strerror}.").format(path=path, strerror=reason_of(error))
        ) from None
    temporary = Path(name)
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(content)
        if not private:
            umask = os.umask(0)
            os.umask(umask)
            temporary.chmod(0o666 & ~umask)  # a temporary file is private; a chart is for others to read
    except BaseException:
        with contextlib.suppress(OSError):
            temporary.unlink()
        raise
    return temporary
