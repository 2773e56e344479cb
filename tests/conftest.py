"""What every test stands on: no screen needed, a home of its own, no thread left, a set clock."""

from __future__ import annotations

import logging
import os
import threading
import time
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from hypothesis import HealthCheck, settings

# Before anything imports Qt: without a screen Qt ends the whole run, not only one test.
os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")

TESTS = Path(__file__).resolve().parent

# Where tests live; a folder that is not here is refused, so that none is forgotten by a mark.
FOLDERS: dict[str, tuple[str, ...]] = {
    "unit": (),
    "outside": (),
    "properties": (),
    "screens": (),
    "pictures": (),
    "simulation": (),
    "end_to_end": (),
    "performance": ("performance",),
}

# The same examples in every run; a find is kept by writing it down as a test of its own.
settings.register_profile(
    "house",
    deadline=None,
    derandomize=True,
    database=None,
    suppress_health_check=[HealthCheck.too_slow],
)
settings.load_profile("house")


def pytest_addoption(parser: pytest.Parser) -> None:
    """Offer the one way in which an approved picture changes."""
    parser.addoption(
        "--accept-pictures",
        action="store_true",
        help="take what is drawn now as the approved pictures; look at each before it is kept",
    )


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Mark each test by its folder, and refuse one that lies in no agreed folder."""
    for item in items:
        if not item.path.is_relative_to(TESTS):
            continue
        parts = item.path.relative_to(TESTS).parts
        if len(parts) == 1:
            continue
        if parts[0] not in FOLDERS:
            raise pytest.UsageError(f"{item.path} lies in no folder named in conftest.py.")
        for mark in FOLDERS[parts[0]]:
            item.add_marker(mark)


@pytest.fixture(autouse=True)
def _home_of_its_own(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Send settings, recent files and caches to a folder that goes with the test."""
    home = tmp_path / "home"
    for name, folder in {
        "HOME": "",
        "USERPROFILE": "",
        "XDG_CONFIG_HOME": ".config",
        "XDG_DATA_HOME": ".local/share",
        "XDG_STATE_HOME": ".local/state",
        "XDG_CACHE_HOME": ".cache",
        "XDG_RUNTIME_DIR": ".run",
        "XDG_DOCUMENTS_DIR": "Documents",
        "APPDATA": "AppData/Roaming",
        "LOCALAPPDATA": "AppData/Local",
    }.items():
        monkeypatch.setenv(name, str(home / folder))
    # Qt wants this one to exist and to be closed to others.
    (home / ".run").mkdir(parents=True, mode=0o700)


@pytest.fixture(autouse=True)
def _no_thread_left() -> Iterator[None]:
    """Fail a test that leaves a thread running which would keep the program alive."""
    before = set(threading.enumerate())
    yield
    patience = time.monotonic() + 2
    while left := [one for one in threading.enumerate() if one not in before and not one.daemon]:
        if time.monotonic() > patience:
            pytest.fail(f"threads left running: {', '.join(one.name for one in left)}")
        left[0].join(timeout=0.05)


@pytest.fixture(autouse=True)
def _no_unexpected_log(caplog: pytest.LogCaptureFixture) -> Iterator[None]:
    """Fail on any warning or error logged; a test that expects one clears `caplog` after."""
    yield
    logged = [one for one in caplog.get_records("call") if one.levelno >= logging.WARNING]
    if logged:
        pytest.fail("; ".join(f"{one.name}: {one.getMessage()}" for one in logged))


class Clock:
    """A clock that stands still until it is told to go on; call it for the time in UTC."""

    def __init__(self) -> None:
        self.at = datetime(2031, 3, 1, 8, 0, tzinfo=UTC)

    def __call__(self) -> datetime:
        return self.at

    def go_on(self, **by: float) -> None:
        """Go on by `minutes=5`, `days=1` …"""
        self.at += timedelta(**by)


@pytest.fixture
def clock() -> Clock:
    """The time of the test, 1 March 2031, 08:00 UTC, until it is moved on."""
    return Clock()
