"""The real program in a pseudo-terminal: keys in, the screen out, signal 9 when a test wants it."""

from __future__ import annotations

import fcntl
import os
import pty
import select
import signal
import struct
import subprocess
import sys
import termios
import time
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import ClassVar

import pyte


class RealProgram:
    """One run of `sootline`; read the screen with `text`, wait with `until`."""

    running: ClassVar[list[RealProgram]] = []
    """What a test has not ended yet; the next test must not find it alive."""

    def __init__(
        self,
        arguments: Sequence[str],
        *,
        columns: int = 80,
        rows: int = 24,
        home: Path | None = None,
        before: str = "",
    ) -> None:
        self.screen = pyte.Screen(columns, rows)
        self.stream = pyte.ByteStream(self.screen)
        self.master, slave = pty.openpty()
        fcntl.ioctl(slave, termios.TIOCSWINSZ, struct.pack("HHHH", rows, columns, 0, 0))
        environment = {**os.environ, "TERM": "xterm-256color", "COLUMNS": str(columns), "LINES": str(rows)}
        if home is not None:
            environment["HOME"] = str(home)
        self.process = subprocess.Popen(
            [
                sys.executable,
                "-c",
                f"{before}\nfrom tui.command_line import main\nraise SystemExit(main())",
                *arguments,
            ],
            stdin=slave,
            stdout=slave,
            stderr=slave,
            env=environment,
            start_new_session=True,
            close_fds=True,
        )
        os.close(slave)
        self.running.append(self)

    def read(self, seconds: float) -> None:
        """Take in what the program painted, waiting at most that long for the first of it."""
        ready, _, _ = select.select([self.master], [], [], seconds)
        if not ready:
            return
        try:
            # pyte 0.8 does not know the private `CSI > …` and `CSI ? … p` requests; they paint nothing.
            self.stream.feed(_without_requests(os.read(self.master, 65536)))
        except OSError:  # the program is gone
            time.sleep(0.01)

    def text(self) -> str:
        """Return the screen as lines of text."""
        return "\n".join(line.rstrip() for line in self.screen.display)

    def until(self, wanted: str | Callable[[str], bool], seconds: float = 20.0) -> str:
        """Wait until a text stands on the screen; AssertionError with the screen if it does not come."""
        test = wanted if callable(wanted) else lambda text: wanted in text
        end = time.monotonic() + seconds
        while time.monotonic() < end:
            if test(self.text()):
                return self.text()
            self.read(0.05)
        raise AssertionError(f"waited in vain for {wanted!r}; the screen shows\n{self.text()}")

    def keys(self, typed: str) -> None:
        """Press keys."""
        os.write(self.master, typed.encode())

    def kill(self) -> None:
        """End it with signal 9, as a power cut would."""
        os.killpg(self.process.pid, signal.SIGKILL)
        self.process.wait(timeout=10)
        self._ended()

    def hang_up(self) -> int:
        """Close the terminal, which sends no signal; return the exit status (TimeoutExpired: it lives on)."""
        os.close(self.master)
        self.running.remove(self)
        try:
            return self.process.wait(timeout=10)
        finally:
            self.process.kill()

    def finish(self, seconds: float = 10.0) -> int:
        """Wait for the program to end by itself; return its exit status."""
        end = time.monotonic() + seconds
        while self.process.poll() is None and time.monotonic() < end:
            self.read(0.05)
        for _ in range(3):
            self.read(0.02)
        status = self.process.wait(timeout=1)
        self._ended()
        return status

    def _ended(self) -> None:
        os.close(self.master)
        self.running.remove(self)


def _without_requests(data: bytes) -> bytes:
    import re

    return re.sub(rb"\x1b\[[<>=][0-9;]*[a-zA-Z]|\x1b\[\?[0-9;]*\$p|\x1b\[\?2026[hl]", b"", data)
