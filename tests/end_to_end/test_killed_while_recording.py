"""The program killed at random moments while it records: what was acknowledged is there, once.

This proves the death of a process, as SIGKILL brings it; not the loss of power.
"""

from __future__ import annotations

import random
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from vault.application.book import Book
from vault.core.daybook import Recorded
from vault.store.entries import load_entries
from vault.store.integrity import prove

TESTS = Path(__file__).resolve().parent.parent

# Records one entry after another and says so; at its start it does again, under the same key,
# what the one killed before it may or may not have finished.
RECORDER = """
import sys
from pathlib import Path
from builders import mass, said, thing
from vault.application.book import Book
from vault.application.operations import acts
from vault.core.daybook import Process, Terms

def act(book, step):
    key = f"step {step}"
    lot, turn = divmod(step, 5)
    bag, bead, cupel = f"R-{lot}", f"B-{lot}", f"C-{lot}"
    if turn == 0:
        bags = [thing(bag, "filings", "100", "Ag 600 \\u00b1 60", place="bench")]
        return acts.receive_lot(book, bags, lot=f"L-{lot}", terms=Terms.OWN, key=key)
    if turn == 1:
        made = [thing(bead, "bead", "60"), thing(cupel, "spent cupel", place="drum C")]
        return acts.record_work(book, Process.CUPEL, used=[bag], made=made, key=key)
    if turn == 2:
        return acts.assay(book, bead, said("Ag 991 \\u00b1 0.4"), how="fire assay", key=key)
    if turn == 3:
        return acts.move(book, [bead], "safe", key=key)
    return acts.strike_entry(book, book_number(book, step - 1), reason="wrong shelf", key=key)

def book_number(book, step):
    from vault.store.entries import recorded_under
    with book.file.reading() as connection:
        return recorded_under(connection, f"step {step}")

first = int(sys.argv[2])
with Book.open(Path(sys.argv[1]), operator="Imke") as book:
    for step in range(first, first + 100_000):
        act(book, step)
        print(step, flush=True)
"""


@contextmanager
def recorder(path: Path, first: int) -> Iterator[subprocess.Popen[str]]:
    """Start a program that records from a step on."""
    with subprocess.Popen(
        [sys.executable, "-c", RECORDER, str(path), str(first)],
        cwd=TESTS.parent,
        env={"PYTHONPATH": f"{TESTS.parent}:{TESTS}", "PYTHONDONTWRITEBYTECODE": "1"},
        stdout=subprocess.PIPE,
        text=True,
    ) as program:
        try:
            yield program
        finally:
            program.kill()


def acknowledged_before_death(path: Path, first: int, patience_s: float) -> int:
    """Let it record from a step on, kill it after a while, and give the last step it told."""
    last = first - 1
    with recorder(path, first) as program:
        assert program.stdout is not None
        last = int(program.stdout.readline())
        time.sleep(patience_s)
        program.kill()
        for line in program.stdout:
            # The pipe may end within a word.
            last = int(line) if line.endswith("\n") else last
    return last


def entries_of(path: Path) -> list[Recorded]:
    with Book.open(path, writing=False) as book:
        broken = prove(book.file).broken
        assert broken == ()
        with book.file.reading() as connection:
            return list(load_entries(connection))


def kill_and_look(path: Path, kills: int, seed: int) -> None:
    """Kill it time and again, and look after each death whether the book is as it should be."""
    chance = random.Random(seed)
    Book.create(path, zone="Europe/Oslo").close()
    step = 0
    ahead = 0
    for _ in range(kills):
        acknowledged = acknowledged_before_death(path, step, chance.uniform(0, 0.1))
        keys = [one.key for one in entries_of(path)]
        # In order, each once, everything acknowledged; and at most one more that was not told.
        assert keys == [f"step {number}" for number in range(len(keys))]
        assert acknowledged < len(keys) <= acknowledged + 2
        ahead += len(keys) == acknowledged + 2
        # The next one begins with the last step acknowledged, and with one that may be there.
        step = acknowledged
    assert step > kills
    told = f"{kills} kills, {step + 1} acknowledged, {ahead} times one more was in the book"
    print(told)  # noqa: T201 - a figure worth seeing with `pytest -s`


def test_killed_twenty_times_the_book_has_all_that_was_acknowledged_once(tmp_path: Path) -> None:
    kill_and_look(tmp_path / "our.shop", kills=20, seed=1)


@pytest.mark.slow
def test_killed_two_hundred_times_the_book_has_all_that_was_acknowledged_once(
    tmp_path: Path,
) -> None:
    kill_and_look(tmp_path / "our.shop", kills=200, seed=2)


IMPORTER = """
import sys
from pathlib import Path
from builders import priced
from vault.application.book import Book
from vault.application.operations.recording import import_entries
with Book.open(Path(sys.argv[1]), operator="Imke") as book:
    entries = [priced(number, "Ag", "0.95 EUR") for number in range(1, 5001)]
    print("begins", flush=True)
    import_entries(book, entries)
    print("ends", flush=True)
"""


@pytest.mark.parametrize("share", [0.1, 0.3, 0.5, 0.7, 0.9, 1.0])
def test_an_import_killed_on_its_way_is_wholly_there_or_wholly_gone(
    tmp_path: Path, share: float
) -> None:
    path = tmp_path / "our.shop"
    Book.create(path, zone="Europe/Oslo").close()
    with subprocess.Popen(
        [sys.executable, "-c", IMPORTER, str(path)],
        cwd=TESTS.parent,
        env={"PYTHONPATH": f"{TESTS.parent}:{TESTS}", "PYTHONDONTWRITEBYTECODE": "1"},
        stdout=subprocess.PIPE,
        text=True,
    ) as program:
        assert program.stdout is not None
        assert program.stdout.readline() == "begins\n"
        time.sleep(share)
        program.kill()
        ended = program.stdout.readline() == "ends\n"
    kept = len(entries_of(path))
    assert kept == 5_000 if ended else kept in {0, 5_000}
