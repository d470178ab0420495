"""When a call-back is due, of what was typed: in the ways people write a day, a time, or how long from now."""

from __future__ import annotations

from datetime import UTC, datetime

import pytest

from tui.due import due_of, shown_due

NOW = datetime(2026, 3, 1, 12, 0).astimezone()


def here(due: str) -> str:
    """Return a due moment in the time of this place."""
    return datetime.fromisoformat(due).astimezone().strftime("%Y-%m-%d %H:%M")


@pytest.mark.parametrize(
    ("typed", "due", "text"),
    [
        ("2026-03-02 ask about the alarm", "2026-03-02", "ask about the alarm"),
        ("tomorrow after lunch", "2026-03-02", "after lunch"),
        ("morgen früh", "2026-03-02", "früh"),
        ("on 2.4. please", "2026-04-02", "please"),
        ("am 2.4.2027", "2027-04-02", ""),
        ("1.2. then", "2027-02-01", "then"),
    ],
)
def test_day_before_a_note(typed: str, due: str, text: str) -> None:
    """What begins with a day is due on that day; one without a year is the next that comes."""
    assert due_of(typed, NOW) == (due, text)


@pytest.mark.parametrize(
    ("typed", "at", "text"),
    [
        ("16:30 again", "2026-03-01 16:30", "again"),
        ("at 16:30", "2026-03-01 16:30", ""),
        ("um 16.30 Uhr wegen Rauch", "2026-03-01 16:30", "wegen Rauch"),
        ("9:30 again", "2026-03-02 09:30", "again"),
        ("tomorrow at 9:30", "2026-03-02 09:30", ""),
        ("2026-03-05 9:30 spare", "2026-03-05 09:30", "spare"),
        ("20 min are they well", "2026-03-01 12:20", "are they well"),
        ("in 10 minutes", "2026-03-01 12:10", ""),
        ("2 h", "2026-03-01 14:00", ""),
        ("in 2 Stunden nochmal", "2026-03-01 14:00", "nochmal"),
    ],
)
def test_time_is_a_moment_to_come(typed: str, at: str, text: str) -> None:
    """A time is one of this place and never in the past; how long counts from now; both are kept in UTC."""
    due, rest = due_of(typed, NOW)
    assert (here(due), rest) == (at, text)
    assert datetime.fromisoformat(due).utcoffset() == UTC.utcoffset(None)
    assert shown_due(due) == at


@pytest.mark.parametrize(
    "typed", ["after lunch", "20260302 spare", "25:99 odd", "31.2. odd", "at home", "3 heaters", "2 hoses", ""]
)
def test_anything_else_is_a_note_word_for_word(typed: str) -> None:
    """What is no day and no time is a note, and nothing of it is lost."""
    assert due_of(typed, NOW) == ("", typed)
    assert shown_due("") == ""
