"""Calls that are held on the line at this seat: who waits, and for how long. Pure; the clock is passed in."""

from __future__ import annotations

import time
from dataclasses import dataclass, field

from tui.timers import Clock, clock_face


@dataclass(frozen=True, slots=True)
class HeldCall:
    """One caller who waits on the line; the job itself is on disk as it was left."""

    job: str
    """Number of the job."""
    words: str
    """The complaint, to know the caller again."""
    since_s: float
    stopped: bool = False
    """The job was stopped for safety: this caller is in danger."""

    @property
    def sign(self) -> str:
        """What stands before its number."""
        return "▲" if self.stopped else ""


NAMED = 3
"""Held calls that stand in the line with their number; the others are counted."""


@dataclass
class CallBoard:
    """The held calls of a seat, the longest waiting first."""

    clock: Clock = time.monotonic
    held: tuple[HeldCall, ...] = field(default=())

    def hold(self, job: str, words: str, *, stopped: bool = False) -> None:
        """Let a caller wait from now on."""
        self.let_go(job)
        self.held = (*self.held, HeldCall(job, words, self.clock(), stopped))

    def let_go(self, job: str) -> None:
        """Take a caller off the line: spoken with again, or hung up."""
        self.held = tuple(call for call in self.held if call.job != job)

    def waited(self, call: HeldCall) -> str:
        """Return how long a caller has waited, as minutes and seconds."""
        return clock_face(self.clock() - call.since_s)

    def line(self) -> str:
        """Return who waits in one line, the longest first and how many more; empty if nobody does."""
        told = [f"{call.sign}{call.job} {self.waited(call)}" for call in self.held[:NAMED]]
        more = self.held[NAMED:]
        sign = "▲" if any(call.stopped for call in more) else ""
        return "  ".join([*told, f"+ {sign}{len(more)}"] if more else told)
