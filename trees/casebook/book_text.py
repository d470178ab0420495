"""The text of a book's edition, packed so that an old job can be read by the edition that it was made with."""

from __future__ import annotations

import hashlib
import json
import zlib
from collections.abc import Mapping
from pathlib import Path, PurePosixPath

from trees.errors import CasebookError
from trees.language import _, reason_of

_LARGEST = 256 * 1024 * 1024
"""Bytes of an edition's text; the largest book that we know of has not one of these megabytes in a hundred."""


def book_files(folder: Path) -> dict[str, bytes]:
    """Return the files of a book by their name inside its folder: exactly those that its fingerprint covers."""
    from trees.book.reader import FILES

    files = {}
    try:
        for path in sorted(folder.rglob("*.yaml"), key=lambda path: path.relative_to(folder).as_posix()):
            parts = path.relative_to(folder).parts
            if path.is_file() and ("/".join(parts) in FILES or (len(parts) == 2 and parts[0] in FILES)):
                files["/".join(parts)] = path.read_bytes()
    except OSError as error:
        raise CasebookError(
            _("The book at {folder} can't be read: {strerror}.").format(folder=folder, strerror=reason_of(error))
        ) from error
    return files


def fingerprint_of(files: Mapping[str, bytes]) -> str:
    """Return the fingerprint of a book made of these files: as its reader works it out."""
    digest = hashlib.sha256()
    for name in sorted(files):
        digest.update(name.encode("utf-8", "surrogateescape") + b"\0" + files[name] + b"\0")
    return digest.hexdigest()[:12]


def pack(files: Mapping[str, bytes], fingerprint: str) -> bytes:
    """Return the files as one compressed piece; CasebookError if they are another edition than the fingerprint says."""
    if fingerprint_of(files) != fingerprint:
        raise CasebookError(
            _("The book has changed on disk since it was loaded as edition {fingerprint}; load it anew.").format(
                fingerprint=fingerprint
            )
        )
    try:
        text = {name: files[name].decode("utf-8") for name in sorted(files)}
    except UnicodeDecodeError as error:
        raise CasebookError(
            _("The text of the book can't be kept: a file of it is no UTF-8 ({reason}).").format(reason=error.reason)
        ) from error
    return zlib.compress(json.dumps(text, ensure_ascii=False).encode("utf-8"), level=9)


def unpack(packed: bytes, fingerprint: str) -> dict[str, bytes]:
    """Return the files of a packed edition; CasebookError if they are not what was kept."""
    try:
        unpacking = zlib.decompressobj()
        text = json.loads(unpacking.decompress(packed, _LARGEST))
        if unpacking.unconsumed_tail:  # a thousandth of what it would fill: a casebook from elsewhere may hold such
            raise ValueError(_("larger than any book"))
        files = {name: content.encode("utf-8") for name, content in text.items()}
    except (zlib.error, ValueError, AttributeError, RecursionError) as error:
        raise CasebookError(
            _("The text of the book's edition {fingerprint} is damaged in this casebook.").format(
                fingerprint=fingerprint
            )
        ) from error
    if fingerprint_of(files) != fingerprint:
        raise CasebookError(
            _("The text of the book's edition {fingerprint} is damaged in this casebook.").format(
                fingerprint=fingerprint
            )
        )
    return files


def write_book_files(files: Mapping[str, bytes], folder: Path) -> Path:
    """Write a kept edition into a folder, to be loaded as a book; CasebookError for a name that leads out of it."""
    for name, content in files.items():
        parts = PurePosixPath(name).parts
        if not parts or ".." in parts or "\0" in name or PurePosixPath(name).is_absolute():
            raise CasebookError(
                _("The kept book holds a file named {name!r}, which leads out of its folder.").format(name=name)
            )
        path = folder.joinpath(*parts)
        try:
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_bytes(content)
        except OSError as error:
            raise CasebookError(
                _("The kept book can't be written to {path}: {strerror}.").format(path=path, strerror=reason_of(error))
            ) from error
    return folder
