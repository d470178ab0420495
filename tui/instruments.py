"""Which instrument is a reading taken with, and how uncertain is it then? Chosen once a day; kept with the reading."""

from __future__ import annotations

from dataclasses import replace

from trees.errors import ReadingError
from trees.figures.units import parse_reading, same_dimension
from trees.walk import Entry, Walk
from tui.settings import Instrument, Settings


def instrument_for(settings: Settings, day: str, unit: str) -> Instrument | None:
    """Return the first instrument chosen for a day (ISO date) that measures in a unit like this one."""
    for each in settings.instruments_on(day) or ():
        try:
            if same_dimension(each.unit, unit):
                return each
        except ReadingError:
            continue
    return None


def uncertainty_in(instrument: Instrument, unit: str) -> float:
    """Return the instrument's standard uncertainty in another unit: a difference, so offsets of a scale fall out."""
    low, high = (
        parse_reading(f"{value!r} {instrument.unit}", unit).value for value in (100.0, 100.0 + instrument.uncertainty)
    )
    return high - low


def taken_with(walk: Walk, instrument: Instrument) -> Walk:
    """Return a walk whose last answer, a reading, also holds the instrument and its uncertainty in that unit."""
    stopped = walk.entries[-1].kind == "stopped"  # written down behind the answer that stopped the job
    at = len(walk.entries) - (2 if stopped else 1)
    entry = walk.entries[at]
    if entry.kind != "answer" or not ("reading" in entry.data or "readings" in entry.data):
        return walk
    data = dict(entry.data)
    if "reading" in data:
        data["reading"] = _with(data["reading"], instrument)
    else:
        data["readings"] = {name: _with(each, instrument) for name, each in data["readings"].items()}
    told: Entry = replace(entry, data=data)
    return replace(walk, entries=(*walk.entries[:at], told, *walk.entries[at + 1 :]))


def _with(reading: dict[str, object], instrument: Instrument) -> dict[str, object]:
    unit = str(reading["unit"])
    if not same_dimension(instrument.unit, unit):
        return reading
    return {**reading, "instrument": instrument.name, "uncertainty": uncertainty_in(instrument, unit)}
