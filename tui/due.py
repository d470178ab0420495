"""When is a call-back due, of what was typed? A day, a time, or how long from now, as people write them. Pure."""

from __future__ import annotations

import re
from datetime import UTC, date, datetime, time, timedelta

DAYS_ON = {"today": 0, "heute": 0, "tomorrow": 1, "morgen": 1}
"""Words for a day, whatever language the program speaks."""
LEADS = frozenset({"at", "on", "um", "am", "in"})
"""Words that may stand before a day or a time."""
_LONG = re.compile(r"(\d{1,3})\s*(min|minutes?|minuten?|h|hours?|std|stunden?)(?!\w)\.?\s*", re.IGNORECASE)
_DAY = re.compile(r"(\d{1,2})\.(\d{1,2})\.(\d{4})?")
_TIME = re.compile(r"(\d{1,2})[:.](\d{2})")


def due_of(typed: str, now: datetime) -> tuple[str, str]:
    """
    Return (due, text) of what was typed: it may begin with a day, a time, or how long from now.

    A day stays a day (ISO); a time is one of this place and is returned as a moment in UTC. A time that has passed
    today is tomorrow's, for nobody is called back in the past.
    """
    rest = _led(typed)
    if long := _LONG.match(rest):
        unit = "minutes" if long[2].lower().startswith("m") else "hours"
        return _moment(now + timedelta(**{unit: int(long[1])})), rest[long.end() :].strip()
    words, day, at = rest.split(), None, None
    if words and (day := _day(words[0], now)) is not None:
        words = _led(" ".join(words[1:])).split()
    if words and (at := _time(words[0])) is not None:
        words = words[2:] if words[1:2] in (["Uhr"], ["uhr"]) else words[1:]
    if day is None and at is None:
        return "", " ".join(typed.split())
    text = " ".join(words)
    if at is None:
        return (day or now.date()).isoformat(), text
    moment = datetime.combine(day or now.date(), at).astimezone()
    if day is None and moment <= now:
        moment = datetime.combine(now.date() + timedelta(days=1), at).astimezone()
    return _moment(moment), text


def shown_due(due: str) -> str:
    """Return a stored day or moment as people here say it."""
    if "T" not in due:
        return due
    return f"{datetime.fromisoformat(due).astimezone():%Y-%m-%d %H:%M}"


def _moment(at: datetime) -> str:
    return at.astimezone(UTC).isoformat(timespec="minutes")


def _led(text: str) -> str:
    """Return the text behind a leading `at`, `on` or `in`."""
    first, _space, rest = text.strip().partition(" ")
    return rest.strip() if first.lower() in LEADS else text.strip()


def _day(word: str, now: datetime) -> date | None:
    if (days := DAYS_ON.get(word.lower().rstrip(","))) is not None:
        return now.date() + timedelta(days=days)
    try:
        if read := _DAY.fullmatch(word):
            day = date(int(read[3] or now.year), int(read[2]), int(read[1]))
            return day if read[3] or day >= now.date() else day.replace(year=now.year + 1)
        return date.fromisoformat(word) if "-" in word else None
    except ValueError:
        return None


def _time(word: str) -> time | None:
    read = _TIME.fullmatch(word)
    try:
        return time(int(read[1]), int(read[2])) if read else None
    except ValueError:
        return None
