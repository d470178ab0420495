"""In which language the program speaks: each sentence is looked up when it is shown; English needs no catalogue."""

from __future__ import annotations

import errno
import os
from collections.abc import Iterable, Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, TypeVar

if TYPE_CHECKING:
    from gettext import NullTranslations

LANGUAGES: Mapping[str, str] = {"en": "English", "de": "Deutsch"}
"""Languages that the interface speaks, each by its own name; the first is the one in which it is written."""
OWN = "en"
FOLDER = Path(__file__).resolve().parent / "languages"
"""Where the catalogues lie: de.po is the source, de.mo what the program reads; `make catalogue` makes it."""


_Key = TypeVar("_Key")


class _Spoken:
    """The catalogue in use; None speaks the language in which the program is written."""

    language: str = OWN
    catalogue: NullTranslations | None = None


def use(language: str) -> None:
    """Speak a language from now on; one that has no catalogue is spoken as English."""
    _Spoken.language = language if language in LANGUAGES else OWN
    _Spoken.catalogue = None if _Spoken.language == OWN else _read(_Spoken.language)


def spoken() -> str:
    """Return the language that is spoken now, such as `de`."""
    return _Spoken.language


@contextmanager
def speaking(language: str) -> Iterator[None]:
    """Speak a language for a while."""
    before = _Spoken.language
    use(language)
    try:
        yield
    finally:
        use(before)


def _read(language: str) -> NullTranslations:
    from gettext import GNUTranslations

    with (FOLDER / f"{language}.mo").open("rb") as file:
        return GNUTranslations(file)


def wanted(setting: str, environment: Mapping[str, str] | None = None) -> str:
    """
    Return the language to speak: the setting's, or else the first of the environment's that we have.

    Read are LANGUAGE (several, parted by colons), LC_ALL, LC_MESSAGES and LANG, the first that is set; LANGUAGE counts
    for nothing in the locale C, as in every program that uses gettext.
    """
    if setting:
        return setting
    environment = os.environ if environment is None else environment
    locale = next((environment[name] for name in ("LC_ALL", "LC_MESSAGES", "LANG") if environment.get(name)), "")
    plain = _code(locale) in {"", "c", "posix"}
    named = [] if plain else [*environment.get("LANGUAGE", "").split(":"), locale]
    return next((code for code in map(_code, named) if code in LANGUAGES), OWN)


def _code(locale: str) -> str:
    """Return `de` of `de_AT.UTF-8@euro`."""
    return locale.partition(".")[0].partition("@")[0].partition("_")[0].lower()


def _(text: str) -> str:
    """Return a text of the interface in the language that is spoken."""
    return _Spoken.catalogue.gettext(text) if _Spoken.catalogue is not None and text else text


def pgettext(context: str, text: str) -> str:
    """Return a text that means several things, by what it means here."""
    return _Spoken.catalogue.pgettext(context, text) if _Spoken.catalogue is not None else text


def ngettext(one: str, many: str, n: float) -> str:
    """Return the form of a text that goes with a number of things; a number that is not whole takes the plural."""
    if _Spoken.catalogue is None or n != int(n):
        text = one if n == 1 else many
        return text if _Spoken.catalogue is None else _Spoken.catalogue.ngettext(one, many, 2)
    return _Spoken.catalogue.ngettext(one, many, int(n))


def N_(text: str) -> str:  # noqa: N802 - the name that gettext's tools know
    """Mark a text that is translated where it is shown, because here no language is known yet."""
    return text


def said(texts: Iterable[str]) -> tuple[str, ...]:
    """Return texts that were marked by `N_`, in the language that is spoken."""
    return tuple(map(_, texts))


REASONS: Mapping[int, str] = {
    errno.ENOENT: N_("there is no such file or folder"),
    errno.EACCES: N_("that is not permitted"),
    errno.EPERM: N_("that is not permitted"),
    errno.EISDIR: N_("it is a folder"),
    errno.ENOTDIR: N_("a part of the path is no folder"),
    errno.EEXIST: N_("it is there already"),
    errno.ENOSPC: N_("the disk is full"),
    errno.EROFS: N_("it may only be read there"),
    errno.EIO: N_("the disk gives an error"),
    errno.ENAMETOOLONG: N_("the name is too long"),
    errno.ELOOP: N_("its links lead in a circle"),
    errno.ENXIO: N_("there is no such device"),
    errno.ECONNREFUSED: N_("nobody answers there"),
}
"""What an operating system says in English whatever is spoken."""


def reason_of(error: Exception) -> str:
    """Return why the operating system refused something, as it goes on behind a colon."""
    told = getattr(error, "strerror", None) or str(error)
    ours = REASONS.get(getattr(error, "errno", None) or 0)
    return told if _Spoken.catalogue is None or ours is None else _(ours)


def quoted(text: str) -> str:
    """Return a text between the quotation marks of the language that is spoken."""
    return _("“{text}”").format(text=text)


def listed_or(texts: Iterable[str]) -> str:
    """Return texts of which one holds: commas, and a word before the last."""
    return _listed(list(texts), _(" or "))


def listed_and(texts: Iterable[str]) -> str:
    """Return texts that hold together: commas, and a word before the last."""
    return _listed(list(texts), _(" and "))


def _listed(told: list[str], word: str) -> str:
    return f"{', '.join(told[:-1])}{word}{told[-1]}" if len(told) > 1 else "".join(told)


class Said(Mapping[_Key, str]):
    """Ids and how each is said: a table that is made once and speaks the language of the moment."""

    def __init__(self, texts: Mapping[_Key, str]) -> None:
        self._texts = texts

    def __getitem__(self, key: _Key) -> str:
        return _(self._texts[key])

    def __iter__(self) -> Iterator[_Key]:
        return iter(self._texts)

    def __len__(self) -> int:
        return len(self._texts)
