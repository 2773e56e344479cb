"""The libraries of the system that Qt needs and that this machine has not, in one sentence.

Qt itself says “xcb-cursor0 is needed” for whichever is missing, or ends the program.
"""

from __future__ import annotations

import ctypes
import os
import re
import shutil
import subprocess
import sys
from collections.abc import Iterable, Mapping
from importlib.util import find_spec
from pathlib import Path

# Found in a bare Debian 12 by adding one package at a time until a window was drawn.
PACKAGE_OF = {
    "libglib-2.0.so.0": "libglib2.0-0",
    "libgthread-2.0.so.0": "libglib2.0-0",
    "libGL.so.1": "libgl1",
    "libEGL.so.1": "libegl1",
    "libxkbcommon.so.0": "libxkbcommon0",
    "libfontconfig.so.1": "libfontconfig1",
    "libdbus-1.so.3": "libdbus-1-3",
    "libxcb-cursor.so.0": "libxcb-cursor0",
    "libxkbcommon-x11.so.0": "libxkbcommon-x11-0",
    "libxcb-icccm.so.4": "libxcb-icccm4",
    "libxcb-image.so.0": "libxcb-image0",
    "libxcb-keysyms.so.1": "libxcb-keysyms1",
    "libxcb-randr.so.0": "libxcb-randr0",
    "libxcb-render-util.so.0": "libxcb-render-util0",
    "libxcb-shape.so.0": "libxcb-shape0",
    "libxcb-xinerama.so.0": "libxcb-xinerama0",
    "libxcb-xkb.so.1": "libxcb-xkb1",
    "libX11-xcb.so.1": "libx11-xcb1",
}
_NOT_FOUND = re.compile(r"^\s*(\S+) => not found", re.MULTILINE)
_NAME = re.compile(r"(lib[\w.+-]+\.so[\d.]*)")
_QT_PARTS = (
    "QtWidgets.abi3.so",
    "QtGui.abi3.so",
    "Qt/plugins/platforms/libqxcb.so",
)


def why_no_window(surroundings: Mapping[str, str] | None = None) -> str:
    """Say in one sentence why no window can be opened here and what to do; empty if it can.

    Only Linux is looked at: elsewhere Qt brings everything along.
    """
    told = os.environ if surroundings is None else surroundings
    if not sys.platform.startswith("linux"):
        return ""
    platform = told.get("QT_QPA_PLATFORM", "")
    if not platform and not told.get("DISPLAY") and not told.get("WAYLAND_DISPLAY"):
        return (
            "There is no screen to open a window on: neither DISPLAY nor WAYLAND_DISPLAY is set. "
            "Start the program from a desktop session."
        )
    return sentence_about(missing_libraries(needs_x=platform in {"", "xcb"}))


def missing_libraries(*, needs_x: bool) -> list[str]:
    """List the libraries that Qt wants and the system has not."""
    folder = _folder_of_qt()
    if folder is None:
        return []
    parts = _QT_PARTS if needs_x else _QT_PARTS[:2]
    missing: dict[str, None] = {}
    for part in parts:
        file = folder / part
        if file.exists() and not _loads(file):
            missing.update(dict.fromkeys(_missing_of(file)))
    return list(missing)


def sentence_about(libraries: Iterable[str]) -> str:
    """Name what is missing and the line that installs it; empty where nothing is missing."""
    names = list(libraries)
    if not names:
        return ""
    packages = sorted({PACKAGE_OF.get(name, "") for name in names} - {""})
    told = (
        f"The window needs {'a library' if len(names) == 1 else 'libraries'} that this system "
        f"has not: {', '.join(names)}."
    )
    if not packages:
        return f"{told} Install them with the system's package manager and start again."
    return (
        f"{told} On Debian and Ubuntu this line installs what is missing: "
        f"sudo apt-get install -y --no-install-recommends {' '.join(packages)}"
    )


def _folder_of_qt() -> Path | None:
    found = find_spec("PySide6")
    if found is None or not found.submodule_search_locations:
        return None
    return Path(next(iter(found.submodule_search_locations)))


def _loads(file: Path) -> bool:
    """Tell whether the system can load a library; what it loads is needed soon anyway."""
    try:
        ctypes.CDLL(str(file))
    except OSError:
        return False
    return True


def _missing_of(file: Path) -> list[str]:
    ldd = shutil.which("ldd")
    if ldd is None:
        return _named_by_the_loader(file)
    said = subprocess.run(  # noqa: S603  a tool of the system, on a file of our own
        [ldd, str(file)], capture_output=True, text=True, check=False
    )
    return _NOT_FOUND.findall(said.stdout) or _named_by_the_loader(file)


def _named_by_the_loader(file: Path) -> list[str]:
    """Give the first library that the loader misses; it names no more than one."""
    try:
        ctypes.CDLL(str(file))
    except OSError as trouble:
        named = _NAME.search(str(trouble))
        return [named[1]] if named else [str(trouble)]
    return []
