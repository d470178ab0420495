"""Named timers that run beside the question: pure, the clock is passed in. What they measured is kept in the job."""

from __future__ import annotations

import time
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace

from trees.language import N_, _
from trees.walk import Walk, beside

Clock = Callable[[], float]
"""Seconds that only ever grow."""


@dataclass(frozen=True, slots=True)
class Kind:
    """What a timer is started for."""

    name: str
    label: str
    rings_s: float | None = None
    """Seconds after which it rings; None: it only counts."""
    what_for: str = ""


KINDS: Mapping[str, Kind] = {
    kind.name: kind
    for kind in (
        Kind("smoke", N_("Smoke"), None, N_("from the first flame until no more is seen")),
        Kind("after_run", N_("After-run"), None, N_("from switching off until the fan stands still")),
        Kind("stable", N_("Ten minutes stable"), 600.0, N_("at full output, before readings are taken")),
        # The half hour is common practice, without a source; hot parts are felt for before they are touched.
        Kind("cool_down", N_("Cool-down"), 1800.0, N_("before the unit is opened")),
    )
}


@dataclass(frozen=True, slots=True)
class Timer:
    """One running timer."""

    kind: Kind
    began_s: float
    rung: bool = False
    """It has rung already."""


@dataclass
class TimerBoard:
    """The running timers of all jobs at this seat, by the job's number; they count whatever is on the screen."""

    clock: Clock = time.monotonic
    running: dict[str, dict[str, Timer]] = field(default_factory=dict)

    def of(self, job: str) -> tuple[Timer, ...]:
        """Return the running timers of a job, in the order in which they were started."""
        return tuple(self.running.get(job, {}).values())

    def start(self, job: str, name: str) -> None:
        """Start a timer, or begin it again from nothing."""
        self.running.setdefault(job, {})[name] = Timer(KINDS[name], self.clock())

    def drop(self, job: str, name: str) -> None:
        """End a timer without keeping what it counted."""
        self.running.get(job, {}).pop(name, None)

    def seconds(self, timer: Timer) -> float:
        """Return for how long a timer has run."""
        return max(0.0, self.clock() - timer.began_s)

    def done(self, timer: Timer) -> bool:
        """Tell whether a timer has reached the time at which it rings."""
        return timer.kind.rings_s is not None and self.seconds(timer) >= timer.kind.rings_s

    def to_ring(self) -> list[tuple[str, Timer]]:
        """Return (job, timer) of each timer that is due and has not rung; it counts as rung from now on."""
        due = [(job, t) for job, timers in self.running.items() for t in timers.values() if self.done(t) and not t.rung]
        for job, timer in due:
            self.running[job][timer.kind.name] = replace(timer, rung=True)
        return due

    def line(self, job: str) -> str:
        """Return the running timers of a job in one line; empty if none runs."""
        return "   ".join(self.told(timer) for timer in self.of(job))

    def all_lines(self) -> str:
        """Return the running timers of all jobs in one line, each job by its number; empty if none runs."""
        return "   ".join(f"{job} {self.line(job)}" for job, timers in self.running.items() if timers)

    def told(self, timer: Timer) -> str:
        """Return one timer: its name, what it counts and, in words, whether it is done."""
        counted = clock_face(self.seconds(timer))
        if timer.kind.rings_s is None:
            return f"{_(timer.kind.label)} {counted}"
        of = clock_face(timer.kind.rings_s)
        return (
            _("{label} {counted} DONE ({of})").format(label=_(timer.kind.label), counted=counted, of=of)
            if self.done(timer)
            else _("{label} {counted} of {of}").format(label=_(timer.kind.label), counted=counted, of=of)
        )


def clock_face(seconds: float) -> str:
    """Return seconds as minutes and seconds, hours before them where there are any."""
    minutes, rest = divmod(int(seconds), 60)
    hours, minutes = divmod(minutes, 60)
    return f"{hours}:{minutes:02d}:{rest:02d}" if hours else f"{minutes}:{rest:02d}"


def kept(walk: Walk, kind: Kind, seconds: float) -> Walk:
    """Return the walk with what a timer counted; the entry holds its name and whole seconds."""
    return beside.figure(walk, f"{TIMER}{kind.name}", float(int(seconds)), "s", {})


TIMER = "timer_"
"""What the entry of a timer is called before its own name."""
