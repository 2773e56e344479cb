"""Charts are loaded when one is wanted, or a while after the window stands.

They bring pyqtgraph with them, which names every class of Qt as it is loaded. All at once it would
hold the window; before the first paint it would hold the start.
"""

from __future__ import annotations

from collections.abc import Iterator

from PySide6.QtCore import QObject

from vault.screens.background import Background
from vault.screens.loading import Loading, classes_of, modules

_CHARTS = "vault.screens.charts"
# What pyqtgraph wants that has nothing to do with Qt.
_PLAIN = ("numpy", "xml.etree.ElementTree", "pydoc", "multiprocessing.connection")


def loading_of_charts(background: Background, parent: QObject) -> Loading:
    """Give what loads the charts."""
    return Loading(_parts, background, parent, plain=_PLAIN)


def _parts() -> Iterator[None]:
    for module in ("PySide6.QtCore", "PySide6.QtGui", "PySide6.QtWidgets"):
        yield from classes_of(module)
    yield from modules(
        "PySide6.QtSvg",
        "PySide6.QtOpenGLWidgets",
        "PySide6.QtTest",
        "pyqtgraph",
        f"{_CHARTS}.drawing",
        f"{_CHARTS}.chart",
        f"{_CHARTS}.stacked_area",
        f"{_CHARTS}.band",
        f"{_CHARTS}.factor",
    )
