"""The program in a real window on a screen of its own, used with keys and mouse by other programs.

Nothing here reaches into the program: keys and clicks come from outside, and what is looked at is
what it leaves behind: its file, what it saved, its exit status, and its silence.
"""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from pathlib import Path

import pypdf
import pytest

from vault.application.book import Book
from vault.application.figures import are_fresh
from vault.application.queries.answers.items import ItemQuery, Showing
from vault.application.queries.items import item_index, item_rows

ROOT = Path(__file__).resolve().parent.parent.parent
PATIENCE_S = 120.0

needs_a_screen = pytest.mark.skipif(
    sys.platform != "linux" or not (shutil.which("Xvfb") and shutil.which("xdotool")),
    reason="a real window wants Xvfb and xdotool, which `bash .start tests` brings",
)


def wait_for(what: Callable[[], object], told: str) -> None:
    end = time.monotonic() + PATIENCE_S
    while time.monotonic() < end:
        if what():
            return
        time.sleep(0.1)
    pytest.fail(f"gave up waiting for {told}")


@pytest.fixture
def display() -> Iterator[str]:
    """A screen that nobody sees, ended by its own process and by nothing else."""
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


class Hand:
    """Types and clicks as a person would, from outside the program."""

    def __init__(self, display: str) -> None:
        self._surroundings = {**os.environ, "DISPLAY": display}

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
        return (self._do("search", "--onlyvisible", "--name", name).splitlines() or [""])[-1]

    def focus(self, window: str) -> None:
        self._do("windowfocus", "--sync", window)

    def keys(self, *keys: str) -> None:
        self._do("key", "--delay", "80", *keys)

    def type(self, text: str) -> None:
        # Slower than the 50 ms between the letters of a hand scanner, and taken for no scan.
        self._do("type", "--delay", "120", text)

    def click(self, x: int, y: int) -> None:
        self._do("mousemove", str(x), str(y), "click", "1")


@pytest.fixture
def program(display: str, tmp_path: Path) -> Iterator[subprocess.Popen[str]]:
    surroundings = {**os.environ, "DISPLAY": display, "QT_QPA_PLATFORM": "xcb", "LANG": "C.UTF-8"}
    with subprocess.Popen(
        [sys.executable, "-m", "vault", "--demo"],
        cwd=ROOT,
        env=surroundings,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    ) as running:
        try:
            yield running
        finally:
            if running.poll() is None:
                running.kill()


def demonstration(home: Path) -> Path | None:
    return next(iter(home.rglob("demonstration.shop")), None)


def figures_are_there(home: Path) -> bool:
    path = demonstration(home)
    if path is None:
        return False
    with Book.open(path, writing=False) as book:
        return are_fresh(book) and book.file.setting("shop_name") != ""


def a_bar_in_the_safe(home: Path) -> str:
    path = demonstration(home)
    assert path is not None
    with Book.open(path, writing=False) as book:
        index = item_index(book, ItemQuery(text="bar", showing=Showing.ON_HAND))
        rows = item_rows(book, list(index.ids))
    return next(row.tag for row in rows if row.form == "bar" and "safe" in row.place)


@needs_a_screen
def test_the_demonstration_is_opened_searched_traced_and_saved_in_a_real_window(
    program: subprocess.Popen[str], display: str, tmp_path: Path
) -> None:
    home, hand = tmp_path / "home", Hand(display)
    wait_for(lambda: hand.window("Metal on hand"), "the window")
    wait_for(lambda: figures_are_there(home), "the demonstration's figures")
    hand.focus(hand.window("Metal on hand"))
    bar = a_bar_in_the_safe(home)
    hand.keys("ctrl+f")
    hand.type(bar)
    hand.keys("Return")
    time.sleep(1.5)
    hand.keys("ctrl+t")
    time.sleep(2.0)
    saved = tmp_path / "trace.pdf"
    hand.keys("ctrl+s")
    wait_for(lambda: hand.window("Save"), "the chooser of a file")
    hand.focus(hand.window("Save"))
    hand.keys("ctrl+a")
    hand.type(str(saved))
    hand.keys("Return")
    wait_for(lambda: saved.exists() and saved.stat().st_size > 0, "the saved trace")
    text = "".join(page.extract_text() for page in pypdf.PdfReader(saved).pages)
    assert bar in text
    assert "demonstration" in text
    hand.focus(hand.window("Metal on hand"))
    for number in range(1, 6):
        hand.click(66, 86 + 44 * (number - 1))
        time.sleep(0.7)
        hand.keys(f"ctrl+{number}")
        time.sleep(0.7)
    assert program.poll() is None, "it still runs after every screen was shown"
    hand.keys("ctrl+q")
    out, err = program.communicate(timeout=60)
    assert program.returncode == 0, err
    assert err == ""
    assert out == ""


@needs_a_screen
def test_the_program_tries_itself_on_a_real_screen(display: str) -> None:
    done = subprocess.run(
        [sys.executable, "-m", "vault", "--self-test"],
        cwd=ROOT,
        env={**os.environ, "DISPLAY": display, "QT_QPA_PLATFORM": "xcb"},
        capture_output=True,
        text=True,
        check=False,
        timeout=300,
    )
    assert done.returncode == 0, done.stderr
    for screen in ("safe", "lots", "trace", "residues", "daybook"):
        assert screen in done.stdout
