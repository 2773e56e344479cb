"""A screen that nobody sees, the program on it, and a person's hands: keys, clicks and a scanner.

Nothing here reaches into the program. What a test waits for is what the program leaves behind: its
file, its drafts, the names of its windows.
"""

from __future__ import annotations

import ctypes
import json
import os
import shutil
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from ctypes.util import find_library
from itertools import pairwise
from pathlib import Path
from typing import Any, TypeVar

import pytest

ROOT = Path(__file__).resolve().parent.parent.parent
WATCHED = Path(__file__).resolve().parent / "watched_program.py"
PATIENCE_S = 120.0
# A hand scanner takes less than 50 ms from letter to letter; of the first, xdotool waits half.
_A_LETTER_MS, _A_KEY_MS = "160", "80"
_SHIFTED = '~!@#$%^&*()_+{}|:"<>?'

T = TypeVar("T")

needs_a_screen = pytest.mark.skipif(
    sys.platform != "linux" or not (shutil.which("Xvfb") and shutil.which("xdotool")),
    reason="a real window wants Xvfb and xdotool, which `bash .start tests` brings",
)


def wait_for(what: Callable[[], T], told: str, there: Callable[[], object] = str) -> T:
    """Wait until something holds, and give it; who waits in vain is told what is `there`."""
    end = time.monotonic() + PATIENCE_S
    while time.monotonic() < end:
        found = what()
        if found:
            return found
        time.sleep(0.1)
    pytest.fail(f"gave up waiting for {told} {there()}".rstrip())


@contextmanager
def unseen_screen() -> Iterator[str]:
    """Give the name of a screen of its own, ended by its own process and by nothing else."""
    reading, writing = os.pipe()
    server = subprocess.Popen(
        ["Xvfb", "-displayfd", str(writing), "-screen", "0", "1440x900x24", "-nolisten", "tcp"],
        pass_fds=(writing,),
        stderr=subprocess.DEVNULL,
    )
    os.close(writing)
    try:
        with os.fdopen(reading) as told:
            yield f":{told.readline().strip()}"
    finally:
        server.terminate()
        server.wait(timeout=20)


@contextmanager
def program(display: str, *words: str) -> Iterator[subprocess.Popen[str]]:
    """Run the program on a screen; it is killed at the end if it still runs then."""
    surroundings = {
        "DISPLAY": display,
        "QT_QPA_PLATFORM": "xcb",
        "LANG": "C.UTF-8",
        # Nobody listens there: a test finds no printer, and prints on nobody's.
        "CUPS_SERVER": "127.0.0.1:1",
    }
    with subprocess.Popen(
        [sys.executable, str(WATCHED), *words],
        cwd=ROOT,
        env={**os.environ, **surroundings},
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    ) as running:
        try:
            yield running
        finally:
            if running.poll() is None:
                running.kill()


class Hand:
    """Types and clicks as a person would, from outside the program, and counts the keys pressed.

    A key that needs Shift, Alt or Control counts as two. Where no window manager is, nobody gives
    the window under a closed one the keys back; `focus` does that, and is no key.
    """

    def __init__(self, display: str) -> None:
        self._surroundings = {**os.environ, "DISPLAY": display}
        self.pressed = 0

    def _do(self, *words: str) -> str:
        done = subprocess.run(
            ["xdotool", *words],
            env=self._surroundings,
            capture_output=True,
            text=True,
            check=False,
            timeout=60,
        )
        return done.stdout.strip()

    def window(self, name: str) -> str:
        """Give the window of a name, empty where none is."""
        return (self._do("search", "--onlyvisible", "--name", name).splitlines() or [""])[-1]

    def focus(self, window: str) -> None:
        """Give a window the keys."""
        self._do("windowfocus", "--sync", window)

    def go_to(self, name: str) -> None:
        """Wait for a window and give it the keys."""
        self.focus(wait_for(lambda: self.window(name), f"the window “{name}”"))

    def is_gone(self, name: str) -> bool:
        """Tell whether no window has this name."""
        return not self.window(name)

    def keys(self, *keys: str) -> None:
        """Press keys one after the other, such as `Return` or `alt+c`."""
        self.pressed += sum(len(one.split("+")) for one in keys)
        self._do("key", "--delay", _A_KEY_MS, *keys)

    def type(self, text: str) -> None:
        """Type a text."""
        self.pressed += sum(1 + (one.isupper() or one in _SHIFTED) for one in text)
        self._do("type", "--delay", _A_LETTER_MS, text)

    def enter(self, text: str = "") -> None:
        """Type a text, if any, and press Enter."""
        if text:
            self.type(text)
        self.keys("Return")

    def click(self, x: int, y: int) -> None:
        """Click at a place of the screen."""
        self._do("mousemove", str(x), str(y), "click", "1")


class HandScanner:
    """Types what it reads in one go and ends with Enter, as a hand scanner on a cable does.

    All keys of a scan go to the screen in one request, so that a busy machine hardly stretches it;
    they come in through the same door as those of a keyboard (the XTEST extension).
    """

    # Between one letter and the same one again; pressed anew within a millisecond, a key would
    # look as if it had been held down.
    _AGAIN_MS = 2

    def __init__(self, display: str) -> None:
        self._x11 = ctypes.CDLL(find_library("X11") or "libX11.so.6")
        self._xtest = ctypes.CDLL(find_library("Xtst") or "libXtst.so.6")
        self._x11.XOpenDisplay.restype = ctypes.c_void_p
        opened: int | None = self._x11.XOpenDisplay(display.encode())
        if opened is None:
            pytest.fail(f"the scanner found no screen {display}")
        self._display = ctypes.c_void_p(opened)
        self.scans = 0

    def scan(self, payload: str) -> None:
        """Scan what a printed symbol carries."""
        for before, sign in pairwise(["", *payload, "Return"]):
            self._press(sign, after_ms=self._AGAIN_MS if sign == before else 0)
        self._x11.XSync(self._display, 0)
        self.scans += 1

    def close(self) -> None:
        """Unplug it."""
        self._x11.XCloseDisplay(self._display)

    def _press(self, sign: str, *, after_ms: int) -> None:
        is_shifted = len(sign) == 1 and sign.isupper()
        if is_shifted:
            self._send("Shift_L", is_down=True)
        self._send(sign, is_down=True, after_ms=after_ms)
        self._send(sign, is_down=False)
        if is_shifted:
            self._send("Shift_L", is_down=False)

    def _send(self, name: str, *, is_down: bool, after_ms: int = 0) -> None:
        symbol = ctypes.c_ulong(self._x11.XStringToKeysym(name.encode()))
        code = self._x11.XKeysymToKeycode(self._display, symbol)
        self._xtest.XTestFakeKeyEvent(
            self._display, ctypes.c_uint(code & 0xFF), int(is_down), ctypes.c_ulong(after_ms)
        )


def draft_of(home: Path, form: str) -> dict[str, Any]:
    """Give what is kept of a form that was begun, nothing where nothing is."""
    for file in home.rglob(f"*-{form}.json"):
        try:
            content = json.loads(file.read_text(encoding="utf-8"))["content"]
        except FileNotFoundError:
            return {}
        return dict(content)
    return {}
