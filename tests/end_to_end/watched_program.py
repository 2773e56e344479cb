"""The program, watched: it says on its error output when Qt is loaded in any but the main thread.

PySide makes its classes when they are first named. Two threads that do so at a time ended the
program about once in ten starts of the story, and only there: so it is not left to luck.
"""

from __future__ import annotations

import runpy
import sys
import threading
from pathlib import Path

_USE_QT = ("PySide6", "shiboken6", "pyqtgraph", "vault.screens")


def _watch(event: str, about: tuple[object, ...]) -> None:
    if event != "import" or threading.current_thread() is threading.main_thread():
        return
    module = str(about[0])
    if module.startswith(_USE_QT) and module not in sys.modules:
        print(f"{threading.current_thread().name} loads {module}", file=sys.stderr)  # noqa: T201


if __name__ == "__main__":
    sys.path[0] = str(Path(__file__).resolve().parent.parent.parent)
    sys.addaudithook(_watch)
    runpy.run_module("vault", run_name="__main__", alter_sys=True)
