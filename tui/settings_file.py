"""Writing the settings: only what was changed, whole or not at all; comments and strange keys stay as they are."""

from __future__ import annotations

import os
import tempfile
from contextlib import suppress
from pathlib import Path
from typing import TYPE_CHECKING, Any

from trees.language import N_, _, reason_of
from tui.settings import FIELDS, Settings, SettingsError, settings_of, settings_path

if TYPE_CHECKING:
    from tomlkit import TOMLDocument

HEAD = N_("Settings of Sootline. Written by its settings screen; comments and keys of your own are kept.")
_PLACES = {name: keys for keys, (name, _other) in FIELDS.items()}


def save_settings(path: Path | None = None, **changes: Any) -> Settings:
    """
    Set the named fields of `Settings` in the file and return all settings as the file then has them.

    Raises SettingsError where the file is broken (it is left alone), can't be written, or a value is none.
    """
    import tomlkit
    from tomlkit.exceptions import TOMLKitError

    path = (path or settings_path()).resolve()
    try:
        text = path.read_text(encoding="utf-8")
        document = tomlkit.parse(text)
    except FileNotFoundError:
        document = tomlkit.document()
        document.add(tomlkit.comment(_(HEAD)))
    except (TOMLKitError, UnicodeDecodeError) as error:
        raise SettingsError(
            _("{path} is no TOML ({error}). Nothing was written: mend the file first.").format(path=path, error=error)
        ) from error
    except OSError as error:
        raise SettingsError(
            _("{path} can't be read: {strerror}. Nothing was written.").format(path=path, strerror=reason_of(error))
        ) from error
    for name, value in changes.items():
        _put(document, _PLACES[name], value)
    new = tomlkit.dumps(document)
    settings, troubles = settings_of(new, str(path))
    keys = {".".join(_PLACES[name]) for name in changes}
    for trouble in troubles:
        if any(f"`{key}`" in trouble.sentence for key in keys):
            raise SettingsError(trouble.sentence.replace("; the default is used", ""))
    _replace(path, new)
    return settings


def _put(document: TOMLDocument, keys: tuple[str, ...], value: Any) -> None:
    """Set one value; None takes it out."""
    import tomlkit

    table: Any = document
    for key in keys[:-1]:
        if key not in table:
            table[key] = tomlkit.table()
        table = table[key]
        if not isinstance(table, dict):
            raise SettingsError(
                _("`{key}` in the settings file is no table; write [{key}]. Nothing was written.").format(key=key)
            )
    last = keys[-1]
    if value is None:
        if last in table:
            del table[last]
    elif last == "units":
        table[last] = _pairs(value)
    elif last == "instruments" and len(keys) == 1:
        table[last] = _tables(value)
    else:
        table[last] = list(value) if isinstance(value, tuple) else str(value) if isinstance(value, Path) else value


def _pairs(units: Any) -> Any:
    import tomlkit

    table = tomlkit.table()
    for one, other in units.items():
        table[one] = other
    return table


def _tables(instruments: Any) -> Any:
    import tomlkit

    rows = tomlkit.aot()
    for each in instruments:
        row = tomlkit.table()
        row.update({"name": each.name, "unit": each.unit, "uncertainty": each.uncertainty})
        rows.append(row)
    return rows


def _replace(path: Path, text: str) -> None:
    """Put the file in its place at once: a reader, or a power cut, sees the old one or the new one."""
    try:
        path.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
        handle, name = tempfile.mkstemp(prefix=f".{path.name}.", dir=path.parent)  # mode 0600: it may name a server
        try:
            with os.fdopen(handle, "w", encoding="utf-8", newline="") as file:
                file.write(text)
                file.flush()
                os.fsync(file.fileno())
            os.replace(name, path)  # noqa: PTH105 - the name is a text from mkstemp
        except BaseException:
            with suppress(OSError):
                os.unlink(name)  # noqa: PTH108 - as above
            raise
    except OSError as error:
        raise SettingsError(
            _(
                "The settings can't be written to {filename}: {strerror}. Nothing was changed; make the "
                "folder writable."
            ).format(filename=error.filename or path, strerror=reason_of(error))
        ) from error
