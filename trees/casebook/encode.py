"""An entry as columns and back: JSON for the technical record, free text apart, and what it changes on the day list."""

from __future__ import annotations

import json
import re
from collections.abc import Mapping
from typing import TYPE_CHECKING, Any, cast

from trees.errors import CasebookError
from trees.language import _

if TYPE_CHECKING:
    from trees.walk.entries import Entry, EntryKind

FREE_TEXT = ("words", "text", "reason", "path")
"""Keys under which an entry of any kind holds what a person typed freely, which may name people."""

_UNSTORABLE = re.compile("[\0\ud800-\udfff]")


def storable(text: str) -> str:
    """Replace what a database can't hold as text (NUL, halves of characters) by the replacement character."""
    return _UNSTORABLE.sub("\ufffd", text)


def split(entry: Entry) -> tuple[str, dict[str, str]]:
    """Return the entry's data as JSON without its free text, and the free text by key.

    Raises CasebookError for data that are no plain JSON.
    """
    free: dict[str, str] = {}
    for key in FREE_TEXT:
        value = entry.data.get(key)
        if value is not None and not isinstance(value, str):
            raise CasebookError(
                _("The entry `{kind}` can't be kept: its `{key}` is no text.").format(kind=entry.kind, key=key)
            )
        if value:
            free[key] = storable(value)
    rest = {key: "" if key in free else value for key, value in entry.data.items()}
    try:
        text = json.dumps(rest, ensure_ascii=False, allow_nan=False, separators=(",", ":"))
    except (TypeError, ValueError) as error:
        raise CasebookError(
            _("The entry `{kind}` can't be kept: its data are no plain JSON ({error}).").format(
                kind=entry.kind, error=error
            )
        ) from error
    return storable(text), free


def join(kind: str, visit: str, data: str, free: Mapping[str, str]) -> Entry:
    """Return an entry from its columns and its free text; ValueError for data that are no JSON object."""
    from trees.walk.entries import Entry  # with the first entry: the day list is shown before a walk is needed

    rest = json.loads(data)
    if not isinstance(rest, dict):
        raise ValueError(_("no JSON object"))
    return Entry(cast("EntryKind", kind), {**rest, **free}, visit)


def summary_changes(entry: Entry, at: str) -> dict[str, str | None]:
    """Return the columns of the job's summary that this entry changes."""
    return {k: None if v is None else storable(str(v)) for k, v in _changes(entry, at).items()}


def _changes(entry: Entry, at: str) -> dict[str, Any]:
    data = entry.data
    match entry.kind:
        case "began":
            unit = data.get("unit")
            return {
                "tree": data.get("tree"),
                "place": data.get("place") or "bench",
                "family": data.get("family"),
                "unit": None if unit is None else json.dumps(unit, ensure_ascii=False),
            }
        case "unit":
            return {"serial": data.get("serial") or None}
        case "waiting":
            return {"waiting": data.get("for") or None, "due": data.get("due") or None}
        case "call_back":
            return {"waiting": None, "due": None} if data.get("reached") else {"due": data.get("due") or None}
        case "taken_up":
            return {"seat": data["seat"]} if data.get("seat") else {}
        case "place":
            return {"place": data["place"]}
        case "family":
            return {"family": data.get("family")}
        case "closed":
            return {"closed_as": data.get("end") or "closed", "closed_at": at, "waiting": None, "due": None}
        case "reopened":
            return {"closed_as": None, "closed_at": None}
        case _:
            return {}
