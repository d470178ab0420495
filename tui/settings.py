"""What a workshop sets once: the record, where its file lies, and how the file is read."""

from __future__ import annotations

import math
import os
import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from difflib import get_close_matches
from pathlib import Path
from typing import TYPE_CHECKING, Any

from trees.errors import SootlineError
from trees.language import LANGUAGES, N_, Said, _, reason_of

if TYPE_CHECKING:
    from graphviz_export.letterhead import Letterhead
    from trees.book.words import Place

THEMES: Mapping[str, str] = Said(
    {
        "dark": N_("Light letters on a dark ground"),
        "light": N_("Dark letters on a light ground"),
        "contrast": N_("High contrast: every text at least 7 to 1"),
    }
)
VARIABLE = "SOOTLINE_SETTINGS"
"""Environment variable that names another settings file."""


class SettingsError(SootlineError):
    """Settings that can't be kept; its text says why and what to do."""


@dataclass(frozen=True, slots=True)
class Instrument:
    """A measuring instrument of the workshop."""

    name: str
    unit: str
    uncertainty: float
    """One standard uncertainty, in `unit`."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Settings:
    """What a workshop sets once; each default is what a fresh machine does."""

    workshop: str = ""
    """Name on the paper."""
    address: tuple[str, ...] = ()
    """Lines under the name."""
    logo: Path | None = None
    seat: str = ""
    """Name of this seat; empty: user@host."""
    place: Place = "bench"
    """Whose hands a new job begins with."""
    tools: tuple[str, ...] | None = None
    """Ids of the book's tools that are at hand; None: all of them."""
    instruments: tuple[Instrument, ...] = ()
    chosen_on: str = ""
    """Local date (ISO) on which `chosen` was chosen."""
    chosen: tuple[str, ...] = ()
    """Names of the instruments that are used that day."""
    units: Mapping[str, str] = field(default_factory=dict)
    """Unit of the book → the unit that is shown beside it."""
    theme: str = "dark"
    store: str = ""
    """Casebook: a path or a postgresql:// address; empty: in the data folder."""
    emergency_number: str = ""
    language: str = ""
    """Language of the interface; empty: as the system is set."""

    def letterhead(self) -> Letterhead:
        """Return what stands at the head of the workshop's paper."""
        from graphviz_export.letterhead import Letterhead

        # A relative path counts from the settings file, so that both can be moved together.
        logo = settings_path().resolve().parent / self.logo if self.logo is not None else None
        return Letterhead(self.workshop, self.address, logo, self.emergency_number)

    def instruments_on(self, day: str) -> tuple[Instrument, ...] | None:
        """Return the instruments chosen for a day (ISO date); None if they were not chosen yet."""
        if self.chosen_on != day:
            return None
        return tuple(each for each in self.instruments if each.name in self.chosen)

    def emergency_line(self) -> str:
        """Return the sentence on the emergency card that says whom to call."""
        if self.emergency_number:
            return _("Emergency number: {emergency_number}").format(emergency_number=self.emergency_number)
        return _("Emergency number: 112 in Europe; elsewhere the local one.")


@dataclass(frozen=True, slots=True)
class Trouble:
    """One thing in the settings file that could not be used; the default stands in its place."""

    file: str
    line: int
    column: int
    sentence: str

    def __str__(self) -> str:
        return f"{self.file}:{self.line}:{self.column}: {self.sentence}"


def settings_path() -> Path:
    """Return the settings file: the one in the environment, or the one in the platform's settings folder."""
    named = os.environ.get(VARIABLE, "")
    if named:
        return Path(named).expanduser()
    from platformdirs import user_config_path

    return user_config_path("sootline", appauthor=False) / "settings.toml"


def read_settings(path: Path | None = None) -> tuple[Settings, tuple[Trouble, ...]]:
    """Return the settings of a file, and what of it could not be used; a file that is not there sets nothing."""
    path = path or settings_path()
    try:
        text = path.read_bytes().decode("utf-8")
    except FileNotFoundError:
        return Settings(), ()
    except UnicodeDecodeError as error:
        before = path.read_bytes()[: error.start]
        line, column = before.count(b"\n") + 1, len(before.rpartition(b"\n")[2]) + 1
        return Settings(), (Trouble(str(path), line, column, _("this is no UTF-8 text; save the file as UTF-8.")),)
    except OSError as error:
        return Settings(), (
            Trouble(str(path), 1, 1, _("the settings can't be read: {strerror}.").format(strerror=reason_of(error))),
        )
    return settings_of(text, str(path))


def settings_of(text: str, file: str = "settings.toml") -> tuple[Settings, tuple[Trouble, ...]]:
    """Return the settings that a text sets; one mistake costs one setting, broken TOML costs all."""
    import tomllib

    try:
        data = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        return Settings(), (_broken(text, file, str(error)),)
    values: dict[str, Any] = {}
    troubles: list[Trouble] = []
    for keys, raw in _leaves(data):
        known = FIELDS.get(keys)
        if known is None:
            near = get_close_matches(".".join(keys), [".".join(k) for k in FIELDS], n=1)
            told = _("`{listed}` is no setting and changes nothing").format(listed=".".join(keys)) + (
                _("; did you mean {near}?").format(near=near[0]) if near else "."
            )
            troubles.append(Trouble(file, *spot(text, keys), told))
            continue
        name, read = known
        try:
            values[name] = read(raw)
        except ValueError as error:
            told = _("`{listed}` {error}; the default is used.").format(listed=".".join(keys), error=error)
            troubles.append(Trouble(file, *spot(text, keys), told))
    return Settings(**values), tuple(sorted(troubles, key=lambda each: (each.line, each.column)))


def _leaves(data: Mapping[str, Any]) -> list[tuple[tuple[str, ...], Any]]:
    """Return each setting by its path; a table that is a setting as a whole stays whole."""
    rows: list[tuple[tuple[str, ...], Any]] = []
    for key, value in data.items():
        if isinstance(value, dict) and (key,) not in FIELDS and any(path[0] == key for path in FIELDS):
            rows += [((key, inner), each) for inner, each in value.items()]
        else:
            rows.append(((key,), value))
    return rows


def _broken(text: str, file: str, told: str) -> Trouble:
    place = re.search(r"\(at line (\d+), column (\d+)\)$", told)
    lines = text.split("\n")
    line, column = (int(place[1]), int(place[2])) if place else (len(lines), len(lines[-1]) + 1)
    reason = told.partition(" (at ")[0].rstrip(".").lower()
    return Trouble(
        file, line, column, _("this is no TOML ({reason}), so no setting of the file is used.").format(reason=reason)
    )


_HEADER = re.compile(r"\s*\[\[?\s*([^\]]+?)\s*\]\]?\s*(#.*)?$")
_PART = r"""(?:"[^"]*"|'[^']*'|[\w-]+)"""
_KEY = re.compile(rf"\s*({_PART}(?:\s*\.\s*{_PART})*)\s*=")


def spot(text: str, keys: tuple[str, ...]) -> tuple[int, int]:
    """Return line and column at which a setting stands; the first of the file where it stands in another form."""
    table: tuple[str, ...] = ()
    for no, line in enumerate(text.split("\n"), start=1):
        header = _HEADER.match(line)
        if header:
            table = _parts(header[1])
            if table[: len(keys)] == keys:
                return no, line.index("[") + 1
            continue
        key = _KEY.match(line)
        if key and (*table, *_parts(key[1]))[: len(keys)] == keys:
            return no, len(line) - len(line.lstrip()) + 1
    return 1, 1


def _parts(dotted: str) -> tuple[str, ...]:
    return tuple(part.strip().strip("\"'") for part in dotted.split("."))


# ── what each setting takes: a value, or ValueError with the end of a sentence ──


def _text(value: Any) -> str:
    if not isinstance(value, str):
        raise ValueError(_("wants a text between quotes"))
    return " ".join(value.split())


def _texts(value: Any) -> tuple[str, ...]:
    if not isinstance(value, list) or not all(isinstance(each, str) for each in value):
        raise ValueError(_('wants a list of texts, such as ["one", "two"]'))
    return tuple(each.strip() for each in value if each.strip())


def _path(value: Any) -> Path | None:
    text = _text(value)
    return Path(text).expanduser() if text else None


def _one_of(names: Mapping[str, Any] | tuple[str, ...], *, empty: bool = False) -> Callable[[Any], str]:
    def read(value: Any) -> str:
        text = _text(value)
        if text not in names and (text or not empty):
            raise ValueError(_("is {text!r}; it can be {listed}").format(text=text, listed=", ".join(names)))
        return text

    return read


def _place(value: Any) -> str:
    from trees.book.words import PLACES

    return _one_of(PLACES)(value)


def _units(value: Any) -> Mapping[str, str]:
    from trees.figures.units import canonical_unit, same_dimension

    if not isinstance(value, dict) or not all(isinstance(each, str) for each in value.values()):
        raise ValueError(_('wants pairs of units, such as "°C" = "°F"'))
    for one, other in value.items():
        try:
            fits = same_dimension(one, other)
        except SootlineError as error:
            raise ValueError(
                _("holds a unit that nobody knows ({error})").format(error=str(error).rstrip("."))
            ) from error
        if not fits:
            raise ValueError(
                _("can't show {one} as {other}: they measure different things").format(one=one, other=other)
            )
    return {canonical_unit(one): canonical_unit(other) for one, other in value.items()}


def _instruments(value: Any) -> tuple[Instrument, ...]:
    if not isinstance(value, list) or not all(isinstance(each, dict) for each in value):
        raise ValueError(_("wants tables [[instruments]] with name, unit and uncertainty"))
    made = tuple(_instrument(each) for each in value)
    if len({each.name for each in made}) < len(made):
        raise ValueError(_("holds two instruments of one name"))
    return made


def _instrument(value: Mapping[str, Any]) -> Instrument:
    name, unit, uncertainty = _text(value.get("name")), _text(value.get("unit")), value.get("uncertainty")
    wanted = _("{name!r}: wants a name, a unit and an uncertainty above 0").format(name=name or "one")
    if not isinstance(uncertainty, int | float) or isinstance(uncertainty, bool):
        raise ValueError(wanted)
    if not name or not math.isfinite(uncertainty) or uncertainty <= 0:
        raise ValueError(wanted)
    return Instrument(name, unit, float(uncertainty))


FIELDS: Mapping[tuple[str, ...], tuple[str, Callable[[Any], Any]]] = {
    ("workshop", "name"): ("workshop", _text),
    ("workshop", "address"): ("address", _texts),
    ("workshop", "logo"): ("logo", _path),
    ("seat",): ("seat", _text),
    ("place",): ("place", _place),
    ("emergency_number",): ("emergency_number", _text),
    ("theme",): ("theme", _one_of(THEMES)),
    ("language",): ("language", _one_of(LANGUAGES, empty=True)),
    ("store",): ("store", _text),
    ("tools",): ("tools", _texts),
    ("units",): ("units", _units),
    ("instruments",): ("instruments", _instruments),
    ("today", "date"): ("chosen_on", _text),
    ("today", "instruments"): ("chosen", _texts),
}
"""Path in the file → field of the record, and what reads it."""
