"""The entries of a job: what was said and done, in order, never changed afterwards.

A job's state is always replayed from them (see `replay.py`), so an entry holds what happened and not what
followed from it. Free text stands only under `words`, `text`, `reason` and `path`: the casebook keeps those apart, so
that they can be erased.
The casebook adds when, at which seat and by which edition of the book each one was made.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any, Literal, get_args

EntryKind = Literal[
    "began",  # {words, tree, place, family, unit}: a unit and its complaint came in
    "unit",  # {serial, text}: what its plate says
    "fact",  # {check, and as in an answer}: a question of the intake; only from elsewhere, ours are answers aside
    "tools",  # {missing}: tools of the book that are not at hand; all others are
    "taken_up",  # {seat, date}: somebody opened the job; another day or seat asks the gate again
    "place",  # {place}
    "family",  # {family}
    "rated",  # {name, value, unit}: a figure read off the plate or the maker's manual
    "answer",  # {check | gate | fix, and one of: answer, reading, readings, ticked, figure, unknown}
    "taken_back",  # {entry}: number of the answer that no longer counts
    "skipped",  # {check}: passed over without looking; says nothing
    "stopped",  # {caution}: an answer stopped the job for safety; nothing that follows undoes it
    "acknowledged",  # {caution}: a DANGER caution was read
    "left_tree",  # {check}: gone aside to make a proposed check
    "returned",  # {}: back from there
    "emergency_card",  # {}: the card was opened
    "note",  # {text}
    "remark",  # {text, tree, step, no}: for the author, about one step
    "photo",  # {path, sha256, text}: the file stays where it is
    "figure",  # {what, value, unit, inputs}: worked out beside the steps
    "waiting",  # {for, due, text}: for parts, the questionnaire, a call-back; an empty `for` ends it
    "call_back",  # {reached, due, text}: the customer was called; reached ends the waiting
    "work",  # {text, fix, minutes, parts}: work done outside a tree's own steps
    "conclusion",  # {roots, contributing, consequences}: cause ids as the technician leaves them
    "handover",  # {what, value, unit}: a reading of the handover beside the steps; only from elsewhere too
    "release",  # {role, text}: by whose role the unit is released
    "shares",  # {fingerprint, date}: counted shares that weighed the suspects when the job was closed
    "closed",  # {end, text}
    "reopened",  # {reason}
    "follow_up_of",  # {job, reason}: this job goes on after another was stopped
]
KINDS: tuple[str, ...] = get_args(EntryKind)


@dataclass(frozen=True, slots=True)
class Entry:
    """One thing said or done. `visit` names the place in the tree it belongs to; `data` is plain JSON."""

    kind: EntryKind
    data: Mapping[str, Any] = field(default_factory=dict)
    visit: str = ""


def number_of(value: Any) -> float:
    """Return a number of an entry; ValueError or TypeError for what is none or is not finite."""
    number = float(value)
    if not math.isfinite(number):
        raise ValueError(f"{value} is no number")
    return number
