"""The start of the program beside that of a bare window, and its memory over the largest book."""

from __future__ import annotations

import os
import statistics
import subprocess
import sys
import time
from pathlib import Path

import pytest

from performance.table import Measured, Table, time_words

ROOT = Path(__file__).resolve().parents[2]
TIMES = 7

BARE = """
import sys, time
from PySide6.QtWidgets import QApplication, QMainWindow
application = QApplication([])
window = QMainWindow()
window.resize(1440, 900)
window.show()
application.processEvents()
assert not window.grab().isNull()
print(time.time())
"""

OURS = """
import time
from vault.start import make_application, make_parts, make_window
application = make_application()
parts = make_parts()
window = make_window(parts)
window.show()
application.processEvents()
assert not window.grab().isNull()
print(time.time())
window.close()
"""

OVER_A_BOOK = """
import re, resource, sys, time
from pathlib import Path
from vault.start import make_application, make_parts, make_window
from vault.screens.garbage import CycleCollector

application = make_application()
parts = make_parts()
collector = CycleCollector(parts.background)
window = make_window(parts)
window.show()
window.desk.open(Path(sys.argv[1]))

def peak_kb():
    # What getrusage tells begins, on Linux, with the peak of the process that started this one.
    status = Path("/proc/self/status")
    if status.exists():
        return int(re.search(r"VmHWM:\\s+(\\d+) kB", status.read_text()).group(1))
    told = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    return told // 1024 if sys.platform == "darwin" else told

def is_there():
    safe = window.screen_named("safe") if window.shown == "safe" else None
    return safe and safe.model.item_count > 400_000 and parts.background.is_idle

until = time.monotonic() + 60
while not is_there() and time.monotonic() < until:
    application.processEvents()
    time.sleep(0.01)
assert is_there()
assert not window.grab().isNull()
print(peak_kb())
window.close()
collector.close()
"""


@pytest.fixture(scope="module")
def surroundings(tmp_path_factory: pytest.TempPathFactory) -> dict[str, str]:
    """Warm means: compiled before, as an installed program is; the place is the test's own."""
    told = {**os.environ, "QT_QPA_PLATFORM": "offscreen"}
    told.pop("PYTHONDONTWRITEBYTECODE", None)
    return {**told, "PYTHONPYCACHEPREFIX": str(tmp_path_factory.mktemp("compiled"))}


def said_by(program: str, surroundings: dict[str, str], *words: str) -> str:
    done = subprocess.run(
        [sys.executable, "-c", program, *words],
        cwd=ROOT,
        env=surroundings,
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    return done.stdout.strip()


def shown_after_s(program: str, surroundings: dict[str, str]) -> float:
    """Start a fresh process; give how long until it has painted its window."""
    began = time.time()
    return float(said_by(program, surroundings)) - began


def test_the_window_is_shown_nearly_as_soon_as_a_bare_one(
    surroundings: dict[str, str], table: Table
) -> None:
    ways: dict[str, list[float]] = {BARE: [], OURS: []}
    for turn in range(TIMES + 1):
        for program, taken in ways.items():
            seconds = shown_after_s(program, surroundings)
            if turn:  # the first only compiles, and warms the disk's cache
                taken.append(seconds)
    bare, ours = (statistics.median(taken) for taken in ways.values())
    table.add(
        Measured(
            9, "start to shown window", f"fresh process, warm, median of {TIMES}",
            time_words(ours), f"{time_words(bare)}: a bare PySide6 window", ours / bare, "≤ 2",
            ours <= 2 * bare,
        )
    )  # fmt: skip


def test_the_memory_over_a_million_items(
    million: Path, surroundings: dict[str, str], table: Table
) -> None:
    kilobytes = int(said_by(OVER_A_BOOK, surroundings, str(million)))
    table.add(
        Measured(
            10, "peak memory, book open and Safe shown, no reckoning", "1 000 000 items",
            f"{kilobytes * 1024 / 1e9:.2f} GB", target="≤ 1 GB", met=kilobytes * 1024 <= 1e9,
        )
    )  # fmt: skip
