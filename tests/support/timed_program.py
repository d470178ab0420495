"""How long the real program takes from a key to the last cell that it changes: a pseudo-terminal with a clock."""

from __future__ import annotations

import os
import select
import time
from collections.abc import Callable
from contextlib import suppress
from pathlib import Path
from typing import NamedTuple

from real_program import RealProgram, _without_requests

QUIET_S = 0.3
"""Silence after which a repaint is over: five times what an answer may take."""


class Took(NamedTuple):
    """How long a repaint took."""

    seconds: float
    """From the key to the last changed character, as a person at this machine waits."""
    worked: float
    """How long its threads had a core for it; 0 where the system can't tell."""
    waited: float
    """How long they stood in the queue for a core that others had, which two of them may do at once."""

    @property
    def alone(self) -> float:
        """What it takes of a machine that nothing else works on: what has passed less the queue, or all work of it."""
        return max(self.worked, self.seconds - self.waited)


class TimedProgram(RealProgram):
    """A real program whose repaints are timed. Nothing is parsed while the clock runs: the test would time itself."""

    def timed(self, keys: str, ready: Callable[[str], bool] = bool, seconds: float = 20.0) -> Took:
        """
        Press keys; return how long it took until the screen had every character that it came to rest with.

        The screen is at rest when nothing came for QUIET_S and `ready` holds. AssertionError when it never rests.
        """
        self.rest()
        pieces: list[tuple[Took, bytes]] = []
        ran, queued = cores(self.process.pid)
        begun = time.perf_counter()
        self.keys(keys)
        shown: list[tuple[Took, list[str]]] = []
        while time.perf_counter() - begun < seconds:
            if select.select([self.master], [], [], QUIET_S)[0]:
                data = os.read(self.master, 65536)
                moment, now = time.perf_counter() - begun, cores(self.process.pid)
                pieces.append((Took(moment, now[0] - ran, now[1] - queued), data))
                continue
            for took, data in pieces:
                self.stream.feed(_without_requests(data))
                shown.append((took, list(self.screen.display)))
            pieces.clear()
            if shown and ready(self.text()):
                # From behind: a screen that left this state and came back had not come to rest.
                last = len(shown) - 1
                while last and shown[last - 1][1] == shown[-1][1]:
                    last -= 1
                return shown[last][0]
        raise AssertionError(f"{keys!r} brought no rest; the screen shows\n{self.text()}")

    def rest(self) -> None:
        """Take in what still comes of an earlier repaint."""
        while select.select([self.master], [], [], 0.05)[0]:
            self.stream.feed(_without_requests(os.read(self.master, 65536)))


def cores(process: int) -> tuple[float, float]:
    """Return for how many seconds a program's threads had a core so far, and for how many they stood in the queue."""
    ran = queued = 0
    for thread in Path(f"/proc/{process}/task").glob("*/schedstat"):
        with suppress(OSError, ValueError):  # it has ended meanwhile, or the system does not count
            here, waiting, _slices = map(int, thread.read_text().split())
            ran, queued = ran + here, queued + waiting
    return ran / 1e9, queued / 1e9
