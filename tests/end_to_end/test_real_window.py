"""The program in a real window on a screen of its own, used with keys and mouse by other programs.

Nothing here reaches into the program: keys and clicks come from outside, and what is looked at is
what it leaves behind: its file, what it saved, its exit status, and its silence.
"""

from __future__ import annotations

import os
import subprocess
import sys
import time
from pathlib import Path

import pypdf

from end_to_end.real_window import ROOT, WATCHED, Hand, needs_a_screen, program, wait_for
from vault.application.book import Book
from vault.application.figures import are_fresh
from vault.application.queries.answers.items import ItemQuery, Showing
from vault.application.queries.items import item_index, item_rows


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
    display: str, hand: Hand, tmp_path: Path
) -> None:
    with program(display, "--demo") as running:
        home = tmp_path / "home"
        wait_for(lambda: figures_are_there(home), "the demonstration's figures")
        hand.go_to("Metal on hand")
        bar = a_bar_in_the_safe(home)
        hand.keys("ctrl+f")
        hand.enter(bar)
        time.sleep(1.5)
        hand.keys("ctrl+t")
        time.sleep(2.0)
        saved = tmp_path / "trace.pdf"
        hand.keys("ctrl+s")
        hand.go_to("Save")
        hand.keys("ctrl+a")
        hand.enter(str(saved))
        wait_for(lambda: saved.exists() and saved.stat().st_size > 0, "the saved trace")
        text = "".join(page.extract_text() for page in pypdf.PdfReader(saved).pages)
        assert bar in text
        assert "demonstration" in text
        hand.go_to("Metal on hand")
        for number in range(1, 6):
            hand.click(66, 86 + 44 * (number - 1))
            time.sleep(0.7)
            hand.keys(f"ctrl+{number}")
            time.sleep(0.7)
        assert running.poll() is None, "it still runs after every screen was shown"
        hand.keys("ctrl+q")
        out, err = running.communicate(timeout=60)
        assert running.returncode == 0, err
        assert err == ""
        assert out == ""


@needs_a_screen
def test_the_program_tries_itself_on_a_real_screen(display: str) -> None:
    done = subprocess.run(
        [sys.executable, str(WATCHED), "--self-test"],
        cwd=ROOT,
        env={**os.environ, "DISPLAY": display, "QT_QPA_PLATFORM": "xcb"},
        capture_output=True,
        text=True,
        check=False,
        timeout=300,
    )
    assert (done.returncode, done.stderr) == (0, "")
    for screen in ("safe", "lots", "trace", "residues", "daybook"):
        assert screen in done.stdout
