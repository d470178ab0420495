"""The settings as lines that a person reads and types: one record per line of the settings screen."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Literal

from trees.book.words import PLACES
from trees.figures.typed_numbers import read_number
from trees.language import LANGUAGES, N_, Said, _
from tui.settings import THEMES, Instrument, Settings, SettingsError, settings_path

PLACE_WORDS = Said(
    {
        "bench": N_("bench: the unit is out of its installation"),
        "site": N_("site: where it is fitted"),
        "phone": N_("phone: a caller's hands"),
    }
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """One setting on the screen."""

    name: str
    """Field of `Settings`."""
    label: str
    help: str
    form: Literal["text", "choice", "ticks"] = "text"
    shown: Callable[[Settings], str]
    """The value in words; empty: the default, told by `unset`."""
    unset: str = N_("not set")
    read: Callable[[str], Any] = str.strip
    """Text as typed → value; SettingsError with a sentence."""
    choices: Mapping[str, str] | None = None


def split_lines(text: str) -> tuple[str, ...]:
    """Return the parts between semicolons."""
    return tuple(part.strip() for part in text.split(";") if part.strip())


def read_file(text: str) -> Path | None:
    """Return the logo's path once it is seen to be one."""
    from graphviz_export.letterhead import Letterhead, read_logo
    from trees.errors import PaperError

    if not text.strip():
        return None
    path = settings_path().resolve().parent / Path(text.strip()).expanduser()
    try:
        read_logo(Letterhead(logo=path))
    except PaperError as error:
        raise SettingsError(str(error)) from error
    return path


def read_units(text: str) -> Mapping[str, str]:
    """Return unit of the book → own unit, typed as `°C = °F; m = ft`."""
    pairs = {}
    for part in re.split(r"[;,]", text):
        if part.strip():
            one, equals, other = (piece.strip() for piece in part.partition("="))
            if not (one and equals and other):
                raise SettingsError(
                    _("`{part}` is no pair of units; type such as °C = °F; m = ft.").format(part=part.strip())
                )
            pairs[one] = other
    return pairs


_INSTRUMENT = re.compile(r"(?P<name>.+?)\s*(?:=|±|\+-|\s)\s*(?P<number>[0-9][0-9.,]*)\s*(?P<unit>[^\s0-9.,]\S*)")


def read_instruments(text: str) -> tuple[Instrument, ...]:
    """Return the instruments typed as `multimeter 0.05 V; feeler gauge 0.03 mm`."""
    from trees.errors import ReadingError

    made = []
    for part in split_lines(text):
        found = _INSTRUMENT.fullmatch(part)
        if not found:
            raise SettingsError(
                _("`{part}` is no instrument; type name, uncertainty and unit: multimeter 0.05 V.").format(part=part)
            )
        try:
            made.append(Instrument(found["name"], found["unit"], read_number(found["number"], counts=False)))
        except ReadingError as error:
            raise SettingsError(f"`{part}`: {error}") from error
    return tuple(made)


def instruments_text(settings: Settings) -> str:
    """Return the instruments as they are typed."""
    return "; ".join(f"{each.name} {each.uncertainty:g} {each.unit}" for each in settings.instruments)


def rows(tools: Mapping[str, str], today: str) -> tuple[Row, ...]:
    """Return the lines of the screen, for a book's tools and the local date."""

    def tools_text(settings: Settings) -> str:
        if settings.tools is None:
            return ""
        return ", ".join(tools.get(each, each) for each in settings.tools) or _("none")

    def chosen_text(settings: Settings) -> str:
        chosen = settings.instruments_on(today)
        return ", ".join(each.name for each in chosen) or _("none") if chosen is not None else ""

    return (
        Row(name="workshop", label=_("Workshop"), help=_("Name at the head of reports."), shown=lambda s: s.workshop),
        Row(
            name="address",
            label=_("Address"),
            help=_("Lines under the name, parted by semicolons: street; place; telephone."),
            shown=lambda s: "; ".join(s.address),
            read=split_lines,
        ),
        Row(
            name="logo",
            label=_("Logo"),
            help=_("A .svg or .png file at the head of reports."),
            shown=lambda s: str(s.logo or ""),
            read=read_file,
        ),
        Row(
            name="emergency_number",
            label=_("Emergency number"),
            help=_("The local number for fire and rescue: it stands on top of the emergency card and on reports."),
            shown=lambda s: s.emergency_number,
            unset=_("not set: the card names 112 and says to use the local one"),
        ),
        Row(
            name="seat",
            label=_("Seat"),
            help=_("Name of this seat in the casebook; open jobs at other seats are marked with theirs."),
            shown=lambda s: s.seat,
            unset=_("not set: your user name at the name of this computer"),
        ),
        Row(
            name="place",
            label=_("Place"),
            help=_("Whose hands a new job begins with."),
            form="choice",
            shown=lambda s: PLACE_WORDS[s.place],
            choices={place: PLACE_WORDS[place] for place in PLACES},
        ),
        Row(
            name="tools",
            label=_("Tools at hand"),
            help=_("Which of the book's tools this seat has."),
            form="ticks",
            shown=tools_text,
            unset=_("all that the book names"),
            choices=tools,
        ),
        Row(
            name="instruments",
            label=_("Instruments"),
            help=_(
                "Name, one standard uncertainty and its unit, parted by semicolons: "
                "multimeter 0.05 V; feeler gauge 0.03 mm."
            ),
            shown=instruments_text,
            unset=_("none: readings bear the uncertainty that the book gives"),
            read=read_instruments,
        ),
        Row(
            name="chosen",
            label=_("Used today"),
            help=_("Which of the instruments are used today; chosen anew each day."),
            form="ticks",
            shown=chosen_text,
            unset=_("not chosen yet today"),
        ),
        Row(
            name="units",
            label=_("Own units"),
            help=_("Units that are shown beside those of the book, parted by semicolons: °C = °F; m = ft; bar = psi."),
            shown=lambda s: "; ".join(f"{one} = {other}" for one, other in s.units.items()),
            unset=_("those of the book"),
            read=read_units,
        ),
        Row(
            name="theme",
            label=_("Colours"),
            help=_("Holds at once. The environment variable NO_COLOR takes all colours away."),
            form="choice",
            shown=lambda s: THEMES[s.theme],
            choices=THEMES,
        ),
        Row(
            name="language",
            label=_("Language"),
            help=_("Holds at once, for the interface and for the texts that the book has in it."),
            form="choice",
            shown=lambda s: LANGUAGES.get(s.language, ""),
            unset=_("as the system is set"),
            choices=LANGUAGES,
        ),
        Row(
            name="store",
            label=_("Casebook"),
            help=_("A file or a postgresql:// address, from the next start on; --store on the command line wins."),
            shown=lambda s: without_password(s.store),
            unset=_("in your data folder"),
        ),
    )


def without_password(store: str) -> str:
    """Return a store's address as it may stand on a screen."""
    from trees.casebook.places import shown_address

    if "://" not in store and store.lower().startswith("postgres"):
        return _("no address of a server: write postgresql://user@host:port/database")
    return shown_address(store) if "://" in store else store
