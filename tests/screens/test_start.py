"""The start: quick, and in plain words where it cannot be."""

from __future__ import annotations

import os
import subprocess
import sys
from importlib import import_module
from pathlib import Path

import PySide6
import pytest
from PySide6.QtWidgets import QMainWindow

from vault import start
from vault.application import missing_libraries
from vault.application.missing_libraries import PACKAGE_OF, sentence_about, why_no_window
from vault.screens.commands import Commands
from vault.start import doors, forms, plans

ROOT = Path(__file__).resolve().parent.parent.parent

FIRST_PAINT = """
import sys
from vault.start import make_application, make_parts, make_window
application = make_application()
parts = make_parts()
window = make_window(parts)
window.show()
assert not window.grab().isNull()
slow = ("scipy", "numpy", "alembic", "sqlalchemy", "pyqtgraph", "openpyxl")
print(sorted(name for name in slow if name in sys.modules))
window.close()
"""


def test_nothing_slow_is_loaded_before_the_window_is_painted() -> None:
    done = subprocess.run(
        [sys.executable, "-c", FIRST_PAINT],
        cwd=ROOT,
        env={**os.environ, "QT_QPA_PLATFORM": "offscreen"},
        capture_output=True,
        text=True,
        check=True,
    )
    assert done.stdout.strip() == "[]"


# Which thread executes a module is seen where its loader is called.
FIRST_CHART = """
import sys, threading
from importlib.abc import MetaPathFinder
from pathlib import Path

class Watching(MetaPathFinder):
    def __init__(self):
        self.seen = {}
    def find_spec(self, name, path, target=None):
        self.seen.setdefault(name, threading.current_thread() is threading.main_thread())

watching = Watching()
from PySide6.QtCore import QEventLoop, QTimer
from vault.start import make_application, make_parts, make_window
application = make_application()
parts = make_parts()
# As the program does it: Python's own collector must not run in a reader (decision 4).
from vault.screens.garbage import CycleCollector
collector = CycleCollector(parts.background)
window = make_window(parts)
window.show()
sys.meta_path.insert(0, watching)
window.desk.demonstrate()
def until(true):
    loop = QEventLoop()
    timer = QTimer()
    timer.timeout.connect(lambda: loop.quit() if true() else None)
    timer.start(20)
    loop.exec()
until(lambda: window.shown == "safe" and window.screen_named("safe").model.rowCount() > 0)
safe = window.screen_named("safe")
print("pyqtgraph" in sys.modules)
if {unfolded}:
    safe.stock.button.click()
until(lambda: "pyqtgraph" in sys.modules and parts.background.is_idle)
uses_qt = ("PySide6", "shiboken6", "pyqtgraph", "vault.screens")
print(watching.seen["pyqtgraph"], watching.seen["numpy"])
print([one for one, here in watching.seen.items() if one.startswith(uses_qt) and not here])
window.close()
"""


@pytest.mark.parametrize("unfolded", ["True", "False"])
def test_charts_are_loaded_after_the_safe_is_shown_and_nothing_of_qt_by_another_thread(
    unfolded: str,
) -> None:
    done = subprocess.run(
        [sys.executable, "-c", FIRST_CHART.replace("{unfolded}", unfolded)],
        cwd=ROOT,
        env={**os.environ, "QT_QPA_PLATFORM": "offscreen"},
        capture_output=True,
        text=True,
        check=True,
        timeout=120,
    )
    assert done.stdout.split() == ["False", "True", "False", "[]"], done.stdout + done.stderr


def test_without_a_screen_it_says_so_and_ends() -> None:
    surroundings = {
        name: value
        for name, value in os.environ.items()
        if name not in {"DISPLAY", "WAYLAND_DISPLAY", "QT_QPA_PLATFORM"}
    }
    done = subprocess.run(
        [sys.executable, "-m", "vault"],
        cwd=ROOT,
        env=surroundings,
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 1
    assert done.stderr.startswith("There is no screen to open a window on")
    assert "Traceback" not in done.stderr


def test_missing_libraries_are_named_with_the_line_that_installs_them() -> None:
    told = sentence_about(["libxcb-icccm.so.4", "libGL.so.1"])
    assert "libxcb-icccm.so.4, libGL.so.1" in told
    assert told.endswith("apt-get install -y --no-install-recommends libgl1 libxcb-icccm4")
    assert sentence_about([]) == ""
    assert "package manager" in sentence_about(["libnobody-knows.so.1"])


@pytest.mark.skipif(not sys.platform.startswith("linux"), reason="Qt brings everything elsewhere")
def test_a_library_that_cannot_be_loaded_is_found(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    # Qt's own plugin, made to want a library that no machine has.
    real = Path(PySide6.__file__).parent
    plugin = tmp_path / "Qt" / "plugins" / "platforms" / "libqxcb.so"
    plugin.parent.mkdir(parents=True)
    (tmp_path / "Qt" / "lib").symlink_to(real / "Qt" / "lib")
    content = (real / plugin.relative_to(tmp_path)).read_bytes()
    needed = b"libQt6XcbQpa.so.6"
    assert needed in content
    plugin.write_bytes(content.replace(needed, b"libQt6Xxxxxx.so.6"))
    monkeypatch.setattr(missing_libraries, "_folder_of_qt", lambda: tmp_path)
    monkeypatch.setitem(PACKAGE_OF, "libQt6Xxxxxx.so.6", "libqt6-xxxxxx6")
    told = why_no_window({"DISPLAY": ":0"})
    assert told.startswith("The window needs a library that this system has not: libQt6Xxxxxx.so.6")
    assert told.endswith(" libqt6-xxxxxx6")
    assert why_no_window({"QT_QPA_PLATFORM": "offscreen"}) == ""


def test_here_nothing_is_missing() -> None:
    assert missing_libraries.missing_libraries(needs_x=False) == []


def test_every_package_named_is_a_debian_name() -> None:
    assert all(name.startswith("lib") and "." in name for name in PACKAGE_OF)
    assert all(
        package.replace("-", "").replace(".", "").isalnum() for package in PACKAGE_OF.values()
    )


def test_every_function_that_is_loaded_later_is_there(monkeypatch: pytest.MonkeyPatch) -> None:
    named: list[tuple[str, str]] = []

    def note(module: str, name: str) -> None:
        named.append((module, name))

    for one in (start, doors, forms, plans):
        monkeypatch.setattr(one, "later", note)
    doors.make_doors(lambda: "Imke")
    doors.scale_questions()
    forms.form_questions()
    forms.form_acts()
    parts = start.make_parts()
    holder = QMainWindow()
    commands = Commands(holder)
    for plan in plans.make_plans(parts):
        plan.make(commands).deleteLater()
    parts.background.close()
    assert len(named) > 10
    for module, name in named:
        assert callable(getattr(import_module(module), name)), f"{module}:{name}"


def test_the_program_tries_itself_on_the_demonstration_shop() -> None:
    done = subprocess.run(
        [sys.executable, "-m", "vault", "--self-test"],
        cwd=ROOT,
        env={**os.environ, "QT_QPA_PLATFORM": "offscreen"},
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    assert done.stdout.startswith("screens drawn: safe, ")
