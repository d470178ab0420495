"""What a job holds beside its answers: the unit's plate, tools, photos, remarks, waiting, handover, release.

Each function returns a new walk with one entry more, as the methods of `Walk` do, and raises WalkError with a sentence
where the job does not take it. `Beside` is what such entries amount to.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import date, datetime
from typing import TYPE_CHECKING, Any

from trees.book.words import WAITS_FOR
from trees.errors import SootlineError, WalkError
from trees.language import N_, _
from trees.walk.entries import Entry, EntryKind, number_of

if TYPE_CHECKING:
    from trees.book.model import Book
    from trees.walk.walk import Walk

_TIMERS = (N_("smoke"), N_("after run"), N_("stable"), N_("cool down"))
"""Names of timers as the trail says them; an entry holds them with `_`."""
_SHA256 = re.compile(r"[0-9a-f]{64}")


@dataclass(frozen=True, slots=True)
class Waiting:
    """For what a job waits."""

    for_what: str
    """A key of WAITS_FOR."""
    due: str
    """ISO date or moment until which; empty if nobody said."""
    text: str


@dataclass(frozen=True, slots=True)
class Remark:
    """What somebody in the workshop has to say to the author about one step."""

    no: int
    tree: str
    step: str
    """Id of the step in its tree; both are empty for a remark about the book as a whole."""
    step_no: int | None
    text: str


@dataclass(frozen=True, slots=True)
class Photo:
    """A picture that lies somewhere in a file."""

    no: int
    path: str
    """Where it lay; empty once personal data were erased."""
    sha256: str
    text: str


@dataclass(frozen=True, slots=True)
class Noted:
    """A number worked out or measured beside the steps of the trees."""

    no: int
    what: str
    value: float
    unit: str
    inputs: Mapping[str, str]
    """Of a figure: what it was worked out from, as typed."""


@dataclass(frozen=True, slots=True)
class Beside:
    """What the entries beside the answers amount to."""

    serial: str = ""
    unit_text: str = ""
    tools_missing: frozenset[str] = frozenset()
    waiting: Waiting | None = None
    called_back: bool = False
    remarks: tuple[Remark, ...] = ()
    photos: tuple[Photo, ...] = ()
    figures: tuple[Noted, ...] = ()
    handover: tuple[Noted, ...] = ()
    """Readings of a handover beside the steps: only a file from elsewhere brings them, ours are answers of a tree."""
    released_by: str = ""
    """The role that released the unit; empty until then, and again once the job was reopened or stopped."""
    emergency_card: int = 0
    """How often the card was opened."""
    shares: str = ""
    """Fingerprint of the counted shares in force when the job was last closed; empty: the book's own."""
    follows: str = ""
    """Number of the stopped job that this one goes on after."""


def beside(entries: Iterable[Entry]) -> Beside:
    """Return what the entries beside the answers amount to."""
    now = Beside()
    for no, entry in enumerate(entries, start=1):
        now = _after(now, no, entry.kind, entry.data)
    return now


def _after(now: Beside, no: int, kind: EntryKind, data: Mapping[str, Any]) -> Beside:
    text = str(data.get("text", ""))
    match kind:
        case "unit":
            return replace(now, serial=str(data.get("serial", "")), unit_text=text)
        case "tools":
            return replace(now, tools_missing=frozenset(map(str, data.get("missing", ()))))
        case "waiting":
            waits = Waiting(str(data["for"]), str(data.get("due") or ""), text) if data.get("for") else None
            return replace(now, waiting=waits, called_back=False)
        case "call_back":
            reached = bool(data.get("reached"))
            due = str(data.get("due") or "")
            later = replace(now.waiting, due=due) if now.waiting else None
            return replace(now, called_back=reached, waiting=None if reached else later)
        case "remark":
            step_no = data.get("no")
            tree, step = str(data.get("tree") or ""), str(data.get("step") or "")
            return replace(now, remarks=(*now.remarks, Remark(no, tree, step, step_no, text)))
        case "photo":
            photo = Photo(no, str(data.get("path", "")), str(data.get("sha256", "")), text)
            return replace(now, photos=(*now.photos, photo))
        case "figure":
            return replace(now, figures=(*now.figures, _noted(no, data)))
        case "handover":
            return replace(now, handover=(*now.handover, _noted(no, data)))
        case "release":
            return replace(now, released_by=str(data.get("role", "")))
        case "emergency_card":
            return replace(now, emergency_card=now.emergency_card + 1)
        case "shares":
            return replace(now, shares=str(data.get("fingerprint", "")))
        case "follow_up_of":
            return replace(now, follows=str(data.get("job", "")))
        case "closed":
            return replace(now, waiting=None)
        case "reopened":
            return replace(now, released_by="", shares="")
        case "stopped":
            return replace(now, released_by="")
        case _:
            return now


def _noted(no: int, data: Mapping[str, Any]) -> Noted:
    inputs = {str(name): str(value) for name, value in dict(data.get("inputs") or {}).items()}
    return Noted(no, str(data["what"]), number_of(data["value"]), str(data.get("unit", "")), inputs)


# ── adding one ──────────────────────────────────────────────────────────────


def unit(walk: Walk, serial: str, text: str = "") -> Walk:
    """Keep the unit's serial number, by which its repeat failures are found, and what else its plate says."""
    serial = " ".join(serial.split())
    if not serial and not text.strip():
        raise WalkError(_("Type the serial number, or what the plate says."))
    return _with(walk, "unit", {"serial": serial, "text": text.strip()})


def tools(walk: Walk, missing: Iterable[str]) -> Walk:
    """Say which of the book's tools are not at hand; all others are."""
    wanted = sorted(set(missing))
    for tool in wanted:
        if tool not in walk.book.tools:
            raise WalkError(_("This book has no tool named {tool}.").format(tool=tool))
    return _with(walk, "tools", {"missing": wanted})


def remark(walk: Walk, text: str, visit: str | None = None) -> Walk:
    """Tell the author something about the present step, or the one of an earlier visit; also after the end."""
    if not text.strip():
        raise WalkError(_("The remark is empty."))
    here = walk.now.travel.visit if visit is None else None
    key = here.key if here is not None else visit or ""
    tree, step = _step(walk.book, key)
    no = walk.book.trees[tree].steps[step].no if tree else None
    return _add(walk, "remark", {"text": text.strip(), "tree": tree, "step": step, "no": no}, key)


def photo(walk: Walk, path: str, sha256: str, text: str = "") -> Walk:
    """Keep where a photo lies and the hash of its bytes (64 hexadecimal digits); the file itself stays where it is."""
    if not _SHA256.fullmatch(sha256):
        raise WalkError(_("The hash of a photo is SHA-256: 64 hexadecimal digits."))
    visit = walk.now.travel.visit
    data = {"path": path, "sha256": sha256, "text": text.strip()}
    return _add(walk, "photo", data, visit.key if visit is not None else "")


def figure(walk: Walk, name: str, value: float, unit: str, inputs: Mapping[str, str]) -> Walk:
    """Keep a figure that was worked out beside the steps, with what was typed for it."""
    _refuse_endless(value)
    return _with(walk, "figure", {"what": name, "value": value, "unit": unit, "inputs": dict(inputs)})


def wait(walk: Walk, for_what: str, due: str = "", text: str = "") -> Walk:
    """Let the job wait for one of WAITS_FOR until a day or moment (ISO 8601); an empty `for_what` ends the waiting."""
    if for_what and for_what not in WAITS_FOR:
        raise WalkError(_("A job waits for one of: {listed}.").format(listed=", ".join(WAITS_FOR)))
    if not for_what and walk.now.beside.waiting is None:
        raise WalkError(_("This job waits for nothing."))
    return _with(walk, "waiting", {"for": for_what, "due": _moment(due), "text": text.strip()})


def call_back(walk: Walk, *, reached: bool, due: str = "", text: str = "") -> Walk:
    """Keep that the customer was called: reached, which ends the waiting, or not, then when to try again."""
    return _with(walk, "call_back", {"reached": reached, "due": _moment(due), "text": text.strip()})


def release(walk: Walk, role: str, text: str = "") -> Walk:
    """Keep by whose role the unit is released; only where the walk stands at that end, behind its readings."""
    if not role.strip():
        raise WalkError(_("Say by what role the unit is released."))
    if walk.now.stopped is not None or walk.question.kind != "end" or walk.question.end != "released":
        raise WalkError(
            _("Released stands at the end of the run after repair, behind its readings; this job is not there.")
        )
    return _with(walk, "release", {"role": role.strip(), "text": text.strip()})


def shares_in_force(walk: Walk, fingerprint: str, day: str) -> Walk:
    """Keep which counted shares weigh the suspects of this job now; told right before it is closed."""
    return _add(walk, "shares", {"fingerprint": fingerprint, "date": day})


def _with(walk: Walk, kind: EntryKind, data: Mapping[str, Any], visit: str = "") -> Walk:
    if walk.now.closed is not None:
        raise WalkError(_("This job is closed; reopen it first."))
    return _add(walk, kind, data, visit)


def _add(walk: Walk, kind: EntryKind, data: Mapping[str, Any], visit: str = "") -> Walk:
    return replace(walk, entries=(*walk.entries, Entry(kind, data, visit)))


def _step(book: Book, visit: str) -> tuple[str, str]:
    tree, _other, step = visit.rpartition("/")[2].partition("<")[0].partition(".")
    return (tree, step) if tree in book.trees and step in book.trees[tree].steps else ("", "")


def _moment(text: str) -> str:
    for read in (date.fromisoformat, datetime.fromisoformat):
        try:
            read(text)
        except ValueError:
            continue
        return text
    if text:
        raise WalkError(_("{text} is no day; write year-month-day, such as 2026-03-02.").format(text=text))
    return ""


def _refuse_endless(value: float) -> None:
    if not math.isfinite(value):
        raise WalkError(_("That is no finite number."))


# ── reading one back ────────────────────────────────────────────────────────


def told(entry: Entry) -> tuple[str, str] | None:
    """Return an entry of these kinds as the trail says it; None for the others."""
    data = entry.data
    text = str(data.get("text", ""))
    match entry.kind:
        case "unit":
            return _("Unit"), _both(str(data.get("serial", "")), text)
        case "tools":
            return _("Tools not at hand"), ", ".join(map(str, data.get("missing", ()))).replace("_", " ") or _("none")
        case "remark":
            return _("Remark for the author"), text
        case "photo":
            return _("Photo"), _both(str(data.get("path", "")) or str(data.get("sha256", ""))[:12], text)
        case "figure" | "handover":
            what = str(data.get("what", "")).replace("_", " ")
            head = (
                _("Worked out: {what}").format(what=what)
                if entry.kind == "figure"
                else _("At handover: {what}").format(what=what)
            )
            if what.startswith("timer "):
                head = _("Timed: {what}").format(what=_(what.removeprefix("timer ")))
            return head, _measured(data)
        case "waiting":
            what = WAITS_FOR.get(str(data.get("for")), str(data.get("for") or ""))
            due = _(", until {due}").format(due=data["due"]) if data.get("due") else ""
            return (
                (_("Waits"), _both(_("for {what}{due}").format(what=what, due=due), text))
                if what
                else (_("Waits no more"), text)
            )
        case "call_back":
            again = _(", again {due}").format(due=data["due"]) if data.get("due") else ""
            return _("Called back"), _both(
                _("reached") if data.get("reached") else _("not reached{again}").format(again=again), text
            )
        case "release":
            return _("Released by"), _both(str(data.get("role", "")), text)
        case "shares":
            return _("Shares in force"), _("counted {day}, {fingerprint}").format(
                day=data.get("date", ""), fingerprint=data.get("fingerprint", "")
            )
        case "emergency_card":
            return _("Emergency card"), _("opened")
        case _:
            return None


def _measured(data: Mapping[str, Any]) -> str:
    from trees.figures.units import format_value

    value, unit = number_of(data.get("value")), str(data.get("unit", ""))
    try:
        return format_value(value, unit)
    except SootlineError:  # a unit that somebody brought in with a file
        return f"{value:g} {unit}".strip()


def _both(first: str, second: str) -> str:
    return ". ".join(part for part in (first, second) if part)
