"""Which words plain mode understands: the English ones always, for scripts, and those of the spoken language."""

from __future__ import annotations

from collections.abc import Mapping

from trees.language import pgettext


def spoken_words() -> Mapping[str, str]:
    """Return each word of plain mode as it is typed in the language that is spoken."""
    return {
        "again": pgettext("typed", "again"),
        "all": pgettext("typed", "all"),
        "answer": pgettext("typed", "answer"),
        "back": pgettext("typed", "back"),
        "boat": pgettext("typed", "boat"),
        "callback": pgettext("typed", "callback"),
        "cannot": pgettext("typed", "cannot"),
        "change": pgettext("typed", "change"),
        "check": pgettext("typed", "check"),
        "close": pgettext("typed", "close"),
        "conclusion": pgettext("typed", "conclusion"),
        "contact": pgettext("typed", "contact"),
        "customer": pgettext("typed", "customer"),
        "drop": pgettext("typed", "drop"),
        "emergency": pgettext("typed", "emergency"),
        "enter": pgettext("typed", "enter"),
        "family": pgettext("typed", "family"),
        "figure": pgettext("typed", "figure"),
        "find": pgettext("typed", "find"),
        "follow-up": pgettext("typed", "follow-up"),
        "help": pgettext("typed", "help"),
        "hold": pgettext("typed", "hold"),
        "instruments": pgettext("typed", "instruments"),
        "intake": pgettext("typed", "intake"),
        "invented": pgettext("typed", "invented"),
        "job": pgettext("typed", "job"),
        "jobs": pgettext("typed", "jobs"),
        "later": pgettext("typed", "later"),
        "lessons": pgettext("typed", "lessons"),
        "list": pgettext("typed", "list"),
        "more": pgettext("typed", "more"),
        "name": pgettext("typed", "name"),
        "new": pgettext("typed", "new"),
        "next": pgettext("typed", "next"),
        "none": pgettext("typed", "none"),
        "note": pgettext("typed", "note"),
        "photo": pgettext("typed", "photo"),
        "place": pgettext("typed", "place"),
        "preview": pgettext("typed", "preview"),
        "quit": pgettext("typed", "quit"),
        "reached": pgettext("typed", "reached"),
        "read": pgettext("typed", "read"),
        "remark": pgettext("typed", "remark"),
        "reopen": pgettext("typed", "reopen"),
        "report": pgettext("typed", "report"),
        "serial": pgettext("typed", "serial"),
        "skip": pgettext("typed", "skip"),
        "suspects": pgettext("typed", "suspects"),
        "take": pgettext("typed", "take"),
        "timer": pgettext("typed", "timer"),
        "trail": pgettext("typed", "trail"),
        "tree": pgettext("typed", "tree"),
        "why": pgettext("typed", "why"),
        "work": pgettext("typed", "work"),
        "yes": pgettext("typed", "yes"),
    }


def is_word(typed: str, *words: str) -> bool:
    """Tell whether one of these words was typed, in English or in the language that is spoken."""
    spoken = spoken_words()
    return typed.strip().lower() in {*words, *(spoken[word] for word in words if word in spoken)}


def numbers_of(typed: str, most: int) -> tuple[int, ...]:
    """Return the numbers of a list that were typed, parted by spaces or commas; empty if one of them is none."""
    parts = typed.replace(",", " ").split()
    if not all(part.isdecimal() and 1 <= int(part) <= most for part in parts):
        return ()
    return tuple(map(int, parts))
