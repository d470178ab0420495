"""Whose paper this is: the workshop's name, address, logo and local emergency number."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from trees.errors import PaperError
from trees.language import _, reason_of

LOGO_ENDINGS = (".svg", ".png")
LOGO_BYTES_AT_MOST = 300_000
"""A logo stands in every report, whole; more than 300 kB is a photograph and belongs elsewhere."""


@dataclass(frozen=True, slots=True)
class Letterhead:
    """The workshop as it stands on its paper; an empty field is left out of the page."""

    workshop: str = ""
    """Name of the workshop, one line."""
    address: tuple[str, ...] = ()
    """Lines of the address, telephone and mail among them."""
    logo: Path | None = None
    """File of the logo, `.svg` or `.png`."""
    emergency_number: str = ""
    """The local number for fire and rescue, printed beside what may hurt."""


@dataclass(frozen=True, slots=True)
class Logo:
    """A logo as bytes, and which of the two kinds it is."""

    data: bytes
    ending: str
    """`.svg` or `.png`."""

    @property
    def media_type(self) -> str:
        """Return the media type for a page that carries the logo inside."""
        return "image/svg+xml" if self.ending == ".svg" else "image/png"


def read_logo(letterhead: Letterhead) -> Logo | None:
    """Return the logo's bytes, or None if there is none; PaperError says what is wrong with the file."""
    path = letterhead.logo
    if path is None:
        return None
    ending = path.suffix.lower()
    if ending not in LOGO_ENDINGS:
        raise PaperError(_("The logo {path} must be a .svg or .png file.").format(path=path))
    try:
        size = path.stat().st_size
        data = path.read_bytes() if size <= LOGO_BYTES_AT_MOST else b""
    except OSError as error:
        raise PaperError(
            _("The logo {path} can't be read: {strerror}. Mend the setting or leave it out.").format(
                path=path, strerror=reason_of(error)
            )
        ) from None
    if size > LOGO_BYTES_AT_MOST:
        raise PaperError(
            _("The logo {path} has {size:.0f} kB; a logo has at most {LOGO_BYTES_AT_MOST:.0f} kB.").format(
                path=path, size=size / 1e3, LOGO_BYTES_AT_MOST=LOGO_BYTES_AT_MOST / 1e3
            )
        )
    if not _is_what_it_says(data, ending):
        raise PaperError(_("The logo {path} is not what its ending says ({ending}).").format(path=path, ending=ending))
    return Logo(data, ending)


def _is_what_it_says(data: bytes, ending: str) -> bool:
    if ending == ".png":
        return data.startswith(b"\x89PNG\r\n\x1a\n")
    return b"<svg" in data[:4096]
