"""How long the real program takes from a key to the last cell that it changes: a pseudo-terminal with a clock."""

from __future__ import annotations

import os
import select
import time
from collections.abc import Callable
from pathlib import Path
from typing import NamedTuple

from real_program import RealProgram, _without_requests

QUIET_S = 0.3
"""Silence after which a repaint is over: five times what an answer may take."""


class Took(NamedTuple):
    """How long a repaint took."""

    seconds: float
    """From the key to the last changed character, as a person at this machine waits."""
    waited: float
    """Of these, how long the program stood in the queue for a core that others had; 0 where the system can't tell."""


class TimedProgram(RealProgram):
    """A real program whose repaints are timed. Nothing is parsed while the clock runs: the test would time itself."""

    def timed(self, keys: str, ready: Callable[[str], bool] = bool, seconds: float = 20.0) -> Took:
        """
        Press keys; return how long it took until the screen had every character that it came to rest with.

        The screen is at rest when nothing came for QUIET_S and `ready` holds. AssertionError when it never rests.
        """
        self.rest()
        pieces: list[tuple[float, float, bytes]] = []
        queued = self.queued()
        begun = time.perf_counter()
        self.keys(keys)
        shown: list[tuple[Took, list[str]]] = []
        while time.perf_counter() - begun < seconds:
            if select.select([self.master], [], [], QUIET_S)[0]:
                data = os.read(self.master, 65536)
                pieces.append((time.perf_counter() - begun, self.queued() - queued, data))
                continue
            for moment, waited, data in pieces:
                self.stream.feed(_without_requests(data))
                shown.append((Took(moment, waited), list(self.screen.display)))
            pieces.clear()
            if shown and ready(self.text()):
                # From behind: a screen that left this state and came back had not come to rest.
                last = len(shown) - 1
                while last and shown[last - 1][1] == shown[-1][1]:
                    last -= 1
                return shown[last][0]
        raise AssertionError(f"{keys!r} brought no rest; the screen shows\n{self.text()}")

    def queued(self) -> float:
        """Return the seconds for which the program's main thread was ready to run and had no core, so far."""
        try:
            return int(Path(f"/proc/{self.process.pid}/schedstat").read_text().split()[1]) / 1e9
        except (OSError, IndexError):
            return 0.0

    def rest(self) -> None:
        """Take in what still comes of an earlier repaint."""
        while select.select([self.master], [], [], 0.05)[0]:
            self.stream.feed(_without_requests(os.read(self.master, 65536)))
