"""A book on disk: files written into a folder, and a new book as `sootline new book` writes it."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

from trees.book.starting import new_book


def written(folder: Path, files: Mapping[str, str]) -> Path:
    """Write files, each by its place in the folder; return the folder."""
    for place, text in files.items():
        path = folder / place
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, "utf-8")
    return folder


def new_boats(folder: Path) -> Path:
    """Write a new book of boats into a folder below this one and return it."""
    return written(folder / "boats", new_book("boats", "2026-11-25"))
