"""How long the real program takes from a key to the last cell that it changes: a pseudo-terminal with a clock."""

from __future__ import annotations

import os
import select
import time
from collections.abc import Callable

from real_program import RealProgram, _without_requests

QUIET_S = 0.3
"""Silence after which a repaint is over: five times what the slowest answer may take is not needed, 60 ms × 5 is."""


class TimedProgram(RealProgram):
    """A real program whose repaints are timed. Nothing is parsed while the clock runs: the test would time itself."""

    def timed(self, keys: str, ready: Callable[[str], bool] = bool, seconds: float = 20.0) -> float:
        """
        Press keys; return the seconds until the screen had every character that it came to rest with.

        The screen is at rest when nothing came for QUIET_S and `ready` holds. AssertionError when it never rests.
        """
        self.rest()
        pieces: list[tuple[float, bytes]] = []
        begun = time.perf_counter()
        self.keys(keys)
        shown: list[tuple[float, list[str]]] = []
        while time.perf_counter() - begun < seconds:
            if select.select([self.master], [], [], QUIET_S)[0]:
                pieces.append((time.perf_counter() - begun, os.read(self.master, 65536)))
                continue
            for moment, data in pieces:
                self.stream.feed(_without_requests(data))
                shown.append((moment, list(self.screen.display)))
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
