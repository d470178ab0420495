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


@dataclass
class CallBoard:
    """The held calls of a seat, the longest waiting first."""

    clock: Clock = time.monotonic
    held: tuple[HeldCall, ...] = field(default=())

    def hold(self, job: str, words: str) -> None:
        """Let a caller wait from now on."""
        self.let_go(job)
        self.held = (*self.held, HeldCall(job, words, self.clock()))

    def let_go(self, job: str) -> None:
        """Take a caller off the line: spoken with again, or hung up."""
        self.held = tuple(call for call in self.held if call.job != job)

    def waited(self, call: HeldCall) -> str:
        """Return how long a caller has waited, as minutes and seconds."""
        return clock_face(self.clock() - call.since_s)

    def line(self) -> str:
        """Return who waits in one line; empty if nobody does."""
        return "  ".join(f"{call.job} {self.waited(call)}" for call in self.held)
