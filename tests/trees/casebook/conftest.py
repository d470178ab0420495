"""What the tests of the casebook share: a clock that ticks, a small job, and programs of their own as other seats."""

from __future__ import annotations

import os
import subprocess
import sys
import tempfile
import textwrap
from collections.abc import Callable, Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from programs import Start, running_programs
from stores import ENGINES, Store, empty_store

from trees.casebook import Casebook
from trees.walk import Entry

RunChild = Callable[..., str]

ORDINARY_USER = """
import os, resource, sys, tempfile
from pathlib import Path
from trees.casebook import Casebook
from trees.errors import *
from trees.walk import Entry
began = Entry("began", {"words": "Smokes", "tree": "smoke", "place": "bench", "family": None})
# All modules are loaded while they can still be read, then root becomes a user whom rights bind.
with tempfile.TemporaryDirectory() as folder, Casebook.open(folder + "/warm.db") as warm:
    warm.append(warm.new_job([began]), Entry("note", {"text": "x"}), 2)
if os.geteuid() == 0 and "SOOTLINE_STAYS_ROOT" not in os.environ:
    os.setgroups([]); os.setgid(65534); os.setuid(65534)
def told(act):
    try:
        act()
    except SootlineError as error:
        print(type(error).__name__ + ":", error, flush=True)
    else:
        print("done", flush=True)
"""


class Ticking:
    """A clock that goes on by one second with each look; `now` may be set."""

    def __init__(self) -> None:
        self.now = datetime(2026, 3, 2, 8, 0, tzinfo=UTC)

    def __call__(self) -> datetime:
        self.now += timedelta(seconds=1)
        return self.now


@pytest.fixture
def clock() -> Ticking:
    return Ticking()


@pytest.fixture(params=ENGINES)
def store(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[Store]:
    """Return an empty place for a casebook: once in a file, once on a server. What uses it is run on both."""
    with empty_store(request.param, tmp_path) as place:
        yield place


@pytest.fixture
def casebook(store: Store, clock: Ticking) -> Iterator[Casebook]:
    with Casebook.open(store.where, clock=clock, seat="bench", busy_s=0.05) as opened:
        yield opened


@pytest.fixture
def path(tmp_path: Path) -> Path:
    """Return the place of a casebook for what only a file can suffer or do."""
    return tmp_path / "casebook.sqlite3"


@pytest.fixture
def file_casebook(path: Path, clock: Ticking) -> Iterator[Casebook]:
    with Casebook.open(path, clock=clock, seat="bench", busy_s=0.05) as opened:
        yield opened


@pytest.fixture
def began() -> Entry:
    data = {"words": "White smoke at the mooring", "tree": "smoke", "place": "bench", "family": "air_2_12"}
    return Entry("began", data)


@pytest.fixture
def answer() -> Callable[[str], Entry]:
    def make(given: str) -> Entry:
        return Entry("answer", {"check": "smoke", "answer": given}, "smoke/first")

    return make


@pytest.fixture
def child(tmp_path: Path) -> RunChild:
    """Run a script as a program of its own, as a user whom rights bind; returns what it printed."""

    def run(script: str, *arguments: object, before: tuple[str, ...] = ()) -> str:
        whole = ORDINARY_USER + textwrap.dedent(script)
        command = [*before, sys.executable, "-W", "error", "-c", whole, *map(str, arguments)]
        done = subprocess.run(command, capture_output=True, text=True, timeout=60, check=False, cwd=tmp_path)
        assert (done.returncode, done.stderr) == (0, "")
        return done.stdout.strip()

    return run


@pytest.fixture
def programs() -> Iterator[Start]:
    """Start scripts as programs of their own; whatever is left of them ends with the test."""
    with running_programs() as start:
        yield start


@pytest.fixture
def common_folder() -> Iterator[Path]:
    """Return a folder that every user of the machine can enter and write, unlike pytest's own."""
    with tempfile.TemporaryDirectory(prefix="casebook-") as name:
        Path(name).chmod(0o777)
        yield Path(name)


@pytest.fixture
def private_mounts() -> tuple[str, ...]:
    """Return the command before a command that may mount what nobody else sees; skips where that is not allowed."""
    before = ("unshare", "--mount") if os.geteuid() == 0 else ("unshare", "--user", "--map-root-user", "--mount")
    try:
        able = subprocess.run([*before, "mount", "-t", "tmpfs", "none", "/mnt"], capture_output=True, check=False)
    except FileNotFoundError:
        pytest.skip("this machine has no unshare")
    if able.returncode:
        pytest.skip(f"this machine lets nobody mount: {able.stderr.decode().strip()}")
    return before
