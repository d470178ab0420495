"""By which edition an old job is read: the one that it was worked by, where its text is kept; says which it was."""

from __future__ import annotations

import tempfile
from collections.abc import Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING

from trees.errors import CasebookError, SootlineError
from trees.language import _

if TYPE_CHECKING:
    from trees.book.model import Book
    from trees.casebook import Casebook, StoredEntry


@dataclass
class Editions:
    """The editions that were read so far, beside the present one; each is read once."""

    casebook: Casebook
    present: Book
    read: dict[str, Book | str] = field(default_factory=dict)
    """Fingerprint → the book, or why it can't be had."""

    def of(self, stored: Sequence[StoredEntry]) -> tuple[Book, str]:
        """Return the book to read a job by, and which that is as a sentence; empty for the present edition."""
        edition = next((one.fingerprint for one in reversed(stored) if one.fingerprint), "")
        if edition in {"", self.present.fingerprint}:
            return self.present, ""
        if edition not in self.read:
            self.read[edition] = self._kept(edition)
        book = self.read[edition]
        if isinstance(book, str):
            return self.present, _("Made with edition {edition}; read by the present one, for {book}").format(
                edition=edition, book=book
            )
        title = f"{book.title}, {book.edition}"
        return book, _("Read by the edition that it was made with, kept in the casebook: {title} ({edition}).").format(
            title=title, edition=edition
        )

    def _kept(self, edition: str) -> Book | str:
        """Load a kept edition, or say why not."""
        from trees.book import load_book
        from trees.casebook import write_book_files

        try:
            files = self.casebook.book_text(edition)
        except CasebookError:
            return _("the text of that edition was never kept.")
        try:
            with tempfile.TemporaryDirectory(prefix="sootline-") as name:
                return load_book(write_book_files(files, Path(name)))
        except SootlineError:
            return _("the text that is kept can't be read by this program.")
