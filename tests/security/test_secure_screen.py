"""The screen holds against what an enemy put into the casebook: a job that can't be read, a photo that never ends."""

from __future__ import annotations

import os
from collections.abc import Callable
from pathlib import Path

import pytest
from security_support import entry, export
from small_book import small_book

from trees.casebook import Casebook
from trees.errors import SootlineError
from tui.app import SootlineApp
from tui.workshop import Workshop


async def test_job_that_can_not_be_read_is_told_on_the_day_list(imported: Callable[[str], Path]) -> None:
    """To open a job with entries that nobody can read gives a sentence; the day list stays and the program goes on."""
    store = imported(export(entry("rated", name="dose", value="many")))
    with Casebook.open(store, seat="bench one") as casebook:
        app = SootlineApp(Workshop(small_book(), casebook, casebook.seat))
        async with app.run_test(size=(80, 24)) as pilot:
            for _ in range(5):
                await pilot.pause()
            before = app.screen
            await pilot.press("enter")
            for _ in range(200):
                await pilot.pause()
                if app._notifications:
                    break
            told = [note.message for note in app._notifications]
            assert len(told) == 1
            assert "The entries of this job can't be read" in told[0]
            assert app.screen is before
        assert app.return_code in {0, None}


@pytest.mark.parametrize("kind", ["pipe", "device", "folder"])
async def test_photo_is_an_ordinary_file(tmp_path: Path, imported: Callable[[str], Path], kind: str) -> None:
    """A photo that is a pipe, a device or a folder is refused at once instead of being read for ever."""
    path = tmp_path / "photo"
    if kind == "pipe":
        os.mkfifo(path)
    elif kind == "device":
        path.symlink_to("/dev/zero")
    else:
        path.mkdir()
    with Casebook.open(imported(export()), seat="bench one") as casebook:
        job = await Workshop(small_book(), casebook, casebook.seat).open_job("J-0001")
        with pytest.raises(SootlineError, match="no ordinary file"):
            await job.keep_photo(path)
        await job.leave()
