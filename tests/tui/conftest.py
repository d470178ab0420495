"""A workshop at one seat: the small book, a real casebook in a throw-away folder, the app without a terminal."""

from __future__ import annotations

import shutil
from collections.abc import AsyncIterator, Callable, Iterator
from contextlib import asynccontextmanager
from pathlib import Path
from typing import Any

import pytest
from casebook_pages import keep_twelve
from real_program import RealProgram
from shell import sootline
from small_book import small_book

from trees.casebook import Casebook
from tui.app import SootlineApp
from tui.workshop import Workshop


@pytest.fixture(autouse=True)
def no_program_left() -> Iterator[None]:
    """End the real programs of a test that failed half-way: left alone they turn a core until the run is over."""
    yield
    for program in list(RealProgram.running):
        program.kill()


@pytest.fixture
def casebook(tmp_path: Path) -> Iterator[Casebook]:
    """Open a new casebook."""
    with Casebook.open(tmp_path / "casebook.db", seat="bench one") as opened:
        yield opened


@pytest.fixture
def workshop(casebook: Casebook, tmp_path: Path) -> Workshop:
    """Return one seat."""
    return Workshop(small_book(), casebook, casebook.seat, report_folder=tmp_path / "reports")


@pytest.fixture
def settings_file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Return where the settings lie; no file is there yet."""
    path = tmp_path / "settings.toml"
    monkeypatch.setenv("SOOTLINE_SETTINGS", str(path))
    return path


@pytest.fixture
def twelve(casebook: Casebook) -> Casebook:
    """Return a casebook of twelve closed jobs and an open one."""
    keep_twelve(casebook)
    return casebook


@pytest.fixture(scope="session")
def filled_store(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Fill a casebook with the twelve invented jobs; tests take a copy of it."""
    path = tmp_path_factory.mktemp("demo") / "demo.db"
    run = sootline("demo", "--fill", path)
    assert (run.returncode, run.stdout.split()[0]) == (0, "12"), run.stderr
    return path


@pytest.fixture
def demo_store(filled_store: Path, tmp_path: Path) -> Path:
    """Return a casebook with the invented jobs."""
    return Path(shutil.copy(filled_store, tmp_path / "demo.db"))


class Screen:
    """The app as a test sees it: keys in, text out."""

    def __init__(self, app: SootlineApp, pilot: Any) -> None:
        self.app = app
        self.pilot = pilot

    async def press(self, *keys: str) -> None:
        """Press keys and let everything settle."""
        await self.pilot.press(*keys)
        await self.settle()

    async def settle(self) -> None:
        """Wait until no worker runs and the screen is painted."""
        for _ in range(50):
            await self.pilot.pause()
            running = [w for w in self.app.workers if not w.is_finished and w.name != "action_note"]
            if not [w for w in running if w.group == "default" and w.name == "fill"]:
                break

    async def type(self, text: str) -> None:
        """Type a text."""
        names = {
            "[": "left_square_bracket",
            "]": "right_square_bracket",
            "=": "equals_sign",
            " ": "space",
            ",": "comma",
            ".": "full_stop",
            "/": "slash",
            "-": "minus",
            "'": "apostrophe",
        }
        await self.press(*(names.get(c, c) for c in text))

    def text(self) -> str:
        """Return the screen as text. One private call, kept here, so that an upgrade breaks one line."""
        strips = self.app.screen._compositor.render_strips()
        return "\n".join("".join(segment.text for segment in strip).rstrip() for strip in strips)

    async def until(self, ready: Callable[[], bool]) -> None:
        """Wait for a condition, never for a time."""
        for _ in range(200):
            if ready():
                return
            await self.pilot.pause()
        raise AssertionError(f"waited in vain; the screen shows\n{self.text()}")


@pytest.fixture
def open_screen() -> Callable[..., Any]:
    """Return a context manager that runs the app at a size."""

    @asynccontextmanager
    async def run(workshop: Workshop, size: tuple[int, int] = (80, 24)) -> AsyncIterator[Screen]:
        app = SootlineApp(workshop)
        async with app.run_test(size=size, notifications=True) as pilot:
            screen = Screen(app, pilot)
            await screen.settle()
            yield screen

    return run
