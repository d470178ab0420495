"""The file that somebody typed or dragged into a field: terminals put quotes, backslashes or `file://` around it."""

from __future__ import annotations

from pathlib import Path
from urllib.parse import unquote, urlsplit


def typed_path(text: str) -> Path:
    """Return the whole path that a text names; one that begins with no folder lies in the present one."""
    text = text.strip()
    if len(text) > 1 and text[0] == text[-1] and text[0] in "'\"":
        text = text[1:-1]
    if text.startswith("file://"):
        text = unquote(urlsplit(text).path)
    path = _home(Path(text))
    if "\\" in text and not path.exists():  # a space of a dragged file; on systems where it parts folders it exists
        bare = _home(Path(text.replace("\\", "")))
        path = bare if bare.exists() else path
    return path.absolute()


def _home(path: Path) -> Path:
    try:
        return path.expanduser()
    except RuntimeError:  # there is no such home
        return path
