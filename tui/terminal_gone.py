"""What is done when the terminal goes away without a signal: the program ends, as by Ctrl+Q.

A closed window sends a hang-up signal only where the program's terminal is its controlling one. Elsewhere the library's
input thread reads "end of file" for ever and turns a core, and its output thread dies of the first failed write.
"""

from __future__ import annotations

import io
import os
import select
import threading
from contextlib import suppress
from typing import Any, TextIO, cast

from textual.drivers.linux_driver import LinuxDriver


class WatchedDriver(LinuxDriver):
    """The library's driver, which ends the program when its terminal hangs up; every answer is on disk by then."""

    def __init__(self, *arguments: Any, **options: Any) -> None:
        super().__init__(*arguments, **options)
        if self._file is not None:
            self._file = cast("io.TextIOWrapper", _Lenient(self._file))
        threading.Thread(target=self._end_when_gone, name="terminal-gone", daemon=True).start()

    def run_input_thread(self) -> None:
        """Read keys; a read that fails while the terminal goes is no fault of ours."""
        with suppress(OSError):
            super().run_input_thread()

    def _end_when_gone(self) -> None:
        poll = select.poll()
        poll.register(self.fileno, 0)  # no wish of ours: a hang-up is told without
        poll.poll()
        # What is still to be written, up to the interpreter's last flush, goes where no write fails.
        nowhere = os.open(os.devnull, os.O_WRONLY)
        for stream in (1, 2):
            os.dup2(nowhere, stream)
        with suppress(RuntimeError):  # it has ended just now
            self._loop.call_soon_threadsafe(self._app.exit)


class _Lenient(io.TextIOBase):
    """A stream whose failed writes are nobody's concern: the output thread must live to let the program end."""

    def __init__(self, stream: TextIO) -> None:
        self.stream = stream

    def fileno(self) -> int:
        return self.stream.fileno()

    def write(self, text: str) -> int:
        with suppress(OSError):
            self.stream.write(text)
        return len(text)

    def flush(self) -> None:
        with suppress(OSError):
            self.stream.flush()
