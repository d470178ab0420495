"""Every test runs cut off from the machine: no data folder, no settings, its language, an empty folder to stand in."""

from __future__ import annotations

from pathlib import Path

import pytest

from trees.language import use


@pytest.fixture(autouse=True)
def cut_off(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Send home, data and settings folders to a throw-away place."""
    home = tmp_path / "home"
    home.mkdir()
    for name in ("HOME", "XDG_DATA_HOME", "XDG_CONFIG_HOME", "XDG_CACHE_HOME", "XDG_STATE_HOME"):
        monkeypatch.setenv(name, str(home if name == "HOME" else home / name.lower()))
    for name in ("NO_COLOR", "LANGUAGE", "SOOTLINE_SETTINGS"):
        monkeypatch.delenv(name, raising=False)
    monkeypatch.setenv("LC_ALL", "C.UTF-8")
    use("en")
    work = tmp_path / "work"
    work.mkdir()
    monkeypatch.chdir(work)
