"""In which language the program speaks, and what of a book is not in it."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from trees.language import N_, Said, _, spoken, use, wanted

if TYPE_CHECKING:
    from trees.book.model import Book

_NAMES = Said({"en": N_("English"), "de": N_("German")})


def speak(setting: str | None = None) -> None:
    """Speak the language of a setting from now on, or else that of the environment; None reads the settings file."""
    if setting is None:
        from tui.settings import read_settings

        setting = read_settings()[0].language
    use(wanted(setting))


def in_spoken_language(book: Book, folder: Path | None) -> Book:
    """Return a book with its texts in the language of the interface, as far as such lie beside it."""
    from trees.book.check import shown_in

    return shown_in(book, folder, spoken())


def mixture(book: Book) -> str:
    """Return a sentence where a book is not wholly in the language of the interface; empty where it is."""
    own, shown = (_NAMES.get(code, code) for code in (book.own_language, spoken()))
    if book.language != spoken():
        return _("The book has no texts in {language}; it is shown in {own}.").format(language=shown, own=own)
    if book.not_translated:
        return _("{n} texts of the book are not in {language} yet; they are shown in {own}.").format(
            n=book.not_translated, language=shown, own=own
        )
    return ""
